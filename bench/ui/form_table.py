"""The table of forms, walked by both front ends: what a command asks and records, and when it may be asked."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, TypeVar, cast

from msgspec import Struct, to_builtins

from bench.errors import SoldersideError
from bench.log import events as ev
from bench.log.clock import spell
from bench.parts.designators import shorten
from bench.parts.english import counted as in_words
from bench.plan.plan import Step
from bench.session.build import Build
from bench.ui.afterword_forms import AFTERWORDS_FORM, CAPTIONS_FORM, SNAG_KIND_FORM
from bench.ui.forms import Choice, FormLine, Question, Situation, a_count, a_number, number, table
from bench.ui.joint_forms import JOINT_FORMS
from bench.ui.mark_forms import MARK_FORMS, which_held
from bench.ui.part_names import asks_again
from bench.ui.reading_forms import (
    bag_question,
    close_call,
    judged,
    judged_ahead,
    meter_question,
    which_part,
)
from bench.ui.text import clean
from bench.ui.unit_forms import UNIT_FORMS

if TYPE_CHECKING:
    from bench.log.progress import Snag
    from bench.plan.bag import BagLine

T = TypeVar("T")


# -- what a form is about, and when it may be asked ------------------------------------------------------
def _on_screen(at: Situation) -> Step | None:
    return at.step


def _at_work(at: Situation) -> Step | None:
    """The step at work, which nothing is asked about on a break."""
    if at.build.progress.on_break:
        raise SoldersideError("you are on a break", "", "end the break first")
    return at.build.next_step


def _check_at_work(at: Situation) -> Step:
    step = _at_work(at)
    if step is None:
        raise SoldersideError("there is no step left to measure at", "", "")
    return step


def _hold_point(at: Situation) -> Step | None:
    stage = at.build.view().stage
    if stage is None or not stage.hold:
        raise SoldersideError("this is not a hold point", "", "")
    return _at_work(at)


def _photo_marked(at: Situation) -> int:
    """The mark of a photo taken now: before its caption is asked for, so that its time is right."""
    at.build.photo_taken(step=at.step)
    return at.build.progress.events


class Seen(Struct, frozen=True):
    """A problem as far as it is known before it is told."""

    step: Step | None
    what: str = ""
    part: str = ""


def _seen(at: Situation) -> Seen:
    if isinstance(at.chosen, Seen):
        return at.chosen
    return Seen(at.step, part=" ".join(at.step.refs) if at.step and len(at.step.refs) == 1 else "")


def _open_snag(at: Situation) -> Snag:
    """The snag whose number is chosen, else the oldest one that is open."""
    wanted = at.chosen if isinstance(at.chosen, int) else 0
    snag = next((each for each in at.build.progress.snags if not each.fix and wanted in (0, each.n)), None)
    if snag is None:
        raise SoldersideError("no snag is open", "", "")
    return snag


def chosen(at: Situation, kind: type[T], other: str) -> T:
    """What is chosen, where it is of this kind; `other` says what is wrong with anything else."""
    if not isinstance(at.chosen, kind):
        raise SoldersideError(other, "", "choose another line")
    return at.chosen


def _bag_line(at: Situation) -> BagLine:
    from bench.plan.bag import BagLine

    return chosen(at, BagLine, "this line is not a part")


def _clap(at: Situation) -> ev.SyncMarked:
    return chosen(at, ev.SyncMarked, "this line is not a clap")


class Suspect(Struct, frozen=True):
    """A suspicion and the symptom it was raised by."""

    what: str
    symptom: str


def _suspect(at: Situation) -> Suspect:
    return chosen(at, Suspect, "this line is not a suspect")


def _event_with_text(at: Situation) -> ev.AnyEvent:
    assert isinstance(at.chosen, ev.Event)
    if not ev.CORRECTABLE.get(ev.tag_of(at.chosen)):
        raise SoldersideError("this entry has no text to edit", "", "undo it instead")
    return cast("ev.AnyEvent", at.chosen)


# -- questions that depend on it, and what is recorded ---------------------------------------------------
def _mark(command: str, title: str, ask: str, *, needed: bool = True) -> FormLine[Step | None]:
    """A mark of `Noted` that is a command of its own."""
    return FormLine(
        command=command,
        about=_on_screen,
        title=title,
        questions=lambda at, step: (Question(ask=ask, needed=needed, wrong=asks_again(at.build.kit)),),
        record=lambda at, step, said: at.build.note(said[0] or "worth showing", command, step),
        word=f"{title} recorded.",
    )


def _caption(at: Situation, of: int, said: tuple[str, ...]) -> str:
    if not said[0].strip():
        return "Photo marked, without a caption."
    at.build.correct(of, "caption", said[0])
    return "Photo marked, with its caption."


def _snag_questions(at: Situation, seen: Seen) -> tuple[Question, ...]:
    return (
        Question(ask="what is wrong?", given=seen.what, wrong=asks_again(at.build.kit)),
        Question(
            ask="which part?",
            hint="A designator; optional.",
            needed=False,
            given=seen.part,
            wrong=asks_again(at.build.kit, names_only=True),
        ),
        Question(ask="how was it fixed?", hint="Leave empty while it is open.", needed=False),
        Question(ask="minutes lost?", hint="A number; optional.", needed=False, wrong=a_number),
    )


def _snag(at: Situation, seen: Seen, said: tuple[str, ...]) -> str:
    what, part, fix, minutes = said
    at.build.snag(what, part, number(minutes), fix, seen.step)
    return "Snag recorded." if fix.strip() else "Snag recorded, still open."


def _mend_questions(at: Situation, snag: Snag) -> tuple[Question, ...]:
    given = f"{snag.minutes:g}" if snag.minutes else ""
    return (
        Question(ask=f"how was '{clean(snag.what, 60)}' fixed?"),
        Question(ask="minutes lost in all?", needed=False, wrong=a_number, given=given),
    )


def _replaced(step: Step | None) -> str:
    return (" ".join(step.refs) or (step.value if step.kind else "")) if step else ""


def _substitute(at: Situation, step: Step | None, said: tuple[str, ...]) -> None:
    part, instead, why = said
    items = tuple(item.removesuffix("#placed") for item in step.items) if step else ()
    at.build.substitute(part, instead, why, items if part == _replaced(step) else ())


def _title(step: Step | None) -> str:
    return clean(step.value, 60) if step else ""


def _wait_questions(at: Situation, step: Step | None) -> tuple[Question, ...]:
    """The minutes that the step names stand in the line already."""
    minutes = minutes_in(f"{step.value} {step.detail}") if step else ""
    return (
        Question(ask="how many minutes?", given=minutes, wrong=a_number),
        Question(ask="what for?", needed=False, given=_title(step) if minutes else ""),
    )


def _wait(at: Situation, _: Step | None, said: tuple[str, ...]) -> str:
    minutes = number(said[0])
    at.build.wait(minutes, said[1])
    running = sum(left > 0 for _, left in at.build.timer.waits_left())
    more = f", {in_words(running, 'wait')} in all" if running > 1 else ""
    return f"Waiting {said[0].strip()} {'minute' if minutes == 1 else 'minutes'}{more}; the bar counts down."


_NUMBERS = {"five": "5", "ten": "10", "fifteen": "15", "twenty": "20", "thirty": "30", "sixty": "60"}
_MINUTES = re.compile(rf"\b(\d{{1,3}}|{'|'.join(_NUMBERS)}) ?min(?:utes?)?\b", re.IGNORECASE)


def minutes_in(text: str) -> str:
    """The first number of minutes that a text names; empty when it names none.

    >>> minutes_in("Twenty minutes of warming up"), minutes_in("wait 5 min"), minutes_in("at once")
    ('20', '5', '')
    """
    found = _MINUTES.search(text)
    return _NUMBERS.get(found[1].lower(), found[1]) if found else ""


def _count_questions(at: Situation, line: BagLine) -> tuple[Question, ...]:
    bags, wanted = "bag", len(line.items) * at.build.bags
    if at.build.bags > 1:
        bags = f"{at.build.bags} bags together"
    ask = f"how many {clean(line.value, 40)} are in the {bags}? There should be {wanted}."
    return (Question(ask=ask, wrong=a_count, counts=True),)


def _other_questions(at: Situation, line: BagLine) -> tuple[Question, ...]:
    return (
        Question(ask=f"what is in the bag instead of {clean(line.value, 40)}?"),
        Question(ask="why, if known?", hint="Optional. Check pinout and rating.", needed=False),
    )


def _other_part(at: Situation, line: BagLine, said: tuple[str, ...]) -> str:
    part = clean(f"{line.value} {shorten(line.refs)}".strip(), 200)
    at.build.substitute(part, said[0], said[1], line.items)
    at.build.count_bag(line, len(line.items) * at.build.bags)
    return f"{said[0]} replaces {part}; every step that uses it says so."


def _clip_questions(at: Situation, name: str) -> tuple[Question, ...]:
    when = "Where it shows the claps: 1=12.48 2=30:04.2. Or its start time, such as 18:20:05."
    return (
        Question(ask="name of the clip?", hint="Its file, such as one.mov, or a folder of clips.", given=name),
        Question(
            ask="when was it filmed?",
            hint=f"{when} Its timecode too, if it has one: 18:03:30:12. For a folder nothing.",
            needed=False,
        ),
        Question(ask="how long is it?", hint="Such as 25:10; optional.", needed=False, wrong=_a_length),
    )


def _a_length(text: str) -> str:
    from bench.writeup.film.clip_times import read_seconds

    try:
        return "" if not text.strip() or read_seconds(text) > 0 else "it must be longer than 0"
    except SoldersideError as error:
        return error.what


def _clip(at: Situation, _: str, said: tuple[str, ...]) -> str:
    from bench.writeup.film.clip_times import read_words
    from bench.writeup.film.media_files import film_files, folder_named
    from bench.writeup.film.publish import Typed, name_all, name_clip

    clip, when, length = said
    if not (when.strip() or length.strip()) and (folder := folder_named(clip)) is not None:
        *words, count = name_all(at.build, film_files(folder), clip.strip())
        return " ".join([clean(count, 300), *(f"{clean(word, 300)}." for word in words)])
    named = name_clip(at.build, at.settings, Typed(clip=clip, length=length, **read_words(when)))
    remarks = [f"{word[:1].upper()}{word[1:]}." for word in named.remarks]
    return " ".join([f"Clip {clean(clip.strip(), 100)} named.", *remarks])


def _correctable(event: ev.AnyEvent) -> dict[str, str]:
    """The texts of an event that can be corrected, by their fields."""
    fields = {field: getattr(event, field) for field in ev.CORRECTABLE[ev.tag_of(event)] if field != "kind"}
    if isinstance(event, ev.IdleResolved):
        fields["minutes_worked"] = round(event.seconds_worked / 60, 1)
    return {
        field: f"{value:g}" if isinstance(value, float) else str(to_builtins(value))
        for field, value in fields.items()
    }


def _asked_for(event: ev.AnyEvent, field: str) -> str:
    """What is asked for a field of an event."""
    if isinstance(event, ev.IdleResolved):
        return f"of {spell(event.seconds)} without a key, how many minutes were work? The rest was a break."
    return f"{field}?"


def _correct(at: Situation, event: ev.AnyEvent, said: tuple[str, ...]) -> str:
    for (field, before), answer in zip(_correctable(event).items(), said, strict=True):
        if answer.strip() != before:
            at.build.correct(event.n, field, answer)
    return ""


def gap_choice(build: Build) -> Choice | None:
    """What a long time without a key was; None where there was none, or nothing can be recorded."""
    gap = 0.0 if build.log.read_only else build.timer.gap()
    if not gap:
        return None

    def settle(key: str) -> str:
        build.settle_gap(worked=key == "w")
        counted = "bench time" if key == "w" else "a break"
        return f"{spell(gap)} counted as {counted}. The log can change or split it."

    choices = (("w", "at the bench all the time"), ("b", "a break"))
    return Choice(ask=f"No key for {spell(gap)}. What was it?", choices=choices, settle=settle, usual="b")


FORMS = (
    UNIT_FORMS
    | MARK_FORMS
    | JOINT_FORMS
    | table(
        # -- words
        _mark("note", "Note", "what?"),
        _mark("tip", "Tip", "what should the next builder know?"),
        _mark("show", "Worth showing", "what is there to see? (optional)", needed=False),
        FormLine(
            command="photo",
            about=_photo_marked,
            title="Photo",
            questions=(Question(ask="what does it show? (optional)", needed=False),),
            record=_caption,
            given_up="Photo marked, without a caption.",
        ),
        FormLine(command="snag", about=_seen, title="Snag", questions=_snag_questions, record=_snag),
        FormLine(
            command="mend",
            about=_open_snag,
            title="Fixed",
            questions=_mend_questions,
            record=lambda at, snag, said: at.build.mend(snag.n, said[0], number(said[1])),
            word="Fixed.",
        ),
        FormLine(
            command="substitute",
            about=_on_screen,
            title="Substitute",
            questions=lambda at, step: (
                Question(
                    ask="which part does it replace?", given=_replaced(step), wrong=asks_again(at.build.kit)
                ),
                Question(ask="what do you fit instead?"),
                Question(ask="why?", hint="Optional. Check pinout and rating.", needed=False),
            ),
            record=_substitute,
            word="Substitute recorded.",
        ),
        FormLine(
            command="erratum",
            about=lambda _: None,
            title="Erratum",
            questions=(Question(ask="what is wrong in the kit's documents?"),),
            record=lambda at, _, said: at.build.erratum(said[0]),
            word="Erratum recorded.",
        ),
        # -- the step at work
        FormLine(
            command="hold",
            about=_at_work,
            title=lambda step: f"Hold back {_title(step)}",
            questions=(Question(ask="why?", hint="Optional.", needed=False),),
            record=lambda at, _, said: at.build.hold_back(said[0]),
            word=lambda step: f"Held back: {_title(step)}.",
        ),
        FormLine(
            command="take_up",
            about=lambda _: None,
            title="Resume",
            questions=(),
            record=lambda at, _, said: at.build.take_up(),
            word="Resumed.",
            instead=which_held,
        ),
        FormLine(
            command="override",
            about=_hold_point,
            title="Override the hold point (something is still open)",
            questions=(Question(ask="why?", hint="It is kept in the log and shown in the article."),),
            record=lambda at, _, said: at.build.override_hold(said[0]),
            word="Recorded with your reason.",
            instead=close_call,
        ),
        FormLine(
            command="reading",
            about=_check_at_work,
            title=lambda step: f"Reading at {_title(step)}",
            questions=lambda at, step: (meter_question(at.build, step),),
            record=lambda at, _, said: judged(at, said[0]),
            then=lambda at: close_call(at) or which_part(at),
        ),
        FormLine(
            command="wait",
            about=lambda at: at.build.next_step,
            title="Wait",
            questions=_wait_questions,
            record=_wait,
        ),
        # -- the chosen line of a list
        FormLine(
            command="read",
            about=lambda at: chosen(at, Step, "the plan has nothing to measure"),
            title=lambda step: f"Reading at {_title(step)}",
            questions=lambda at, step: (meter_question(at.build, step),),
            record=lambda at, step, said: judged(at, said[0], step),
        ),
        FormLine(
            command="number",
            about=_bag_line,
            title="Count",
            questions=_count_questions,
            record=lambda at, line, said: at.build.count_bag(line, int(said[0])),
        ),
        FormLine(
            command="other_part",
            about=_bag_line,
            title="Other part",
            questions=_other_questions,
            record=_other_part,
        ),
        FormLine(
            command="measure",
            about=_bag_line,
            title="Measure ahead",
            questions=lambda at, line: (bag_question(at.build, line),),
            record=lambda at, line, said: judged_ahead(at.build, line, said[0]),
        ),
        FormLine(
            command="name_clip",
            about=lambda at: at.chosen if isinstance(at.chosen, str) else "",
            title="Clip",
            questions=_clip_questions,
            record=_clip,
        ),
        FormLine(
            command="label",
            about=_clap,
            title="Label",
            questions=lambda at, clap: (
                Question(ask=f"what does clap {clap.number} mark?", given=clap.label, needed=False),
            ),
            record=lambda at, clap, said: at.build.correct(clap.n, "label", said[0]),
            word=lambda clap: f"Clap {clap.number} labelled.",
        ),
        FormLine(
            command="this_was_it",
            about=_suspect,
            title="This was it",
            questions=(Question(ask="what was seen?", hint="It is kept in the log and shown in the article."),),
            record=lambda at, it, said: at.build.settle_suspicion(
                it.what, found=True, said=said[0], symptom=it.symptom
            ),
            word="Recorded. Fix it and measure again: a new build can have more than one fault.",
        ),
        AFTERWORDS_FORM,
        CAPTIONS_FORM,
        SNAG_KIND_FORM,
        FormLine(
            command="correct",
            about=_event_with_text,
            title="Correct",
            questions=lambda at, event: tuple(
                Question(
                    ask=_asked_for(event, field), given=text, needed=False, replaced=field == "minutes_worked"
                )
                for field, text in _correctable(event).items()
            ),
            record=_correct,
        ),
    )
)

"""Forms for the article: what only the builder can say, captions of photos, what kind of snag it was."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bench.errors import SoldersideError
from bench.log import events as ev
from bench.log.afterwords import AFTERWORDS, afterwords
from bench.log.standing import standing
from bench.parts.english import counted
from bench.ui.forms import Choice, FormLine, Question, Situation

if TYPE_CHECKING:
    from bench.session.build import Build
    from bench.writeup.photos.photo_map import Shown

_ASKED = {
    "verdict": "your verdict, in a sentence or two?",
    "learned": "what did you learn?",
    "differently": "what would you do differently next time?",
    "who": "who built it, as the article may say?",
    "tools": "which iron, solder and meter?",
    "cost": "what did it cost?",
    "links": "links: the maker's page, a film?",
    "thanks": "whom do you want to thank?",
}


def _said(build: Build) -> dict[str, ev.Noted]:
    return afterwords(standing(build.events))


def _questions(at: Situation, said: dict[str, ev.Noted]) -> tuple[Question, ...]:
    return tuple(
        Question(
            ask=_ASKED[mark],
            hint="Optional; Enter skips it. It goes into the article.",
            needed=False,
            given=said[mark].text if mark in said else "",
        )
        for mark in AFTERWORDS
    )


def _record(at: Situation, said: dict[str, ev.Noted], answers: tuple[str, ...]) -> str:
    told = 0
    for mark, answer in zip(AFTERWORDS, answers, strict=True):
        before = said.get(mark)
        if before is None and answer.strip():
            at.build.note(answer, mark)
            told += 1
        elif before is not None and answer.strip() != before.text:
            if answer.strip():
                at.build.correct(before.n, "text", answer)
            else:
                at.build.undo_event(before.n)
            told += 1
    left = sum(not answer.strip() for answer in answers)
    return f"Recorded for the article{f'; {left} still open' if left else ''}." if told else "Nothing changed."


AFTERWORDS_FORM = FormLine(
    command="afterwords",
    about=lambda at: _said(at.build),
    title="For the article",
    questions=_questions,
    record=_record,
)


MOST_CAPTIONS = 9
"""Photos asked about in one go."""


def _photos(at: Situation) -> Sequence[Shown]:
    """Photos to caption: those without the builder's words first, in order of time."""
    from bench.writeup.photos.photo_map import shown

    photos = sorted(shown(at.build.events, at.build.progress), key=lambda each: bool(each.caption))
    if not photos:
        raise SoldersideError(
            "no photo goes with this build yet", "", "match them: solderside photos BUILD FOLDER"
        )
    return photos[:MOST_CAPTIONS]


def _captions(at: Situation, photos: Sequence[Shown]) -> tuple[Question, ...]:
    return tuple(
        Question(
            ask=f"caption for {each.photo.file}?",
            hint=f"Enter keeps it: {each.caption or each.about or each.during or each.spot.why}.",
            needed=False,
            given=each.caption,
            replaced=False,
        )
        for each in photos
    )


def _record_captions(at: Situation, photos: Sequence[Shown], answers: tuple[str, ...]) -> str:
    changed = [
        (each, answer)
        for each, answer in zip(photos, answers, strict=True)
        if answer.strip() != each.caption.strip()
    ]
    for each, answer in changed:
        at.build.caption_photo(each.photo.file, answer)
    return f"{counted(len(changed), 'caption')} recorded." if changed else "Nothing changed."


CAPTIONS_FORM = FormLine(
    command="captions",
    about=_photos,
    title="Captions of photos",
    questions=_captions,
    record=_record_captions,
)


def finished_word(build: Build, key: str) -> str:
    """What is said once the last step is done; `key` asks the last questions. Empty before and after them."""
    if build.next_step is not None or not build.plan.steps or build.log.read_only or _said(build):
        return ""
    return f"Finished. {key} asks for the article: verdict, what you learned, tools, cost; each can be skipped."


def _snag(at: Situation) -> ev.Snagged:
    if not isinstance(at.chosen, ev.Snagged):
        raise SoldersideError("this entry is no snag", "", "choose a line with a snag")
    return at.chosen


def _kinds(at: Situation) -> Choice:
    from bench.writeup.snag_kinds import KINDS, kind_of_snag

    snag = _snag(at)
    now = snag.kind or kind_of_snag(snag.what, snag.part, snag.fix)

    def settle(key: str) -> str:
        kind = KINDS[int(key) - 1]
        at.build.correct(snag.n, "kind", kind)
        return f"Kind of snag: {kind}."

    choices = tuple(
        (str(n), f"{kind} (as it is told now)" if kind == now else kind) for n, kind in enumerate(KINDS, 1)
    )
    return Choice(ask="What kind of snag is it?", choices=choices, settle=settle)


SNAG_KIND_FORM = FormLine(
    command="snag_kind",
    about=_snag,
    title="Kind of snag",
    questions=(),
    record=lambda at, snag, said: "",
    instead=_kinds,
)

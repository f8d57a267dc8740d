"""The bench in plain lines: the same keys, the same engine and the same log as the screen."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

from bench.errors import SoldersideError
from bench.log.clock import spell
from bench.parts.expectation import OPEN_WORDS
from bench.plain.place import Desk, Place
from bench.plain.spoken import (
    danger_lines,
    hold_met,
    hold_opens,
    one_done,
    place_line,
    spoken,
    step_lines,
    where_lines,
)
from bench.plain.talk import GivenUp, Talk
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.drafts import Drafts
from bench.session.press import press_done
from bench.session.view import StepView
from bench.session.waits import WaitWatch, wait_name
from bench.settings import Settings
from bench.ui.afterword_forms import finished_word
from bench.ui.agree_words import NOTHING_LEFT, answers_to, change_words, open_words
from bench.ui.clock_forms import clock_form
from bench.ui.commands import Command
from bench.ui.danger_forms import DANGER
from bench.ui.form_table import gap_choice
from bench.ui.forms import damage
from bench.ui.reading_forms import identify_question, odd_words
from bench.ui.rest_advice import RestWatch
from bench.ui.speaker import voice_of
from bench.ui.text import clean

_BEGINS_A_NUMBER = re.compile(r"[-+−<>~]?\s*[.,]?\d")


def desk_of(
    settings: Settings, read: Callable[[str], str], say: Callable[[str], None], data: Path | None
) -> Desk:
    """A desk over any way to read a line and to say one; `data` is the folder of settings and drafts.

    `read` asks for a line and returns it, raising EOFError at the end of the input; `say` puts one out. Without
    `data` settings are not written, and there is no shelf.
    """
    return Desk(settings, Talk(read, lambda line: say(spoken(clean(line, 2_000))), Drafts(data)), data)


class PlainSession(Place):
    """One build at work, in lines."""

    place = "bench"

    def __init__(
        self,
        build: Build,
        settings: Settings,
        read: Callable[[str], str],
        say: Callable[[str], None],
        data: Path | None = None,
        waits: WaitWatch | None = None,
    ) -> None:
        """`read`, `say` and `data` are those of `desk_of`; `waits` tells of builds that were left, too."""
        super().__init__(desk_of(settings, read, say, data), build)
        self.desk.news = self.news
        self._rest = RestWatch(build, self.settings)
        self._looking: int | None = None
        self._stage: tuple[Build, int] | None = None
        """The build and the number of the stage that was told last."""
        self._dangers: dict[str, str] = {}
        """What was warned of in this stage, and at which step it was said in full."""
        self._dangers_of: tuple[str, int] | None = None
        """The unit and the number of that stage."""
        self._waits = WaitWatch() if waits is None else waits
        self.desk.voice = voice_of(settings)

    def enter(self) -> None:
        """What is odd about the log or the kit, then the step at work."""
        if self.build.log.read_only:
            self._say(f"Read only: {self.build.log.why_read_only}. Nothing you do here is saved.")
        else:
            self.build.opened()
        for said in damage(self.build):
            self._say(said)
        self._say_changes()
        if (form := clock_form(self.build)) is not None:
            with contextlib.suppress(GivenUp):
                self.ask_form(form)
        self._say(
            "Type a word or its key, then Enter: done when the step is done, help for what else there is."
        )
        self.tell()

    def tell(self) -> None:
        """Say the step on hand, and how long a wait still takes."""
        for wait, left in self.build.timer.waits_left():
            if left > 0:
                self._say(f"Waiting: {wait_name(wait)}, {spell(left)} left.")
        if self._looking is None:
            self._say_hold()
        view = self.build.view(self._looking)
        self._say_step(view)
        self._voice_shows(view)

    def _voice_shows(self, view: StepView) -> None:
        if self.desk.voice is not None:
            self.desk.voice.show(view)

    def run(self) -> None:
        """Talk until the builder leaves, and end what is being spoken."""
        try:
            super().run()
        finally:
            if self.desk.voice is not None:
                self.desk.voice.close()

    def meant(self, line: str) -> Command | None:
        """As elsewhere; at a check a number is its reading, whatever key it may be."""
        return None if self._is_reading(line.strip()) else super().meant(line)

    def _is_reading(self, word: str) -> bool:
        step = self.build.view().step
        measured = step is not None and step.action in ("check", "adjust") and self._looking is None
        return measured and (_BEGINS_A_NUMBER.match(word) is not None or word.casefold() in OPEN_WORDS)

    def other(self, word: str) -> bool:
        """A reading at a check, or one of the words that only lines have."""
        only_here: dict[str, Callable[[], None]] = {
            **dict.fromkeys(("time", "status", "left"), self._say_progress),
            "dangers": self._say_dangers,
            "count": self.do_bag if not self.build.counting else partial(self.ask_command, "joints"),
        }
        if self._is_reading(word):
            self.before(self.commands["reading"])
            self._take_reading(word)
        elif (action := only_here.get(word.casefold())) is not None:
            action()
        elif _BEGINS_A_NUMBER.match(word):
            key = self.keymap.key_of("reading")
            self._say(f"Only at a check a number alone is a reading. {key} records one here.")
        else:
            return super().other(word)
        return True

    def _take_reading(self, typed: str) -> None:
        if self.build.view().danger:  # somebody has to answer for it first
            self._say(f"Not recorded: {clean(typed, 40)}. First somebody has to answer for what can kill here.")
            self.do_done()
            return
        self._talk.ahead = typed
        try:
            self.ask_command("reading")
        finally:
            self._talk.ahead = ""

    def _say_progress(self) -> None:
        """How far it is, and how long what is left takes."""
        from bench.estimate.history import know, plan_times
        from bench.estimate.hours import in_words

        build, view, left = self.build, self.build.view(), ""
        if self.data is not None and view.step is not None:
            learned = know(self.data, self.settings).learned
            left = in_words(plan_times(build.plan, build.progress, learned, build.name, build.others).module)
        self._say(place_line(view, spell(build.timer.bench_seconds()), left))

    def _say_dangers(self) -> None:
        for line in danger_lines(self.build.view(self._looking)):
            self._say(line)

    def short_help(self, words: Sequence[Command]) -> Iterable[str]:
        """What is needed to get through a build."""
        key = self.keymap.key_of
        return (
            "done, or a space: the step is done. one: only its next part. undo: takes the last entry back.",
            f"At a check: type the number, or {key('reading')} and then the reading. count: the joints.",
            "repeat: the step again. time: how far you are and how long it still takes.",
            "dangers: what can hurt at this step. all cautions: everything to take care of.",
            "note, snag: write down a word or a problem. hold back: do this step later. break: stop the clock.",
            "find a fault: where to look when something is wrong. Elsewhere: count the bag, meter, log, shelf.",
        )

    def do_say_again(self) -> None:
        """Say this step once more."""
        self._say_step(self.build.view(self._looking))
        if self.desk.voice is not None:
            self.desk.voice.again()

    def _say_step(self, view: StepView) -> None:
        """The step; dangers in full unless another step of this hold point has said them."""
        place, key = (view.unit, view.stage_number), view.step.key if view.step else ""
        if self._dangers_of != place:
            self._dangers_of, self._dangers = place, {}
        folds = view.stage is not None and view.stage.hold and not view.looking
        told = {say for say, step in self._dangers.items() if step != key and folds}
        for line in step_lines(view, self.keymap.key_of, told):
            self._say(line)
        if not view.looking:
            for caution in view.cautions:
                self._dangers.setdefault(caution.say, key)

    def _say_hold(self) -> None:
        """That a hold point is met, and that another one begins: each once."""
        build, number = self.build, self.build.view().stage_number
        before, self._stage = self._stage, (build, number)
        if before == self._stage:
            return
        if before is not None and before[1]:
            said = before[0].view().stages[before[1] - 1]
            if said.hold and said.state == "done":
                self._say(hold_met(before[0].plan.stages[before[1] - 1], before[0].progress))
        if number and build.plan.stages[number - 1].hold:
            self._say(hold_opens(build.plan.stages[number - 1], build.progress))

    def news(self) -> Iterator[str]:
        """That a wait is over, and that a rest is due: each once, also while nobody types."""
        for word in self._waits.due(self.build):
            yield word
            if self.desk.voice is not None:
                self.desk.voice.tell(word)
        if self.desk.voice is not None and (trouble := self.desk.voice.trouble()):
            yield trouble
        yield from self._rest.due()

    @property
    def step_said(self) -> Step | None:
        """The step that the builder hears of."""
        return self.build.view(self._looking).step

    def _then_tell(self, word: str = "") -> None:
        self._looking = None
        self._build = self.build.at_work
        if word:
            self._say(word)
        self.tell()

    def _say_changes(self) -> None:
        changes = self.build.kit_changes
        for unit, each in changes:
            self._say(clean(f"The kit changed: {change_words(unit, each)}. {open_words(each)}", 600))
        if changes:
            self._say(f"{self.keymap.key_of('agree')} and Enter answers these.")

    def before(self, command: Command) -> None:
        """A long time without a key is asked about first."""
        if command.name not in ("help", "quit") and (gap := gap_choice(self.build)) is not None:
            self._dangers_of = None
            self._say(gap.settle(self._talk.choose(gap.ask, gap.choices)))

    def ask_command(self, command: str, chosen: object = None) -> None:
        """Ask the form of a command, or the choice in its place, and what follows; then say what changed."""
        before, shown = (self.build, self.build.current), step_lines(self.build.view(self._looking))
        read = len(self.build.progress.readings)
        super().ask_command(command, chosen)
        readings = self.build.progress.readings
        if self.desk.voice is not None and len(readings) > read:
            self.desk.voice.tell(f"{readings[-1].text}: {readings[-1].verdict}.")
        self._build = self.build.at_work
        if (self.build, self.build.current) != before:
            self._then_tell()
        elif command == "reading":
            if self._looking is None and not self.build.view().wants_reading:
                self._say(f"Next: done, or {self.keymap.key_of('reading')} for another reading.")
        elif step_lines(self.build.view(self._looking)) != shown:
            self.tell()

    # -- the step at work -----------------------------------------------------------------------
    def do_done(self) -> None:
        """The step is done; at a check, its reading first."""
        if self._looking is not None:
            self._then_tell("Back at the current step.")
            return
        view = self.build.view()
        if view.danger and not self.build.log.read_only:
            self.ask_form(DANGER.form(self.situation(), None))
        elif view.wants_reading and not view.held_up_by:
            self.ask_command("reading")
            return
        elif self._is_odd():
            return
        else:
            press_done(self.build)
        self._count_then_tell()

    def _is_odd(self) -> bool:
        """True, with a word, the first time that a step is to be done against its own reading."""
        word = odd_words(self.situation())
        if word:
            self._say(word)
        return bool(word)

    def do_one(self) -> None:
        """The next part of the step is done; which one is said first."""
        if self._looking is not None:
            self._then_tell("Back at the current step.")
            return
        if self._is_odd():
            return
        before = self.build.view()
        self.build.done(1)
        self._say(one_done(before))
        if before.items_left > 1:
            self._voice_shows(self.build.view())
        else:
            self._count_then_tell()

    def _count_then_tell(self) -> None:
        if self.build.count_for:
            try:
                super().ask_command("joints")
            except GivenUp:
                self._say(f"Not counted. {self.keymap.key_of('joints')} asks again.")
        if word := finished_word(self.build, "afterwords"):
            self._say(word)
        self._then_tell()

    def do_undo(self) -> None:
        """Undo the last entry."""
        super().do_undo()
        self._then_tell()

    def do_rest(self) -> None:
        """Begin or end a break."""
        if self.build.progress.on_break:
            self.build.break_end()
            self._dangers_of = None
            self._then_tell("Back at the bench.")
        else:
            self.build.break_begin()
            self._then_tell()

    def do_cautions(self) -> None:
        """The step with every caution, also those said before."""
        self._say_step(self.build.view(self._looking).with_all_cautions())

    # -- looking about --------------------------------------------------------------------------
    def _here(self) -> int:
        current = self.build.current
        last = len(self.build.outline.steps) if current is None else current
        return last if self._looking is None else self._looking

    def do_look_back(self) -> None:
        """A few steps back, to look only."""
        self._looking = max(0, self._here() - self.settings.look_back)
        self.tell()

    def do_earlier(self) -> None:
        """Look at the step before."""
        self._looking = max(0, self._here() - 1)
        self.tell()

    def do_later(self) -> None:
        """Look at the step after."""
        here = self._here()
        ahead = min(here + 1, len(self.build.outline.steps) - 1)
        self._looking = None if ahead == self.build.current or ahead <= here else ahead
        self.tell()

    def do_back(self) -> None:
        """Say the step at work once more."""
        self._say_progress()
        self._then_tell()

    def do_where(self) -> None:
        """Where the parts of this step sit."""
        from bench.session.board_map import where_view

        view = self.build.view(self._looking)
        for line in where_lines(where_view(self.build.kit, view.step, view.refs_left)):
            self._say(line)

    def do_identify(self) -> None:
        """Bands, a marking or a reading: which parts of this kit it can be."""
        from bench.measure.identify.match_kit import identify

        found = identify(self._talk.ask(identify_question(self.build)), self.build.kit)
        for candidate in found.candidates:
            places = ", ".join(f"{board} {ref}".strip() for board, ref in candidate.refs)
            self._say(clean(f"{candidate.text}: {places or 'not in this kit'}.", 400))
        for remark in found.remarks if found.candidates else (*found.remarks, "Nothing known."):
            self._say(clean(remark, 400))

    def do_agree(self) -> None:
        """What is done and no longer agrees with the kit, one by one."""
        changes = self.build.kit_changes
        if not changes:
            self._then_tell(NOTHING_LEFT)
            return
        self.situation().require_writable()
        keys = {"right": "y", "another": "n", "all_agree": "a"}
        for at, (unit, each) in enumerate(changes):
            choices = (*((keys[name], words) for name, words in answers_to(each)), ("o", "leave it open"))
            answer = self._talk.choose(clean(f"{change_words(unit, each)}. {open_words(each)}", 600), choices)
            for its, change in changes[at:] if answer == "a" else ((unit, each),) if answer == "y" else ():
                its.kit_watch.right_as_it_is(change)
            if answer == "n":
                unit.kit_watch.another_part(each)
            if answer == "a":
                break
        self._then_tell()

    def visit(self, place: Place) -> None:
        """Talk at another place; then the step where it has changed, else that it is the same."""
        before = step_lines(self.build.view(self._looking))
        place.run()
        if self._talk.over or self.desk.go_to is not None:
            return
        if step_lines(self.build.view(self._looking)) != before:
            self.tell()
        else:
            self._say(f"At the bench, the step as before; {self.commands['back'].label} says it again.")

    # -- other places ---------------------------------------------------------------------------
    def do_meter(self) -> None:
        """Every check with what it should read and what it read last; any of them can be read."""
        from bench.plain.build_rows import Checks

        self.visit(Checks(self.desk, self.build))

    def do_log(self) -> None:
        """Everything recorded; undo, restore or edit an entry."""
        from bench.plain.build_rows import LogRows

        self.visit(LogRows(self.desk, self.build))

    def do_bag(self) -> None:
        """Count the bag, sort by sort."""
        from bench.plain.build_rows import Bag

        self.visit(Bag(self.desk, self.build))

    def do_camera(self) -> None:
        """Claps and clips."""
        from bench.plain.film import Film

        self.visit(Film(self.desk, self.build))

    def do_trim(self) -> None:
        """Passes and readings of the kit's adjustments, and what to turn."""
        from bench.plain.trims import Trims

        if not self.build.kit.trims:
            raise SoldersideError("this kit has no trims", "", "")
        self.visit(Trims(self.desk, self.build, self.step_said))

    def do_fault(self) -> None:
        """Something is out or does not work: where to look, one after the other."""
        from bench.plain.fault import FaultRows, ask_symptom
        from bench.suspects.symptom import likely_words

        given = likely_words(self.build.progress, self.step_said, self.build.equipment.meter)
        self.visit(FaultRows(self.desk, self.build, ask_symptom(self._talk, given)))

    def do_write(self) -> None:
        """Read the article as it stands, and write it out."""
        from bench.plain.article import ArticlePlace

        self.visit(ArticlePlace(self.desk, self.build))

    def do_print_out(self) -> None:
        """Write a page for the printer."""
        from bench.session.folders import procedure_of
        from bench.writeup.sheets.publish import CHOICES, job_for, publish_sheet

        letter = self._talk.choose("Print what?", tuple((key, text) for key, _, text in CHOICES))
        what = next(each for key, each, _ in CHOICES if key == letter)
        job = job_for(self.build, procedure_of(self.build, self.settings), self.settings)
        path = publish_sheet(job, what, self.build.log.folder)
        self._say(f"Written: {path}. Open it in a browser and print it.")

    def do_clap(self) -> None:
        """A mark that the camera hears or sees too."""
        clap = self.build.clap()
        if self.desk.voice is not None:
            self.desk.voice.filming()
        from bench.ui.clock_face import clap_words

        self._say(clap_words(clap))

    def do_shelf(self) -> None:
        """All builds and kits."""
        self.desk.leave_for("")

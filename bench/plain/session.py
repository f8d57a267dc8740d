"""The bench in plain lines: the same keys, the same engine and the same log as the screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.errors import SoldersideError
from bench.log.clock import spell
from bench.plain.spoken import place_line, step_lines, trim_lines, where_lines
from bench.plain.talk import GivenUp, Talk
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.trimming import TrackingView
from bench.session.view import StepView
from bench.settings import Settings
from bench.ui import forms
from bench.ui.agree_words import NOTHING_LEFT, answers_to, open_words
from bench.ui.forms import Question
from bench.ui.reading_forms import CloseCall, reading_form, reading_question
from bench.ui.text import clean
from bench.ui.trim_forms import look_at, pass_form, trim_form


class PlainSession(Talk):
    """One build at work, in lines."""

    def __init__(
        self,
        build: Build,
        settings: Settings,
        read: Callable[[str], str],
        say: Callable[[str], None],
        data: Path | None = None,
    ) -> None:
        super().__init__(build, settings, read, say, data)
        self._looking: int | None = None

    def tell(self) -> None:
        """Say the step on hand, and how long a wait still takes."""
        left = self.build.timer.wait_left()
        if left is not None and left > 0:
            self._say(f"Waiting: {spell(left)} left.")
        self._say_step(self.build.view(self._looking))

    def _say_step(self, view: StepView) -> None:
        for line in step_lines(view, self.keymap.key_of):
            self._say(line)

    def do_cautions(self) -> None:
        """The step with every caution, also those said before."""
        self._say_step(self.build.view(self._looking).with_all_cautions())

    @property
    def _step(self) -> Step | None:
        return self.build.view(self._looking).step

    def _then_tell(self, word: str = "") -> None:
        self._looking = None
        if word:
            self._say(word)
        self.tell()

    # -- the step at work -----------------------------------------------------------------------
    def do_done(self) -> None:
        """The step is done; at a check, its reading first."""
        if self._looking is not None:
            self._then_tell("Back at the step at work.")
            return
        view = self.build.view()
        if view.danger and not self.build.log.read_only:
            for line in forms.danger_lines(self.build.kit):
                self._say(line)
            self._say(forms.LOCAL_RULES)
            self._fill_in(forms.danger_form(self.build))
        elif view.wants_reading and not view.held_up_by:
            self.do_reading()
            return
        else:
            self.build.done()
        self._count_then_tell()

    def do_one(self) -> None:
        """The next part of the step is done."""
        self.build.done(1)
        self._count_then_tell()

    def _count_then_tell(self) -> None:
        if self.build.view().count_for:
            try:
                self._fill_in(forms.joints_form(self.build))
            except GivenUp:
                self._say(f"Not counted; {self.keymap.key_of('joints')} counts them later.")
        self._then_tell()

    def do_hold(self) -> None:
        """Leave the step for later."""
        self._fill_in(forms.hold_form(self.build))
        self._then_tell()

    def do_take_up(self) -> None:
        """Put something held back on the bench."""
        held = self.build.progress.held
        if len(held) > 1:
            choices = tuple(
                (str(number), clean(f"{each.value} {' '.join(each.refs)} {each.reason}", 80))
                for number, each in enumerate(held, 1)
            )
            self.build.take_up(held[int(self._choose("Take up which?", choices)) - 1].n)
        else:
            self.build.take_up()
        self._then_tell("Back on the bench.")

    def do_reading(self) -> None:
        """Record a value measured here."""
        self._fill_in(reading_form(self.build, self.keymap))
        self._settle_close()
        self._then_tell()

    def _settle_close(self) -> bool:
        """Ask what to make of a reading that is too close to call, until that is settled; False without one."""
        if not self.build.view().too_close or self.build.log.read_only:
            return False
        while self.build.view().too_close:
            close = CloseCall(self.build, self.data, self.keymap)
            key = self._choose(close.ask, tuple(close.choices))
            if key == "r":
                self._fill_in(reading_form(self.build, self.keymap))
            else:
                self._say(close.settle(key))
        return True

    def do_pass_hold(self) -> None:
        """Override a hold point, with a reason; a reading that is too close to call takes one key."""
        if not self._settle_close():
            self._fill_in(forms.pass_form(self.build))
        self._then_tell()

    def do_joints(self) -> None:
        """Count the joints of the stage just finished."""
        self._fill_in(forms.joints_form(self.build))

    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        self._then_tell(clean(f"Taken back: {self.build.undo()}", 200))

    def do_rest(self) -> None:
        """Begin or end a break."""
        if self.build.progress.on_break:
            self.build.break_end()
            self._then_tell("Back at the bench.")
        else:
            self.build.break_begin()
            self._then_tell()

    def do_wait(self) -> None:
        """Something takes its time; said again when a line is typed."""
        self._fill_in(forms.wait_form(self.build))

    # -- words ----------------------------------------------------------------------------------
    def do_note(self) -> None:
        """Write something down."""
        self._fill_in(forms.words_form(self.build, self._step, "note"))

    def do_tip(self) -> None:
        """A tip for the next builder."""
        self._fill_in(forms.words_form(self.build, self._step, "tip"))

    def do_show(self) -> None:
        """Mark a moment."""
        self._fill_in(forms.words_form(self.build, self._step, "show"))

    def do_photo(self) -> None:
        """A photo is taken now: the mark first, then a caption."""
        self.build.photo_taken(step=self._step)
        try:
            self._fill_in(forms.caption_form(self.build))
        except GivenUp:
            self._say("Photo marked, without a caption.")

    def do_snag(self) -> None:
        """A problem."""
        self._fill_in(forms.snag_form(self.build, self._step))

    def do_mend(self) -> None:
        """The oldest open snag was mended."""
        self._fill_in(forms.mend_form(self.build))

    def do_substitute(self) -> None:
        """Another part goes in."""
        self._fill_in(forms.substitute_form(self.build, self._step))
        self.tell()

    def do_erratum(self) -> None:
        """The documents are wrong."""
        self._fill_in(forms.erratum_form(self.build))

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
        self._then_tell(place_line(self.build.view(), spell(self.build.timer.bench_seconds())))

    def do_meter(self) -> None:
        """Every check with what it should read and what it read last."""
        last = {reading.step: reading for reading in self.build.progress.readings}
        for step in self.build.outline.steps:
            if step.action in ("check", "adjust"):
                read = last.get(step.key)
                said = f"read {read.text}, {read.verdict or 'not judged'}" if read else "not read yet"
                expect = f", expect {step.expect}" if step.expect else ""
                self._say(clean(f"{step.value}{expect}: {said}.", 400))

    def do_log(self) -> None:
        """The last twenty events."""
        from bench.log.amend import undone
        from bench.log.event_text import describe

        gone = undone(self.build.events)
        for event in self.build.events[-20:]:
            mark = "taken back: " if event.n in gone else ""
            self._say(clean(f"{event.n}, {event.at[11:16]}: {mark}{describe(event)}", 400))

    def do_identify(self) -> None:
        """Bands, a marking or a reading: which parts of this kit it can be."""
        from bench.measure.identify.match_kit import identify

        ask = reading_question(
            "bands, marking or reading?",
            "Such as: brown black orange gold, 104J, 4k69.",
            lambda text: identify(text, self.build.kit),
        )
        found = identify(self._ask(ask), self.build.kit)
        for candidate in found.candidates:
            places = ", ".join(f"{board} {ref}".strip() for board, ref in candidate.refs)
            self._say(clean(f"{candidate.text}: {places or 'not in this kit'}.", 400))
        for remark in found.remarks if found.candidates else (*found.remarks, "Nothing that is known here."):
            self._say(clean(remark, 400))

    def do_fault(self) -> None:
        """Something is out or does not work: where to look, one after the other."""
        from bench.suspects.fault_list import settled, suspicions
        from bench.suspects.suspicion import how_to_look
        from bench.suspects.symptom import likely_words, symptom_named

        build = self.build
        given = likely_words(build.progress, self._step, build.meter)
        hint = "A check of this kit by its name, or your own words."
        words = self._ask(Question(ask="what is out or does not work?", hint=hint, given=given))
        symptom = symptom_named(words, build.plan, build.progress)
        known = settled(build.progress, symptom)
        for each in suspicions(build.kit, build.plan, build.progress, symptom, build.meter):
            if each.what in known:
                continue
            for line in (each.what, each.where, how_to_look(each), each.why):
                if line:
                    self._say(clean(f"{line[:1].upper()}{line[1:]}", 600))
            answer = self._choose(
                "And?", (("y", "all right"), ("x", "found, this was it"), ("n", "not looked into"))
            )
            if answer == "x":
                said = self._ask(Question(ask="what was seen?"))
                build.settle_suspicion(each.what, found=True, said=said, symptom=symptom.words)
                self._say("Kept. Mend it, record a snag, measure again: there can be more than one fault.")
                return
            if answer == "y":
                build.settle_suspicion(each.what, found=False, symptom=symptom.words)
        self._say("That is the whole list.")

    def do_agree(self) -> None:
        """What is done and no longer agrees with the kit, one by one."""
        changes = self.build.kit_watch.changes()
        if not changes:
            self._then_tell(NOTHING_LEFT)
            return
        if self.build.log.read_only:
            raise SoldersideError(f"nothing can be recorded: {self.build.log.why_read_only}", "", "")
        keys = {"right": "y", "another": "n", "all_agree": "a"}
        for at, each in enumerate(changes):
            choices = (*((keys[name], words) for name, words in answers_to(each)), ("o", "leave it open"))
            answer = self._choose(clean(f"{each.words}. {open_words(each)}", 600), choices)
            for change in changes[at:] if answer == "a" else (each,) if answer == "y" else ():
                self.build.kit_watch.right_as_it_is(change)
            if answer == "n":
                self.build.kit_watch.another_part(each)
            if answer == "a":
                break
        self._then_tell()

    def do_where(self) -> None:
        """Where the parts of this step sit."""
        from bench.session.board_map import where_view

        view = self.build.view(self._looking)
        for line in where_lines(where_view(self.build.kit, view.step, view.refs_left)):
            self._say(line)

    # -- bag and trims --------------------------------------------------------------------------
    def do_bag(self) -> None:
        """Count the bag, sort by sort; what is counted already is passed over."""
        from bench.plan.bag import bag_lines

        counted = {count.items for count in self.build.progress.bag}
        for line in bag_lines(self.build.kit):
            if line.items in counted:
                continue
            printed = f", printed {line.marking}" if line.marking else ""
            self._say(clean(f"{line.value}, {line.kind}{printed}: there should be {len(line.items)}.", 300))
            ask = Question(ask="how many are there?", given=str(len(line.items)), wrong=forms.a_count)
            self.build.count_bag(line, int(self._ask(ask).strip()))
        self._say("The bag is counted.")

    def do_trim(self) -> None:
        """A pass or a reading of the adjustment at work, and what to turn."""
        step = self._step
        trim = next((each for each in self.build.kit.trims if step and each.name == step.value), None)
        if step is None or trim is None:
            raise SoldersideError(
                "the step at work is no adjustment", "", "go to one with the keys earlier and later"
            )
        view = look_at(self.build, trim)
        for line in trim_lines(view):
            self._say(line)
        if isinstance(view, TrackingView):
            self._fill_in(pass_form(self.build, trim, view))
        else:
            self._fill_in(trim_form(self.build, trim, step))
        for line in trim_lines(look_at(self.build, trim)):
            self._say(line)

    def do_write(self) -> None:
        """Write the retrospective as it stands."""
        from bench.writeup.publish import publish, targets_of

        for outcome in publish(self.build, targets_of(self.build)):
            self._say(f"Not written: {outcome.problem}" if outcome.problem else f"Written: {outcome.path}")

    def do_sheet(self) -> None:
        """Write a page for the printer."""
        from bench.session.folders import procedure_of
        from bench.writeup.sheets.publish import CHOICES, job_for, publish_sheet

        letter = self._choose("Print what?", tuple((key, text) for key, _, text in CHOICES))
        what = next(each for key, each, _ in CHOICES if key == letter)
        job = job_for(self.build, procedure_of(self.build, self.settings))
        path = publish_sheet(job, what, self.build.log.folder)
        self._say(f"Written: {path}. Open it in a browser and print it.")

    # -- film -----------------------------------------------------------------------------------
    def do_clap(self) -> None:
        """A mark that the camera hears or sees too."""
        clap = self.build.clap()
        from bench.ui.clock_face import clap_words

        self._say(clap_words(clap))

    def do_camera(self) -> None:
        """Name a clip, by its start or by claps seen in it."""
        from bench.ui.film_forms import clip_form

        self._fill_in(clip_form(self.build, self.settings.clock_frames))

    # -- leaving --------------------------------------------------------------------------------
    def do_help(self) -> None:
        """Every key that works here."""
        for name, command in self.commands.items():
            keys = " or ".join(self.keymap.keys_of(name))
            self._say(f"{keys}: {command.label}. {command.help}")
        self._say("Type the key or its word, then Enter. All else, such as trimming, needs the screen.")

    def do_quit(self) -> None:
        """Close the program; the build stays where it is."""
        self._over = True

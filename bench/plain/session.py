"""The bench in plain lines: the same keys, the same engine and the same log as the screen."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path

from bench.errors import SoldersideError
from bench.log.clock import spell
from bench.plain.spoken import place_line, step_lines, trim_lines, where_lines
from bench.plain.talk import GivenUp, Talk
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.drafts import Drafts
from bench.session.trimming import TrackingView
from bench.session.view import StepView
from bench.settings import Settings
from bench.ui.agree_words import NOTHING_LEFT, answers_to, open_words
from bench.ui.clock_forms import clock_form
from bench.ui.commands import Command, Keymap, commands_of
from bench.ui.danger_forms import DANGER
from bench.ui.form_table import FORMS, Suspect, gap_choice
from bench.ui.forms import Choice, Form, Question, Situation, a_count, damage, trouble
from bench.ui.reading_forms import identify_question
from bench.ui.rest import RestWatch
from bench.ui.text import clean
from bench.ui.trim_forms import look_at, pass_form, trim_form


class PlainSession:
    """One build at work, in lines.

    `read` asks for a line and returns it, raising EOFError at the end of the input; `say` puts one out. `data`
    is the folder of the settings; without it they are not written. A command without a method of its own asks
    its line of the table of forms.
    """

    def __init__(
        self,
        build: Build,
        settings: Settings,
        read: Callable[[str], str],
        say: Callable[[str], None],
        data: Path | None = None,
    ) -> None:
        self.build, self.settings, self.data = build, settings, data
        self.keymap = Keymap(settings.keys)
        self._talk, self._say = Talk(read, say, Drafts(data)), say
        self._rest = RestWatch(build, settings)
        self._looking: int | None = None
        self.commands = {
            command.name: command
            for command in commands_of("bench")
            if command.name in FORMS or hasattr(self, f"do_{command.name}")
        }

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

    # -- the loop -------------------------------------------------------------------------------
    def run(self) -> None:
        """Talk until the builder leaves or the input ends."""
        if self.build.log.read_only:
            self._say(f"Read only: {self.build.log.why_read_only}. Nothing you do here is saved.")
        else:
            self.build.opened()
        for said in damage(self.build):
            self._say(said)
        self._say_changes()
        self._ask_clock()
        self._say(f"{self.keymap.key_of('help')} and Enter lists all keys; Enter alone: done.")
        self.tell()
        while not self._talk.over:
            try:
                line = self._talk.read("> ")
            except EOFError:
                return
            self._answer(line)

    def _say_changes(self) -> None:
        """What is done and no longer agrees with the kit, a line each."""
        changes = self.build.kit_watch.changes()
        for each in changes:
            self._say(clean(f"The kit changed: {each.words}. {open_words(each)}", 600))
        if changes:
            self._say(f"{self.keymap.key_of('agree')} and Enter answers these.")

    def _ask_clock(self) -> None:
        form = clock_form(self.build)
        if form is not None:
            with contextlib.suppress(GivenUp):
                self._ask_form(form)

    def _answer(self, line: str) -> None:
        """Carry out what a line asks for; what goes wrong is said, and the talk goes on."""
        command = self._meant(line)
        if command is None:
            known = self.keymap.key_of("help")
            self._say(f"There is no command {clean(line.strip(), 40)}; {known} and Enter lists all keys.")
            return
        try:
            if (gap := gap_choice(self.build)) is not None:
                gap.settle(self._talk.choose(gap.ask, gap.choices))
            action = getattr(self, f"do_{command.name}", None)
            if action is None:
                self.ask_command(command.name)
            else:
                action()
        except GivenUp:
            self._say("Cancelled, nothing recorded.")
        except SoldersideError as error:
            self._say(trouble(error))
        for word in self._rest.due():
            self._say(word)

    def _meant(self, line: str) -> Command | None:
        """The command of a key or of its words; an empty line is the key Enter, a blank the space bar."""
        word = line.strip()
        key = {"": "space" if line else "enter"}.get(word, word)
        found = self.keymap.command("bench", key, word if len(word) == 1 else None)
        if found is None:
            named = word.casefold()
            found = next((each for each in self.commands.values() if named in (each.label, each.name)), None)
        return found if found is not None and found.name in self.commands else None

    # -- forms ----------------------------------------------------------------------------------
    def _situation(self, chosen: object = None) -> Situation:
        return Situation(
            build=self.build,
            step=self._step,
            settings=self.settings,
            keymap=self.keymap,
            data=self.data,
            chosen=chosen,
        )

    def ask_command(self, command: str, chosen: object = None) -> None:
        """Ask the form of a command, or the choice in its place, and what follows; then say what changed."""
        before, shown = self.build.current, step_lines(self.build.view(self._looking))
        asked = FORMS[command].ask(self._situation(chosen))
        if isinstance(asked, Form):
            self._ask_form(asked)
        self._ask_choice(asked if isinstance(asked, Choice) else asked.then())
        if self.build.current != before:
            self._then_tell()
        elif step_lines(self.build.view(self._looking)) != shown:
            self.tell()

    def _ask_form(self, form: Form) -> None:
        try:
            self._talk.ask_form(form, self.build.name)
        except GivenUp:
            if not form.given_up:
                raise
            self._say(form.given_up)

    def _ask_choice(self, choice: Choice | None) -> None:
        while choice is not None:
            key = self._talk.choose(choice.ask, choice.choices)
            if key in choice.leads:
                self.ask_command(choice.leads[key])
                return
            self._say(choice.settle(key))
            choice = choice.then()

    # -- the step at work -----------------------------------------------------------------------
    def do_done(self) -> None:
        """The step is done; at a check, its reading first."""
        if self._looking is not None:
            self._then_tell("Back at the current step.")
            return
        view = self.build.view()
        if view.danger and not self.build.log.read_only:
            self._ask_form(DANGER.form(self._situation(), None))
        elif view.wants_reading and not view.held_up_by:
            self.ask_command("reading")
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
            self.ask_command("joints")
        self._then_tell()

    def do_undo(self) -> None:
        """Undo the last entry."""
        self._then_tell(clean(f"Undone: {self.build.undo()}", 200))

    def do_rest(self) -> None:
        """Begin or end a break."""
        if self.build.progress.on_break:
            self.build.break_end()
            self._then_tell("Back at the bench.")
        else:
            self.build.break_begin()
            self._then_tell()

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
            mark = "undone: " if event.n in gone else ""
            self._say(clean(f"{event.n}, {event.at[11:16]}: {mark}{describe(event)}", 400))

    def do_identify(self) -> None:
        """Bands, a marking or a reading: which parts of this kit it can be."""
        from bench.measure.identify.match_kit import identify

        found = identify(self._talk.ask(identify_question(self.build)), self.build.kit)
        for candidate in found.candidates:
            places = ", ".join(f"{board} {ref}".strip() for board, ref in candidate.refs)
            self._say(clean(f"{candidate.text}: {places or 'not in this kit'}.", 400))
        for remark in found.remarks if found.candidates else (*found.remarks, "Nothing known."):
            self._say(clean(remark, 400))

    def do_fault(self) -> None:
        """Something is out or does not work: where to look, one after the other."""
        from bench.suspects.fault_list import settled, suspicions
        from bench.suspects.suspicion import how_to_look
        from bench.suspects.symptom import likely_words, symptom_named

        build = self.build
        given = likely_words(build.progress, self._step, build.meter)
        hint = "A check of this kit by its name, or your own words."
        words = self._talk.ask(Question(ask="what is out or does not work?", hint=hint, given=given))
        symptom = symptom_named(words, build.plan, build.progress)
        known = settled(build.progress, symptom)
        for each in suspicions(build.kit, build.plan, build.progress, symptom, build.meter):
            if each.what in known:
                continue
            for line in (each.what, each.where, how_to_look(each), each.why):
                if line:
                    self._say(clean(f"{line[:1].upper()}{line[1:]}", 600))
            answer = self._talk.choose(
                "And?", (("y", "all right"), ("x", "found, this was it"), ("n", "not looked into"))
            )
            if answer == "x":
                self.ask_command("this_was_it", Suspect(each.what, symptom.words))
                return
            if answer == "y":
                build.settle_suspicion(each.what, found=False, symptom=symptom.words)
        self._say("End of the list.")

    def do_agree(self) -> None:
        """What is done and no longer agrees with the kit, one by one."""
        changes = self.build.kit_watch.changes()
        if not changes:
            self._then_tell(NOTHING_LEFT)
            return
        self._situation().require_writable()
        keys = {"right": "y", "another": "n", "all_agree": "a"}
        for at, each in enumerate(changes):
            choices = (*((keys[name], words) for name, words in answers_to(each)), ("o", "leave it open"))
            answer = self._talk.choose(clean(f"{each.words}. {open_words(each)}", 600), choices)
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
        """Count the bag line by line, skipping lines already counted."""
        from bench.plan.bag import bag_lines

        counted = {count.items for count in self.build.progress.bag}
        for line in bag_lines(self.build.kit):
            if line.items in counted:
                continue
            printed = f", printed {line.marking}" if line.marking else ""
            self._say(clean(f"{line.value}, {line.kind}{printed}: expected {len(line.items)}.", 300))
            ask = Question(ask="how many are there?", given=str(len(line.items)), wrong=a_count)
            self.build.count_bag(line, int(self._talk.ask(ask).strip()))
        self._say("The bag is counted.")

    def do_trim(self) -> None:
        """A pass or a reading of the adjustment at work, and what to turn."""
        step = self._step
        trim = next((each for each in self.build.kit.trims if step and each.name == step.value), None)
        if step is None or trim is None:
            raise SoldersideError(
                "the current step is not an adjustment", "", "go to one with earlier and later"
            )
        view = look_at(self.build, trim)
        for line in trim_lines(view):
            self._say(line)
        if isinstance(view, TrackingView):
            self._ask_form(pass_form(self.build, trim, view))
        else:
            self._ask_form(trim_form(self.build, trim, step))
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

        letter = self._talk.choose("Print what?", tuple((key, text) for key, _, text in CHOICES))
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
        self.ask_command("name_clip")

    # -- leaving --------------------------------------------------------------------------------
    def do_help(self) -> None:
        """Every key that works here."""
        for name, command in self.commands.items():
            keys = " or ".join(self.keymap.keys_of(name))
            self._say(f"{keys}: {command.label}. {command.help}")
        self._say("Type the key or its word, then Enter.")

    def do_quit(self) -> None:
        """Close the program; the build stays where it is."""
        self._talk.over = True

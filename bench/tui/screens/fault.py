"""Looking for a fault: what to look into, in order; each line is settled with one key and kept in the log."""

from __future__ import annotations

from textual.app import ComposeResult

from bench.log.events import SuspicionSettled
from bench.session.build import Build
from bench.suspects.fault_list import settled, suspicions
from bench.suspects.suspicion import Suspicion
from bench.suspects.symptom import Symptom, likely_words, symptom_named
from bench.tui.screens.ask import Ask, Choose
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import Chosen, Detail, ListingScreen, Word
from bench.tui.screens.pages import Page
from bench.tui.widgets.work import Foot
from bench.ui.fault_card import (
    SNAG_CHOICES,
    about_suspicion,
    fault_head,
    fault_row,
    seen_at,
    symptom_question,
)
from bench.ui.form_table import Suspect
from bench.ui.forms import Form


def find_fault(bench: BuildScreen) -> None:
    """Ask for the symptom, then show where to look."""
    build = bench.build
    bench.push_ask(
        _ask_symptom(likely_words(build.progress, bench.step_on_screen, build.equipment.meter)),
        lambda answers: bench.visit(FaultScreen(build, answers[0])),
        lambda _: bench.refresh_view(),
    )


def _ask_symptom(given: str) -> Ask:
    return Ask("Find a fault", [symptom_question(given)])


class FaultScreen(ListingScreen, BuildScreen):
    """One line for each suspicion, and how to look into the chosen one."""

    place = "fault"

    def __init__(self, build: Build, words: str) -> None:
        super().__init__(build)
        self._take_symptom(words)

    def _take_symptom(self, words: str) -> None:
        build = self.build
        self.symptom: Symptom = symptom_named(words, build.plan, build.progress)
        self._found: tuple[Suspicion, ...] = ()
        self._settled: dict[str, SuspicionSettled] = {}

    def compose(self) -> ComposeResult:
        """A word, the list, how to look, the keys."""
        keymap = self.bench_app.keymap
        yield Word()
        yield Chosen(self._show_chosen)
        yield Detail()
        yield Foot(keymap.foot("fault"), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Show the list, at the first line that is not settled."""
        self.refresh_view()
        self._begin()

    def _begin(self) -> None:
        first = next((at for at, each in enumerate(self._found) if each.what not in self._settled), 0)
        self.call_after_refresh(lambda: self.pane.choose(first))

    def refresh_view(self, notice: str = "") -> None:
        """Take the list anew; the cursor stays on its line, wherever that has moved."""
        build = self.build
        here = self._chosen.what if self._found else ""
        self._found = suspicions(build.kit, build.plan, build.progress, self.symptom, build.equipment.meter)
        self._settled = settled(build.progress, self.symptom)
        width = self.app.size.width
        rows = [fault_row(each, self._settled.get(each.what), width - 2) for each in self._found]
        heads, power = {}, None
        for number, each in enumerate(self._found):
            if each.power != power:
                power = each.power
                heads[number] = fault_head(power, width)
        at = next((at for at, each in enumerate(self._found) if each.what == here), None)
        self.pane.show(rows, at, heads)
        self._show_chosen()
        left = sum(each.what not in self._settled for each in self._found)
        self.show_message(notice or f"{self.symptom.words}: {left} of {len(self._found)} to check.")

    def on_resize(self) -> None:
        """Lines for the new width."""
        if self._found:
            self.refresh_view()

    def _show_chosen(self) -> None:
        if self._found:
            each = self._chosen
            self.query_one(Detail).show(about_suspicion(each, self._settled.get(each.what), self.build))

    @property
    def _chosen(self) -> Suspicion:
        return self._found[min(self.pane.chosen, len(self._found) - 1)]

    # -- settling -------------------------------------------------------------------------------
    def do_all_right(self) -> None:
        """The chosen line is all right; on to the next one that is not settled."""
        chosen = self._chosen
        settling = self._settled.get(chosen.what)
        if settling is not None and settling.found:
            key = self.bench_app.keymap.key_of("undo")
            self.show_message(f"This line was the fault and stays so. {key} undoes the last entry.")
            return
        self.build.settle_suspicion(chosen.what, found=False, symptom=self.symptom.words)
        self.refresh_view()
        later = [at for at, each in enumerate(self._found) if each.what not in self._settled]
        here = self.pane.chosen
        self.pane.choose(next((at for at in later if at > here), here))

    @property
    def chosen_thing(self) -> Suspect:
        """The suspicion on this line."""
        return Suspect(self._chosen.what, self.symptom.words)

    def submit(self, form: Form, answers: tuple[str, ...]) -> None:
        """As elsewhere; what was found is mended, or offered as a snag."""
        chosen = self._chosen
        super().submit(form, answers)
        if form.command == "this_was_it":
            self._offer_snag(chosen, answers[0])

    def _offer_snag(self, chosen: Suspicion, seen: str) -> None:
        if chosen.snag:
            self.ask_command("mend", chosen.snag)
            return

        def answered(key: str | None) -> None:
            if key == "s":
                known = seen_at(self.build, self.symptom, chosen, seen)
                self.attempt(lambda: self.ask_command("snag", known))

        self.app.push_screen(Choose("Record a snag?", SNAG_CHOICES), answered)

    def do_undo(self) -> None:
        """Take back the last thing recorded; the cursor goes to the line that it was about."""
        before = self._settled
        super().do_undo()
        changed = [
            at for at, each in enumerate(self._found) if before.get(each.what) != self._settled.get(each.what)
        ]
        if changed:
            self.pane.choose(changed[0])

    # -- about ----------------------------------------------------------------------------------
    def do_in_full(self) -> None:
        """Everything about the chosen line."""
        each = self._chosen
        self.app.push_screen(Page(about_suspicion(each, self._settled.get(each.what), self.build)))

    def do_symptom(self) -> None:
        """Another symptom."""

        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is not None:
                self._take_symptom(answers[0])
                self.refresh_view()
                self._begin()

        self.app.push_screen(_ask_symptom(""), answered)

    def do_ask_maker(self) -> None:
        """Write the text that asks for help."""
        from bench.writeup.maker_texts import publish_help_request

        self.show_message(f"Written, to send on: {publish_help_request(self.build, self.symptom.words)}")

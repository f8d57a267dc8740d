"""The meter: every check of the plan, what it should read, what it read, and what has drifted since."""

from __future__ import annotations

from bench.log.events import ReadingTaken
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.verdicts import drifted
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListingScreen, Spans
from bench.ui.card_blocks import GLYPHS
from bench.ui.text import cells, clean, cut


class MeterScreen(ListingScreen, BuildScreen):
    """One line for each check and adjustment."""

    place = "meter"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._steps = [step for step in build.outline.steps if step.action in ("check", "adjust")]

    def on_mount(self) -> None:
        """Show the checks, at the one at work if it is one."""
        here = self.build.next_step
        keys = [step.key for step in self._steps]
        self._fill(keys.index(here.key) if here and here.key in keys else 0)
        self.show_message("All checks of this build. Earlier readings follow the last one.", standing=True)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def on_resize(self) -> None:
        """Columns for the new width."""
        self._fill()

    def refresh_view(self, notice: str = "") -> None:
        """Show the checks as they stand, and a short word."""
        self._fill()
        if notice:
            self.show_message(notice)

    @property
    def chosen_thing(self) -> Step | None:
        """The check on this line."""
        return self._steps[self.pane.chosen] if self._steps else None

    def _fill(self, chosen: int | None = None) -> None:
        taken: dict[str, list[ReadingTaken]] = {}
        for reading in self.build.progress.readings:
            taken.setdefault(reading.step, []).append(reading)
        rows = [self._row(step, taken.get(step.key, [])) for step in self._steps]
        self.pane.show(rows, chosen)

    def _row(self, step: Step, readings: list[ReadingTaken]) -> tuple[str, str]:
        stage, where, expect = _columns(self.app.size.width)
        words = f"{_cell(step.stage, stage)} " if stage else ""
        words += f"{_cell(step.value, where)} {_cell(step.expect, expect)}"
        if not readings:
            done = all(item in self.build.progress.done for item in step.items)
            return f"{words} {'checked' if done else '-'}", "faint" if done else "plain"
        last = readings[-1]
        verdict = GLYPHS.get(last.verdict, "")
        words += f" {clean(last.text, 20)} {verdict}"
        earlier = [clean(each.text, 20) for each in readings[:-1]]
        if earlier:
            words += f"  before: {', '.join(earlier)}"
            if drifted(last.expect, readings[-2].text, last.text, self.build.equipment.meter):
                words += "  DRIFTED"
        return words, {"in": "refs", "out": "caution"}.get(last.verdict, "plain")

    def about_line(self, line: int) -> Spans:
        """One check in full."""
        if line >= len(self._steps):
            return [("The plan has nothing to measure.", "plain")]
        step = self._steps[line]
        spans: Spans = [(clean(f"{step.value}", 400), "value")]
        expect = f"expect {step.expect}" if step.expect else "check by eye"
        spans.append((clean(f"{step.stage}; {expect}", 400), "way"))
        spans += [(clean(caution, 400), "caution") for caution in step.cautions]
        spans += [(clean(step.detail, 600), "plain")] if step.detail else []
        meters = [each.meter for each in self.build.progress.readings if each.step == step.key and each.meter]
        return [*spans, (clean(f"Last judged: {meters[-1]}", 600), "faint")] if meters else spans


def _columns(width: int) -> tuple[int, int, int]:
    """Cells of stage, place and expectation that leave room for the reading.

    >>> _columns(40), _columns(80), _columns(200)
    ((0, 15, 10), (14, 28, 14), (34, 64, 26))
    """
    if width < 72:
        return 0, max(8, width - 25), 10
    if width < 150:
        return (14, 28, 14) if width < 100 else (20, 40, 18)
    return 34, 64, 26


def _cell(text: str, width: int) -> str:
    said = cut(clean(text), width)
    return said + " " * (width - cells(said))

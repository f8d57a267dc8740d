"""The meter: every check of the plan, what it should read, what it read, and what has drifted since."""

from __future__ import annotations

from bench.build.judging import drifted
from bench.build.session import Build
from bench.errors import BenchError
from bench.log.events import ReadingTaken
from bench.plan.model import Step
from bench.tui.blocks import GLYPHS
from bench.tui.forms import Question, verdict_words
from bench.tui.screens.building import BuildPlace
from bench.tui.screens.lists import ListPlace
from bench.tui.text import clean, cut


class MeterScreen(ListPlace, BuildPlace):
    """One line for each check and adjustment."""

    place = "meter"

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._steps = [step for step in build.outline.steps if step.action in ("check", "adjust")]

    def on_mount(self) -> None:
        """Show the checks, at the one at work if it is one."""
        here = self.build.next_step
        keys = [step.key for step in self._steps]
        self._fill(keys.index(here.key) if here and here.key in keys else 0)
        self.say("Step, where, what to expect, what you read; earlier readings behind it.")
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def _fill(self, chosen: int | None = None) -> None:
        taken: dict[str, list[ReadingTaken]] = {}
        for reading in self.build.progress.readings:
            taken.setdefault(reading.step, []).append(reading)
        rows = [self._row(step, taken.get(step.key, [])) for step in self._steps]
        self.pane.show(rows, chosen)

    def _row(self, step: Step, readings: list[ReadingTaken]) -> tuple[str, str]:
        where = cut(clean(step.value), 34)
        words = f"{cut(clean(step.stage), 16):<16} {where:<34} {cut(clean(step.expect), 18):<18}"
        if not readings:
            done = all(item in self.build.progress.done for item in step.items)
            return f"{words} {'looked at' if done else '-'}", "faint" if done else "plain"
        last = readings[-1]
        verdict = GLYPHS.get(last.verdict, "")
        words += f" {clean(last.text, 20)} {verdict}"
        earlier = [clean(each.text, 20) for each in readings[:-1]]
        if earlier:
            words += f"  before: {', '.join(earlier)}"
            if drifted(last.expect, readings[-2].text, last.text, self.build.meter):
                words += "  DRIFTED"
        return words, {"in": "refs", "out": "caution"}.get(last.verdict, "plain")

    def do_read(self) -> None:
        """Type a reading for the check on this line."""
        if not self._steps:
            raise BenchError("the plan has nothing to measure", "", "")
        step = self._steps[self.pane.chosen]

        hint = f"Expect {clean(step.expect, 60)}." if step.expect else ""
        question = Question(ask="what does the meter show?", hint=hint)
        title = f"Reading at {clean(step.value, 60)}"
        self._ask(title, [question], lambda answers: self._taken(step, answers[0]))

    def _taken(self, step: Step, text: str) -> None:
        verdict = self.build.reading_at(step, text)
        self._fill()
        self.say(verdict_words(verdict, self.bench_app.keymap) if verdict else "Reading kept.")

    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        word = self.build.undo()
        self._fill()
        self.say(f"Taken back: {word}")

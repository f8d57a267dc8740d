"""The four pieces of the bench: title bar, step card, stage rail, foot line."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.message import Message

from bench.log.events import ReadingTaken
from bench.session.board_map import WhereView
from bench.session.view import StageLine, StepView
from bench.tui.mouse import key_at, press, row_of, stage_at
from bench.tui.widgets.lines import Lines
from bench.ui.card import card_of
from bench.ui.card_blocks import KeyOf, StyledRow
from bench.ui.rail import Ranges, rail_columns, rail_rows
from bench.ui.text import cells, clean, cut, cut_title, wrap


def clock_text(seconds: float) -> str:
    """Hours, minutes and seconds.

    >>> clock_text(3725.9), clock_text(59)
    ('1:02:05', '0:00:59')
    """
    whole = int(max(0.0, seconds))
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


class Card(Lines):
    """The step at work, laid out for the room there is."""

    def __init__(self, key_of: KeyOf) -> None:
        super().__init__(id="card")
        self._key_of = key_of
        self._view: StepView | None = None
        self._notice = ""
        self.hides = False
        """True while a line that must be seen before the step is done is below the last row."""
        self._where: WhereView | None = None
        self._passed: ReadingTaken | None = None

    def show(
        self,
        view: StepView,
        notice: str = "",
        where: WhereView | None = None,
        passed: ReadingTaken | None = None,
    ) -> None:
        """Show a bench, a short word to the builder, where its parts sit, and a reading that has passed."""
        self._where, self._passed = where, passed
        if view.step != (self._view.step if self._view else None) or notice != self._notice:
            self.scroll_to_row(0)
        self._view, self._notice = view, notice
        self.lay_out()

    def lay_out(self) -> None:
        """Lay the card out for its size."""
        if self._view is None or not self.size.width:
            return
        height = self.size.height
        width = self.size.width
        laid = card_of(self._view, width, height, self._notice, self._key_of, self._where, self._passed)
        rows = list(laid.rows)
        self.scroll_to_row(max(0, min(self.top, len(rows) - height)))
        below = len(rows) - self.top - height
        self.hides = below > 0 and laid.must >= self.top + height
        if below > 0:
            key, what = ("done", "read on first") if self.hides else ("down", "more")
            word = f"▼ {below + 1} lines below. {self._key_of(key)}: {what}"
            rows[self.top + height - 1] = ((cut(word, width), "loud"),)
        self.show_rows(rows)

    def scroll_page(self) -> None:
        """Scroll on by as many rows as were seen."""
        self.scroll_rows(max(1, self.size.height - 1))

    def scroll_rows(self, by: int) -> None:
        """Scroll a card that does not fit."""
        self.scroll_to_row(max(0, self.top + by))
        self.lay_out()


class Bar(Lines):
    """Title, tally and clocks in one line."""

    def __init__(self) -> None:
        super().__init__(id="bar")
        self._tally = self._title = self._clock = ""
        self.left = ""
        """The time left in words, shown where there is no rail to show it; empty while unknown."""

    def show(self, view: StepView) -> None:
        """Take title and tally from a bench."""
        self._title = clean(view.kit, 200)
        words = [f"joints {view.joints_done}/{view.joints}"]
        if view.held:
            words.append(f"held back {len(view.held)}")
        if view.read_only:
            words.append("READ ONLY")
        self._tally = "  ".join(words)
        self.lay_out()

    def tick(
        self,
        bench_seconds: float,
        stage_seconds: float,
        waits: Sequence[tuple[str, float]] = (),
        *,
        on_break: bool,
    ) -> None:
        """Show the clocks; `waits` are names and seconds left, the one over first at the front."""
        bench = "on a break" if on_break else f"bench {clock_text(bench_seconds)}"
        if waits:
            name, left = waits[0]
            more = f" +{len(waits) - 1}" if len(waits) > 1 else ""
            wait = f"wait {clock_text(left)}{more}"
            named = f"{wait} {cut(clean(name, 200), 24)}  {bench}"
            room = self.size.width - len(self._tally) - 2 - cells(self._title)
            self._clock = named if cells(named) + 2 <= room else f"{wait}  {bench}"
            self.lay_out()
            return
        of_stage = f"stage {clock_text(stage_seconds)}"
        self._clock = f"{of_stage if rail_columns(self.size.width) else self.left or of_stage}  {bench}"
        self.lay_out()

    def lay_out(self) -> None:
        """Set it for its size."""
        width = self.size.width
        if not width:
            return
        right = f"{self._tally}  {self._clock}"
        if len(right) + 12 > width:
            right = self._clock if len(self._clock) + 8 <= width else self._clock.rpartition("  ")[2]
            if "READ ONLY" in self._tally:
                right = f"READ ONLY  {right}" if len(right) + 14 <= width else "READ ONLY"
        left = cut_title(self._title, max(0, width - len(right) - 2))
        gap = " " * max(1, width - cells(left) - cells(right))
        self.show_rows([((left, "head"), (gap + cut(right, width), "plain"))])


class StageRail(Lines):
    """All stages with how far each is; beside the card where there is room."""

    class Tapped(Message):
        """A stage was tapped."""

        def __init__(self, number: int) -> None:
            super().__init__()
            self.number = number
            """Which stage, from 0."""

    def __init__(self) -> None:
        super().__init__(id="rail")
        self._stages: tuple[StageLine, ...] = ()
        self._ranges: Ranges = {}
        self._module = ""

    def show_time(self, ranges: Ranges, module: str) -> None:
        """Show the range of the time left for each stage, and below them the module's in words."""
        if (ranges, module) != (self._ranges, self._module):
            self._ranges, self._module = ranges, module
            self.lay_out()

    def show(self, view: StepView) -> None:
        """Take the stages from a bench."""
        self._stages = view.stages
        self.lay_out()

    def lay_out(self) -> None:
        """Set it for its size."""
        width, height = self.size.width, self.size.height
        if not width or not self._stages:
            return
        rows, now = rail_rows(self._stages, width, self._ranges)
        below: list[StyledRow] = []
        if self._module and height > 9:
            below = [(), *[((" " + line, "plain"),) for line in wrap(self._module, width - 2)]]
        height -= len(below)
        first = max(0, min(now - height // 2, len(rows) - height))
        shown = rows[first : first + height]
        self.show_rows([*shown, *[()] * (height - len(shown)), *below])

    def on_click(self, event: events.Click) -> None:
        """A stage that is tapped is looked at."""
        number = stage_at(self.rows, event.y + self.top, self._stages)
        if number is not None:
            self.post_message(self.Tapped(number))


class Foot(Lines):
    """The keys that matter most, as many as fit; the key for all of them always."""

    def __init__(self, keys: Sequence[tuple[str, str]], always: tuple[str, str]) -> None:
        super().__init__(id="foot")
        self._keys, self._always = keys, always

    def show(self, keys: Sequence[tuple[str, str]]) -> None:
        """Show these keys from now on."""
        if keys != self._keys:
            self._keys = keys
            self.lay_out()

    def lay_out(self) -> None:
        """Fill the line for its width."""
        width = self.size.width
        spans: list[tuple[str, str]] = []
        last = f"{self._always[0]} {self._always[1]}" if self._always[0] else ""
        room = width - len(last)
        for key, label in self._keys:
            word = f"{key} {label}  "
            if (key, label) == self._always or len(word) > room:
                continue
            room -= len(word)
            spans += [(key, "key"), (f" {label}  ", "plain")]
        if last:
            spans += [(self._always[0], "key"), (f" {self._always[1]}", "plain")]
        self.show_rows([tuple(spans)])

    def on_click(self, event: events.Click) -> None:
        """A key that is tapped is pressed."""
        press(self.app, key_at(row_of(self.rows, event.y + self.top), event.x))

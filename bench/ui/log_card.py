"""What the log says of its events, a line each, day by day; pure, text only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from datetime import date
from types import MappingProxyType

from msgspec import Struct

from bench.log import events as ev
from bench.log.event_text import describe
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, cut
from bench.writeup.moments import Calendar

_CALENDAR = Calendar()
NO_TURNS: Mapping[int, str] = MappingProxyType({})
WIDE = 96
"""Cells from which the stage of an event stands in a column of its own."""
_PLACE = 30
"""Cells of that column."""


class LogRow(Struct, frozen=True, kw_only=True):
    """One event as the log shows it."""

    n: int
    day: str
    """In this computer's zone."""
    time: str
    text: str
    place: str
    quiet: bool
    """Taken back, or kept by the program itself."""

    @property
    def words(self) -> str:
        """All that can be searched for."""
        return f"{self.n} {self.day} {self.time} {self.text} {self.place}".casefold()


def log_rows(
    events: Sequence[ev.AnyEvent], undone: Set[int], turns: Mapping[int, str] = NO_TURNS
) -> list[LogRow]:
    """A row for each event; `undone` holds those taken back, `turns` what begins with one, by number."""
    by_number = {event.n: event for event in events}
    return [
        _row(event, _said(event, by_number), undone=event.n in undone, turn=turns.get(event.n, ""))
        for event in events
    ]


def _said(event: ev.AnyEvent, by_number: Mapping[int, ev.AnyEvent]) -> str:
    """An event in words; one about another says which."""
    about = by_number.get(event.of) if isinstance(event, ev.Undone | ev.Corrected) else None
    if about is None or not isinstance(event, ev.Undone | ev.Corrected):
        return describe(event)
    if isinstance(event, ev.Corrected):
        return f"corrected: {event.field} of ‘{describe(about)}’"
    if isinstance(about, ev.Undone) and about.of in by_number:
        return f"restored: {describe(by_number[about.of])}"
    return f"took back: {describe(about)}"


def _row(event: ev.AnyEvent, said: str, *, undone: bool, turn: str) -> LogRow:
    when = _CALENDAR.when(event.at)
    text = f"{'undone: ' if undone else ''}{said}{f'   > {turn}' if turn else ''}"
    quiet = undone or ev.tag_of(event) in ev.BOOKKEEPING
    return LogRow(
        n=event.n, day=when.day, time=when.time, text=clean(text, 2000), place=place_of(event), quiet=quiet
    )


def log_line(row: LogRow, width: int) -> tuple[StyledRow, str]:
    """An event in a line of `width` cells: time, what happened, and where in the work."""
    look = "faint" if row.quiet else "plain"
    lead = f"{row.time:<5}  "
    place = clean(row.place, 200)
    if width < WIDE:
        said = f"{row.text}   [{place}]" if place else row.text
        return ((lead, "faint"), (said, look)), look
    room = width - len(lead) - _PLACE - 2
    said = cut(row.text, room)
    gap = " " * (room - cells(said) + 2)
    return ((lead, "faint"), (said, look), (gap, look), (cut(place, _PLACE), "faint")), look


def day_head(day: str, width: int) -> StyledRow:
    """The head of a day's events.

    >>> day_head("2031-02-03", 40)[0][0]
    ' Monday 3 February 2031 '
    """
    try:
        moment = date.fromisoformat(day)
        said = f" {moment:%A} {moment.day} {moment:%B %Y} "
    except ValueError:
        said = " On a day that is not known "
    return (said, "head"), ("─" * max(0, width - len(said)), "faint")


def place_of(event: ev.AnyEvent) -> str:
    """Stage and board of an event; empty where it names none."""
    return f"{event.stage} · {event.board}" if event.board else event.stage

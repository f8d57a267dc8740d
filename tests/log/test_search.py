"""Words sought in a log: each event that stands and holds all of them is found."""

from __future__ import annotations

import pytest

from bench.log import events as ev
from bench.log.search import found_in
from tests.support.story_bench import FLAT, Bench


@pytest.mark.parametrize(
    ("sought", "found"),
    [
        ("r7", ["Cold joint at R7", "R7 again"]), ("COLD r7", ["Cold joint at R7"]),
        ("joint cold", ["Cold joint at R7"]),
        ("r7 hot", []), ("misread", []), (f"{FLAT} main r7", ["Cold joint at R7", "R7 again"]),
        ("opened", []),
    ],
)  # fmt: skip
def test_events_that_stand_are_found_by_all_words_in_any_order(sought: str, found: list[str]) -> None:
    bench = Bench()
    bench.at(FLAT, "main")
    bench.add(ev.Noted, 60, text="Cold joint at R7")
    bench.add(ev.Noted, 60, text="misread R7")
    bench.add(ev.Undone, 5, of=bench.events[-1].n)
    bench.add(ev.Noted, 60, text="R7 again")
    entries = list(found_in(bench.events, sought))
    assert [each.event.text for each in entries if isinstance(each.event, ev.Noted)] == found
    assert len(entries) == len(found)


def test_nothing_sought_finds_all_that_was_done_and_none_of_what_the_program_keeps_for_itself() -> None:
    bench = Bench()
    bench.add(ev.Noted, 60, text="x")
    assert [type(each.event) for each in found_in(bench.events, "")] == [ev.Noted]

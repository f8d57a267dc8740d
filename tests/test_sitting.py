"""How long somebody has sat at the bench, and whether things begin to go wrong."""

from __future__ import annotations

import pytest

from bench.log import events as ev
from bench.log.fold import fold
from bench.log.sitting import run_of_snags, sitting_seconds
from tests.retro_bench import FLAT, Bench


def at_work(*minutes: float) -> Bench:
    bench = Bench()
    bench.at(FLAT, "main")
    for each in minutes:
        bench.add(ev.Noted, 60 * each, text="x")
    return bench


def sat(bench: Bench) -> float:
    """In minutes."""
    return sitting_seconds(bench.events, 900) / 60


def test_a_sitting_is_all_time_since_the_build_was_opened() -> None:
    assert sat(at_work(10, 5, 12)) == pytest.approx(27)
    assert sitting_seconds([], 900) == 0


def test_a_break_begins_a_new_sitting() -> None:
    bench = at_work(10, 5)
    bench.add(ev.BreakBegan, 60)
    assert sat(bench) == 0
    bench.add(ev.BreakEnded, 600)
    assert sat(bench) == 0
    bench.add(ev.Noted, 240, text="x")
    assert sat(bench) == pytest.approx(4)


@pytest.mark.parametrize(("worked", "minutes"), [(True, 33), (False, 3)])
def test_a_long_silence_counts_as_what_it_is_said_to_have_been(worked: bool, minutes: float) -> None:
    bench = at_work(10)
    bench.add(ev.GapSettled, 1200, seconds=1200, worked=worked)
    bench.add(ev.Noted, 180, text="x")
    assert sat(bench) == pytest.approx(minutes)


def test_a_long_silence_that_nobody_settled_ends_a_sitting() -> None:
    assert sat(at_work(10, 20, 3)) == pytest.approx(3)


def test_closing_the_program_for_a_moment_is_no_break_and_until_tomorrow_is_one() -> None:
    bench = at_work(10)
    bench.come_back("2031-02-03T18:32:00.000Z")
    bench.add(ev.Noted, 60, text="x")
    assert sat(bench) == pytest.approx(11, abs=0.2)
    bench.come_back("2031-02-04T18:32:00.000Z")
    bench.add(ev.Noted, 60, text="x")
    assert sat(bench) == pytest.approx(1)


@pytest.mark.parametrize(("minutes", "run"), [((1, 9, 10), True), ((1, 11, 10), False), ((1, 2), False)])
def test_three_snags_within_twenty_minutes_are_a_run(minutes: tuple[float, ...], run: bool) -> None:
    bench = at_work(5)
    last = 0
    for each in minutes:
        last = bench.add(ev.Snagged, 60 * each, what="bridge")
    assert run_of_snags(fold(bench.events)) == (last if run else 0)


def test_a_snag_taken_back_is_no_part_of_a_run() -> None:
    bench = at_work(5)
    numbers = [bench.add(ev.Snagged, 60, what="bridge") for _ in range(3)]
    bench.add(ev.Undone, 5, of=numbers[1])
    assert run_of_snags(fold(bench.events)) == 0

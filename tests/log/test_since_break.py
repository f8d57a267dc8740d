"""How long somebody has sat at the bench, and whether things begin to go wrong."""

from __future__ import annotations

import msgspec
import pytest

from bench.log import events as ev
from bench.log.clock import stamp_text, utc_seconds
from bench.log.fold import fold
from bench.log.since_break import run_of_snags, sitting_seconds
from tests.support.story_bench import FLAT, Bench


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
    bench.add(ev.IdleResolved, 1200, seconds=1200, worked=worked)
    bench.add(ev.Noted, 180, text="x")
    assert sat(bench) == pytest.approx(minutes)


def test_a_long_silence_that_nobody_settled_ends_a_sitting() -> None:
    assert sat(at_work(10, 20, 3)) == pytest.approx(3)


def test_a_program_that_is_closed_in_a_break_begins_its_sitting_when_it_is_opened_again() -> None:
    bench = at_work(10)
    bench.add(ev.BreakBegan, 60)
    bench.come_back("2031-02-03T19:32:00.000Z")
    bench.add(ev.Noted, 120, text="x")
    assert sat(bench) == pytest.approx(2, abs=0.2)


@pytest.mark.parametrize("at", [2, -1])
def test_a_stamp_that_is_none_between_two_runs_ends_a_sitting(at: int) -> None:
    bench = at_work(10)
    bench.come_back("2031-02-03T18:32:00.000Z")
    events = [*bench.events]
    events[at] = msgspec.structs.replace(events[at], at="some time")
    assert sitting_seconds(events[: len(events)], 900) >= 0


def test_closing_the_program_for_a_moment_is_no_break_and_until_tomorrow_is_one() -> None:
    bench = at_work(10)
    bench.come_back("2031-02-03T18:32:00.000Z")
    bench.add(ev.Noted, 60, text="x")
    assert sat(bench) == pytest.approx(11, abs=0.2)
    bench.come_back("2031-02-04T18:32:00.000Z")
    bench.add(ev.Noted, 60, text="x")
    assert sat(bench) == pytest.approx(1)


@pytest.mark.parametrize(("away", "minutes"), [(299, 12), (300, 1), (0, 12), (-1, 1)])
def test_five_minutes_between_two_runs_are_a_break_and_a_clock_set_back_is_one_too(
    away: int, minutes: float
) -> None:
    bench = at_work(10, 1)
    bench.come_back(stamp_text((utc_seconds(bench.events[-1].at) or 0.0) + 5 + away))  # closing takes 5 s
    bench.add(ev.Noted, 60, text="x")
    assert sat(bench) == pytest.approx(minutes, abs=0.1)


def test_a_silence_as_long_as_the_limit_ends_no_sitting() -> None:
    assert sat(at_work(10, 15)) == pytest.approx(25)
    assert sat(at_work(10, 15.01)) == 0


@pytest.mark.parametrize(
    ("minutes", "run"),
    [
        ((1, 9, 10), True),
        ((1, 10, 10), True),
        ((1, 11, 10), False),
        ((1, 2), False),
        ((1, 30, 9, 10), True),
        ((1, 2, 3, 30), False),
        ((1, 0, 0), True),
    ],
)
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


def test_snags_whose_times_cannot_be_read_or_run_backwards_are_no_run() -> None:
    bench = at_work(5)
    for each in (1, 2, 3):
        bench.add(ev.Snagged, 60 * each, what="bridge")
    snags = [event for event in bench.events if isinstance(event, ev.Snagged)]
    others = [event for event in bench.events if not isinstance(event, ev.Snagged)]
    assert run_of_snags(fold([*others, *snags])) == snags[2].n
    unread = msgspec.structs.replace(snags[0], at="some time")
    assert run_of_snags(fold([*others, unread, *snags[1:]])) == 0
    unread = msgspec.structs.replace(snags[2], at="some time")
    assert run_of_snags(fold([*others, *snags[:2], unread])) == 0
    later = msgspec.structs.replace(snags[0], at="2032-01-01T00:00:00.000Z")
    assert run_of_snags(fold([*others, later, *snags[1:]])) == 0

"""Bench time is right whatever the clocks did: breaks, gaps, sleep, another machine."""

from __future__ import annotations

import pytest

from bench.log import events as ev
from bench.log.clock import GAP_SECONDS, doubt_of, is_sleep, spell, stamp_text
from bench.log.fold import fold
from tests.support.event_writer import Writer


def test_bench_time_is_the_time_between_events_by_stage(log: Writer) -> None:
    log.clock.work(60)
    log.done("main/R1")
    log.stage = "Sockets"
    log.clock.work(30)
    log.done("main/U1")
    progress = fold(log.events)
    assert progress.stage_seconds[("Flat parts", "main")] == pytest.approx(60)
    assert progress.stage_seconds[("Sockets", "main")] == pytest.approx(30)
    assert progress.bench_seconds == pytest.approx(90)


def test_a_break_is_not_bench_time(log: Writer) -> None:
    log.clock.work(60)
    log.add(ev.BreakBegan)
    log.clock.work(3000)
    log.add(ev.BreakEnded)
    log.clock.work(30)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(90)
    assert [each.seconds for each in progress.breaks] == pytest.approx([3000])
    assert not progress.on_break


def test_a_suspended_laptop_does_not_count(log: Writer) -> None:
    log.clock.work(60)
    log.clock.sleep(8 * 3600)
    log.clock.work(5)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(65)
    assert progress.gaps[0].seconds == pytest.approx(8 * 3600)


def test_a_clock_set_back_or_forward_does_not_change_bench_time(log: Writer) -> None:
    log.clock.work(60)
    log.clock.set_back(3600)
    log.done("main/R1")
    log.clock.set_back(-365 * 86400)
    log.clock.work(40)
    log.done("main/R2")
    assert fold(log.events).bench_seconds == pytest.approx(100)


def test_time_between_two_runs_does_not_count(log: Writer) -> None:
    log.clock.work(60)
    log.done("main/R1")
    log.add(ev.Closed)
    log.clock.work(86400)
    log.run = "two"
    log.add(ev.Opened)
    log.clock.work(30)
    log.done("main/R2")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(90)
    assert progress.sessions == 2


def test_a_new_run_on_a_rebooted_machine_starts_its_own_monotonic_clock(log: Writer) -> None:
    log.clock.work(60)
    log.done("main/R1")
    log.run, log.clock.mono = "two", 3.0
    log.add(ev.Opened)
    log.clock.work(10)
    log.done("main/R2")
    assert fold(log.events).bench_seconds == pytest.approx(70)


def test_a_long_gap_counts_as_nothing_until_the_builder_says_what_it_was(log: Writer) -> None:
    log.clock.work(3600)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == 0
    assert [gap.seconds for gap in progress.gaps] == pytest.approx([3600])


@pytest.mark.parametrize(("worked", "bench", "rest"), [(True, 3600, []), (False, 0, [3600])])
def test_a_gap_is_what_the_builder_says(log: Writer, worked: bool, bench: float, rest: list[float]) -> None:
    log.clock.work(3600)
    log.add(ev.IdleResolved, seconds=3600.0, worked=worked)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(bench)
    assert [each.seconds for each in progress.breaks] == pytest.approx(rest)
    assert progress.gaps == ()


def test_a_gap_is_one_that_is_longer_than_the_limit(log: Writer) -> None:
    log.clock.work(GAP_SECONDS)
    log.done("main/R1")
    assert fold(log.events).bench_seconds == pytest.approx(GAP_SECONDS)
    assert fold(log.events).gaps == ()
    log.clock.work(GAP_SECONDS + 0.5)
    before, after = log.events[-1], log.add(ev.Noted, text="x")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(GAP_SECONDS)
    (gap,) = progress.gaps
    assert (gap.began_at, gap.ended_at) == (before.at, after.at)
    assert fold(log.events, GAP_SECONDS + 1).gaps == ()


@pytest.mark.parametrize(
    ("worked", "told", "bench", "rest"),
    [
        (True, 600.0, 3600.0, []),  # what the machine was awake was worked, if any of it was
        (True, 1e9, 3600.0 + 7200.0, []),  # no more can be worked than went by
        (True, -5.0, 3600.0, []),
        (False, 1000.0, 2600.0, [1000.0]),
        (False, 1e6, 0.0, [3600.0 + 7200.0]),
        (False, -5.0, 3600.0, [0.0]),
    ],
)
def test_a_gap_with_a_sleep_in_it_is_settled_within_what_went_by(
    log: Writer, worked: bool, told: float, bench: float, rest: list[float]
) -> None:
    log.clock.work(3600)
    log.clock.sleep(7200)
    log.add(ev.IdleResolved, worked=worked, seconds=told)
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(bench)
    assert [each.seconds for each in progress.breaks] == pytest.approx(rest)
    assert all(each.noticed for each in progress.breaks)


def test_no_answer_makes_a_stretch_of_more_than_twelve_hours(log: Writer) -> None:
    log.clock.work(20 * 3600)
    log.add(ev.IdleResolved, worked=True, seconds=20 * 3600.0)
    assert fold(log.events).bench_seconds == pytest.approx(12 * 3600)


def test_a_break_has_both_its_ends_and_what_was_slept_in_it(log: Writer) -> None:
    log.clock.work(10)
    began = log.add(ev.BreakBegan)
    log.clock.work(600)
    log.clock.sleep(1200)
    assert fold(log.events).on_break
    ended = log.add(ev.BreakEnded)
    log.add(ev.BreakEnded)
    (rest,) = fold(log.events).breaks
    assert (rest.began_at, rest.ended_at, rest.noticed) == (began.at, ended.at, False)
    assert rest.seconds == fold(log.events).break_seconds == pytest.approx(1800)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (-3, "0 s"), (59.4, "59 s"), (59.6, "1 min 00 s"), (60, "1 min 00 s"), (599, "9 min 59 s"),
        (600, "10 min"), (3569, "59 min"), (3571, "1 h 00 min"), (7260, "2 h 01 min"),
    ],
)  # fmt: skip
def test_a_duration_is_told_to_the_second_below_ten_minutes_and_to_the_minute_above(
    seconds: float, said: str
) -> None:
    assert spell(seconds) == said


def test_a_sleep_is_longer_than_a_minute_and_no_longer_than_a_month_and_of_a_clock_that_was_set() -> None:
    year_2031, year_2000 = 1_930_000_000.0, 946_684_800.0
    assert [is_sleep(year_2031, ahead) for ahead in (60.0, 60.1, 30 * 86400.0, 30 * 86400.0 + 1)] == [
        False, True, True, False,
    ]  # fmt: skip
    assert [is_sleep(at, 3600.0) for at in (year_2000 - 1, year_2000, 0.0)] == [False, True, False]


@pytest.mark.parametrize(
    ("now", "last", "doubted"),
    [
        (946_684_799.0, 1.9e9, True), (946_684_800.0, 946_684_800.0, False), (1.9e9, 1.0, False),
        (1.9e9, 1.9e9 + 3600, False), (1.9e9, 1.9e9 + 3601, True),
        (1.9e9, 1.9e9 - 730 * 86400, False), (1.9e9, 1.9e9 - 730 * 86400 - 1, True),
    ],
)  # fmt: skip
def test_a_clock_is_doubted_before_2000_an_hour_behind_and_two_years_ahead(
    now: float, last: float, doubted: bool
) -> None:
    assert bool(doubt_of(stamp_text(now), stamp_text(last))) == doubted


def test_time_is_told_by_step_and_of_counting_apart_and_where_a_snag_was_mended(log: Writer) -> None:
    log.add(ev.Opened)
    log.clock.work(40)
    log.add(ev.Done, items=("main/R1",), value="4k7", step="R1")
    log.clock.work(30)
    log.add(ev.JointsCounted, counted=2, expected=2, step="R1")
    log.clock.work(20)
    snag = log.add(ev.Snagged, what="crooked", step="R2")
    log.add(ev.Mended, of=snag.n, fix="straight", step="U1")
    mended = log.add(ev.Mended, of=snag.n, fix="taken back", step="U9")
    log.add(ev.Undone, of=mended.n)
    progress = fold(log.events)
    assert progress.step_seconds == {"R1": 40.0, "R2": 20.0, "U1": 0.0, "U9": 0.0, "": 0.0}
    assert progress.count_seconds == {("Flat parts", "main"): 30.0}
    assert progress.step_done_at.keys() == {"R1"}
    assert [each.mended_in for each in progress.snags] == ["U1"]

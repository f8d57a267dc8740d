"""When things happened, whatever was done to the wall clock."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.clock import SLEEP_SECONDS, stamp_text, utc_seconds
from bench.log.timeline import bench_times
from tests.support.samples import START, HandClock

TICK = 2e-3
"""Stamps have milliseconds."""


class Writer:
    """Writes notes with both clocks."""

    def __init__(self) -> None:
        self.clock = HandClock()
        self.events: list[ev.AnyEvent] = []
        self.run = "a"

    def note(self, after: float = 0.0, **fields: Any) -> int:
        self.clock.work(after)
        now = self.clock.now()
        n = len(self.events) + 1
        kept: dict[str, Any] = {"at": now.at, "mono": now.mono, "run": self.run, "text": "x"} | fields
        self.events.append(ev.Noted(n=n, **kept))
        return n

    def times(self) -> list[float]:
        """Bench times since the start, in order."""
        seconds = bench_times(self.events).seconds
        return [seconds[event.n] - START for event in self.events]


@pytest.fixture
def log() -> Writer:
    return Writer()


def test_where_nobody_touches_a_clock_bench_times_are_the_stamps(log: Writer) -> None:
    for after in (0, 30, 125.5, 3000):
        log.note(after)
    assert log.times() == pytest.approx([0, 30, 155.5, 3155.5])
    assert bench_times(log.events).jumps == ()


@pytest.mark.parametrize("by", [3600.0, 7.0, 1.2, -30.0])
def test_a_clock_set_in_mid_run_moves_nothing(log: Writer, by: float) -> None:
    log.note()
    log.note(60)
    log.clock.set_back(by)
    after = log.note(60)
    log.note(60)
    assert log.times() == pytest.approx([0, 60, 120, 180])
    (jump,) = bench_times(log.events).jumps
    assert (jump.n, jump.slept) == (after, False)
    assert jump.seconds == pytest.approx(-by)


def test_a_sleep_of_the_machine_is_time_that_passed(log: Writer) -> None:
    log.note()
    log.note(60)
    log.clock.sleep(1200)
    after = log.note(30)
    assert log.times() == pytest.approx([0, 60, 1290])
    assert [(jump.n, jump.slept) for jump in bench_times(log.events).jumps] == [(after, True)]


def test_a_leap_ahead_that_is_known_to_be_no_sleep_moves_nothing(log: Writer) -> None:
    log.note()
    log.clock.sleep(3600)
    after = log.note(30)
    log.note(30)
    seconds = bench_times(log.events, {after}).seconds
    assert [seconds[n] - START for n in (1, 2, 3)] == pytest.approx([0, 30, 60])


def test_each_run_stands_by_its_own_first_stamp(log: Writer) -> None:
    log.note()
    log.note(60)
    log.run, log.clock.mono = "b", 3.0
    log.clock.sleep(86400)
    log.note()
    log.note(10)
    assert log.times() == pytest.approx([0, 60, 86460, 86470])


def test_a_stamp_that_cannot_be_read_is_made_up_for_by_the_other_clock(log: Writer) -> None:
    log.note(at="yesterday")
    log.note(60)
    log.note(60, at="")
    log.note(60)
    assert log.times() == pytest.approx([0, 60, 120, 180])
    log.run = "b"
    bad = log.note(5, at="never")
    assert bad not in bench_times(log.events).seconds


def test_a_reading_of_the_wall_clock_finds_its_bench_time_on_either_side_of_a_setting(log: Writer) -> None:
    log.note()
    log.note(600)
    log.clock.set_back(3600)
    log.note(600)
    timeline = bench_times(log.events)
    assert timeline.of_wall(START + 590) == pytest.approx(START + 590)
    assert timeline.of_wall(START + 1190 - 3600) == pytest.approx(START + 1190)
    assert bench_times([]).of_wall(12.0) == 12.0


STEPS = st.lists(
    st.tuples(st.floats(0, 5000), st.one_of(st.just(0.0), st.floats(-1e6, SLEEP_SECONDS - 1))), max_size=15
)


@given(STEPS)
def test_whatever_the_clock_is_set_to_times_are_those_of_a_log_whose_clock_was_left_alone(
    steps: list[tuple[float, float]],
) -> None:
    calm, set_about = Writer(), Writer()
    for after, by in steps:
        calm.note(after)
        set_about.clock.utc += by if set_about.events else 0.0
        set_about.note(after)
    assert set_about.times() == pytest.approx(calm.times(), abs=TICK * (len(steps) + 1))


@given(
    st.lists(
        st.tuples(st.sampled_from("ab"), st.floats(-1e7, 1e7), st.one_of(st.floats(0, 4e9), st.none())),
        max_size=12,
    )
)
def test_whatever_stands_in_a_log_times_do_not_fall_within_a_run(
    stamps: list[tuple[str, float, float | None]],
) -> None:
    events: list[ev.AnyEvent] = [
        ev.Noted(n=n, at="" if utc is None else stamp_text(utc), mono=mono, run=run, text="x")
        for n, (run, mono, utc) in enumerate(stamps, 1)
    ]
    seconds = bench_times(events).seconds
    for run in "ab":
        told = [seconds[event.n] for event in events if event.run == run and event.n in seconds]
        assert told == sorted(told)
        readable = any(utc_seconds(event.at) is not None for event in events if event.run == run)
        assert len(told) == (sum(event.run == run for event in events) if readable else 0)

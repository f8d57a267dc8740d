"""A machine's clock that is wrong: asked about, put right in what is told, or marked as doubtful."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.log import events as ev
from bench.log.clock import between, stamp_text, utc_seconds
from bench.log.clock_correction import doubtful, put_right
from bench.log.file import LogFile
from bench.log.fold import fold
from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.writeup.chronology import days_of
from bench.writeup.publish import page_of, story_of
from tests.support.samples import START, HandClock, small_kit, small_plan
from tests.support.screens import drive, screen_text

DAY = 86400.0


def run_at(folder: Path, clock: HandClock, *, steps: int = 2, run: str = "first") -> Build:
    """One run of the program: opened, some steps, each ten minutes long."""
    build = Build(small_kit(), small_plan(), LogFile(folder), clock)
    build.writer.run = run
    if not build.progress.started:
        build.started("low to high", "")
    build.opened()
    for _ in range(steps):
        clock.work(600)
        build.done()
    return build


def test_a_clock_that_was_never_set_is_asked_about_and_the_whole_run_is_put_right(tmp_path: Path) -> None:
    clock = HandClock(utc=90.0)
    build = run_at(tmp_path, clock)
    assert build.timer.clock_doubt() == "it was never set"
    clock.work(30)
    right = START + 5000.0
    build.tell_clock(stamp_text(right))
    assert build.timer.clock_doubt() == ""
    stamps = [utc_seconds(each.at) for each in build.events]
    assert stamps == [right - 1230, right - 1230, right - 630, right - 30, right]
    assert doubtful(build.events) == frozenset()
    build.close()


def test_until_somebody_says_what_time_it_was_its_dates_are_doubtful(tmp_path: Path) -> None:
    build = run_at(tmp_path / "builds" / "one", HandClock(utc=90.0))
    assert doubtful(build.events) == {1, 2, 3, 4}
    assert days_of(story_of(build))[0].title.endswith("(date doubtful: the computer's clock was wrong)")
    assert "(by a clock that was wrong at times)" in page_of(build)
    build.tell_clock(stamp_text(START))
    assert "clock was wrong" not in page_of(build)
    build.undo_event(5)
    assert doubtful(build.events) == {1, 2, 3, 4, 5, 6}
    build.close()


@pytest.mark.parametrize(
    ("later", "said"),
    [
        (-2 * 3600.0, "it is behind what was done last"),
        (3 * 365 * DAY, "nothing was done for more than two years by it"),
        (-600.0, ""),
        (5 * DAY, ""),
        (300 * DAY, ""),
    ],
)
def test_a_clock_far_from_the_last_event_is_doubted(later: float, said: str, tmp_path: Path) -> None:
    first = HandClock()
    run_at(tmp_path, first).close()
    build = run_at(tmp_path, HandClock(utc=first.utc + later), steps=0, run="second")
    assert build.timer.clock_doubt() == said
    build.close()


def test_a_clock_set_in_mid_run_dates_what_came_before_it_and_is_no_sleep(tmp_path: Path) -> None:
    """A board without a battery starts in 1970 and gets the time from the network after some minutes."""
    clock = HandClock(utc=90.0)
    build = run_at(tmp_path, clock)
    clock.utc = START
    clock.work(600)
    build.done()
    assert build.progress.gaps == ()
    assert build.progress.bench_seconds == pytest.approx(1800)
    stamps = [utc_seconds(each.at) for each in build.events]
    assert stamps == [START - 1200, START - 1200, START - 600, START, START + 600]
    assert doubtful(build.events) == frozenset()
    assert build.timer.gap() == 0.0
    build.close()


def test_a_sleep_is_still_a_sleep_but_not_one_of_years() -> None:
    assert between(5.0, 15.0, START, START + 7210.0) == (10.0, 7200.0)
    assert between(5.0, 15.0, START, START + 29 * DAY) == (10.0, 29 * DAY - 10.0)
    assert between(5.0, 15.0, START, START + 31 * DAY) == (10.0, 0.0)
    assert between(5.0, 15.0, 90.0, START) == (10.0, 0.0)


def test_telling_one_runs_clock_changes_no_stamp_of_another_run(tmp_path: Path) -> None:
    """A clock that the network puts a quarter of a minute forward in mid-run was right enough."""
    clock = HandClock()
    first = run_at(tmp_path, clock)
    clock.utc += 15.0
    first.done()
    first.close()
    second = run_at(tmp_path, HandClock(utc=90.0), steps=1, run="second")
    second.tell_clock(stamp_text(START + DAY))
    raw = second.log.events
    moved = [event.run for event, was in zip(put_right(raw), raw, strict=True) if event is not was]
    assert moved == [event.run for event in raw if event.run == "second"]
    second.close()


def test_events_whose_clock_was_right_are_the_very_same_ones(tmp_path: Path) -> None:
    build = run_at(tmp_path, HandClock())
    raw = build.log.events
    assert all(a is b for a, b in zip(put_right(raw), raw, strict=True))
    assert fold(put_right(raw)) == build.progress
    build.close()


def test_the_screen_asks_at_the_opening(tmp_path: Path) -> None:
    folder = tmp_path / "builds" / "one"
    run_at(folder, HandClock()).close()
    build = Build(small_kit(), small_plan(), LogFile(folder), HandClock(utc=100.0))

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.pause()
        text = " ".join(screen_text(app).split())
        assert "1 January 1970" in text
        assert "it was never set" in text
        await pilot.press(*"yesterday", "enter")
        assert "Write it as 2031-02-03 18:20" in " ".join(screen_text(app).split())
        await pilot.press(*["backspace"] * 9)
        await pilot.press(*"2031-02-03", "space", *"18:20", "enter")
        await pilot.pause()
        assert "It is 3 February 2031, 18:20" in " ".join(screen_text(app).split())

    drive(build, tmp_path, act)
    with LogFile(folder, read_only=True) as log:
        told = [each for each in log.events if isinstance(each, ev.ClockTold)]
    assert len(told) == 1
    assert told[0].right.startswith("2031-02-0")


def test_plain_lines_ask_it_too(tmp_path: Path) -> None:
    build = Build(small_kit(), small_plan(), LogFile(tmp_path), HandClock(utc=100.0))
    build.started("low to high", "")
    said: list[str] = []
    lines = iter(["2031-02-03 18:20"])

    def read(prompt: str) -> str:
        try:
            return next(lines)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(), read, said.append).run()
    assert any("it was never set. What time is it?" in each for each in said)
    assert any(isinstance(each, ev.ClockTold) for each in build.log.events)
    build.close()

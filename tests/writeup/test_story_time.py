"""The time of a build as a story tells it: stages, sittings, days and zones."""

from __future__ import annotations

from datetime import UTC, timedelta, timezone
from itertools import pairwise
from zoneinfo import ZoneInfo

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.clock import GAP_SECONDS
from bench.writeup.story import tell
from bench.writeup.time_spent import whole_minutes
from tests.support.story_bench import (  # fmt: skip
    DIODES,
    KIT,
    PLAN,
    RESISTORS,
    Bench,
    story_of,
    whole_build,
    whole_story,
)


# -- time --------------------------------------------------------------------------------------------
def test_bench_time_is_the_time_between_events_without_breaks_and_long_gaps() -> None:
    events = whole_build()
    worked, on_break = 0.0, False
    for before, after in pairwise(events):
        passed = after.mono - before.mono
        if before.run == after.run and not on_break and passed <= GAP_SECONDS:
            worked += passed
        on_break = isinstance(after, ev.BreakBegan) or (on_break and not isinstance(after, ev.BreakEnded))
    story = whole_story()
    assert story.seconds == pytest.approx(worked)
    assert (story.breaks, story.gaps) == (1, 1)
    assert story.break_seconds == pytest.approx(1260)
    assert story.gap_seconds == pytest.approx(1500)


def test_the_data_tell_what_each_sitting_came_to_and_when_the_part_of_a_snag_had_gone_in() -> None:
    story = whole_story()
    assert [(work.parts, work.parts_so_far, work.joints, work.joints_so_far) for work in story.works] == [
        (14, 14, 40, 40), (9, 23, 30, 70), (7, 30, 2, 72),
    ]  # fmt: skip
    assert [(work.holds, work.trims) for work in story.works][1:] == [((), ()), (("Before power",), ("Scale",))]
    diodes = next(event for event in whole_build() if isinstance(event, ev.Done))
    placed = [snag.placed.at if snag.placed else "" for snag in story.snags]
    assert placed == [diodes.at, "", ""]


def test_stages_stand_in_the_order_of_the_plan_with_boards_apart() -> None:
    story = whole_story()
    assert [(row.stage, row.board) for row in story.stages] == [each.key for each in PLAN.stages]
    flat_main = story.stages[0]
    assert flat_main.seconds == pytest.approx(340 + 30 + 420 + 600 + 20 + 5 + 260 + 60 + 200 + 10)
    assert (flat_main.parts, flat_main.joints, flat_main.steps, flat_main.steps_done) == (10, 20, 3, 3)


def test_rows_add_up_to_the_totals() -> None:
    story = whole_story()
    assert sum(row.minutes for row in story.stages) == story.minutes == round(story.seconds / 60)
    assert sum(row.parts for row in story.stages) == story.parts_placed == 30
    assert sum(row.joints for row in story.stages) == story.joints == 72
    assert sum(row.placed for row in story.kinds) == 30


@given(st.lists(st.floats(0, 1e6), max_size=30))
def test_whole_minutes_add_up_and_no_row_is_off_by_a_minute(seconds: list[float]) -> None:
    minutes = whole_minutes(seconds)
    assert sum(minutes) == round(round(sum(seconds)) / 60)
    assert all(abs(60 * each - exact) < 60.5 for each, exact in zip(minutes, seconds, strict=True))


def test_time_in_a_stage_that_the_plan_no_longer_has_is_told_last() -> None:
    bench = Bench()
    bench.at("Old stage", "main")
    bench.add(ev.Done, 100, items=("main/R77",), value="1k", joints=2)
    last = story_of(bench).stages[-1]
    assert (last.stage, last.planned, last.joints, last.parts) == ("Old stage", False, 2, 0)
    assert last.seconds == pytest.approx(100)
    assert story_of(bench).parts_unplanned == 1
    assert story_of(bench).parts_placed == 0


def test_three_evenings_are_three_sittings() -> None:
    story = whole_story()
    assert [each.began.day for each in story.sittings] == ["2031-02-03", "2031-02-05", "2031-02-08"]
    assert story.first is not None
    assert story.last is not None
    assert (story.first.day, story.last.day) == ("2031-02-03", "2031-02-08")


def test_closing_and_opening_again_at_once_is_the_same_sitting() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.come_back("2031-02-03T18:25:00.000Z")
    bench.do(RESISTORS)
    assert len(story_of(bench).sittings) == 1


def test_a_night_in_one_run_parts_two_sittings_unless_it_was_work() -> None:
    for worked, sittings in ((False, 2), (True, 1)):
        bench = Bench()
        bench.do(DIODES)
        bench.add(ev.IdleResolved, 8 * 3600, seconds=8 * 3600.0, worked=worked)
        bench.do(RESISTORS)
        assert len(story_of(bench).sittings) == sittings


def test_a_note_months_later_is_not_a_sitting() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.come_back("2031-07-01T10:00:00.000Z")
    bench.add(ev.Noted, 30, text="still works")
    story = story_of(bench)
    assert len(story.sittings) == 1
    assert story.last is not None
    assert story.last.day == "2031-02-03"


def test_days_are_those_of_the_zone_and_the_zone_is_named() -> None:
    bench = Bench("2031-02-03T23:30:00.000Z")
    bench.do(DIODES, 60)
    utc, east = story_of(bench), tell(KIT, PLAN, bench.events, zone=timezone(timedelta(hours=2)))
    assert utc.first is not None
    assert east.first is not None
    assert (utc.first.day, utc.first.time, utc.zone) == ("2031-02-03", "23:30", "UTC")
    assert (east.first.day, east.first.time, east.zone) == ("2031-02-04", "01:30", "UTC+02:00")
    assert utc.first.at == east.first.at == "2031-02-03T23:30:00.000Z"


def test_summer_time_is_followed() -> None:
    """EU clocks go forward at 01:00 UTC on the last Sunday of March: Directive 2000/84/EC, article 2."""
    zone = ZoneInfo("Europe/Dublin")
    times = []
    for start in ("2031-03-30T00:58:00.000Z", "2031-03-30T01:02:00.000Z"):
        bench = Bench(start)
        bench.do(DIODES, 0)
        first = tell(KIT, PLAN, bench.events, zone=zone).first
        assert first is not None
        times.append(first.time)
    assert times == ["00:58", "02:02"]


def test_a_stamp_that_is_none_gives_an_empty_day() -> None:
    bench = Bench()
    bench.add(ev.Noted, text="x")
    bench.events[-1] = msgspec.structs.replace(bench.events[-1], at="some day")
    assert story_of(bench).notes[0].when.day == ""


def test_the_default_zone_is_utc() -> None:
    assert whole_story() == tell(KIT, PLAN, whole_build(), zone=UTC)

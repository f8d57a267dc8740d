"""Where things stand in the drawings of a page, and what happened when."""

from __future__ import annotations

from itertools import pairwise

import pytest
from msgspec.structs import replace

from bench.log import events as ev
from bench.plan.plan import Alike
from bench.writeup.blocks import Grid
from bench.writeup.charts import HOUR_STEPS, lanes_of, plot_of, time_bars
from bench.writeup.chronology import Day, days_of
from bench.writeup.lookalikes_met import alikes_met
from bench.writeup.story import tell
from bench.writeup.story_model import EventTime, Sitting, Story, TrackingRow, TrackPoint
from tests.support.story_bench import (
    DIODES,
    FLAT,
    HOLD,
    KIT,
    PLAN,
    RESISTORS,
    Bench,
    plan_of,
    stage,
    story_of,
)


# -- what happened when ------------------------------------------------------------------------------
def test_a_reading_from_elsewhere_is_no_turn_and_a_new_sitting_says_what_it_goes_on_with() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.at(HOLD)
    bench.add(ev.ReadingTaken, 60, point="TP1", text="5")
    bench.do(RESISTORS)
    bench.come_back("2031-02-05T19:00:00.000Z")
    bench.do(RESISTORS, items=("main/R9",))
    told = [[entry.text for entry in day.entries if entry.what == "stage"] for day in days_of(story_of(bench))]
    assert told == [[f"{FLAT}, main board"], [f"{FLAT}, main board (continued)"]]


def test_what_was_taken_back_is_in_no_lane() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.at(HOLD)
    number = bench.add(ev.ReadingTaken, 60, point="TP1", text="5")
    bench.add(ev.Undone, 5, of=number)
    bench.do(RESISTORS)
    texts = [entry.text for day in days_of(story_of(bench)) for entry in day.entries]
    assert texts == [f"{FLAT}, main board"]


def test_many_readings_of_one_hour_are_one_entry_that_counts_the_rest() -> None:
    bench = Bench()
    bench.at(HOLD)
    for number in range(9):
        bench.add(ev.ReadingTaken, 20, point=f"TP{number}", text="5")
    (day,) = days_of(story_of(bench))
    assert day.entries[-1].text == "9 readings: TP0: 5; TP1: 5; TP2: 5; TP3: 5; TP4: 5; TP5: 5; and 3 more"


def when(at: str, day: str = "2031-02-03", time: str = "10:00") -> EventTime:
    return EventTime(at=at, day=day, time=time)


@pytest.mark.parametrize(
    ("began", "ended", "title"),
    [
        (when("a"), when("b", time="11:30"), "3 February 2031, 10:00 to 11:30"),
        (when("a"), when("b"), "3 February 2031, 10:00"),
        (
            when("a", time="23:00"),
            when("b", "2031-02-04", "01:00"),
            "3 February 2031, 23:00 to 4 February 2031, 01:00",
        ),
        (when("a", "", ""), when("b", "", ""), "an unknown day"),
    ],
)
def test_a_sitting_is_called_by_its_day_and_times(began: EventTime, ended: EventTime, title: str) -> None:
    assert Day(sitting=Sitting(began=began, ended=ended), entries=()).title == title


# -- lanes -------------------------------------------------------------------------------------------
def test_sittings_are_drawn_on_one_scale() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.do(RESISTORS, 600)
    bench.come_back("2031-02-05T19:00:00.000Z")
    bench.do(DIODES, 0, items=("main/D8",))
    bench.do(RESISTORS, 332.5, items=("main/R8",))
    lanes = lanes_of(days_of(story_of(bench)))
    assert lanes is not None
    assert [lane.wide for lane in lanes.lanes] == [100.0, 50.0]


def test_marks_of_one_sort_that_would_cover_one_another_are_drawn_as_one() -> None:
    bench = Bench()
    bench.do(DIODES)
    for _ in range(20):
        bench.add(ev.Snagged, 1, what="x")
    bench.do(RESISTORS, 800)
    lanes = lanes_of(days_of(story_of(bench)))
    assert lanes is not None
    assert len([mark for mark in lanes.lanes[0].marks if mark.what == "snag"]) == 2


def test_times_of_day_stand_where_they_belong() -> None:
    bench = Bench("2031-02-03T18:20:00.000Z")
    bench.do(DIODES, 0)
    for _ in range(5):
        bench.do(DIODES, 840, items=("main/D9",))
    lanes = lanes_of(days_of(story_of(bench)))
    assert lanes is not None
    assert lanes.lanes[0].hours == (
        (14.29, "18:30"),
        (35.71, "18:45"),
        (57.14, "19:00"),
        (78.57, "19:15"),
        (100.0, "19:30"),
    )


def test_a_sitting_of_days_has_no_times_of_day() -> None:
    bench = Bench()
    bench.do(DIODES)
    for _ in range(120):
        bench.do(DIODES, 3600, items=("main/D9",))
        bench.add(ev.IdleResolved, 1, seconds=3600.0, worked=True)
    lanes = lanes_of(days_of(story_of(bench)))
    assert lanes is not None
    assert HOUR_STEPS[-1] / 60 < 120 / 7
    assert lanes.lanes[0].hours == ()


def test_without_a_length_or_a_readable_stamp_no_lane_is_drawn() -> None:
    bench = Bench()
    bench.do(DIODES, 0)
    assert lanes_of(days_of(story_of(bench))) is None
    sitting = Sitting(began=when("nonsense", "", ""), ended=when("more", "", ""))
    assert lanes_of([Day(sitting=sitting, entries=())]) is None
    odd = [replace(event, at="2031") if isinstance(event, ev.Noted) else event for event in long_bench().events]
    assert lanes_of(days_of(tell(KIT, PLAN, odd))) is not None


def long_bench() -> Bench:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Noted, 5, text="x", mark="show")
    bench.do(RESISTORS, 300)
    return bench


# -- bars --------------------------------------------------------------------------------------------
def test_one_stage_needs_no_bars() -> None:
    bench = Bench()
    bench.do(DIODES)
    assert time_bars(story_of(bench)) is None


# -- tracking ----------------------------------------------------------------------------------------
def tracked(*cents: float, volts: tuple[float, ...] = (0.0, 1.0, 2.0), passes: int = 1) -> TrackingRow:
    points = tuple(TrackPoint(volts=v, hertz=100.0, cents=c) for v, c in zip(volts, cents, strict=True))
    return TrackingRow(
        trim="Scale", passes=passes, close_enough=2.0, done=False, first=points, last=points, turned=()
    )


def test_cents_and_volts_stand_where_their_numbers_put_them() -> None:
    plot = plot_of(tracked(0.0, 10.0, -20.0))
    assert plot is not None
    assert [dot.x for dot in plot.last] == [14.0, 55.5, 97.0]
    heights = {label: y for y, label in plot.grid}
    assert list(heights) == ["+10", "+5", "0", "-5", "-10", "-15", "-20"]
    assert [dot.y for dot in plot.last] == pytest.approx([heights["0"], heights["+10"], heights["-20"]])
    assert plot.upper == pytest.approx(heights["0"] + 0.4 * (heights["+5"] - heights["0"]), abs=0.11)
    assert plot.first == ()


def test_labels_of_volts_never_touch_and_both_ends_have_theirs() -> None:
    volts = tuple(number / 10 for number in range(51))
    plot = plot_of(tracked(*(0.0 for _ in volts), volts=volts))
    assert plot is not None
    places = [x for x, _ in plot.volts]
    assert all(after - before >= 7.0 for before, after in pairwise(places))
    assert (plot.volts[0][1], plot.volts[-1][1]) == ("0", "5")


def test_one_point_is_no_plot() -> None:
    assert plot_of(tracked(1.0, volts=(1.0,))) is None
    assert plot_of(replace(tracked(1.0, volts=(1.0,)), first=(), last=())) is None


# -- look-alikes -------------------------------------------------------------------------------------
def alike_story(what: str = "", part: str = "", board: str = "main", done: int = 2) -> Story:
    """Diodes that look like the resistors, both in or only one, and a snag."""
    alike = Alike(value=RESISTORS.value, refs=RESISTORS.refs, kind="resistor", reason="small and grey", rank=2)
    back = Alike(value=DIODES.value, refs=DIODES.refs, kind="diode", reason="small and grey", rank=2)
    steps = (replace(DIODES, alike=(alike,)), replace(RESISTORS, alike=(back,)))
    bench = Bench()
    for step in steps[:done]:
        bench.do(step)
    if what:
        bench.add(ev.Snagged, 5, what=what, part=part, board=board)
    return tell(KIT, plan_of(stage(FLAT, "main", *steps)), bench.events)


def test_a_pair_is_met_when_both_sides_went_in_and_told_once() -> None:
    (row,) = alike_story().alikes
    assert (row.value, row.other, row.mixed_up) == ("1N4148", "4k7", 0)
    assert alike_story(done=1).alikes == ()


@pytest.mark.parametrize(
    ("what", "part", "board", "mixed"),
    [
        ("D1 got a 4k7 instead of 1N4148", "D1", "main", 1),
        ("took R9 for D2", "", "main", 1),
        ("wrong value", "R9", "main", 0),
        ("D1 got a 4k7 instead of 1N4148", "D1", "front", 0),
        ("D1 in the wrong way round, R9 too", "", "main", 0),
    ],
)
def test_it_was_mixed_up_when_a_snag_of_a_wrong_value_names_both_sides(
    what: str, part: str, board: str, mixed: int
) -> None:
    story = alike_story(what, part, board)
    assert story.alikes[0].mixed_up == mixed
    tables = [block for block in alikes_met(story) if isinstance(block, Grid)]
    assert [table.rows for table in tables] == mixed * [
        (("1N4148 (D1-D3)", "4k7 (R1-R4, R9)", "Small and grey."),)
    ]

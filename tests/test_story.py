"""A build told as data."""

from __future__ import annotations

import sys
from datetime import UTC, timedelta, timezone
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.kit.model import Kit
from bench.log import events as ev
from bench.log.clock import GAP_SECONDS
from bench.log.progress import Progress, fold
from bench.retro.model import ADVICE_SOURCES, Story
from bench.retro.story import tell, whole_minutes
from tests.retro_bench import (
    FLAT,
    HOLD,
    KIT,
    PANEL,
    PLAN,
    SMALL,
    SOCKETS,
    TALL,
    Bench,
    part_step,
    plan_of,
    stage,
    whole_build,
)  # fmt: skip

STEPS = {step.key: step for step in PLAN.steps}
DIODES = STEPS[f"{FLAT}|main|1N4148|solder"]
RESISTORS = STEPS[f"{FLAT}|main|4k7|solder"]


def whole_story() -> Story:
    return tell(KIT, PLAN, whole_build())


def story_of(bench: Bench) -> Story:
    return tell(KIT, PLAN, bench.events)


# -- what the kit says -------------------------------------------------------------------------------
def test_the_story_names_kit_maker_and_revision() -> None:
    story = whole_story()
    assert (story.title, story.maker, story.revision) == (
        "Twin-board oscillator rev. B", "Lantern Yard Workshop", "B",
    )  # fmt: skip
    assert story.scenario == KIT.scenario
    assert story.kit_errata == ("R31 is printed R13 on the front board",)


def test_boards_are_those_that_carry_soldered_parts() -> None:
    assert whole_story().boards == ("main", "front")
    bare = msgspec.structs.replace(KIT.boards[1], parts=KIT.boards[1].parts[-1:])
    assert tell(msgspec.structs.replace(KIT, boards=(bare,)), PLAN, []).boards == ()


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
        bench.add(ev.GapSettled, 8 * 3600, seconds=8 * 3600.0, worked=worked)
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
    assert (utc.first.day, utc.first.time, utc.zone) == ("2031-02-03", "23:31", "UTC")
    assert (east.first.day, east.first.time, east.zone) == ("2031-02-04", "01:31", "UTC+02:00")
    assert utc.first.at == east.first.at == "2031-02-03T23:31:00.000Z"


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


# -- what was done -----------------------------------------------------------------------------------
def test_parts_are_counted_by_kind_and_a_part_only_set_in_its_holes_is_not_in_yet() -> None:
    bench = Bench()
    bench.do(STEPS[f"{PANEL}|front|B100k|place"])
    assert story_of(bench).parts_placed == 0
    bench.do(STEPS[f"{PANEL}|front|B100k|solder"])
    bench.do(STEPS[f"{SOCKETS}|main|DIP-8|solder"])
    story = story_of(bench)
    assert {row.kind: row.placed for row in story.kinds if row.placed} == {"potentiometer": 2, "IC socket": 2}
    assert story.joints == 22
    assert story.parts_planned == PLAN.parts


def test_what_was_undone_is_left_out() -> None:
    bench = Bench()
    numbers = [
        bench.do(DIODES),
        bench.add(ev.Noted, text="x"),
        bench.add(ev.Snagged, what="x"),
        bench.add(ev.Substituted, part="R1", instead="x"),
        bench.add(ev.ErratumFound, text="x"),
        bench.add(ev.JointsCounted, counted=5, expected=6),
        bench.add(ev.ReadingTaken, point="TP1", text="x"),
        bench.add(ev.HoldPassed, hold=HOLD, reason="x"),
        bench.add(ev.HeldBack, items=RESISTORS.items, value="x"),
    ]
    for number in numbers:
        bench.add(ev.Undone, of=number)
    story = story_of(bench)
    assert story.joints == story.parts_placed == 0
    assert story.notes + story.snags + story.substitutions + story.errata + story.counts == ()
    assert story.readings + story.passed + story.held + story.sittings == ()


def test_an_undone_undo_brings_the_note_back() -> None:
    bench = Bench()
    note = bench.add(ev.Noted, text="x")
    undo = bench.add(ev.Undone, of=note)
    bench.add(ev.Undone, of=undo)
    assert [row.text for row in story_of(bench).notes] == ["x"]


def test_corrections_are_applied() -> None:
    bench = Bench()
    snag = bench.add(ev.Snagged, what="brige", minutes=5.0)
    bench.add(ev.Corrected, of=snag, field="what", to="bridge")
    bench.add(ev.Corrected, of=snag, field="minutes", to="7.5")
    note = bench.add(ev.Noted, text="one")
    bench.add(ev.Corrected, of=note, field="text", to="two")
    story = story_of(bench)
    assert (story.snags[0].what, story.snags[0].minutes, story.notes[0].text) == ("bridge", 7.5, "two")


def test_a_step_held_back_is_told_with_its_reason_and_when_it_was_taken_up() -> None:
    held = {row.value: row for row in whole_story().held}
    assert held["10u"].reasons == ("not in the bag",)
    assert held["10u"].taken_up is not None
    assert held["10u"].taken_up.day == "2031-02-08"
    assert (held["10u"].stage, held["10u"].board) == (TALL, "main")
    assert held["22p"].taken_up is None


def test_a_step_held_back_again_keeps_both_reasons() -> None:
    bench = Bench()
    for reason in ("no iron tip", "no solder"):
        bench.add(ev.HeldBack, items=DIODES.items, value="1N4148", reason=reason)
    assert [row.reasons for row in story_of(bench).held] == [("no iron tip", "no solder")]


def test_a_held_step_is_taken_up_when_the_last_of_its_parts_is_done() -> None:
    bench = Bench()
    bench.add(ev.HeldBack, items=DIODES.items, value="1N4148")
    bench.do(DIODES, items=DIODES.items[:2])
    assert story_of(bench).held[0].taken_up is None
    bench.do(DIODES, items=DIODES.items[2:])
    assert story_of(bench).held[0].taken_up is not None


def test_holding_back_what_is_done_tells_nothing() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.HeldBack, items=DIODES.items, value="1N4148")
    assert story_of(bench).held == ()


@given(st.data())
@settings(max_examples=60)
def test_what_is_still_held_back_agrees_with_the_progress(data: st.DataObject) -> None:
    items = DIODES.items + RESISTORS.items
    bench = Bench()
    for _ in range(data.draw(st.integers(0, 12))):
        chosen = tuple(data.draw(st.lists(st.sampled_from(items), min_size=1, max_size=4, unique=True)))
        kinds: list[type[ev.AnyEvent]] = [ev.HeldBack, ev.TakenUp, ev.Done]
        bench.add(data.draw(st.sampled_from(kinds)), items=chosen)
    still = {item for each in fold(bench.events).held for item in each.items}
    open_rows = [row for row in story_of(bench).held if row.taken_up is None]
    assert bool(open_rows) == bool(still)


def test_snags_keep_order_place_part_minutes_and_fix() -> None:
    snags = whole_story().snags
    assert [(row.stage, row.board, row.part, row.minutes, row.fix, row.open) for row in snags] == [
        (FLAT, "main", "D3", 7.0, "wick, and a second pass with fresh solder", False),
        (PANEL, "front", "J2", 12.5, "wick", False),
        ("Panel, nuts, knobs", "front", "", 0.0, "", True),
    ]
    assert whole_story().snag_minutes == 19.5


def test_tenths_of_minutes_add_up_exactly() -> None:
    bench = Bench()
    for minutes in (0.1, 0.2):
        bench.add(ev.Snagged, what="x", minutes=minutes)
    assert story_of(bench).snag_minutes == 0.3


def test_minutes_beyond_reason_count_as_not_told() -> None:
    bench = Bench()
    bench.add(ev.Snagged, what="x", minutes=1e300)
    assert story_of(bench).snag_minutes == 0


def test_all_counts_of_joints_are_told_not_only_the_last() -> None:
    counts = [(row.stage, row.board, row.counted, row.expected) for row in whole_story().counts]
    assert counts == [
        (FLAT, "main", 18, 20), (FLAT, "main", 20, 20), (FLAT, "front", 4, 4), (SOCKETS, "main", 16, 16),
    ]  # fmt: skip


def test_notes_keep_order_mark_and_place() -> None:
    notes = whole_story().notes
    assert [row.mark for row in notes] == ["tip", "show", "note", "note", "show"]
    assert [(row.stage, row.board) for row in notes[:3]] == [(FLAT, "main"), (SOCKETS, "main"), (TALL, "main")]


def test_an_event_without_a_stage_belongs_to_the_stage_before_it() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.at("")
    bench.add(ev.Noted, text="x")
    assert (story_of(bench).notes[0].stage, story_of(bench).notes[0].board) == (FLAT, "main")


def test_readings_keep_what_was_expected_and_what_was_typed() -> None:
    readings = [(row.point, row.expect, row.read) for row in whole_story().readings]
    assert readings[:2] == [("+12 V and 0 V", "> 200 ohm", "1k21"), ("TP1", "5 V ± 4 %", "4.71")]
    assert len(readings) == 5


def test_hold_points_and_trims_are_told() -> None:
    story = whole_story()
    assert [(row.name, row.checks, row.done) for row in story.holds] == [(HOLD, 3, 3)]
    assert [row.hold for row in story.passed] == [HOLD]
    assert [(row.name, row.trimmer, row.target) for row in story.trims] == [("Scale", "RV4", "1 V per octave")]
    assert tell(KIT, PLAN, []).trims == ()


def test_another_edition_of_the_kit_on_the_way_is_told() -> None:
    bench = Bench()
    bench.add(ev.Revised, kit_digest="x")
    assert story_of(bench).revisions == 1


# -- finished or not ---------------------------------------------------------------------------------
def test_a_build_is_finished_when_only_optional_parts_are_held_back() -> None:
    story = whole_story()
    assert story.finished
    assert story.left == ()
    assert [(row.value, row.refs, row.parts) for row in story.left_out] == [("22p", ("C12",), 1)]


def test_an_optional_part_that_nobody_decided_on_keeps_the_build_open() -> None:
    events = [event for event in whole_build() if not (isinstance(event, ev.HeldBack) and event.value == "22p")]
    story = tell(KIT, PLAN, events)
    assert not story.finished
    assert [(row.stage, row.parts) for row in story.left] == [(SMALL, 1)]
    assert story.left_out == ()


def test_what_is_left_is_what_is_not_done_steps_parts_and_joints() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.do(RESISTORS, items=RESISTORS.items[:2])
    story = story_of(bench)
    assert not story.finished
    assert (story.left[0].steps, story.left[0].parts, story.left[0].joints) == (2, 5, 10)
    assert sum(row.joints for row in story.left) == story.joints_planned - story.joints
    assert sum(row.parts for row in story.left) == story.parts_planned - story.parts_placed


def test_nothing_done_is_told_as_such() -> None:
    story = tell(KIT, PLAN, [])
    assert not story.finished
    assert story.first is None
    assert story.sittings == ()
    assert "no work at the bench is recorded yet" in story.summary[0]


def test_a_plan_without_steps_is_never_finished() -> None:
    assert not tell(KIT, plan_of(), []).finished


# -- in short ----------------------------------------------------------------------------------------
def test_three_sentences_sum_up_a_finished_build() -> None:
    assert whole_story().summary == (
        "The Twin-board oscillator rev. B, a kit by Lantern Yard Workshop, took 1 h 40 min at the bench, "
        "in three sittings from 3 to 8 February 2031.",
        "It has 30 parts and 72 solder joints on two boards; one optional part is left out.",
        "Three snags cost 19.5 min; one is still open.",
    )


def test_three_sentences_sum_up_a_build_in_progress() -> None:
    bench = Bench()
    bench.do(DIODES, 600)
    assert story_of(bench).summary == (
        "The Twin-board oscillator rev. B, a kit by Lantern Yard Workshop, has taken 10 min at the bench so "
        "far, in one sitting on 3 February 2031.",
        "3 of 31 parts are in, and 6 of 74 solder joints made on two boards.",
        "No snags are recorded so far.",
    )


@pytest.mark.parametrize(
    ("snags", "said"),
    [
        ([{"fix": "wick", "minutes": 3}], "One snag cost 3 min; it is fixed."),
        ([{}], "One snag came up; it is still open."),
        ([{"fix": "wick"}, {"fix": "wick"}], "Two snags came up; all are fixed."),
        ([{}, {}], "Two snags came up; all are still open."),
        ([{"fix": "x"}, {}, {"minutes": 90}], "Three snags cost 1 h 30 min; two are still open."),
    ],
)
def test_snags_are_summed_up_in_the_right_number(snags: list[dict[str, Any]], said: str) -> None:
    bench = Bench()
    for fields in snags:
        bench.add(ev.Snagged, what="x", **fields)
    assert story_of(bench).summary[2] == said


def test_one_part_and_one_joint_are_singular() -> None:
    only = plan_of(stage("Link", "main", part_step("Link", "main", "W1", "link", "wire link", 1)))
    bench = Bench()
    bench.do(only.steps[0], 30)
    kit = Kit(name="The Link", boards=KIT.boards[:1])
    story = tell(kit, only, bench.events)
    assert story.summary[:2] == (
        "The Link took under 1 min at the bench, in one sitting on 3 February 2031.",
        "It has 1 part and 1 solder joint on one board.",
    )
    assert tell(kit, only, []).summary[1] == "It will have 1 part and 1 solder joint on one board."


def test_advice_says_what_it_is_drawn_from() -> None:
    advice = [(piece.drawn_from, piece.text) for piece in whole_story().advice]
    assert advice == [
        ("tip", "R9 stands alone beside the header; easy to overlook"),
        ("kit's erratum", "R31 is printed R13 on the front board"),
        ("erratum found", "the guide's photo of the front board shows revision A"),
        ("substitution", "22 µF, 25 V instead of C5: 10 µF did not come with the kit; same height"),
        ("snag", "D3 sat the wrong way round. Fix: wick, and a second pass with fresh solder."),
        ("snag", "a hair of solder between two lugs of J2. Fix: wick."),
        ("miscount", "the first count of joints came to 18, not 20"),
    ]


def test_a_snag_names_its_part_once_and_r1_is_not_r12() -> None:
    bench = Bench()
    bench.add(ev.Snagged, what="R12 lifted its pad", part="R1", fix="jumper")
    bench.add(ev.Snagged, what="bridge at r1", part="R1", fix="wick!")
    assert [piece.text for piece in story_of(bench).advice if piece.drawn_from == "snag"] == [
        "R1: R12 lifted its pad. Fix: jumper.", "bridge at r1. Fix: wick!",
    ]  # fmt: skip


def test_a_count_that_was_right_at_first_is_no_advice() -> None:
    bench = Bench()
    bench.at(FLAT, "main")
    bench.add(ev.JointsCounted, counted=20, expected=20)
    bench.add(ev.JointsCounted, counted=19, expected=20)
    assert not any(piece.drawn_from == "miscount" for piece in story_of(bench).advice)


# -- any log at all ----------------------------------------------------------------------------------
ITEMS = st.lists(
    st.sampled_from([item for step in PLAN.steps for item in step.items] + ["x/R1", "x/!y"]), max_size=5
)
WORDS = st.text(max_size=12)
NUMBERS = st.integers(0, 40)
ANY_EVENT = st.one_of(
    st.tuples(
        st.sampled_from([ev.Done, ev.HeldBack]),
        st.fixed_dictionaries({"items": ITEMS.map(tuple), "value": WORDS}),
    ),
    st.tuples(st.just(ev.TakenUp), st.fixed_dictionaries({"items": ITEMS.map(tuple)})),
    st.tuples(st.just(ev.Undone), st.fixed_dictionaries({"of": NUMBERS})),
    st.tuples(
        st.just(ev.Corrected),
        st.fixed_dictionaries(
            {
                "of": NUMBERS,
                "field": st.sampled_from(["text", "minutes", "counted", "?"]),
                "to": WORDS | st.just("4"),
            }
        ),
    ),
    st.tuples(
        st.just(ev.Noted), st.fixed_dictionaries({"text": WORDS, "mark": st.sampled_from(["tip", "show", "?"])})
    ),
    st.tuples(
        st.just(ev.Snagged),
        st.fixed_dictionaries({"what": WORDS, "part": WORDS, "fix": WORDS, "minutes": st.floats()}),
    ),
    st.tuples(st.just(ev.Mended), st.fixed_dictionaries({"of": NUMBERS, "fix": WORDS, "minutes": st.floats()})),
    st.tuples(st.just(ev.JointsCounted), st.fixed_dictionaries({"counted": NUMBERS, "expected": NUMBERS})),
    st.tuples(
        st.just(ev.GapSettled),
        st.fixed_dictionaries({"seconds": st.floats(allow_nan=False), "worked": st.booleans()}),
    ),
    st.tuples(st.sampled_from([ev.BreakBegan, ev.BreakEnded, ev.Opened, ev.Closed]), st.just({})),
)
ANY_LOG = st.lists(
    st.tuples(ANY_EVENT, st.floats(0, 20000), st.sampled_from([each.key for each in PLAN.stages] + [("", "")])),
    max_size=40,
)


@given(ANY_LOG)
@settings(max_examples=150, deadline=None)
def test_any_log_gives_a_story_that_adds_up_and_survives_json(log: list[Any]) -> None:
    bench = Bench()
    for (kind, fields), after, place in log:
        bench.at(*place)
        bench.add(kind, after, **fields)
    story = story_of(bench)
    assert msgspec.json.decode(msgspec.json.encode(story), type=Story) == story
    assert story == tell(KIT, PLAN, bench.events, fold(bench.events))
    assert sum(row.minutes for row in story.stages) == story.minutes
    assert sum(row.parts for row in story.stages) == story.parts_placed
    assert sum(row.joints for row in story.stages) == story.joints
    assert sum(row.steps_done for row in story.stages) + sum(row.steps for row in story.left) + len(
        story.left_out
    ) == len(PLAN.steps)
    assert story.finished == (not story.left)
    assert {piece.drawn_from for piece in story.advice} <= set(ADVICE_SOURCES)
    assert len(story.summary) == 3
    assert all(sentence.endswith(".") for sentence in story.summary)


def test_the_work_of_telling_grows_with_the_log_and_not_with_its_square() -> None:
    def calls(turns: int) -> int:
        bench = Bench()
        for turn in range(turns):
            bench.add(ev.HeldBack, 1, items=(f"x/R{turn}",), value="1k")
            bench.add(ev.Noted, 1, text="a note")
        counted = 0

        def count(*_: object) -> None:
            nonlocal counted
            counted += 1

        before = sys.getprofile()
        sys.setprofile(count)
        try:
            tell(KIT, PLAN, bench.events, Progress())
        finally:
            sys.setprofile(before)
        return counted

    assert calls(800) < calls(8000) < 11 * calls(800)


def test_the_default_zone_is_utc() -> None:
    assert whole_story() == tell(KIT, PLAN, whole_build(), zone=UTC)

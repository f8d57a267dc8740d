"""A build told as data: the kit, what was done, and whether it is finished."""

from __future__ import annotations

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.fold import fold
from bench.writeup.story import tell
from tests.support.story_bench import (  # fmt: skip
    DIODES,
    FLAT,
    HOLD,
    KIT,
    PANEL,
    PLAN,
    RESISTORS,
    SMALL,
    SOCKETS,
    TALL,
    Bench,
    plan_of,
    story_of,
    whole_build,
    whole_story,
)

STEPS = {step.key: step for step in PLAN.steps}


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
    assert story.parts_planned == PLAN.count.total


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
        bench.add(ev.HoldOverridden, hold=HOLD, reason="x"),
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
        kinds: list[type[ev.AnyEvent]] = [ev.HeldBack, ev.Resumed, ev.Done]
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
    assert story.summary == ()


def test_a_plan_without_steps_is_never_finished() -> None:
    assert not tell(KIT, plan_of(), []).finished

"""Where to look for a fault: power and joints first, an IC last, narrowed by nets and by the build's own log.

The order of looking is common practice among builders, no source.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from bench.kit.load import load_kit, parse_kit
from bench.log import events as ev
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from bench.suspects.fault_list import suspicions
from bench.suspects.proximity import Proximity
from bench.suspects.search import can_kill
from bench.suspects.suspicion import GROUPS, quote
from bench.suspects.symptom import symptom_named, unmet_before_power
from tests.support.fault_search import PLAN, REGULATED, done, events_of, look, named, refs
from tests.support.kit_files import small
from tests.support.plans import LOW
from tests.support.simulated_kits import two_board_kit


# -- the order ---------------------------------------------------------------------------------------
def test_power_comes_first_then_joints_and_an_ic_last_of_all() -> None:
    found = look("completely dead")
    groups = list(dict.fromkeys(each.group for each in found))
    assert groups == [group for group in GROUPS if group in groups]
    assert groups[:2] == ["power", "joints"]
    assert groups[-1] == "ICs"
    assert "IC" in found[-1].what


def test_what_the_log_says_near_the_symptom_comes_before_what_is_usual() -> None:
    held = (ev.HeldBack, {"items": ("main/R2",), "value": "47k", "refs": ("R2",)})
    found = look("CUTOFF sweeps the filter", held)
    joints = [each.what for each in found if each.group == "joints"]
    assert joints[0] == "held back: 47k R2"
    assert joints[1:] == ["a forgotten joint", "a cold or cracked joint", "a bridge or a clipping"]


def test_with_too_much_current_bridges_come_before_forgotten_joints() -> None:
    joints = [each.what for each in look("Q1 gets hot") if each.group == "joints"]
    assert joints[0] == "a bridge or a clipping"


@pytest.mark.parametrize("path", sorted(shipped_kits_folder().glob("*.yaml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("words", ["it is silent", "the LED stays dark", "it hums", "LEVEL does nothing"])
def test_nothing_is_looked_at_with_the_power_on_before_every_check_before_power_is_met(
    path: Path, words: str
) -> None:
    kit = load_kit(path)
    plan = make_plan(kit, LOW)
    names = unmet_before_power(plan, fold(events_of(done(kit))))
    assert names
    checks = [step for step in plan.steps if step.action == "check" and step.value in names]
    made = [done(kit), *(done(kit, *step.items) for step in checks)]
    assert unmet_before_power(plan, fold(events_of(*made))) == ()
    for left in range(len(checks)):
        log = fold(events_of(*made[: 1 + left], *made[2 + left :]))
        found = suspicions(kit, plan, log, symptom_named(words, plan, log))
        assert "on" not in {each.power for each in found}
        if not can_kill(kit) and not kit.passive:
            assert any(quote(checks[left].value) in each.how or "power off" in each.what for each in found)
    read = [step for step in checks if step.expect]
    out = {"step": read[0].key, "point": read[0].value, "text": "0.1 ohm", "expect": read[0].expect}
    log = fold(events_of(*made, (ev.ReadingTaken, {**out, "verdict": "out"})))
    assert "on" not in {each.power for each in suspicions(kit, plan, log, symptom_named(words, plan, log))}


# -- narrowing ---------------------------------------------------------------------------------------
def test_a_rail_narrows_to_the_parts_on_its_net() -> None:
    found = look("+12 V at the socket")
    assert refs(named(found, "a diode or a capacitor")) == "D1 C1"
    assert refs(named(look("nothing on the −12V rail"), "a diode or a capacitor")) == "D2 C2"
    circle = Proximity(REGULATED, symptom_named("nothing on the +12 V rail", PLAN, Progress()))
    assert [circle.nearness(part) for part in circle.parts if part.ref in ("D1", "C1", "D2")] == [0, 2, 0]


def test_the_nets_that_the_kit_gives_a_check_narrow_it_although_its_name_says_nothing() -> None:
    found = look("TP1")
    assert refs(named(found, "a wrong value")).startswith("R1")
    assert refs(named(found, "only when all else")) == "U1"


def test_a_longer_net_is_not_taken_for_the_shorter_one_in_it() -> None:
    kit = parse_kit(
        b'kit: 1\nname: x\nsupply: {"+5 V": 1 mA}\nboards:\n  - name: main\n    parts:\n'
        b'      - {refs: C1, value: 10u, nets: "+5 V"}\n'
        b'      - {refs: C2, value: 10u, nets: "+5 V reference"}\n',
        "x.yaml",
    )
    plan = make_plan(kit, LOW)
    circle = Proximity(kit, symptom_named("+5 V reference is low", plan, Progress()))
    assert circle.nets == {"+5vreference"}
    assert Proximity(kit, symptom_named("+15 V is low", plan, Progress())).nets == set()


def test_the_nets_of_a_check_are_not_widened_by_the_parts_it_says_to_probe() -> None:
    kit = parse_kit(
        b'kit: 1\nname: x\nsupply: {"+5 V": 1 mA}\nsections: [power, rest]\n'
        b"boards:\n  - name: main\n    parts:\n"
        b"      - {refs: U1, value: 78L05, kind: voltage regulator, section: power}\n"
        b"      - {refs: C1, value: 10u, section: power}\n"
        b"      - {refs: R1, value: 10k, section: rest, nets: bias}\n"
        b"hold_points:\n  - name: First power\n    checks:\n"
        b'      - {at: TP1, expect: 2.4..2.6 V, how: "beside U1", nets: bias}\n',
        "x.yaml",
    )
    circle = Proximity(kit, symptom_named("TP1", make_plan(kit, LOW), Progress()))
    assert {part.ref: circle.nearness(part) for part in circle.parts} == {"U1": 0, "C1": 2, "R1": 0}


def test_the_ground_narrows_nothing() -> None:
    kit = parse_kit(
        b'kit: 1\nname: x\nsupply: {"+5 V": 1 mA}\nboards:\n  - name: main\n    parts:\n'
        b'      - {refs: C1, value: 10u, nets: "0 V"}\n      - {refs: R1, value: 10k}\n',
        "x.yaml",
    )
    symptom = symptom_named("hum between here and 0 V", make_plan(kit, LOW), Progress())
    assert not Proximity(kit, symptom).known


def test_a_panel_label_and_a_designator_narrow_to_their_section_and_what_comes_before_it() -> None:
    for words in ("CUTOFF does nothing", "Q1 stays cold", "the filter distorts"):
        circle = Proximity(REGULATED, symptom_named(words, PLAN, Progress()))
        near = {part.ref for part in circle.parts if circle.nearness(part) <= 1}
        assert near == {"U1", "R1", "R2", "Q1", "RV1"}, words
        assert all(circle.nearness(part) == 2 for part in circle.parts if part.line.section == "power")


def test_without_any_clue_no_part_is_nearer_than_another() -> None:
    circle = Proximity(REGULATED, symptom_named("it hums", PLAN, Progress()))
    assert not circle.known
    assert {circle.nearness(part) for part in circle.parts} == {0}


def test_an_ic_that_the_log_does_not_know_as_in_is_not_suspected() -> None:
    early = (ev.Done, {"items": ("main/R1", "main/U1#socket")})
    found = look("+12 V at the socket", early)
    assert not [each for each in found if each.group in ("seating", "ICs")]
    assert [each for each in look("+12 V at the socket", done(REGULATED)) if each.group == "ICs"]


def test_plugs_for_signals_and_loudspeakers_are_not_where_the_supply_comes_in() -> None:
    """Common practice, no source."""
    from bench.kit.load import parse_kit

    text = small(
        "{refs: J1, value: RCA, kind: connector}",
        "{refs: J2, value: loudspeaker posts, kind: connector}",
        "{refs: J3, value: 2-way, kind: terminal block}",
    )
    kit = parse_kit(text.encode(), "x.yaml")
    plan = make_plan(kit, LOW)
    first = suspicions(kit, plan, Progress(), symptom_named("no sound", plan, Progress()))[0]
    assert first.where == "J3"


@pytest.mark.parametrize(
    ("battery", "words", "away"),
    [
        ("18650 holder", "it gets hot and smells", True),
        ("18650 Li-ion 3000mAh", "it gets hot and smells", True),
        ("18650 holder", "the fuse blows", False),
        ("9V battery snap", "it gets hot and smells", False),
    ],
)
def test_nobody_is_sent_to_take_out_a_hot_lithium_cell(battery: str, words: str, away: bool) -> None:
    """Common practice of fire services, no source."""
    from bench.kit.load import parse_kit

    kit = parse_kit(small(f"{{refs: BT1, value: {battery}}}").encode(), "x.yaml")
    plan = make_plan(kit, LOW)
    first = suspicions(kit, plan, Progress(), symptom_named(words, plan, Progress()))[0]
    assert ("hands off" in first.how) is away
    assert first.how.startswith("Take the battery out") is not away


def test_with_the_supply_off_the_measurement_itself_comes_first() -> None:
    kit = two_board_kit()
    plan = make_plan(kit, LOW)
    found = suspicions(kit, plan, Progress(), symptom_named("0V and +12V", plan, Progress()))
    assert found[0].what == "the measurement itself"
    assert "while it is on" not in " ".join(each.how for each in found)


@pytest.mark.parametrize(
    "dangerous",
    [{"hazards": ("mains",)}, {"hazards": ("high voltage",)}, {"rail": "+250 V"}, {"value": "1u X2 275 VAC"}],
)
def test_nothing_is_proposed_to_be_measured_live_where_it_can_kill(dangerous: dict[str, Any]) -> None:
    import msgspec

    from bench.kit.kit import Rail

    rails = (Rail(name=dangerous.get("rail", "+12 V"), current="1 mA"),)
    kit = msgspec.structs.replace(REGULATED, hazards=dangerous.get("hazards", ()), supply=rails)
    if value := dangerous.get("value"):
        line = msgspec.structs.replace(kit.boards[0].parts[0], value=value, kind="film capacitor")
        kit = msgspec.structs.replace(
            kit, boards=(msgspec.structs.replace(kit.boards[0], parts=(line, *kit.boards[0].parts[1:])),)
        )
    plan = make_plan(kit, LOW)
    for words in ("no sound", "everything is dead", "R1 smokes", "TP1: -5 where 5 V is expected"):
        found = suspicions(kit, plan, Progress(), symptom_named(words, plan, Progress()))
        assert "licensed" in found[0].how
        said = " ".join(each.how for each in found)
        assert "while it is on" not in said
        assert "At the supply, then" not in said
        assert "To 0 V, before and after" not in said


# -- the build's own log -----------------------------------------------------------------------------
def test_what_was_missing_in_the_bag_is_an_empty_place_or_something_else_in_it() -> None:
    bag = (ev.BagCounted, {"items": ("main/R2", "main/R1"), "kind": "resistor", "value": "47k", "found": 1})
    assert named(look("the filter is dead", bag), "missing from the bag").group == "joints"
    assert named(look("the filter is dead", bag, done(REGULATED)), "missing from the bag").group == "values"


def test_a_joint_count_that_did_not_match_is_named_with_its_board() -> None:
    count = (ev.JointsCounted, {"counted": 9, "expected": 10, "stage": "Parts that lie flat", "board": "main"})
    agreed = (ev.JointsCounted, {"counted": 4, "expected": 4, "stage": "IC sockets", "board": "main"})
    found = named(look("it is dead", count, agreed), "joint count of")
    assert found.what == "joint count of Parts that lie flat, main"
    assert found.own
    assert "1 too few" in found.how


def test_a_joint_count_of_the_board_at_fault_comes_before_that_of_another() -> None:
    kit = two_board_kit()
    plan = make_plan(kit, LOW)
    made: list[tuple[type[ev.AnyEvent], dict[str, Any]]] = [
        (ev.JointsCounted, {"counted": 9, "expected": 10, "stage": "Parts that lie flat", "board": board})
        for board in ("main", "control")
    ]
    progress = fold(events_of(*made))
    for words, first in (("the control board hums", "control"), ("the main board hums", "main")):
        found = suspicions(kit, plan, progress, symptom_named(words, plan, progress))
        counted = [each.what for each in found if each.what.startswith("joint count")]
        assert counted[0].endswith(first)


@pytest.mark.parametrize(
    ("words", "group"),
    [
        ("a bridge at Q1", "joints"), ("the cable was plugged in twisted", "power"),
        ("C1 went in backwards", "polarity"), ("a leg folded under", "seating"),
        ("jack J1 sits crooked", "fittings"), ("it looks odd", "left open"),
    ],
)  # fmt: skip
def test_an_open_snag_stands_where_its_words_belong_and_can_be_mended(words: str, group: str) -> None:
    found = named(look("no sound", (ev.Snagged, {"what": words})), "open snag")
    assert (found.group, found.snag) == (group, 2)


def test_a_mended_snag_is_looked_at_again_only_near_the_symptom() -> None:
    snag = (ev.Snagged, {"what": "pad of R1 lifted", "fix": "wire to U1"})
    assert refs(named(look("the filter is dead", snag), "fixed snag")) == "R1"
    far = (ev.Snagged, {"what": "odd", "part": "R99", "fix": "left so"})
    assert not [each for each in look("the filter is dead", far) if each.what.startswith("mended")]


def test_a_substitute_with_three_legs_is_a_question_of_pinout() -> None:
    legs = (ev.Substituted, {"part": "Q1", "instead": "2N3904", "why": "none left"})
    value = (ev.Substituted, {"part": "the 47k", "instead": "43k", "items": ("main/R2",)})
    found = look("the filter is dead", legs, value)
    assert named(found, 'substitute "2N3904"').group == "pinout"
    assert named(found, 'substitute "43k"').group == "values"
    assert refs(named(found, 'substitute "43k"')) == "R2"


def test_look_alikes_are_suspected_when_both_are_in() -> None:
    assert not [each for each in look("the filter is dead") if "swapped" in each.what]
    found = look("the filter is dead", done(REGULATED))
    pair = [each for each in found if "swapped" in each.what and {"R1", "R2"} <= set(refs(each).split())]
    assert pair
    assert pair[0].group == "values"


def test_a_hold_point_passed_with_a_reason_stands_first_when_it_was_about_power() -> None:
    found = look("no sound", (ev.HoldOverridden, {"hold": "Before power", "reason": "no meter"}))
    assert found[0].what == 'hold point "Before power" overridden (reason given)'
    assert found[0].why == "no meter."


def test_other_readings_that_are_out_are_named_and_those_of_a_rail_first() -> None:
    rail = (ev.ReadingTaken, {"point": "+12 V at the socket", "text": "9.1", "expect": "12 V ± 5 %"})
    point = (ev.ReadingTaken, {"point": "TP1", "text": "4.1", "expect": "5 V ± 2 %"})
    again = (ev.ReadingTaken, {"point": "TP1", "text": "5.01", "expect": "5 V ± 2 %"})
    assert not [each for each in look("TP1", point) if "TP1" in each.what]
    found = look("CUTOFF sweeps the filter", rail, point)
    assert named(found, 'another reading is out: "+12 V').group == "power"
    assert named(found, 'another reading is out: "TP1').group == "left open"
    later = look("CUTOFF sweeps the filter", rail, point, again)
    assert not [each for each in later if each.what.endswith('out: "TP1"')]
    assert named(later, "a reading has drifted").own


def test_parts_before_the_check_that_were_never_done_are_asked_for() -> None:
    found = look("TP1", done(REGULATED, "main/R1", "main/D1"))
    assert "R2" in refs(named(found, "parts that the log does not show"))
    assert "R1" not in refs(named(found, "parts that the log does not show")).split()

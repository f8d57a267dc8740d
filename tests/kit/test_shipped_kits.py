"""The kits that ship: complete, free of contradictions, and buildable under both shipped procedures.

Sources: numbers of pins from the data sheets (from memory); capacitor markings EIA/IEC 60062 three digits
and tolerance letter, EIA voltage code 2A = 100 V (a maker's list, see test_code_letters); E96 =
round(100 * 10^(i/96)) and the E24 table (IEC 60063). Stacked boards: parts laid flat, headers lined up
(common practice, no source).
"""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from bench.kit.kit import Kit, PartLine
from bench.kit.lint import kit_remarks
from bench.kit.load import parse_kit
from bench.kit.write import kit_text
from bench.parts.expectation import parse_expectation
from bench.plan.plan import Plan, Step
from bench.plan.procedure import shipped_procedures
from bench.plan.stages import make_plan
from tests.support.kit_values import KITS, METRONOME, OSCILLATOR, Circuit, shipped
from tests.support.plans import SHIPPED

ALL = sorted(KITS.glob("*.yaml"))
PINS = {"TL072": 8, "TL074": 14, "LM311": 8, "LM393": 8, "ICM7555": 8, "LM386": 8, "LM13700": 16, "LM358": 8}
NO_ICS = {"passive-splitter", "rack-bus-board", "ghost-light-preamp", "prop-table-supply"}
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
E96 = tuple(round(100 * 10 ** (i / 96)) for i in range(96))
WORDS_OF_REFS = re.compile(r"\b(?:[RCDUQJF]|RV|RT|SW|LED|BT|LS)[0-9]{1,3}\b")

each_kit = pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
each_procedure = pytest.mark.parametrize("procedure", sorted(shipped_procedures()))


def without_lines(kit: Kit) -> object:
    """The kit as plain data, without what depends on how its file is laid out."""

    def plain(node: object) -> object:
        if isinstance(node, dict):
            return {key: plain(value) for key, value in node.items() if key not in ("line", "digest", "file")}
        return [plain(each) for each in node] if isinstance(node, list | tuple) else node

    return plain(msgspec.to_builtins(kit))


def soldered_joints(part: PartLine) -> int:
    return (part.joints + part.socket_joints) * part.quantity


def plan(path: Path, procedure: str) -> Plan:
    return make_plan(shipped(path), SHIPPED[procedure])


def steps_of(path: Path, procedure: str, *actions: str) -> list[Step]:
    return [step for step in plan(path, procedure).steps if step.action in actions]


def socketed(path: Path) -> set[str]:
    """Designators of what is pushed into a socket: ICs, a valve, a fuse."""
    return {ref for ref, part in Circuit(path).lines.items() if part.socket}


def test_a_batch_ships() -> None:
    assert {OSCILLATOR, METRONOME} <= set(ALL)
    assert len(ALL) == 14
    assert {shipped(path).maker for path in ALL} == {"Lantern Yard Workshop", "Fly Gallery Circle"}
    assert len({shipped(path).title for path in ALL}) == len(ALL)


@each_kit
def test_a_shipped_kit_leaves_no_doubt(path: Path) -> None:
    assert [str(remark) for remark in kit_remarks(shipped(path))] == []


@each_kit
def test_a_shipped_kit_says_everything_itself(path: Path) -> None:
    kit = shipped(path)
    assert all((kit.name, kit.maker, kit.revision, kit.about, kit.scenario, kit.errata, kit.notes, kit.tools))
    for board in kit.boards:
        for part in board.parts:
            assert not part.kind_guessed, part
            assert not part.joints_guessed, part
            assert part.section in kit.sections, part
            if part.kind in ("resistor", "ceramic capacitor", "film capacitor", "electrolytic capacitor"):
                assert part.tolerance, part


@each_kit
def test_writing_a_shipped_kit_and_reading_it_again_changes_nothing(path: Path) -> None:
    kit = shipped(path)
    again = parse_kit(kit_text(kit).encode(), kit.file)
    assert without_lines(again) == without_lines(kit)


@pytest.mark.parametrize(("path", "fewest", "most"), [
    (OSCILLATOR, 90, 120), (METRONOME, 20, 30), (KITS / "passive-splitter.yaml", 8, 15),
    (KITS / "rack-bus-board.yaml", 15, 25), (KITS / "cue-envelope.yaml", 35, 50),
    (KITS / "cue-listener.yaml", 30, 40), (KITS / "twin-vca.yaml", 50, 65), (KITS / "fog-filter.yaml", 70, 90),
    (KITS / "ghost-light-preamp.yaml", 30, 40), (KITS / "prop-table-supply.yaml", 35, 45),
    (KITS / "night-watch-receiver.yaml", 50, 60), (KITS / "applause-switch.yaml", 45, 55),
    (KITS / "thunder-sheet-pedal.yaml", 30, 40), (KITS / "usher-lamp.yaml", 20, 30),
])  # fmt: skip
def test_a_kit_is_of_the_size_it_promises(path: Path, fewest: int, most: int) -> None:
    assert fewest <= len(Circuit(path).lines) <= most


def test_the_makers_counts_are_those_of_a_count_by_hand() -> None:
    # main: 33 R, 19 C, 6 RV, 6 D, 6 Q, 6 U, 3 J, 2 F, RT; control: 14 R, 3 C, D, 2 U, 5 RV, SW, LED, 10 J
    boards = shipped(OSCILLATOR).boards
    assert [sum(len(part.refs) for part in board.parts) for board in boards] == [
        33 + 19 + 6 + 6 + 6 + 6 + 3 + 2 + 1,
        14 + 3 + 1 + 2 + 5 + 1 + 1 + 10,
    ]
    joints = [sum(map(soldered_joints, board.parts)) for board in boards]
    assert joints == [
        2 * (33 + 19 + 6 + 1 + 2) + 3 * (6 + 6 + 2) + 3 * 8 + 14 + 10 + 2 * 10,
        2 * (14 + 3 + 1 + 1) + 2 * 8 + 5 * 5 + 3 + 8 * 3 + 2 * 10,
    ]


@each_kit
def test_each_ic_sits_in_a_socket_of_its_own_number_of_pins(path: Path) -> None:
    ics = Circuit(path).of_kind("IC")
    assert bool(ics) == (path.stem not in NO_ICS)
    for ref, part in ics.items():
        pins = PINS[part.value]
        if part.package.startswith("SOIC"):
            assert (part.package, part.socket, part.joints) == (f"SOIC-{pins}", "", pins), ref
        else:
            assert (part.socket, part.socket_joints, part.joints) == (f"DIP-{pins}", pins, 0), ref


def test_panel_parts_sit_on_the_control_board_only() -> None:
    panel = {ref for ref, part in Circuit(OSCILLATOR).lines.items() if part.mount == "panel"}
    assert {Circuit(OSCILLATOR).boards[ref] for ref in panel} == {"control"}
    assert len(panel) == 5 + 8 + 1 + 1
    control = next(board for board in shipped(OSCILLATOR).boards if board.name == "control")
    assert sum(part.kind == "panel" for part in control.parts) == 1
    assert sum(part.quantity for part in control.parts if part.kind == "knob") == 5


def test_the_boards_headers_mate() -> None:
    circuit = Circuit(OSCILLATOR)
    sockets, headers = circuit.of_kind("pin socket"), circuit.of_kind("pin header")
    assert {circuit.boards[ref] for ref in sockets} == {"main"}
    assert {circuit.boards[ref] for ref in headers} == {"control"}
    assert sorted(part.value for part in sockets.values()) == sorted(part.value for part in headers.values())
    for ref, part in (sockets | headers | circuit.of_kind("box header")).items():
        rows, pins = part.value.split("x")
        assert part.joints == int(rows) * int(pins), ref
    length = next(part.value for board in circuit.kit.boards for part in board.parts if part.kind == "spacer")
    assert length == "M3x11 spacer"  # 8.5 mm socket + 2.5 mm header, usual parts (common practice, no source)


def test_tall_parts_between_the_stacked_boards_are_laid_flat() -> None:
    between = Circuit(OSCILLATOR).of_kind("electrolytic capacitor", "resettable fuse")
    assert len(between) == 5
    assert {part.mount for part in between.values()} == {"laid flat"}


@each_kit
def test_markings_on_capacitors_mean_their_values(path: Path) -> None:
    circuit = Circuit(path)
    letters = {"": None, "J": "5 %", "K": "10 %"}
    volts = {"2A": "100 V", "2J": "630 V", None: None}
    for ref, part in circuit.of_kind("ceramic capacitor", "film capacitor").items():
        if part.package == "0805":  # chip capacitors of this size carry no mark (common practice, no source)
            assert not part.marking, ref
            continue
        found = re.fullmatch(r"(2A|2J)?([0-9]{2})([0-6])([JK]?)(63)?", part.marking)
        assert found, f"{ref}: {part.marking}"
        assert float(found[2]) * 10 ** int(found[3]) * 1e-12 == pytest.approx(circuit[ref]), ref
        assert letters[found[4]] in (None, part.tolerance), ref
        assert volts[found[1]] in (None, part.voltage), ref
        assert not found[5] or part.voltage == f"{found[5]} V", ref


@each_kit
def test_resistors_have_values_that_are_made(path: Path) -> None:
    circuit = Circuit(path)
    for ref in circuit.of_kind("resistor"):
        digits = Decimal(str(circuit[ref])).normalize().as_tuple().digits
        three = int("".join(map(str, (*digits, 0, 0)))[:3])
        assert len(digits) <= 3, ref
        assert three in E96 or (len(digits) <= 2 and three // 10 in E24), f"{ref}: {three}"


@each_kit
def test_texts_name_only_parts_that_are_there(path: Path) -> None:
    circuit = Circuit(path)
    kit = circuit.kit
    texts = [*kit.errata, *kit.notes, *(trim.how + trim.target for trim in kit.trims)]
    texts += [check.where + check.how for check in circuit.checks().values()]
    texts += [text for board in kit.boards for part in board.parts for text in (*part.cautions, part.note)]
    named = {ref for text in texts for ref in WORDS_OF_REFS.findall(text)}
    assert len(named) > 3
    assert named - {part.value for part in circuit.lines.values()} <= set(circuit.lines)


@each_kit
def test_each_expectation_can_be_judged(path: Path) -> None:
    checks = [check for check in Circuit(path).checks().values() if check.expect]
    assert len(checks) >= 8
    for check in checks:
        found = parse_expectation(check.expect)
        assert found.unit in ("ohm", "volt", "ampere", "hertz"), check


@each_kit
@each_procedure
def test_a_shipped_kit_is_planned_whole(path: Path, procedure: str) -> None:
    circuit = Circuit(path)
    made = plan(path, procedure)
    soldered = [item for step in made.steps if step.action == "solder" for item in step.items]
    inserted = [item for step in made.steps if step.action == "insert" for item in step.items]
    assert len(soldered) == len(set(soldered))
    pushed = socketed(path)
    assert {ref for ref, part in circuit.of_kind("IC").items() if "SOIC" not in part.package} <= pushed
    assert {item.rpartition("/")[2] for item in inserted} == pushed
    assert {item.rpartition("/")[2].removesuffix("#socket") for item in soldered} == set(circuit.lines)
    sockets = [item for item in soldered if item.endswith("#socket")]
    assert len(sockets) == len(pushed)
    parts = [part for board in circuit.kit.boards for part in board.parts]
    assert made.joints == sum(map(soldered_joints, parts))
    assert made.count.total == sum(part.quantity for part in parts) + len(pushed)


@each_kit
@each_procedure
def test_each_check_and_adjustment_comes_into_the_plan_unaltered(path: Path, procedure: str) -> None:
    kit = shipped(path)
    said = {(step.value, step.expect) for step in steps_of(path, procedure, "check")}
    for point in kit.hold_points:
        for check in point.checks:
            assert (check.where, check.expect) in said
    adjusted = [step.value for step in steps_of(path, procedure, "adjust")]
    assert len(adjusted) == len(kit.trims)
    assert len(plan(path, procedure).remarks) == len(kit.errata)


@each_kit
@each_procedure
def test_no_rail_is_checked_against_two_different_limits(path: Path, procedure: str) -> None:
    checks = [(step.stage, step.value) for step in steps_of(path, procedure, "check")]
    assert len(checks) == len(set(checks))
    kinds = {part.kind for board in shipped(path).boards for part in board.parts}
    where = "at each IC" if kinds & {"IC", "optocoupler"} else "on the board"
    for rail in shipped(path).supply:
        for place in (f"{rail.name} {where}", f"current from {rail.name}", f"{rail.name} and 0 V"):
            assert sum(value == place for _, value in checks) == 1, place


@each_kit
@each_procedure
def test_what_is_measured_with_the_ics_out_comes_before_they_go_in(path: Path, procedure: str) -> None:
    kit = shipped(path)
    steps = plan(path, procedure).steps
    pushed = [at for at, s in enumerate(steps) if s.action == "insert" and s.stage != "Fuses and links"]
    if not pushed:
        return
    first_in, last_in = pushed[0], pushed[-1]
    places = {step.value: at for at, step in enumerate(steps) if step.action == "check"}
    for point in kit.hold_points:
        for check in point.checks:
            if check.unplug or point.name == "Before power":
                assert places[check.where] < first_in, check
            elif check.expect:
                assert places[check.where] > last_in, check


@each_procedure
def test_low_parts_come_before_tall_ones_on_one_board(procedure: str) -> None:
    """Common practice, no source; following the signal it holds within each section."""
    order = [
        (step.kind, step.board)
        for step in steps_of(OSCILLATOR, procedure, "solder")
        if procedure == "low-to-high" or any(circuit_section(ref) == "power" for ref in step.refs)
    ]
    for board in ("main", "control"):
        kinds = [kind for kind, on in order if on == board]
        last = {kind: len(kinds) - 1 - kinds[::-1].index(kind) for kind in kinds}
        for low, tall in (
            ("resistor", "ceramic capacitor"),
            ("Schottky diode", "ceramic capacitor"),
            ("ceramic capacitor", "electrolytic capacitor"),
            ("IC socket", "jack socket"),
            ("pin header", "potentiometer"),
        ):
            if low in last and tall in last:
                assert last[low] < kinds.index(tall), (board, low, tall)


def circuit_section(ref: str) -> str:
    return Circuit(OSCILLATOR).lines[ref].section


@each_procedure
def test_nothing_is_to_be_pulled_out_where_every_ic_is_soldered_in(procedure: str) -> None:
    steps = steps_of(KITS / "usher-lamp.yaml", procedure, "check")
    assert [step.value for step in steps if "Out first" in step.detail] == []
    pulled = steps_of(KITS / "thunder-sheet-pedal.yaml", procedure, "check")
    assert "Out first: ICs." in next(step.detail for step in pulled if step.value == "+9 V and 0 V")

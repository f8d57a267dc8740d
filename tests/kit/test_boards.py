"""Where the parts of the shipped kits sit: on the board, not in one another, and as a designer would set them.

Sources: bodies of DIP (JEDEC MS-001), TO-92 (TO-226AA), TO-220, DO-35 (DO-204AH), DO-41 (DO-204AL), SOT-23
(TO-236AB), SOIC-8 (MS-012) and chips of 0805 (2.0 mm by 1.25 mm), cans by their lead spacing (IEC 60717),
ring cores of 0.5 and 0.37 inch by their names; panel parts and the rest common practice, no source. All from
memory.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from math import dist
from pathlib import Path

import pytest

from bench.kit.kit import Board, PartLine
from tests.support.kit_values import KITS, OSCILLATOR, Circuit, shipped

ALL = sorted(KITS.glob("*.yaml"))
BOARDS = [(path, board) for path in ALL for board in shipped(path).boards if board.size]
CANS = {"2": 5.0, "2.5": 6.3, "3.5": 8.0, "5": 10.0, "7.5": 16.0, "10": 22.0}
"""Diameter in mm by lead spacing in mm."""
BY_PACKAGE = {
    "TO-92": 4.0, "TO-220": 4.5, "DO-35": 1.9, "DO-41": 2.7, "DO-7": 2.5, "DO-201AD": 5.3, "SOT-23": 2.4,
    "SOIC-8": 5.0, "0805": 1.25, "T50-2 red": 12.7, "FT37-43 grey": 9.5, "9 mm upright": 9.5, "16 mm": 16.0,
    "25 turns upright": 4.8, "1 turn flat": 6.0, "3 mm SMD": 3.0, "HC-49": 4.5,
}  # fmt: skip
BY_KIND = {
    "resistor": 2.4, "ceramic capacitor": 2.5, "film capacitor": 4.0, "inductor": 3.5, "jack socket": 9.0,
    "box header": 8.8, "pin header": 2.5, "pin socket": 2.5, "resettable fuse": 3.0, "LED": 3.0,
    "potentiometer": 9.5, "toggle switch": 7.0, "slide switch": 4.0, "push button": 6.0, "fuse": 7.0,
    "DC socket": 9.0, "terminal block": 7.5, "relay": 15.0, "transformer": 35.0, "valve": 21.0,
    "heatsink": 13.0, "microphone": 9.7, "bridge rectifier": 9.0, "variable capacitor": 20.0,
    "trimmer capacitor": 7.0, "crystal": 4.5, "thermistor": 2.5, "IC": 7.6, "optocoupler": 7.6,
}  # fmt: skip

each_board = pytest.mark.parametrize(
    ("path", "board"), BOARDS, ids=[f"{path.stem}-{board.name}" for path, board in BOARDS]
)


def breadth(part: PartLine) -> float:
    """The shorter side of a part's body in mm: two parts nearer than half of both cannot both be there."""
    if part.kind == "electrolytic capacitor":
        return CANS[part.package.split()[1]]
    if part.socket.startswith("DIP"):
        return 7.6
    return BY_PACKAGE.get(part.package) or BY_KIND.get(part.kind, 1.0)


def places(board: Board) -> dict[str, tuple[PartLine, tuple[float, float], str]]:
    """Part, position and side by designator, of those that have a place on the board."""
    return {
        ref: (part, at, part.sides[number] if part.sides else "front")
        for part in board.parts
        if part.positions
        for number, (ref, at) in enumerate(zip(part.refs, part.positions, strict=True))
    }


def test_every_kit_says_where_its_parts_sit() -> None:
    assert {path for path, _ in BOARDS} == set(ALL)
    for path, board in BOARDS:
        on_wires = ("chassis", "cable") if path.stem == "thunder-sheet-pedal" else ()
        lettered = {ref for part in board.parts if part.mount not in on_wires for ref in part.refs}
        assert set(places(board)) == lettered, path.stem
    for path in ALL:
        assert all(board.size for board in shipped(path).boards), path.stem


@each_board
def test_no_part_hangs_over_the_edge(path: Path, board: Board) -> None:
    assert board.size
    for ref, (part, (x, y), _) in places(board).items():
        half = breadth(part) / 2
        assert half <= x <= board.size[0] - half, ref
        assert half <= y <= board.size[1] - half, ref


@each_board
def test_no_part_stands_in_another(path: Path, board: Board) -> None:
    for (one, (part, at, side)), (two, (other, there, behind)) in combinations(places(board).items(), 2):
        if side == behind:
            assert dist(at, there) >= (breadth(part) + breadth(other)) / 2 - 0.05, (one, two)
        else:
            assert dist(at, there) >= 2.5, (one, two)  # legs of one through the middle of the other


@each_board
def test_the_parts_of_a_side_leave_room_on_it(path: Path, board: Board) -> None:
    assert board.size
    for side in ("front", "back"):
        area = sum(breadth(part) ** 2 for part, _, on in places(board).values() if on == side)
        assert area < 0.6 * board.size[0] * board.size[1]


@pytest.mark.parametrize("path", [path for path in ALL if shipped(path).panel_width.endswith("HP")])
def test_what_looks_through_a_racks_panel_is_on_the_front_and_fits_its_width(path: Path) -> None:
    kit = shipped(path)
    for board in kit.boards:
        assert board.size
        assert board.size[0] <= 5.08 * float(kit.panel_width.removesuffix(" HP")) - 0.3  # IEC 60297-3
        assert board.size[1] <= 110  # between the rails of 3 U (common practice, no source)
        for ref, (part, _, side) in places(board).items():
            if part.mount == "panel":
                assert side == "front", ref
            elif path != OSCILLATOR:
                assert side == "back", ref


@pytest.mark.parametrize("path", [path for path in ALL if shipped(path).panel_width.endswith("HP")])
def test_panel_parts_stand_in_rows_about_the_middle(path: Path) -> None:
    for board in shipped(path).boards:
        assert board.size
        found = [at for part, at, _ in places(board).values() if part.mount == "panel"]
        for row in {y for _, y in found}:
            along = sorted(x for x, y in found if y == row)
            assert along == pytest.approx(sorted(board.size[0] - x for x in along)), (row, along)


def test_two_halves_that_are_alike_lie_alike() -> None:
    def at(kit: str, ref: str) -> tuple[float, float]:
        return next(
            places(board)[ref][1] for board in shipped(KITS / f"{kit}.yaml").boards if ref in places(board)
        )

    for one, two in (("RV1", "RV2"), ("R1", "R12"), ("R4", "R15"), ("Q1", "Q2"), ("D3", "D4"), ("RV3", "RV4")):
        (x, y), (u, v) = at("twin-vca", one), at("twin-vca", two)
        assert x + u == pytest.approx(38), (one, two)
        assert y == v, (one, two)
    for one, two in (("U1", "U2"), ("HS1", "HS2")):
        (x, y), (u, v) = at("prop-table-supply", one), at("prop-table-supply", two)
        assert x + u == pytest.approx(120), (one, two)
        assert y == v, (one, two)
    outlets = [at("rack-bus-board", f"J{number}") for number in range(1, 7)]
    assert {y for _, y in outlets} == {23}
    assert {right[0] - left[0] for left, right in pairwise(outlets)} == {16}


def test_parts_stand_where_the_kits_words_say() -> None:
    supply = places(shipped(KITS / "prop-table-supply.yaml").boards[0])
    for regulator, heatsink in (("U1", "HS1"), ("U2", "HS2")):
        assert dist(supply[regulator][1], supply[heatsink][1]) <= 10
    for resistor, regulator in (("R3", "U1"), ("R4", "U2")):  # what is said of them: close to its legs
        assert dist(supply[resistor][1], supply[regulator][1]) <= 12
    switch = places(shipped(KITS / "applause-switch.yaml").boards[0])
    assert dist(switch["U2"][1], switch["K1"][1]) < dist(switch["U1"][1], switch["K1"][1])
    receiver = places(shipped(KITS / "night-watch-receiver.yaml").boards[0])
    assert dist(receiver["Y1"][1], receiver["Q1"][1]) <= 40
    assert dist(receiver["L1"][1], receiver["L2"][1]) >= 20  # coupled by C2, not by their fields


def test_the_sound_switch_has_two_sides() -> None:
    circuit = Circuit(KITS / "applause-switch.yaml")
    front = {ref for ref, part in circuit.lines.items() if part.sides == ("front",)}
    assert front == {"MK1", "RV1", "RV2", "LED1", "J4"}
    assert not {ref for ref, part in circuit.lines.items() if part.mount == "panel"}

"""How hard a kit is: every reason counted, every point explained.

In a batch single boards come first, boards that are joined and oscillators that track last (common practice, no
source).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.batch.difficulty import BOARDS, DEADLY, ONE_BOARD, TRACKING, difficulty_of, lookalike_pairs
from bench.kit.kit import Board, HoldPoint, Kit, PartLine, Trim
from tests.support.kit_values import KITS, METRONOME, OSCILLATOR, shipped
from tests.support.samples import part

ALL = sorted(KITS.glob("*.yaml"))


def a_kit(*lines: PartLine, **more: object) -> Kit:
    return replace(Kit(name="A kit", boards=(Board(name="main", parts=lines),)), **more)


def said(kit: Kit) -> dict[str, int]:
    return {reason.what: reason.points for reason in difficulty_of(kit).reasons}


PLAIN = a_kit(part("R1 R2 R3", "4k7"), part("R4", "1M"))


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_the_number_is_the_sum_of_its_reasons_and_the_largest_comes_first(path: Path) -> None:
    found = difficulty_of(shipped(path))
    points = [reason.points for reason in found.reasons]
    assert found.points == sum(points)
    assert points == sorted(points, reverse=True)
    assert min(points) > 0
    assert sum(map(found.share, found.reasons)) == pytest.approx(100, abs=len(points) / 2)


def test_counts_are_those_of_a_count_by_hand() -> None:
    """Twin-board oscillator: 358 joints, 2 boards, 5 parts laid flat, RT1 upright, 2 sockets and 2 headers."""
    reasons = said(shipped(OSCILLATOR))
    for what in (
        "358 joints",
        "2 boards to join",
        "1 upright part",
        "5 parts laid flat to save height",
        "4 headers to line up from board to board",
        "1 tracking adjustment",
        "5 trims",
        "3 hold points",
        # main: J1, D1-D6, C1 C2 C5, U1-U6, Q1-Q6; control: D101, U101 U102, LED101
        "26 polarised parts",
    ):
        assert what in reasons
    assert said(shipped(METRONOME))["71 joints"] == 5


@pytest.mark.parametrize(
    ("harder", "why"),
    [
        (replace(PLAIN, trims=(Trim(name="Scale", kind="volts per octave"),)), "1 tracking adjustment"),
        (replace(PLAIN, trims=(Trim(name="Offset"),)), "1 trim"),
        (replace(PLAIN, hold_points=(HoldPoint(name="Before power", checks=()),)), "1 hold point"),
        (replace(PLAIN, hazards=("stored charge",)), "stored charge"),
        (replace(PLAIN, hazards=("mains",)), "mains"),
        (a_kit(part("R1 R2 R3", "4k7"), part("R4", "47k")), "1 look-alike pair"),
        (a_kit(part("R1 R2 R3", "4k7", mount="upright"), part("R4", "1M")), "3 upright parts"),
        (a_kit(part("R1 R2 R3", "4k7", mount="laid flat"), part("R4", "1M")), "3 parts laid flat"),
        (a_kit(part("R1 R2 R3", "4k7"), part("D1", "1N4148", "diode")), "1 polarised part"),
    ],
)
def test_each_thing_that_makes_it_harder_adds_points_and_says_so(harder: Kit, why: str) -> None:
    assert difficulty_of(harder).points > difficulty_of(PLAIN).points
    assert any(what.startswith(why) for what in said(harder))
    assert not any(what.startswith(why) for what in said(PLAIN))


def test_a_second_board_and_its_headers_make_it_harder() -> None:
    header = part("J1", "1x10", "pin header", 10)
    joined = Kit(
        name="Two boards",
        boards=(*PLAIN.boards, Board(name="control", parts=(header,))),
    )
    assert {"2 boards to join": 10, "1 header to line up from board to board": 2}.items() <= said(
        joined
    ).items()
    assert "1 header to line up from board to board" not in said(a_kit(header))
    bare = Board(name="panel", parts=(part("", "panel", "panel", 0, quantity=1),))
    assert difficulty_of(Kit(name="A", boards=(*PLAIN.boards, bare))).level == ONE_BOARD


def test_density_is_per_square_centimetre_where_places_are_known_and_per_hp_otherwise() -> None:
    places = tuple((10.0 * x, 10.0 * y) for x in range(3) for y in range(3))
    nine = part("R1 R2 R3 R4 R5 R6 R7 R8 R9", "4k7", positions=places)
    assert "2.2 parts per cm²" in said(a_kit(nine, panel_width="2 HP"))  # 9 on 20 mm by 20 mm
    assert "4.5 parts per HP of each board" in said(a_kit(replace(nine, positions=()), panel_width="2 HP"))
    assert len(said(a_kit(replace(nine, positions=()), panel_width="wide"))) == 1
    in_a_row = replace(nine, positions=tuple((10.0 * x, 5.0) for x in range(9)))
    assert not any("centimetre" in what for what in said(a_kit(in_a_row)))


def test_look_alikes_count_on_one_board_and_each_pair_once() -> None:
    lines = (part("R1", "4k7"), part("R2", "47k"), part("R3", "47k", section="other"))
    assert lookalike_pairs(a_kit(*lines)) == 1
    apart = Kit(name="Apart", boards=(Board(name="a", parts=lines[:1]), Board(name="b", parts=lines[1:])))
    assert lookalike_pairs(apart) == 0


@pytest.mark.parametrize(
    ("kit", "level"),
    [
        ("passive-splitter", ONE_BOARD), ("rack-bus-board", ONE_BOARD), ("first-evening-metronome", ONE_BOARD),
        ("fog-filter", ONE_BOARD), ("twin-board-oscillator", TRACKING), ("ghost-light-preamp", DEADLY),
    ],
)  # fmt: skip
def test_a_kit_has_its_class(kit: str, level: int) -> None:
    assert difficulty_of(shipped(KITS / f"{kit}.yaml")).level == level


def test_two_boards_without_tracking_are_a_class_of_their_own() -> None:
    assert difficulty_of(replace(shipped(OSCILLATOR), trims=())).level == BOARDS


def test_a_kit_of_nothing_has_no_points() -> None:
    found = difficulty_of(Kit(name="Empty", boards=()))
    assert (found.points, found.reasons, found.level_words) == (0, (), "one board")


def test_parts_without_legs_count() -> None:
    """The weight is our own."""
    chips = a_kit(part("R1 R2 R3 R4 R5 R6", "4k7", package="0805"))
    assert said(chips)["6 surface-mount parts"] == 2
    assert not any("legs" in what for what in said(PLAIN))
    assert "24 surface-mount parts" in said(shipped(KITS / "usher-lamp.yaml"))


def test_a_first_kit_comes_to_about_fifteen_points_and_a_dense_oscillator_to_about_a_hundred() -> None:
    """What the weights are set by; they are our own."""
    assert difficulty_of(shipped(METRONOME)).points == pytest.approx(15, abs=3)
    assert difficulty_of(shipped(OSCILLATOR)).points == pytest.approx(100, abs=5)


def test_density_needs_the_places_of_most_parts_on_an_area() -> None:
    def dense(*places: tuple[float, float], lettered: int = 4) -> bool:
        refs = " ".join(f"R{at}" for at in range(1, lettered + 1))
        return any("per cm²" in what for what in said(a_kit(part(refs, "4k7", positions=places))))

    corners = ((0.0, 0.0), (10.0, 0.0), (0.0, 10.0), (10.0, 10.0))
    assert dense(*corners)
    assert dense(*corners, lettered=8)
    assert not dense(*corners, lettered=9)
    assert not dense(*corners[:3], lettered=3)
    assert not dense((0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0))
    assert not dense((0.0, 0.0), (100.0, 0.0), (0.0, 100.0), (100.0, 100.0))


def test_four_parts_on_a_square_centimetre_are_told_as_such() -> None:
    corners = ((0.0, 0.0), (10.0, 0.0), (0.0, 10.0), (10.0, 10.0))
    assert "4.0 parts per cm²" in said(a_kit(part("R1 R2 R3 R4", "4k7", positions=corners)))
    half = ((0.0, 0.0), (20.0, 0.0), (0.0, 10.0), (20.0, 10.0))
    assert "2.0 parts per cm²" in said(a_kit(part("R1 R2 R3 R4", "4k7", positions=half)))

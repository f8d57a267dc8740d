"""Zones: letters and numbers of a board's grid, from its size or from its parts."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.kit import Board
from bench.plan.zones import LETTERS, ZoneGrid, grid_of, spots_of, zone_words
from tests.support.kit_values import METRONOME, OSCILLATOR, shipped
from tests.support.plans import zone_of
from tests.support.simulated_kits import line

MM = st.floats(-300, 600, allow_nan=False)


def board_with(*places: tuple[float, float], size: tuple[float, float] | None = None) -> Board:
    """A board with resistors R1, R2 and so on at these places."""
    refs = " ".join(f"R{number}" for number in range(1, len(places) + 1))
    return Board(name="main", parts=(line(refs, "1k", "resistor", positions=places),), size=size)


def grid(board: Board) -> ZoneGrid:
    found = grid_of(board)
    assert found is not None
    return found


def test_columns_have_letters_from_the_left_and_rows_numbers_from_the_top() -> None:
    board = board_with((1, 99), (39, 99), (21, 61), (59, 1), size=(60, 100))
    assert [zone_of(board, f"R{number}") for number in (1, 2, 3, 4)] == ["A1", "B1", "B2", "C5"]


def test_a_zone_is_about_twenty_millimetres_and_half_of_that_on_a_small_board() -> None:
    large, small = grid(board_with((1, 1), size=(100, 160))), grid(board_with((1, 1), size=(40, 30)))
    assert (large.columns, large.rows, large.column_width, large.row_height) == (5, 8, 20, 20)
    assert (small.columns, small.rows, small.column_width, small.row_height) == (4, 3, 10, 10)


def test_a_board_whose_longer_side_is_shorter_than_sixty_millimetres_is_small() -> None:
    at_limit, below = grid(board_with((1, 1), size=(60, 40))), grid(board_with((1, 1), size=(59.9, 40)))
    assert (at_limit.columns, at_limit.rows) == (3, 2)
    assert (below.columns, below.rows) == (6, 4)


def test_the_letters_that_read_as_figures_are_left_out_and_a_wide_board_runs_out_of_none() -> None:
    """ISO 5457, from memory: I and O are not used for the fields of a drawing sheet."""
    assert not {"I", "O"} & set(LETTERS)
    wide = grid(board_with((1, 1), (5999, 1), size=(6000, 20)))
    assert wide.columns == len(LETTERS) <= 26
    assert wide.zone_at(5999, 1) == "Z1"


def test_without_a_size_the_grid_lies_around_the_parts_with_a_little_room() -> None:
    found = grid(board_with((121, -62), (181, -142)))
    assert (found.left, found.bottom, found.width, found.height) == (116, -147, 70, 90)
    assert zone_of(board_with((121, -62), (181, -142)), "R1") == "A1"


def test_a_size_that_the_positions_do_not_fit_is_not_believed() -> None:
    inside, outside = board_with((5, 5), size=(60, 60)), board_with((5, 5), (70, 5), size=(60, 60))
    assert grid(inside).width == 60
    assert grid(outside).width == 75


def test_a_part_without_a_position_has_no_zone_and_a_board_without_any_no_grid() -> None:
    board = board_with((5, 5), size=(60, 60))
    bare = Board(name="bare", parts=(line("R1", "1k", "resistor"),), size=(60, 60))
    assert zone_of(board, "R7") == ""
    assert grid_of(bare) is None
    assert zone_of(bare, "R1") == ""
    assert list(spots_of(bare)) == []


@given(st.lists(st.tuples(MM, MM), min_size=1, max_size=20))
def test_every_part_lies_within_its_zone(places: list[tuple[float, float]]) -> None:
    board = board_with(*places)
    found = grid(board)
    for spot in spots_of(board):
        zone = zone_of(board, spot.ref)
        column, row = LETTERS.index(zone[0]), int(zone[1:]) - 1
        assert column < found.columns
        assert row < found.rows
        across, down = found.seen(spot.x, spot.y)
        assert column * found.column_width - 1e-6 <= across <= (column + 1) * found.column_width + 1e-6
        assert row * found.row_height - 1e-6 <= down <= (row + 1) * found.row_height + 1e-6


def test_a_board_turned_over_keeps_its_zones_but_shows_them_from_the_other_end() -> None:
    found = grid(board_with((10, 90), size=(60, 100)))
    assert found.letters() == ("A", "B", "C")
    assert found.letters("back") == ("C", "B", "A")
    assert found.seen(10, 90, "front") == (10, 10)
    assert found.seen(10, 90, "back") == (50, 10)


def test_zones_are_said_after_the_designators_in_the_order_given() -> None:
    assert zone_words(("R1", "R2", "R3"), ("A1", "A1", "")) == "R1, R2 in A1; R3 somewhere"
    assert zone_words(("R1",), ("",)) == ""
    assert zone_words((), ()) == ""


@pytest.mark.parametrize("path", [OSCILLATOR, METRONOME])
def test_each_part_of_a_shipped_kit_has_a_spot_of_its_own_on_its_board(path: Path) -> None:
    for board in shipped(path).boards:
        assert board.size
        spots = list(spots_of(board))
        assert {spot.ref for spot in spots} == {ref for part in board.parts for ref in part.refs}
        assert all(0 < spot.x < board.size[0] and 0 < spot.y < board.size[1] for spot in spots)
        places = [(spot.x, spot.y) for spot in spots]
        assert len(set(places)) == len(places)
        near = min(
            max(abs(one[0] - other[0]), abs(one[1] - other[1]))
            for at, one in enumerate(places)
            for other in places[:at]
        )
        assert near >= 2.5, "two parts nearer than the width of a resistor"


def test_the_headers_of_the_stacked_boards_stand_over_one_another() -> None:
    main, control = shipped(OSCILLATOR).boards
    spots = {spot.ref: spot for spot in (*spots_of(main), *spots_of(control))}
    for socket, header in (("J2", "J101"), ("J3", "J102")):
        assert (spots[socket].x, spots[socket].y) == (spots[header].x, spots[header].y)
        assert (spots[socket].side, spots[header].side) == ("front", "back")
    assert {spot.ref for spot in spots_of(main) if spot.side == "front"} == {
        "J2", "J3", "F1", "F2", "C1", "C2", "C5",
    }  # fmt: skip

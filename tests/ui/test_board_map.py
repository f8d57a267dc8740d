"""The map of a board in a terminal: outline, zones at its edges, a mark and a name for each part to place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.kit.kit import Board, Kit
from bench.plan.plan import Step
from bench.plan.stages import make_plan
from bench.session.board_map import WhereView, where_view
from bench.ui.board_map import MARK, lay_map, small_map
from bench.ui.text import cells
from tests.support.drawn import text_of
from tests.support.kit_values import METRONOME, OSCILLATOR, shipped
from tests.support.plans import ALL, LOW, part_steps, procedure_of
from tests.support.screens import HOSTILE
from tests.support.simulated_kits import kit_of, line

SIZES = [(40, 11), (80, 23), (120, 39)]
each_size = pytest.mark.parametrize(("width", "height"), SIZES)
Places = tuple[tuple[float, float], ...]


def view_of(
    places: Places, size: tuple[float, float] | None = (60.0, 100.0), side: str = "", left: tuple[str, ...] = ()
) -> WhereView:
    """Resistors R1, R2 and so on at these places, all of them still to be placed."""
    refs = " ".join(f"R{number}" for number in range(1, len(places) + 1))
    part = line(refs, "1k", "resistor", positions=places, sides=(side,) * len(places) if side else ())
    kit = Kit(name="Test", boards=(Board(name="main", parts=(part,), size=size),))
    (step,) = make_plan(kit, procedure_of(ALL, step_size=100)).steps
    return where_view(kit, step, left or step.refs)


def drawn(view: WhereView, width: int, height: int) -> list[str]:
    return [text_of(row) for row in lay_map(view, width, height)]


def steps_with_refs(path: Path) -> list[Step]:
    return [step for step in part_steps(make_plan(shipped(path), LOW)) if step.refs]


@each_size
@pytest.mark.parametrize("path", [OSCILLATOR, METRONOME], ids=["oscillator", "metronome"])
def test_every_step_of_a_shipped_kit_has_a_map_that_fits_and_names_each_part(
    path: Path, width: int, height: int
) -> None:
    kit = shipped(path)
    for step in steps_with_refs(path):
        rows = drawn(where_view(kit, step, step.refs), width, height)
        assert max(map(cells, rows)) <= width, step.value
        named = set(re.findall(r"[A-Z]+[0-9]+", "\n".join(rows[1:])))
        assert set(step.refs) <= named, step.value
        lost = any(re.search(r" \+[0-9]+$| \+[0-9]+ ─", row) for row in rows)
        assert len(rows) <= height or lost, step.value


@each_size
def test_letters_and_numbers_of_the_zones_stand_at_the_edges(width: int, height: int) -> None:
    rows = drawn(view_of(((30.0, 50.0),)), width, height)
    top, bottom = (next(row for row in rows if corner in row) for corner in "┌└")
    assert re.sub("[^A-Z]", "", top) == re.sub("[^A-Z]", "", bottom) == "ABC"
    inside = rows[rows.index(top) + 1 : rows.index(bottom)]
    assert {number for row in inside for number in re.findall("[1-9]", row.replace("R1", ""))} == set("12345")


SHARES = st.floats(min_value=0.0, max_value=1.0) | st.builds(lambda one: one / 60, st.integers(0, 60))
"""Of a side of the board; a sixtieth is often the line between two zones."""


@given(
    across=SHARES,
    down=SHARES,
    size=st.tuples(st.integers(10, 300), st.integers(10, 300)),
    side=st.sampled_from(("front", "back")),
    width=st.integers(min_value=8, max_value=50),
    height=st.integers(min_value=6, max_value=16),
)
@example(across=34.1 / 56, down=28.8 / 48, size=(56, 48), side="back", width=30, height=10)
@example(across=0.5, down=0.5, size=(60, 80), side="back", width=30, height=12)
def test_a_small_map_shows_a_part_in_the_zone_that_the_words_name(
    across: float, down: float, size: tuple[int, int], side: str, width: int, height: int
) -> None:
    view = view_of(((across * size[0], down * size[1]),), size, side)
    rows = [text_of(row) for row in small_map(view, width, height)]
    zone = re.search(r"([A-Z])([0-9]+)", view.words.replace("R1", ""))
    assert zone, view.words
    marked = [row for row in rows if MARK in row]
    assert len(marked) == bool(rows)
    for row in marked:
        assert row[0] == zone[2][-1], "\n".join([view.words, *rows])
        wide, letters = len(row) - 2, re.findall("[A-Z]", rows[1])
        assert letters[(row.index(MARK) - 1) * len(letters) // wide] == zone[1], "\n".join([view.words, *rows])


@each_size
def test_a_mark_lies_where_the_part_sits(width: int, height: int) -> None:
    rows = drawn(view_of(((1.0, 99.0), (59.0, 1.0))), width, height)
    top, bottom = (next(at for at, row in enumerate(rows) if corner in row) for corner in "┌└")
    left, right = rows[top].index("┌"), rows[top].rstrip().rindex("┐")
    assert rows[top + 1][left + 1] == "█"
    assert rows[bottom - 1][right - 1] == "█"
    assert rows[top + 1].lstrip().startswith(">R1 ─")
    assert rows[bottom - 1].rstrip().endswith("─ R2")


def test_the_outline_has_the_shape_of_the_board() -> None:
    """A character cell is about twice as high as wide (common practice, no source)."""
    for wide, high in ((60.0, 100.0), (100.0, 60.0), (80.0, 80.0)):
        for width, height in SIZES[1:]:
            rows = drawn(view_of(((30.0, 50.0),), size=(wide, high)), width, height)
            top, bottom = (next(at for at, row in enumerate(rows) if corner in row) for corner in "┌└")
            across = rows[top].rstrip().rindex("┐") - rows[top].index("┌") - 1
            assert across / (2 * (bottom - top - 1)) == pytest.approx(wide / high, rel=0.12)


def test_two_marks_in_one_cell_are_both_named_and_counted() -> None:
    rows = drawn(view_of(((10.0, 50.0), (10.2, 50.0), (50.0, 90.0))), 40, 11)
    assert any(re.search(r"R1\+R2 ─+┼?.*2", row) or re.search(r"R2\+R1 ─+┼?.*2", row) for row in rows)


def test_the_back_is_seen_from_the_back() -> None:
    front, back = (drawn(view_of(((5.0, 95.0),), side=side), 80, 23) for side in ("front", "back"))
    assert "main, front" in front[0]
    assert "main, back, board turned over like a page" in back[0]
    assert ">R1 ─" in "".join(front)
    assert "─ >R1" in "".join(back)
    assert re.sub("[^A-Z]", "", back[1]) == "CBA"


def test_parts_of_the_other_side_are_no_dots_on_this_one() -> None:
    lines = (
        line("R1", "1k", "resistor", positions=((5.0, 5.0),), sides=("front",)),
        line("R2", "2k", "resistor", positions=((30.0, 30.0),), sides=("back",)),
        line("R3", "3k", "resistor", positions=((40.0, 40.0),), sides=("front",)),
    )
    kit = Kit(name="Test", boards=(Board(name="main", parts=lines, size=(60.0, 60.0)),))
    step = make_plan(kit, procedure_of(ALL)).steps[0]
    (other,) = where_view(kit, step, step.refs).others
    assert other == pytest.approx((40.0, 20.0), abs=1e-3)


def test_only_what_is_left_of_the_step_is_marked_and_the_rest_is_a_dot() -> None:
    view = view_of(((10.0, 10.0), (50.0, 90.0)), left=("R2",))
    assert [mark.ref for mark in view.marks] == ["R2"]
    assert view.others == ((10.0, 90.0),)
    assert view.next_ref == "R2"


def test_when_all_of_a_step_is_in_all_of_it_is_marked_and_nothing_is_next() -> None:
    kit = shipped(METRONOME)
    step = steps_with_refs(METRONOME)[0]
    view = where_view(kit, step, ())
    assert [mark.ref for mark in view.marks] == list(step.refs)
    assert view.next_ref == ""
    assert ">" not in "".join(drawn(view, 80, 23))


MM = st.floats(0, 60)


@given(
    st.lists(st.tuples(MM, MM), min_size=1, max_size=40).map(tuple),
    st.integers(12, 130),
    st.integers(1, 45),
    st.sampled_from(["", "front", "back"]),
)
def test_any_places_in_any_room_make_a_map_on_which_every_part_is_named(
    places: Places, width: int, height: int, side: str
) -> None:
    rows = drawn(view_of(places, size=None, side=side), width, height)
    assert max(map(cells, rows)) <= width
    named = set(re.findall(r"R[0-9]+", " ".join(rows)))
    assert {f"R{number}" for number in range(1, len(places) + 1)} <= named


def test_a_step_without_designators_or_a_kit_without_positions_is_refused_with_what_to_do() -> None:
    kit = kit_of(line("R1", "1k", "resistor"))
    (step,) = make_plan(kit, procedure_of(ALL)).steps
    with pytest.raises(SoldersideError, match="gives no positions for board main") as found:
        where_view(kit, step, step.refs)
    assert "--placement" in found.value.hint
    with pytest.raises(SoldersideError, match="no designator"):
        where_view(kit, None, ())
    some = kit_of(line("R1", "1k", "resistor"), line("R2", "2k", "resistor", positions=((1.0, 1.0),)))
    steps = make_plan(some, procedure_of(ALL)).steps
    with pytest.raises(SoldersideError, match="no position for R1"):
        where_view(some, steps[0], ("R1",))


def test_a_designator_without_a_position_is_said_above_the_map() -> None:
    lines = line("R1", "1k", "resistor"), line("R2", "1k", "resistor", positions=((1.0, 1.0),))
    kit = kit_of(*lines)
    (step,) = make_plan(kit, procedure_of(ALL)).steps
    rows = drawn(where_view(kit, step, step.refs), 80, 23)
    assert rows[1] == "No position: R1"


@each_size
@pytest.mark.parametrize("text", HOSTILE)
def test_whatever_a_kit_calls_its_parts_the_map_stays_in_its_room(text: str, width: int, height: int) -> None:
    part = line("R1", text, "resistor", positions=((1.0, 1.0),))
    kit = Kit(name="Test", boards=(Board(name=text.replace("/", ""), parts=(part,)),))
    (step,) = make_plan(kit, procedure_of(ALL)).steps
    rows = drawn(where_view(kit, step, step.refs), width, height)
    assert max(map(cells, rows)) <= width
    assert not any("\x1b" in row for row in rows)

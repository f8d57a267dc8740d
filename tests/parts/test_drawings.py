"""Drawings of which way round a part goes in."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.kinds import KINDS
from bench.ui.drawings import orientation_drawing
from bench.ui.shapes import SHAPES, TALLEST, WIDEST
from bench.ui.text import cells
from tests.support.drawn import LOOKS, text_of

PACKAGES = (
    "", "DIP-8", "DIP-14", "DIP-40", "SIP-9", "TO-92", "TO-220", "TO-18", "TO-3", "SOT-23", "axial",
    "radial 2 mm", "DO-35", "DO-41", "2x5", "2x8", "2x20", "noval", "octal", "B7G", "KBL", "SOIC-8", "3 mm",
    "TQFP-32", "CP_Elec_5x5.4", "D_SMA",
)  # fmt: skip
VALUES = ("", "TL074", "2N3904", "2N2222", "7805", "79L12", "LM317", "VTL5C3", "4N25", "LCD 16x2", "W04M")


# -- which way round ----------------------------------------------------------------------------
@pytest.mark.parametrize("kind", [kind.name for kind in KINDS.values() if kind.polarised])
def test_every_polarised_kind_has_a_drawing_with_words(kind: str) -> None:
    rows = orientation_drawing(kind, "", WIDEST)
    assert rows
    assert re.search("[a-z]{3}", " ".join(map(text_of, rows)))


@given(
    st.sampled_from([kind.name for kind in KINDS.values() if not kind.polarised]), st.sampled_from(PACKAGES),
    st.sampled_from(VALUES),
)  # fmt: skip
def test_parts_that_go_in_either_way_have_none(kind: str, package: str, value: str) -> None:
    assert orientation_drawing(kind, package, 80, value) == ()


@given(
    st.sampled_from(sorted(KINDS)), st.one_of(st.sampled_from(PACKAGES), st.text(max_size=20)),
    st.one_of(st.sampled_from(VALUES), st.text(max_size=20)), st.integers(4, 200),
)  # fmt: skip
def test_a_drawing_is_never_wider_than_its_room_nor_larger_than_promised(
    kind: str, package: str, value: str, width: int
) -> None:
    rows = orientation_drawing(kind, package, width, value)
    assert len(rows) <= TALLEST
    for row in rows:
        assert sum(cells(text) for text, _ in row) <= min(width, WIDEST)
        assert {look for _, look in row} <= LOOKS
    if width >= WIDEST:
        assert rows == orientation_drawing(kind, package, 200, value)


def test_every_shape_is_small_and_made_of_signs_that_every_terminal_font_has() -> None:
    """Code page 437 is in every terminal's font; minus, ellipsis and bullet are in most (from memory)."""
    drawn = dict(SHAPES)
    for kind in KINDS:
        for package in PACKAGES:
            for value in VALUES:
                rows = orientation_drawing(kind, package, 80, value)
                drawn[f"{kind} {package} {value}"] = tuple(map(text_of, rows))
    for name, lines in drawn.items():
        assert len(lines) <= TALLEST, name
        for line in lines:
            assert cells(line) <= WIDEST, (name, line)
            line.translate(dict.fromkeys(map(ord, "−…•"))).encode("cp437")


def test_every_shape_is_used() -> None:
    seen = {
        tuple(map(text_of, orientation_drawing(kind, package, 80, value)))
        for kind in KINDS for package in (*PACKAGES, "DIP-4") for value in VALUES
    }  # fmt: skip
    for name, shape in SHAPES.items():
        assert any(rows[: len(shape)] == shape for rows in seen), name


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("diode", "stripe = cathode"),
        ("LED", "K −, short leg"),
        ("electrolytic capacitor", "stripe = minus"),
        ("electrolytic capacitor", "+, long leg"),
        ("tantalum capacitor", "the + marks"),
        ("IC", "notch"),
        ("IC", "pin 1"),
        ("IC socket", "notch"),
        ("optocoupler", "dot = pin 1"),
        ("transistor", "flat side"),
        ("voltage regulator", "metal side"),
        ("box header", "notch = key"),
        ("valve socket", "gap"),
        ("cable", "pin 1"),
    ],
)
def test_the_mark_that_counts_is_named(kind: str, words: str) -> None:
    """Which mark counts on which part: common practice, no source."""
    assert words in "\n".join(map(text_of, orientation_drawing(kind, "", 40)))


@pytest.mark.parametrize("pins", [4, 6, 8, 14, 16, 18, 20, 24, 28, 40])
def test_pins_of_a_chip_count_down_the_left_and_up_the_right(pins: int) -> None:
    """Opposite pins add up to one more than their number: the usual numbering of DIP cases."""
    lines = [text_of(row) for row in orientation_drawing("IC socket", f"DIP-{pins}", 40)]
    pairs = [found.groups() for line in lines if (found := re.search(r"(\d+) ─┤.*├─ (\d+)", line))]
    assert (pairs[0][0], pairs[-1]) == ("1", (str(pins // 2), str(pins // 2 + 1)))
    assert all(int(left) + int(right) == pins + 1 for left, right in pairs)


def test_a_box_header_has_as_many_columns_as_its_name_says_and_pin_1_beside_the_notch() -> None:
    """Key on the side of the odd row, pin 1 at its left seen from above: common practice, no source."""
    lines = [text_of(row) for row in orientation_drawing("box header", "", 40, "2x8")]
    assert lines[1].split() == ["│", *"oooooooo", "│"]
    assert lines[2].split() == ["│", "1", *"ooooooo", "│"]
    assert re.fullmatch(r" +└─+┘ {3}└─+┘", lines[3])


@pytest.mark.parametrize(
    ("kind", "package", "value", "words"),
    [
        ("transistor", "TO-92", "2N3904", "E B C"),
        ("transistor", "", "BC547B", "C B E"),
        ("voltage regulator", "", "7805", "in gnd out"),
        ("voltage regulator", "TO-220", "LM7912", "gnd in out"),
        ("voltage regulator", "", "78L05", "out gnd in"),
    ],
)
def test_known_legs_are_given_as_the_usual_ones_to_compare(
    kind: str, package: str, value: str, words: str
) -> None:
    """Legs of the usual data sheets, print towards the reader, left to right (from memory)."""
    said = "\n".join(map(text_of, orientation_drawing(kind, package, 40, value)))
    assert f"1 2 3 mostly {words}:" in said
    assert "compare with the print" in said


def test_cases_without_a_drawing_get_none_rather_than_a_wrong_one() -> None:
    for kind, package in (("transistor", "TO-3"), ("JFET", "SOT-23"), ("diode", "TO-220"), ("diode", "SOT-23")):
        assert orientation_drawing(kind, package, 40) == ()


def test_both_usual_cases_are_drawn_when_the_kit_leaves_the_case_open() -> None:
    said = "\n".join(map(text_of, orientation_drawing("MOSFET", "", 40)))
    assert "flat side" in said
    assert "metal side" in said

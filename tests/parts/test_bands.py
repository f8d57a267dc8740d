"""Colour bands of resistors as drawn on screen."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from eseries import E24, E96, series
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.colours import decode, encode
from bench.parts.palette import COLOURS
from bench.parts.quantity import Quantity, letter_code
from bench.ui.bands import BAND_LOOKS, StyledRow, band_strip
from bench.ui.drawings import orientation_drawing
from bench.ui.text import cells
from tests.support.drawn import LOOKS, text_of

WORKED = [
    # Worked out by hand from the table of IEC 60062
    ("red red red silver", "2k2", "10 %"),
    ("yellow violet brown gold", "470R", "5 %"),
    ("brown black black red brown", "10k", "1 %"),
    ("brown black red gold", "1k", "5 %"),
    ("red violet green gold", "2M7", "5 %"),
    ("yellow violet green orange brown", "475k", "1 %"),
]
POWERS = {"": 1, "k": 10**3, "M": 10**6, "G": 10**9}


def colours_of(rows: tuple[StyledRow, ...]) -> tuple[str, ...]:
    """Names of the coloured cells of the one row that has digits in it."""
    row = next(row for row in rows if any(char.isdigit() for char in text_of(row)))
    return tuple(look.removeprefix("band-") for _, look in row if look.startswith("band-"))


def ohms_of(labels: list[str]) -> Decimal:
    """What digits and a factor such as `×10k` come to."""
    factor = re.fullmatch(r"×([\d.]+)([kMG]?)", labels[-1])
    assert factor
    return Decimal("".join(labels[:-1])) * Decimal(factor[1]) * POWERS[factor[2]]


# -- bands --------------------------------------------------------------------------------------
@pytest.mark.parametrize(("bands", "value", "tolerance"), WORKED)
@pytest.mark.parametrize("compact", [False, True])
def test_published_codes_are_drawn_in_their_colours(
    bands: str, value: str, tolerance: str, compact: bool
) -> None:
    rows = band_strip(value, tolerance, 80, compact=compact)
    assert colours_of(rows) == tuple(bands.split())
    said = " ".join(map(text_of, rows))
    assert all(name in said for name in bands.split())


@given(
    st.sampled_from([*series(E24), *series(E96)]), st.integers(0, 7), st.sampled_from(("1", "2", "0.1", "5")),
    st.sampled_from((None, 25, 50, 100)), st.booleans(),
)  # fmt: skip
def test_the_strip_shows_what_the_code_says(
    figures: float, power: int, percent: str, tempco: int | None, compact: bool
) -> None:
    ohms = (Decimal(str(figures)).normalize() / 100).scaleb(power)
    if percent == "5":
        tempco = None
    value = letter_code(Quantity(amount=ohms, unit="ohm"))
    tolerance = f"{percent} %" + (f" {tempco} ppm/K" if tempco else "")
    rows = band_strip(value, tolerance, 120, compact=compact)
    expected = encode(ohms, Decimal(percent), tempco)
    assert colours_of(rows) == expected
    assert any(
        read.ohms == ohms and read.tolerance_percent == Decimal(percent) and read.tempco_ppm == tempco
        for read in decode(colours_of(rows))
    )


@given(st.sampled_from(series(E96)), st.integers(0, 7))
def test_the_strip_reads_without_any_colour(figures: float, power: int) -> None:
    """The digits and the factor in the cells, multiplied by hand, are the value."""
    ohms = (Decimal(str(figures)).normalize() / 100).scaleb(power)
    drawn = band_strip(letter_code(Quantity(amount=ohms, unit="ohm")), "1 %", 120)
    labels = re.findall(r"║ +(\S+(?: %)?) +║", text_of(drawn[1]))
    assert labels[-1] == "±1 %"
    assert ohms_of(labels[:-1]) == ohms
    names = text_of(drawn[3]).split()
    assert names == list(colours_of(drawn))


def test_each_name_stands_under_its_band() -> None:
    drawn = band_strip("47R", "0.05 % 10 ppm/K", 80)
    names, at = text_of(drawn[3]), 0
    for text, look in drawn[1]:
        if look.startswith("band-"):
            name = look.removeprefix("band-")
            under = names[max(0, at - 1) : at + len(text) + 1]
            assert name in under
        at += len(text)


def test_bands_have_four_five_or_six_cells_by_tolerance_and_tempco() -> None:
    """IEC 60062: two figures for ±5 % and wider, three for ±2 % and tighter."""
    counts = [len(colours_of(band_strip("4k7", said, 80))) for said in ("10 %", "5 %", "2 %", "1 %", "0.5 %")]
    assert counts == [4, 4, 5, 5, 5]
    assert len(colours_of(band_strip("4k7", "0.1 % 25 ppm/K", 80))) == 6


def test_the_band_of_the_tolerance_stands_apart() -> None:
    """The wider gap tells where the code ends: common practice."""
    row = text_of(band_strip("4k7", "1 %", 80)[1])
    gaps = [len(gap) for gap in re.findall(r"║( +)(?=║)", re.sub(r"║ +[^║ ][^║]*║", "║║", row))]
    assert gaps[-1] > max(gaps[:-1])


def test_a_link_of_zero_ohms_is_one_black_band() -> None:
    for value in ("0", "0R"):
        rows = band_strip(value, "", 60)
        assert colours_of(rows) == ("black",)
        assert "a link of 0 Ω" in text_of(rows[-1])


def test_without_a_tolerance_both_usual_codes_are_given_with_their_condition() -> None:
    five, one = band_strip("4k7", "", 80)
    assert text_of(five).startswith("if ±5 %:")
    assert text_of(one).startswith("if ±1 %:")
    assert colours_of((five,)) == encode(Decimal(4700), Decimal(5))
    assert colours_of((one,)) == encode(Decimal(4700), Decimal(1))


def test_a_value_of_three_figures_without_a_tolerance_has_five_bands_only() -> None:
    (row,) = band_strip("49k9", "", 80)
    assert text_of(row).startswith("if ±1 %:")


@pytest.mark.parametrize(
    ("value", "tolerance"),
    [
        ("TL072", "1 %"),
        ("100n", "5 %"),
        ("link", ""),
        ("4k7", "3 %"),
        ("4k753", "1 %"),
        ("0R22 5W", "5 %"),
        ("", ""),
    ],
)
def test_what_bears_no_bands_has_no_strip(value: str, tolerance: str) -> None:
    assert band_strip(value, tolerance, 80) == ()


def test_tolerance_beside_the_value_and_as_a_letter_is_taken() -> None:
    assert colours_of(band_strip("4k7 5 %", "", 80)) == colours_of(band_strip("4k7", "J", 80))
    assert colours_of(band_strip("4k7", "F", 80))[-1] == "brown"


def test_forty_cells_hold_the_bands_in_one_row_of_words() -> None:
    (row,) = band_strip("4k7", "1 %", 40, compact=True)
    assert text_of(row) == "yel 4·vio 7·blk 0·brn ×10·brn ±1 %"


def test_sixty_cells_hold_the_bands_with_their_full_names() -> None:
    (row,) = band_strip("4k7", "1 %", 60, compact=True)
    words = text_of(row).replace(" · ", "·").strip()
    assert words == "yellow 4·violet 7·black 0·brown ×10·brown ±1 %"


@given(
    st.one_of(st.text(max_size=20), st.sampled_from(("4k7", "0R22", "475k", "0R", "9M76", "47R 2 % 100 ppm"))),
    st.one_of(st.text(max_size=20), st.sampled_from(("1 %", "5 %", "0.05 % 10 ppm/K", "20 %", ""))),
    st.integers(4, 200), st.booleans(),
)  # fmt: skip
def test_a_strip_is_never_wider_than_its_room(value: str, tolerance: str, width: int, compact: bool) -> None:
    for row in band_strip(value, tolerance, width, compact=compact):
        assert sum(cells(text) for text, _ in row) <= width
        assert {look for _, look in row} <= LOOKS


@given(st.sampled_from(WORKED), st.integers(4, 200))
def test_no_width_loses_a_band(worked: tuple[str, str, str], width: int) -> None:
    bands, value, tolerance = worked
    rows = band_strip(value, tolerance, width)
    seen = [look.removeprefix("band-") for row in rows for _, look in row if look.startswith("band-")]
    assert set(seen) == set(bands.split())
    assert len(seen) >= len(bands.split())


def test_no_room_gives_no_rows() -> None:
    for width in range(4):
        assert band_strip("4k7", "1 %", width) == ()
        assert orientation_drawing("diode", "", width) == ()


def luminance(colour: str) -> float:
    """Relative luminance; WCAG 2.1, definition of relative luminance (from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_every_band_colour_has_a_look_with_readable_ink() -> None:
    """4.5:1 is WCAG 2.1, success criterion 1.4.3 (from memory)."""
    assert set(BAND_LOOKS) == {f"band-{name}" for name in COLOURS}
    for name, (ink, ground) in BAND_LOOKS.items():
        dark, light = sorted((luminance(ink), luminance(ground)))
        assert (light + 0.05) / (dark + 0.05) >= 4.5, name
        assert ground == "#{:02x}{:02x}{:02x}".format(*COLOURS[name.removeprefix("band-")].srgb)

"""All codes of the resistor colour code: those that read from both ends, as counted, and every value back."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.colours import STANDARD, decode, encode
from bench.parts.palette import COLOURS, DIGITS
from bench.parts.series import SERIES

MULTIPLIERS = [name for name in COLOURS if name != "pink"]
TOLERANCES = [name for name, colour in COLOURS.items() if colour.tolerance_percent is not None]
TEMPCOS = [name for name, colour in COLOURS.items() if colour.tempco_ppm is not None]


def codes(figures: int, numbers: Iterable[int], tolerances: Iterable[str]) -> list[tuple[str, ...]]:
    """All codes of a family, built from the table alone."""
    numerals = sorted({str(number).ljust(figures, "0") for number in numbers})
    return [
        (*(DIGITS[int(numeral)] for numeral in number), multiplier, tolerance)
        for number in numerals
        for multiplier in MULTIPLIERS
        for tolerance in tolerances
    ]


def left_to_right(bands: tuple[str, ...]) -> Decimal:
    """What the standard makes of the bands from the left, in ohms."""
    (ohms,) = (found.ohms for found in decode(bands) if found.bands == bands and found.edition == STANDARD)
    assert ohms is not None
    return ohms


def everyday(ohms: Decimal) -> bool:
    return 1 <= ohms <= 10_000_000


E24, E96, E192 = SERIES["E24"], SERIES["E96"], SERIES["E192"]
FAMILIES = {
    # Counted by brute force over the table of IEC 60062:2016 without pink: codes, and codes that read from
    # both ends with different values.
    "four bands, E24, gold or silver": (codes(2, E24, ["gold", "silver"]), 576, 0),
    "four bands, E24, any tolerance": (codes(2, E24, TOLERANCES), 2880, 506),
    "five bands, E96, 1 %": (codes(3, E96, ["brown"]), 1152, 72),
    "five bands, E24 and E96, 1 %": (codes(3, (*E24, *E96), ["brown"]), 1368, 108),
    "five bands, E24 and E192, any tolerance": (codes(3, (*E24, *E192), TOLERANCES), 24_600, 3910),
}


def reversible(family: list[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """The codes of a family that are another code of it, with another value, from the other end."""
    members = set(family)
    return [
        code for code in family if code[::-1] in members and left_to_right(code) != left_to_right(code[::-1])
    ]


@pytest.mark.parametrize("name", FAMILIES)
def test_the_number_of_codes_that_read_from_both_ends_is_as_counted(name: str) -> None:
    family, size, expected = FAMILIES[name]
    assert len(family) == size
    assert len(reversible(family)) == expected


@pytest.mark.parametrize(
    ("name", "expected"), [("five bands, E96, 1 %", 34), ("five bands, E24 and E96, 1 %", 42)]
)
def test_the_number_of_everyday_codes_among_them_is_as_counted(name: str, expected: int) -> None:
    # The same count, both readings from 1 ohm to 10 megohms.
    found = [
        code
        for code in reversible(FAMILIES[name][0])
        if everyday(left_to_right(code)) and everyday(left_to_right(code[::-1]))
    ]
    assert len(found) == expected


def test_one_per_cent_codes_come_back_without_exception_and_799_of_them_are_everyday() -> None:
    family = FAMILIES["five bands, E24 and E96, 1 %"][0]
    values = [left_to_right(code) for code in family]
    assert [encode(ohms, Decimal(1), figures=3) for ohms in values] == family
    assert sum(map(everyday, values)) == 799


@pytest.mark.parametrize(
    ("ohms", "other"),
    # Traps at 1 %, found by the same count.
    [
        (1_000, 110),
        (10_000, 120),
        (100_000, 130),
        (1_000_000, 140),
        (10_000_000, 150),
        (1_050, 115),
        (10_700, 127),
    ],
)
def test_everyday_traps_give_both_values_and_a_warning_on_each(ohms: int, other: int) -> None:
    readings = [found for found in decode(encode(Decimal(ohms), Decimal(1))) if found.sound]
    assert [found.ohms for found in readings] == [Decimal(ohms), Decimal(other)]
    assert readings[0].remarks[0].startswith(f"reads as {readings[1].text} from the other end")
    assert readings[1].remarks[0].startswith(f"reads as {readings[0].text} from the other end")


FIGURES_2 = [Decimal(number) for number in E24]
FIGURES_3 = [Decimal(number) for number in sorted({*E192, *(number * 10 for number in E24)})]


@given(st.sampled_from(FIGURES_2), st.sampled_from([*COLOURS]), st.sampled_from([None, *TOLERANCES]))
def test_every_two_figure_code_comes_back_as_its_value(
    number: Decimal, multiplier: str, tolerance: str | None
) -> None:
    ohms = number.scaleb(COLOURS[multiplier].exponent)
    percent = COLOURS[tolerance].tolerance_percent if tolerance else Decimal(20)
    bands = encode(ohms, percent, figures=2)
    assert len(bands) == (4 if tolerance else 3)
    assert bands[2:] == ((multiplier, tolerance) if tolerance else (multiplier,))
    assert left_to_right(bands) == ohms
    assert decode(bands)[0].possible


@given(
    st.sampled_from(FIGURES_3),
    st.sampled_from([*COLOURS]),
    st.sampled_from(TOLERANCES),
    st.sampled_from([None, *TEMPCOS]),
)
def test_every_three_figure_code_comes_back_as_its_value(
    number: Decimal, multiplier: str, tolerance: str, tempco: str | None
) -> None:
    ohms = number.scaleb(COLOURS[multiplier].exponent)
    ppm = COLOURS[tempco].tempco_ppm if tempco else None
    bands = encode(ohms, COLOURS[tolerance].tolerance_percent, ppm, figures=3)
    assert bands[3:] == ((multiplier, tolerance, tempco) if tempco else (multiplier, tolerance))
    reading = next(found for found in decode(bands) if found.bands == bands)
    assert (reading.ohms, reading.tolerance_percent, reading.tempco_ppm) == (
        ohms,
        COLOURS[tolerance].tolerance_percent,
        ppm,
    )

"""The letters of a capacitor's marking against published tables: tolerance, voltage and dielectric."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bench.parts.capacitors import (
    LOPSIDED_LETTERS,
    PERCENT_LETTERS,
    PICOFARAD_LETTERS,
    VOLTAGE_CODES,
    CodeError,
    dielectric,
    rated_volts,
    tolerance_letter,
)
from bench.parts.codes import read_marking
from tests.support.capacitors import NANO, PICO, best


@pytest.mark.parametrize(
    ("letter", "text"),
    [
        # IEC 60062: G, J, K, M as on a maker's colour card (dtsheet.com/doc/1513212); others from memory.
        ("G", "±2 %"),
        ("J", "±5 %"),
        ("K", "±10 %"),
        ("M", "±20 %"),
        ("Z", "+80/−20 %"),
        ("F", "±1 %"),
        ("H", "±3 %"),
        ("P", "+100/−0 %"),
        # IEC 60062: from memory.
        ("N", "±30 %"),
        ("Q", "+30/−10 %"),
        ("T", "+50/−10 %"),
        ("S", "+50/−20 %"),
    ],
)
def test_tolerance_letters_of_larger_capacitors_are_the_published_ones(letter: str, text: str) -> None:
    assert tolerance_letter(letter, 47 * NANO).text == text
    assert best(f"473{letter}") == f"47 nF {text}"


@pytest.mark.parametrize(
    ("letter", "text"),
    # IEC 60062, from memory: below 10 pF the letters are picofarads.
    [("B", "±0.1 pF"), ("C", "±0.25 pF"), ("D", "±0.5 pF"), ("F", "±1 pF"), ("G", "±2 pF")],
)
def test_tolerance_letters_of_small_capacitors_are_picofarads(letter: str, text: str) -> None:
    for picofarads in ("3.9", "10"):
        assert tolerance_letter(letter, Decimal(picofarads) * PICO).text == text
    assert best(f"3R9{letter}") == f"3.9 pF {text}"


def test_f_and_g_turn_to_per_cent_just_above_ten_picofarads() -> None:
    assert tolerance_letter("F", Decimal("10.1") * PICO).text == "±1 %"
    assert tolerance_letter("G", 11 * PICO).text == "±2 %"


def test_b_c_and_d_above_ten_picofarads_carry_a_doubt() -> None:
    # Makers differ, per cent or picofarads: common practice, no source.
    assert read_marking("470D")[0].doubts == ("some makers mean ±0.5 % by D above 10 pF",)
    assert read_marking("3R9D")[0].doubts == ()


def test_an_unknown_tolerance_letter_is_refused_with_the_list() -> None:
    with pytest.raises(CodeError, match="'V' is no tolerance letter; the letters are B, C, D, F, G, H, J, K"):
        tolerance_letter("V", NANO)
    assert not {*PERCENT_LETTERS, *PICOFARAD_LETTERS, *LOPSIDED_LETTERS} & set("AIO")


R10 = ("1", "1.25", "1.6", "2", "2.5", "3.15", "4", "5", "6.3", "8")

# Number system of aluminium electrolytic capacitors in data sheets: common practice, seen in one of them.
PUBLISHED_VOLTS = """
0J 6.3 1A 10 1C 16 1E 25 1V 35 1H 50 1J 63 2A 100 2C 160 2D 200 2E 250 2V 350 2G 400 2W 450
"""
# EIA and JIS C 5101, from memory. 3F is 3000 V with one maker of ceramics, 3150 V (R10) with another: the
# lower.
REMEMBERED_VOLTS = """
0E 2.5 0G 4 0L 5.5 1K 80 2Q 110 2B 125 2Z 180 2P 220 2F 315 2H 500 2J 630 3A 1000 1D 20 1G 40 2K 800 3B 1250
2I 650 3L 1200 1M 70 1N 75 1U 75 2T 150 3N 1500 3C 1600 3D 2000 3E 2500 3F 3000 3G 4000 3H 5000 4A 10000
4V 35000
"""


def _volts(table: str) -> dict[str, Decimal]:
    cells = table.split()
    return {code: Decimal(volts) for code, volts in zip(cells[::2], cells[1::2], strict=True)}


def test_voltage_codes_are_the_published_list_and_the_remembered_one_and_no_more() -> None:
    published, remembered = _volts(PUBLISHED_VOLTS), _volts(REMEMBERED_VOLTS)
    assert not published.keys() & remembered.keys()
    assert published | remembered == VOLTAGE_CODES


def test_voltage_letters_from_a_to_k_are_the_steps_of_r10() -> None:
    # ISO 3: R10 is 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8; letters A to K without I. Each is a rounding of
    # 10^(n/10).
    r10 = dict(zip("ABCDEFGHJK", map(Decimal, R10), strict=True))
    for step, value in enumerate(r10.values()):
        assert float(value) == pytest.approx(10 ** (step / 10), rel=0.013)
    on_series = {code: volts for code, volts in VOLTAGE_CODES.items() if code[1] in r10}
    assert len(on_series) == 30
    for code, volts in on_series.items():
        if code == "3F":
            continue  # 3150 V with some makers, 3000 V with others; the lower counts
        assert volts == r10[code[1]] * 10 ** int(code[0])


@pytest.mark.parametrize("code", ["2L", "0A", "1L", "9Z", "4B", "XX", ""])
def test_voltage_codes_outside_the_list_are_refused_and_never_worked_out(code: str) -> None:
    # 0L is 5.5 V and 3L 1200 V, so letters off the series follow no rule.
    with pytest.raises(CodeError, match="is no voltage code"):
        rated_volts(code)


def test_a_marking_with_an_unknown_voltage_code_is_refused_by_name() -> None:
    with pytest.raises(CodeError, match="'2L' is no voltage code"):
        read_marking("2L104J")


@pytest.mark.parametrize(
    ("code", "text"),
    [
        ("X7R", "-55 to 125 °C, ±15 %"),  # Texas Instruments SLAA701B, Table 1-16
        ("X5R", "-55 to 85 °C, ±15 %"),  # SLAA701B
        ("Y5V", "-30 to 85 °C, +22/−82 %"),  # SLAA701B
        ("Z5U", "10 to 85 °C, +22/−56 %"),  # SLAA701B
        ("X7T", "-55 to 125 °C, +22/−33 %"),
        ("X8R", "-55 to 150 °C, ±15 %"),
        ("X6S", "-55 to 105 °C, ±22 %"),
        ("X4B", "-55 to 65 °C, ±1.5 %"),  # EIA 1.5; Holy Stone prints 1.2
        ("C0G", "0 ±30 ppm/K"),
        ("U2J", "-750 ±120 ppm/K"),  # Holy Stone
        ("NP0", "0 ±30 ppm/K"),
        ("NPO", "0 ±30 ppm/K"),
        ("COG", "0 ±30 ppm/K"),  # common practice, no source
        ("P3K", "-1500 ±250 ppm/K"),
        ("M7G", "100 ±30 ppm/K"),
        ("S2H", "-330 ±60 ppm/K"),  # Holy Stone's table
        ("R4L", "-22000 ±500 ppm/K"),  # Holy Stone: 4 is -10 000; an element14 thread has +1
    ],
)
def test_dielectric_codes_promise_what_is_published(code: str, text: str) -> None:
    assert dielectric(code).text == text
    assert dielectric(code.lower()) == dielectric(code)


def test_a_class_two_code_states_both_temperatures_and_no_coefficient() -> None:
    found = dielectric("Y5V")
    assert (found.low_celsius, found.high_celsius, found.tempco_ppm) == (-30, 85, None)


@pytest.mark.parametrize("code", ["X7", "X7RR", "X3R", "W7R", "XRR", "C0Z", "A0G", "CAG", "C²G", ""])
def test_three_letters_that_are_no_dielectric_are_refused(code: str) -> None:
    with pytest.raises(CodeError, match="is no dielectric code"):
        dielectric(code)

"""Capacitor markings and codes against published tables and examples."""

from __future__ import annotations

from decimal import Decimal

import pytest
import rkm_codes
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.capacitors import CodeError, encode, read_code
from bench.parts.codes import read_marking
from bench.parts.markings import worths
from bench.parts.series import SERIES
from tests.support.capacitors import PICO, best


@pytest.mark.parametrize(
    ("code", "picofarads"),
    [
        ("104", "100000"),  # EIA-198, by hand
        ("229", "2.2"),
        ("479", "4.7"),
        ("478", "0.47"),  # two published decoding pages: 8 is 0.01, 9 is 0.1
        ("3R9", "3.9"),
        ("4R7", "4.7"),
        ("0R5", "0.5"),  # the same pages: R is a point, in pF
    ],
)
def test_published_codes_are_worth_what_is_published(code: str, picofarads: str) -> None:
    assert read_code(code) == Decimal(picofarads) * PICO
    assert read_marking(code)[0].farads == Decimal(picofarads) * PICO


def test_multipliers_eight_and_nine_are_not_ten_to_the_eighth_and_ninth() -> None:
    # EIA-198, from memory.
    assert read_code("108") == Decimal("0.1") * PICO
    assert read_code("109") == Decimal("1.0") * PICO


@pytest.mark.parametrize(
    ("marking", "text"),
    [
        ("473J", "47 nF ±5 %"),  # EIA-198 and IEC 60062, by hand
        ("474J", "470 nF ±5 %"),  # by hand, too
        ("2A474J", "470 nF ±5 % 100 V"),  # 2A: the list of voltages in test_code_letters
        ("105K 330V", "1 µF ±10 % 330 V"),  # EIA-198 and IEC 60062, by hand
        (".1K63", "100 nF ±10 % 63 V"),  # film capacitor marking, common practice, no source
    ],
)
def test_published_markings_read_as_published(marking: str, text: str) -> None:
    assert [found.text for found in read_marking(marking)] == [text]


@pytest.mark.parametrize(
    ("marking", "text"),
    # Common practice, no source: how film, ceramic, electrolytic and tantalum parts are printed.
    [
        ("104", "100 nF"),
        ("104J", "100 nF ±5 %"),
        ("2A104J", "100 nF ±5 % 100 V"),
        ("104K100", "100 nF ±10 % 100 V"),
        ("104k100", "100 nF ±10 % 100 V"),
        ("223J63", "22 nF ±5 % 63 V"),
        ("100n", "100 nF"),
        ("µ1", "100 nF"),
        ("μ1", "100 nF"),
        ("u47", "470 nF"),
        ("n33", "330 pF"),
        ("47p", "47 pF"),
        ("47P", "47 pF"),
        ("4n7", "4.7 nF"),
        ("2µ2 50V", "2.2 µF 50 V"),
        ("100nF", "100 nF"),
        ("100 nF", "100 nF"),
        ("0,1 µF / 63 V", "100 nF 63 V"),
        ("0.33 MFD", "330 nF"),
        ("p68", "0.68 pF"),
        ("1n5J100", "1.5 nF ±5 % 100 V"),
        ("680nJ400", "680 nF ±5 % 400 V"),
        ("10n100", "10 nF 100 V"),
        ("100n63", "100 nF 63 V"),
        ("10uF25V", "10 µF 25 V"),
        ("0.1u63", "100 nF 63 V"),
        ("10 16V", "10 µF 16 V"),
        ("10/16", "10 µF 16 V"),
        ("4.7 35+", "4.7 µF 35 V"),
        ("16V 10", "10 µF 16 V"),
        ("220 25V", "220 µF 25 V"),
        ("2200 25V", "2200 µF 25 V"),
        ("106 25", "10 µF 25 V"),
        ("107 16V", "100 µF 16 V"),
        ("1C106", "10 µF 16 V"),
        ("104 J 63V", "100 nF ±5 % 63 V"),
        ("1H104 X7R", "100 nF 50 V X7R"),
        ("22 NP0", "22 pF C0G"),
        ("104J2A", "100 nF ±5 % 100 V"),
        ("470J 100V", "47 pF ±5 % 100 V"),
        ("222M 2KV", "2.2 nF ±20 % 2000 V"),
        ("104 50V", "100 nF 50 V"),
        ("0.47µF 275VAC X2", "470 nF 275 V AC"),
        ("100n ±5% 250V MKT", "100 nF ±5 % 250 V"),
        ("10u +50-10% 25V", "10 µF +50/−10 % 25 V"),
        ("1F 5.5V", "1 F 5.5 V"),
        (".47", "470 nF"),
        ("5R6D", "5.6 pF ±0.5 pF"),
        ("10u 25 BP", "10 µF 25 V"),
        ("22", "22 pF"),
        ("1000", "1 nF"),
    ],
)
def test_common_markings_have_the_usual_meaning_as_their_best_reading(marking: str, text: str) -> None:
    assert best(marking) == text


@pytest.mark.parametrize(
    ("marking", "texts"),
    # Common practice, no source: the same print on different kinds of capacitor.
    [
        ("100", ["10 pF", "100 pF", "100 µF"]),
        ("10 16V", ["10 µF 16 V", "10 pF 16 V"]),
        ("4.7", ["4.7 pF", "4.7 µF"]),
        ("1000", ["1 nF", "1000 µF"]),
        ("100N", ["100 nF", "10 pF ±30 %"]),
        ("104P", ["100 nF +100/−0 %", "104 pF"]),
        ("1K63", ["1 µF ±10 % 63 V", "1 pF ±10 % 63 V"]),
    ],
)
def test_a_print_with_several_meanings_gives_all_of_them_in_order(marking: str, texts: list[str]) -> None:
    assert [found.text for found in read_marking(marking)] == texts


@given(st.sampled_from(SERIES["E24"]), st.integers(-2, 7))
def test_every_preferred_value_comes_back_from_its_code(number: int, power: int) -> None:
    farads = Decimal(number).scaleb(power) * PICO
    code = encode(farads)
    assert read_code(code) == farads
    assert read_marking(code)[0].farads == farads


@given(st.integers(10, 99), st.integers(0, 7))
def test_every_three_digit_code_comes_back_from_its_value(number: int, power: int) -> None:
    assert encode(read_code(f"{number}{power}")) == f"{number}{power}"


@given(st.sampled_from(SERIES["E24"]), st.integers(0, 3), st.sampled_from("pnu"))
def test_letters_as_points_agree_with_another_library(number: int, shift: int, letter: str) -> None:
    # rkm-codes (MIT) decodes IEC 60062 letters: 2u2, n47, p68, 100n.
    digits = str(number)
    text = (letter + digits, f"{digits[0]}{letter}{digits[1]}", digits + letter, f"{digits}0{letter}")[shift]
    theirs = rkm_codes.from_rkm(text)
    ours = read_marking(text)[0].farads
    assert float(ours) == pytest.approx(float(theirs), rel=1e-12)


def test_the_understood_words_say_how_each_piece_was_read() -> None:
    assert read_marking("2A474J X7R")[0].understood == (
        "2A474J: 470 nF (47 × 10^4 pF); J: ±5 %; 100 V; X7R: -55 to 125 °C, ±15 %"
    )
    assert read_marking("479")[0].understood == "479: 4.7 pF (47 × 0.1 pF)"
    assert read_marking("478")[0].understood == "478: 0.47 pF (47 × 0.01 pF)"


def test_two_voltages_give_the_lower_one_and_a_doubt() -> None:
    reading = read_marking("2A104J 63V")[0]
    assert reading.volts == 63
    assert reading.doubts == ("63 V and 100 V are marked; the lowest counts",)


def test_a_seven_as_power_of_ten_carries_a_doubt() -> None:
    # Published lists leave 7 unused; tantalum parts carry it: common practice, no source.
    assert "in no list of codes" in read_marking("107")[0].doubts[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no capacitance in '' (understood: nothing)"),
        ("2A X7R", "no capacitance in '2A X7R' (understood: 2A: 100 V; X7R: -55 to 125 °C, ±15 %)"),
        ("J 63V", "no capacitance in 'J 63V' (understood: J: tolerance letter; 63V: 63 V)"),
        ("104 foo", "'foo' not understood in '104 foo' (understood: 104: 100 nF)"),
        ("10 17", "'17' not understood in '10 17' (understood: 10: 10 pF)"),
        ("104 16 25", "'25' not understood in '104 16 25' (understood: 104: 100 nF; 16: 16 V)"),
        ("104 J K", "'K' not understood in '104 J K' (understood: 104: 100 nF; J: tolerance letter)"),
        ("000", "'000' not understood in '000' (understood: nothing)"),
        ("R", "'R' not understood in 'R' (understood: nothing)"),
        ("101J99", "'101J99' not understood in '101J99' (understood: nothing)"),
    ],
)
def test_what_makes_no_sense_is_refused_with_what_was_understood(text: str, said: str) -> None:
    with pytest.raises(CodeError) as caught:
        read_marking(text)
    assert caught.value.what == said
    assert caught.value.hint.startswith("write what is printed on the part")


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_with_words(text: str) -> None:
    try:
        readings = read_marking(text)
    except CodeError as error:
        refusal = error
    else:
        assert all(found.farads > 0 and found.text and found.understood for found in readings)
        return
    assert refusal.what
    assert refusal.hint


@given(st.text(alphabet="0123456789.,pnuµFVRKJMZ AX7+-/%", max_size=14))
def test_any_jumble_of_the_usual_characters_is_read_or_refused_with_words(text: str) -> None:
    try:
        readings = read_marking(text)
    except CodeError as error:
        refusal = error
    else:
        assert all(found.farads > 0 for found in readings)
        assert len({(found.farads, found.tolerance, found.volts) for found in readings}) == len(readings)
        return
    assert refusal.hint


@pytest.mark.parametrize("farads", ["0", "-1E-9", "NaN", "Infinity", "4.75E-12", "123E-12", "1E-3", "1E-15"])
def test_a_capacitance_that_no_code_can_say_is_refused(farads: str) -> None:
    with pytest.raises(CodeError, match="has no code"):
        encode(Decimal(farads))


@pytest.mark.parametrize(
    ("farads", "code"),
    # The published examples of the codes, the other way.
    [
        ("3.9E-12", "3R9"),
        ("0.5E-12", "0R5"),
        ("4.7E-12", "4R7"),
        ("470E-9", "474"),
        ("47E-9", "473"),
        ("1E-6", "105"),
        ("0.47E-12", "R47"),
        ("0.05E-12", "R05"),
        ("1E-12", "1R0"),
        ("10E-12", "100"),
    ],
)
def test_codes_are_written_as_published(farads: str, code: str) -> None:
    assert encode(Decimal(farads)) == code
    assert read_code(code) == Decimal(farads)


@pytest.mark.parametrize("code", ["10", "1044", "R", "0R0", "abc", "007", "1R2R3", "", "١٠٤"])
def test_what_is_no_code_is_refused(code: str) -> None:
    with pytest.raises(CodeError, match="is no capacitor code"):
        read_code(code)


def test_a_piece_without_capacitance_is_worth_nothing() -> None:
    assert worths("hello") == worths("0n") == worths("n") == worths("0R0") == []

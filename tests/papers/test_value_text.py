"""Values with company, as lists have them: type numbers, ratings, remarks, and any text at all.

Spellings are those counted in 66 published parts lists. What else has no source is common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered
from bench.papers.doubts.settle import settle
from bench.papers.lists import read_list
from bench.papers.lists.value_text import from_description
from bench.parts.quantity import Quantity, QuantityError, Value, parse_quantity, read_value, show

UNITS = ("", "ohm", "farad", "henry", "volt", "ampere", "watt", "hertz")


@pytest.mark.parametrize(
    "text",
    [
        "2N3904", "1N4733", "1N4148", "1n4148", "1N914", "TL072", "BC547B", "78L05", "78M05", "79L12",
        "74HC00",
        "LM317", "4046", "7805", "CD4016", "T37-2", "FT37-43", "6N137", "4N35", "2SC1815", "12AX7", "6V6",
        "ECC83",
        "µA741", "LM4040DIZ-5.0", "J113", "16F84",
    ],
)  # fmt: skip
def test_type_numbers_are_no_quantities(text: str) -> None:
    value = read_value(text)
    assert value.main is None
    assert value.type_number == text
    assert value.remark == ""
    with pytest.raises(QuantityError, match="type number"):
        parse_quantity(text)


@pytest.mark.parametrize("text", ["1N4148", "2N3904", "TL072", "78L05", "T37-2", "LM317"])
@pytest.mark.parametrize("unit", UNITS)
def test_no_unit_turns_a_type_number_into_a_quantity(text: str, unit: str) -> None:
    assert read_value(text, unit).main is None
    assert read_value(text, unit).type_number == text


def test_a_type_number_may_bring_its_ratings() -> None:
    value = read_value("1N4733A 5.1V 1W")
    assert value.type_number == "1N4733A"
    assert [show(rating) for rating in value.ratings] == ["5.1 V", "1 W"]
    assert read_value("TL072 DIP-8").remark == "DIP-8"


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "n/a", "N/A", "na", "DNP", "DNF", "(omit)", "optional", "any", "TODO", "C", "CTRIM", "-",
        "?", "none",
        "do not fit", "LED 5 mm", "2x5", "M3x11", "C1", "X7R", "DIP-8", "E24", "(brown-black-black-red)",
        "1e3", "-10k",
        "10k-20V", "5-9Q", "1-2", "M3", "U1", "L4",
    ],
)  # fmt: skip
def test_placeholders_and_remarks_are_no_quantities(text: str) -> None:
    value = read_value(text)
    assert value.main is None
    assert value.type_number == ""
    assert value.remark == text.strip()


@pytest.mark.parametrize(
    ("text", "unit", "main", "ratings", "tolerance", "taper", "remark"),
    [
        ("10uF/25V", "", "10 µF", ["25 V"], None, "", ""),
        ("47uF 6,3V ±20%", "", "47 µF", ["6.3 V"], "20", "", ""),
        ("560 0,25W", "ohm", "560 Ω", ["0.25 W"], None, "", ""),
        ("560 0,25W", "", "560 Ω", ["0.25 W"], None, "", ""),
        ("100nf     100v", "", "100 nF", ["100 V"], None, "", ""),
        ("0.1uF, 50V", "", "100 nF", ["50 V"], None, "", ""),
        ("10u25V", "", "10 µF", ["25 V"], None, "", ""),
        ("47µF (25V)", "", "47 µF", ["25 V"], None, "", ""),
        ("25V", "farad", "25 V", [], None, "", ""),
        ("105K 330V", "farad", "", ["330 V"], None, "", "105K"),
        ("4K7 1%", "", "4.7 kΩ", [], "1", "", ""),
        ("4k7 0,1 %", "", "4.7 kΩ", [], "0.1", "", ""),
        ("10k ± 5 %", "", "10 kΩ", [], "5", "", ""),
        ("10k+/-5%", "", "10 kΩ", [], "5", "", ""),
        ("10k ±5% ±1%", "", "10 kΩ", [], "5", "", "±1%"),
        ("100nF +80/-20%", "", "100 nF", [], None, "", "+80 -20%"),
        ("4k7F", "", "4.7 kΩ", [], "1", "", ""),
        ("4R7K", "", "4.7 Ω", [], "10", "", ""),
        ("470J", "ohm", "470 Ω", [], "5", "", ""),
        ("100nJ", "", "100 nF", [], "5", "", ""),
        ("100n K", "", "100 nF", [], "10", "", ""),
        ("100nZ", "", "100 nF", [], None, "", "Z"),
        ("B100k", "", "100 kΩ", [], None, "B", ""),
        ("B 100k", "", "100 kΩ", [], None, "B", ""),
        ("A1M", "", "1 MΩ", [], None, "A", ""),
        ("100kB", "", "100 kΩ", [], None, "B", ""),
        ("50kΩA", "", "50 kΩ", [], None, "A", ""),
        ("100k A", "", "100 kΩ", [], None, "A", ""),
        ("100k lin", "", "100 kΩ", [], None, "lin", ""),
        ("Log 10k", "", "10 kΩ", [], None, "log", ""),
        ("100k reverse log", "", "100 kΩ", [], None, "reverse log", ""),
        ("2x50k log", "", "50 kΩ", [], None, "log", "2x"),
        ("B104", "ohm", "100 kΩ", [], None, "B", ""),
        ("4k7 (104)", "", "4.7 kΩ", [], None, "", "(104)"),
        ("27k / (omit)", "", "27 kΩ", [], None, "", "(omit)"),
        ("10k (brown-black-orange)", "", "10 kΩ", [], None, "", "(brown-black-orange)"),
        ("10k DNP", "", "10 kΩ", [], None, "", "DNP"),
        ("1M to 2M2", "", "1 MΩ", [], None, "", "to 2M2"),
        ("47 - 100 uF", "", "47 µF", [], None, "", "- 100 uF"),
        ("47-100uF", "farad", "47 µF", [], None, "", "-100uF"),
        ("1k-2k5", "", "1 kΩ", [], None, "", "-2k5"),
        ("100n X7R 50V", "", "100 nF", ["50 V"], None, "", "X7R"),
        ("10k 0805", "ohm", "10 kΩ", [], None, "", "0805"),
        ("0805 10k", "ohm", "10 kΩ", [], None, "", "0805"),
        ("NTC 10k", "", "10 kΩ", [], None, "", "NTC"),
        ("16MHz HC49", "", "16 MHz", [], None, "", "HC49"),
        ("FT37-43 10uH", "henry", "10 µH", [], None, "", "FT37-43"),
        ("5 V ± 4 %", "", "5 V", [], "4", "", ""),
        ("(unclosed 4k7", "", "4.7 kΩ", [], None, "", "( unclosed"),
    ],
)  # fmt: skip
def test_values_with_company_are_taken_apart(
    text: str, unit: str, main: str, ratings: list[str], tolerance: str | None, taper: str, remark: str
) -> None:
    """Tolerance letters are those of IEC 60062; the pot code `B104` is common practice, no source."""
    value = read_value(text, unit)
    assert (show(value.main) if value.main else "") == main
    assert [show(rating) for rating in value.ratings] == ratings
    assert value.tolerance_percent == (None if tolerance is None else Decimal(tolerance))
    assert value.taper == taper
    assert value.remark == remark


_PIECES = st.sampled_from(
    ["4k7", "10", "u", "F", "/", "25V", "±", "5", "%", "(", ")", "B", "lin", "-", "to", ",", ".", "1N4148",
    " ", "Ω",
     "µ", "e9", "99999999", "2x", "[", "reverse", "log", "\u200b", "A", "100k"]
)  # fmt: skip


@given(
    st.one_of(st.text(max_size=80), st.lists(_PIECES, max_size=12).map("".join)),
    st.sampled_from((*UNITS, "foo")),
)
@example("1e999999999", "ohm")
@example("9" * 400, "ohm")
@example("٣٤", "ohm")
@example("²", "ohm")
@example("±", "ohm")
@example("± x", "ohm")
@example("(((((", "")
@example("A B C", "ohm")
def test_any_text_is_read_without_stumbling(text: str, unit: str) -> None:
    value = read_value(text, unit)
    if value.main is not None:
        assert value.main.amount.is_finite()
        assert value.main.unit
        show(value.main)


HOSTILE = ("9", "a", " ", "(", ")", "1,", "±", "4k7 ", "-", "./", "A ", "1 u F ", "\u00b5", "[]")


@pytest.mark.parametrize("piece", HOSTILE)
def test_of_a_text_beyond_300_signs_nothing_is_read(piece: str) -> None:
    text = (piece * 100_000)[:100_000]
    assert read_value(text, "ohm") == Value(remark=text.strip())


def test_a_text_of_300_signs_is_still_read() -> None:
    text = "4k7 " + "x" * 296
    assert read_value(text, "ohm").main == Quantity(amount=Decimal(4700), unit="ohm")
    assert read_value(text + "x", "ohm").main is None


@pytest.mark.parametrize("piece", HOSTILE)
def test_a_hostile_text_of_300_signs_is_read_with_nothing_lost(piece: str) -> None:
    text = (piece * 300)[:300]
    found = read_value(text, "ohm")
    assert len(found.remark) <= 300


@pytest.mark.parametrize(
    ("description", "ref", "value"),
    [
        ("Resistor 5 pcs 10k", "R1", "10k"),
        ("Resistor 250 V 10k", "R1", "10k"),
        ("Resistor 47nF 10k", "R1", "10k"),
        ("Capacitor 63 V 47n", "C1", "47n"),
        ("Capacitor 5 mm 22p", "C1", "22p"),
        ("Capacitor 5 % 22p", "C1", "22p"),
        ("Capacitor 47 100n", "C1", "100n"),
        ("Inductor 10uF 47uH", "L1", "47uH"),
        ("Inductor 3 A 47uH", "L1", "47uH"),
        ("NPN BC547", "Q1", "BC547"),
        ("Transistor BC547 or BC548", "Q1", "Transistor BC547 or BC548"),
        ("Metal film", "R1", "Metal film"),
        ("Crystal 4 MHz", "Y1", "Crystal 4 MHz"),
    ],
)
def test_of_a_description_the_quantity_in_the_unit_of_the_part_is_its_value(
    description: str, ref: str, value: str
) -> None:
    assert from_description(description, ref) == value


CODES = [
    ("10k", "brown black red gold", "1 kΩ"),
    ("10k", "brown black orange gold", ""),
    ("10k", "gold orange black brown", ""),
    ("4k7", "yellow violet black brown", ""),
    ("4k7", "yellow-violet-red", ""),
    ("4k7", "yellow violet orange", "47 kΩ"),
    ("100R", "brown, black, black, black, brown", ""),
    ("red LED", "red", ""),
]
"""Value, the bands beside it, and what they mean where that is something else (IEC 60062)."""


@pytest.mark.parametrize(("value", "bands", "want"), CODES)
@pytest.mark.parametrize("column", ["Colour code", "Description", "Notes"])
def test_bands_that_mean_another_value_are_asked_about(value: str, bands: str, want: str, column: str) -> None:
    found = read_list(f'Ref,Value,{column}\nR1,{value},"{bands}"\nR2,1M,\nC1,10n,\n'.encode(), "list.csv")
    asked = [(doubt.refs, doubt.there) for doubt in found.doubts if doubt.kind == "code"]
    assert asked == ([(("R1",), want)] if want else [])


@pytest.mark.parametrize(
    ("value", "figures", "want"),
    [
        ("100n", "104", ""),
        ("100n", "103", "10 nF"),
        ("22p", "22", ""),
        ("1u", "105K", ""),
        ("10u", "EEU-10", ""),
    ],
)
def test_figures_that_mean_another_value_are_asked_about(value: str, figures: str, want: str) -> None:
    found = read_list(f"Ref,Value,Marking\nC1,{value},{figures}\nC2,10n,103\n".encode(), "list.csv")
    asked = [(doubt.refs, doubt.there) for doubt in found.doubts if doubt.kind == "code"]
    assert asked == ([(("C1",), want)] if want else [])


def test_a_code_is_taken_in_one_answer() -> None:
    settled = settle(read_list(b"Ref,Value,Marking\nR1,10k,brown black red\nR2,1M,\n", "list.csv"))
    doubt = next(doubt for doubt in settled.questions if doubt.kind == "code")
    assert doubt.what == "R1: 'brown black red' is 1 kΩ, the value beside it 10k"
    after = settle(settled.reading, [answered(doubt, answers(settled, doubt)[0])])
    assert [part.value_text for part in after.reading.parts] == ["1 kΩ", "1M"]
    assert not after.questions

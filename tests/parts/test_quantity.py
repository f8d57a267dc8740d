"""Values against IEC 60062, an independent library for such codes, and the spellings found in lists.

Rows marked IEC 60062 are from memory of that standard. Spellings are those counted in 66 published parts lists.
What has neither source is common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
import rkm_codes
from eseries import E24, E96, series
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.parts.quantity import Quantity, QuantityError, letter_code, parse_quantity, read_value, show


def stated(text: str, unit: str = "") -> tuple[Decimal, str] | None:
    main = read_value(text, unit).main
    return None if main is None else (main.amount, main.unit)


IEC_60062 = [
    ("R47", "0.47", "ohm"), ("4R7", "4.7", "ohm"), ("470R", "470", "ohm"), ("4K7", "4700", "ohm"),
    ("47K", "47000", "ohm"), ("47K3", "47300", "ohm"), ("470K", "470000", "ohm"), ("4M7", "4700000", "ohm"),
    ("8K2", "8200", "ohm"), ("1R2", "1.2", "ohm"), ("18R", "18", "ohm"), ("15M0", "15000000", "ohm"),
    ("2u2", "0.0000022", "farad"), ("n47", "4.7E-10", "farad"), ("p68", "6.8E-13", "farad"),
    ("100n", "1E-7", "farad"), ("3n3", "3.3E-9", "farad"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "amount", "unit"), IEC_60062)
def test_rows_of_iec_60062_give_their_published_values(code: str, amount: str, unit: str) -> None:
    assert stated(code) == (Decimal(amount), unit)
    assert stated(code, unit) == (Decimal(amount), unit)


@pytest.mark.parametrize(("code", "unit"), [(code, unit) for code, _, unit in IEC_60062])
def test_an_independent_reader_of_letter_codes_agrees(code: str, unit: str) -> None:
    """rkm-codes 1.0 as the judge; it reads with floats, hence the tolerance."""
    rkm_codes.set_prefs(rkm_maps=rkm_codes.IEC60062_MAPS)
    judged = rkm_codes.from_rkm(code)
    assert judged is not None
    assert judged.units == {"ohm": "Ω", "farad": "F"}[unit]
    assert float(parse_quantity(code).amount) == pytest.approx(float(judged), rel=1e-12)


def test_l_stands_for_milliohms() -> None:
    """IEC 60062 has L for 10^-3 ohm (from memory)."""
    assert stated("3L3") == (Decimal("0.0033"), "ohm")
    assert stated("47L", "ohm") == (Decimal("0.047"), "ohm")
    assert stated("L33", "ohm") == (Decimal("0.00033"), "ohm")


@pytest.mark.parametrize(
    ("text", "unit", "amount", "found"),
    [
        ("4.7K", "", "4700", "ohm"), ("4,7k", "", "4700", "ohm"), ("4.7 kΩ", "", "4700", "ohm"),
        ("0R", "", "0", "ohm"), ("470r", "", "470", "ohm"), ("100R", "", "100", "ohm"), ("k47", "", "470",
        "ohm"),
        ("220 ohm", "", "220", "ohm"), ("4k7 Ω", "", "4700", "ohm"), ("4k7\u2126", "", "4700", "ohm"),
        ("4k7Ω", "", "4700", "ohm"), ("10 k Ω", "", "10000", "ohm"), ("4Ω7", "", "4.7", "ohm"),
        ("1M", "", "1E6", "ohm"), ("1Meg", "", "1E6", "ohm"), ("2.2 meg", "", "2200000", "ohm"),
        ("1MΩ", "", "1E6", "ohm"), ("1 megohm", "", "1E6", "ohm"), ("10 kilohm", "", "10000", "ohm"),
        ("㏀", "", "", ""), ("10㏀", "", "10000", "ohm"), ("1m", "ohm", "0.001", "ohm"), ("1M", "ohm", "1E6",
        "ohm"),
        ("390", "ohm", "390", "ohm"), ("4046", "ohm", "4046", "ohm"), ("R005", "", "0.005", "ohm"),
        (".1u", "", "1E-7", "farad"), ("0.1uf", "", "1E-7", "farad"), ("1uF", "", "1E-6", "farad"),
        ("1\u00b50", "", "1E-6", "farad"), ("1\u03bc0", "", "1E-6", "farad"), ("10 \u00b5F", "", "1E-5",
        "farad"),
        ("100nF", "", "1E-7", "farad"), ("100N", "", "1E-7", "farad"), ("22P", "farad", "2.2E-11", "farad"),
        ("1,000µF", "", "0.001", "farad"), ("2,200uF", "", "0.0022", "farad"), ("0,047uF", "", "4.7E-8",
        "farad"),
        ("0.1 mfd", "", "1E-7", "farad"), ("1 F", "", "1", "farad"), ("4m7", "farad", "0.0047", "farad"),
        ("1m", "", "0.001", "farad"), ("3R9", "farad", "3.9E-12", "farad"), ("2u2F", "", "0.0000022",
        "farad"),
        ("10mH", "", "0.01", "henry"), ("10u", "henry", "0.00001", "henry"), ("4m7", "henry", "0.0047",
        "henry"),
        ("2m2H", "", "0.0022", "henry"), ("4R7", "henry", "0.0000047", "henry"),
        ("12 V", "", "12", "volt"), ("-12 V", "", "-12", "volt"), ("−12 V", "", "-12", "volt"),
        ("+12 V", "", "12", "volt"), ("5V1", "", "5.1", "volt"), ("3V3", "", "3.3", "volt"), ("9VDC", "",
        "9", "volt"),
        ("160m", "volt", "0.16", "volt"), ("12.03", "volt", "12.03", "volt"), ("-11.98", "volt", "-11.98",
        "volt"),
        ("500mA", "", "0.5", "ampere"), ("38 mA", "", "0.038", "ampere"), ("500ma", "", "0.5", "ampere"),
        ("0.25W", "", "0.25", "watt"), ("1/4W", "", "0.25", "watt"), ("1/4 W", "", "0.25", "watt"),
        ("32.768 kHz", "", "32768", "hertz"), ("16MHz", "", "16E6", "hertz"), ("16mhz", "", "16E6",
        "hertz"),
        ("32.768k", "hertz", "32768", "hertz"), ("4M0", "hertz", "4E6", "hertz"), ("440 Hz", "", "440",
        "hertz"),
    ],
)  # fmt: skip
def test_spellings_in_use_give_one_exact_value(text: str, unit: str, amount: str, found: str) -> None:
    if not amount:
        assert stated(text, unit) is None
        return
    assert stated(text, unit) == (Decimal(amount), found)


def test_mega_and_milli_lie_a_thousand_million_apart() -> None:
    assert parse_quantity("1M", "ohm").amount / parse_quantity("1m", "ohm").amount == 10**9


@pytest.mark.parametrize("text", ["100", "390"])
def test_a_bare_number_states_nothing_without_a_unit_to_go_by(text: str) -> None:
    assert read_value(text).main is None
    assert read_value(text, "farad").main is None
    assert read_value(text, "henry").main is None
    with pytest.raises(QuantityError, match="number without a unit"):
        parse_quantity(text)


@pytest.mark.parametrize(
    "text", ["100MF", "10mf", "MF", "1e999999999", "9e9e9", "1E-9", "٤k٧", "４k7", "²k2", "NaN", "inf"]
)
def test_what_could_mean_two_things_is_not_read(text: str) -> None:
    """`MF` meant microfarad in old lists and means megafarad by the letter: common practice, no source."""
    assert read_value(text).main is None
    assert read_value(text, "farad").main is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("4k7 1%", "states 4.7 kΩ, and beside it ±1 %"),
        ("10uF/25V", "states 10 µF, and beside it 25 V"),
        ("B100k", "states 100 kΩ, and beside it 'B'"),
        ("10k DNP", "states 10 kΩ, and beside it 'DNP'"),
        ("gain", "'gain' is not a quantity"),
        ("", "'' is not a quantity"),
        ("x" * 100, "…' is not a quantity"),
    ],
)  # fmt: skip
def test_a_refusal_says_what_was_understood(text: str, says: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text)
    assert says in caught.value.what
    assert caught.value.hint
    assert isinstance(caught.value, SoldersideError)


@pytest.mark.parametrize("unit", ["ohm", "farad", "henry"])
@pytest.mark.parametrize("key", [E24, E96], ids=["E24", "E96"])
def test_every_preferred_value_reads_back_from_its_letter_code(unit: str, key: object) -> None:
    """Mantissas from the library eseries 1.2.1 (IEC 60063 tables), in all decades that have letters."""
    lowest, decades = {"ohm": (-4, 14), "farad": (-13, 13), "henry": (-9, 9)}[unit]
    mantissas = series(key)
    assert len(mantissas) in (24, 96)
    for mantissa in mantissas:
        figures = Decimal(int(mantissa)) / (10 if key is E24 else 100)
        for decade in range(lowest, lowest + decades):
            quantity = Quantity(amount=figures.scaleb(decade), unit=unit)
            code = letter_code(quantity)
            assert len(code) <= 5
            assert parse_quantity(code, unit) == quantity, code


@given(st.integers(1, 999), st.integers(-12, 9), st.sampled_from(["ohm", "farad", "henry"]))
def test_a_quantity_that_is_shown_reads_back_as_itself(figures: int, power: int, unit: str) -> None:
    quantity = Quantity(amount=Decimal(figures).scaleb(power), unit=unit)
    if Decimal("1E-12") <= quantity.amount < Decimal("1E12"):
        assert parse_quantity(show(quantity), unit) == quantity


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("4k7", "4.7 kΩ"), ("0R", "0 Ω"), ("R47", "0.47 Ω"), ("47L", "47 mΩ"), ("0.1uF", "100 nF"),
        ("1000uF", "1000 µF"),
        ("p68", "0.68 pF"), ("1F", "1 F"), ("0.25W", "0.25 W"), ("50mW", "50 mW"), ("-12V", "-12 V"),
        ("0.16V", "160 mV"), ("1M", "1 MΩ"), ("12345R", "12.34 kΩ"), ("999.96R", "1 kΩ"), ("10mH", "10 mH"),
        ("16MHz", "16 MHz"), ("500mA", "500 mA"), ("0V", "0 V"),
    ],
)  # fmt: skip
def test_quantities_are_shown_as_people_write_them(text: str, shown: str) -> None:
    assert show(parse_quantity(text, "ohm")) == shown


def test_digits_and_strange_amounts_are_shown_without_harm() -> None:
    crystal = parse_quantity("32.768 kHz")
    assert show(crystal, 5) == "32.768 kHz"
    assert show(crystal, 0) == "30 kHz"
    assert show(Quantity(amount=Decimal("1.5"), unit="")) == "1.5"
    assert show(Quantity(amount=Decimal("1E+999999"), unit="ohm")) == "1E+999999 Ω"
    assert show(Quantity(amount=Decimal("NaN"), unit="volt")) == "NaN V"
    assert show(Quantity(amount=Decimal("0E-50"), unit="volt")) == "0 V"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("4.7k", "4k7"), ("100 ohm", "100R"), ("0.47 ohm", "R47"), ("2.2uF", "2u2"), ("0 ohm", "0R"),
        ("15M", "15M"),
        ("3.3 mohm", "3L3"), ("0.68 pF", "p68"), ("1000uF", "1m"), ("10 uH", "10u"), ("47.5k", "47k5"),
        ("1G", "1G"),
    ],
)  # fmt: skip
def test_letter_codes_follow_iec_60062(text: str, code: str) -> None:
    assert letter_code(parse_quantity(text)) == code


@pytest.mark.parametrize(
    ("amount", "unit", "says"),
    [
        ("12", "volt", "has no letter code"), ("-1", "ohm", "has no letter code"), ("NaN", "ohm",
        "has no letter code"),
        ("1E+40", "ohm", "has no letter code"), ("4.7001E+3", "ohm", "too many digits"),
        ("1E+13", "ohm", "too many digits"), ("1E-16", "farad", "too many digits"),
    ],
)  # fmt: skip
def test_what_no_letter_code_can_hold_is_refused(amount: str, unit: str, says: str) -> None:
    with pytest.raises(QuantityError, match=says):
        letter_code(Quantity(amount=Decimal(amount), unit=unit))


def test_nothing_of_farads_and_henries_has_a_code_too() -> None:
    for unit, code in (("farad", "0p"), ("henry", "0u")):
        assert letter_code(Quantity(amount=Decimal(0), unit=unit)) == code
        assert parse_quantity(code, unit).amount == 0

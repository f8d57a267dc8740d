"""Limits and readings as people write them."""

from __future__ import annotations

import contextlib
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.measure.verdict.meter_input import ReadingDoubt, parse_reading, read_against
from bench.parts.expectation import ABOUT_PERCENT, parse_expectation, plural


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("5 V ± 4 %", "4.8", "5.2", "volt"),
        ("5 V +/- 0.2 V", "4.8", "5.2", "volt"),
        ("5V ±4%", "4.8", "5.2", "volt"),
        ("5 V (± 4 %)", "4.8", "5.2", "volt"),
        ("-12 V ± 5 %", "-12.6", "-11.4", "volt"),
        ("−12 V ± 5 %", "-12.6", "-11.4", "volt"),
        ("> 200 ohm", "200", None, "ohm"),
        (">= 200 Ω", "200", None, "ohm"),
        ("≥ 200R", "200", None, "ohm"),
        ("at least 200 ohm", "200", None, "ohm"),
        ("200 ohm or more", "200", None, "ohm"),
        ("< 40 mA", None, "0.04", "ampere"),
        ("≤40mA", None, "0.04", "ampere"),
        ("max. 40 mA", None, "0.04", "ampere"),
        ("40 mA max", None, "0.04", "ampere"),
        ("11.4..12.6 V", "11.4", "12.6", "volt"),
        ("11.4 to 12.6 V", "11.4", "12.6", "volt"),
        ("11,4–12,6 V", "11.4", "12.6", "volt"),
        ("between 11.4 V and 12.6 V", "11.4", "12.6", "volt"),
        ("-11.4 .. -12.6 V", "-12.6", "-11.4", "volt"),
        ("550..750 mV", "0.55", "0.75", "volt"),
        ("0.55..0.75 V", "0.55", "0.75", "volt"),
        ("> 4.8 V and < 5.2 V", "4.8", "5.2", "volt"),
        ("12 V +10/-20 %", "9.6", "13.2", "volt"),
        ("-12 V +10/-5 %", "-13.2", "-11.4", "volt"),
        ("12 V +0.6 V -0.2 V", "11.8", "12.6", "volt"),
        ("4k7 ± 5 %", "4465", "4935", "ohm"),
        ("100 nF ± 20 %", "80E-9", "120E-9", "farad"),
        ("0 V ± 10 mV", "-0.01", "0.01", "volt"),
        ("440 Hz ± 1 %", "435.6", "444.4", "hertz"),
        ("4.75 to 5.25 V DC", "4.75", "5.25", "volt"),
    ],
)
def test_an_expectation_gives_its_limits(text: str, low: str | None, high: str | None, unit: str) -> None:
    found = parse_expectation(text)
    assert found.unit == unit
    assert found.low == (None if low is None else Decimal(low))
    assert found.high == (None if high is None else Decimal(high))
    assert not found.open
    assert not found.alternating
    assert found.text == text


@pytest.mark.parametrize("text", ["OL", "open", "o.l.", "Open Circuit", "∞"])
def test_an_open_circuit_can_be_expected(text: str) -> None:
    assert parse_expectation(text).open
    assert parse_expectation(text).words == "open circuit (OL)"


def test_about_means_within_the_stated_share() -> None:
    found = parse_expectation("about 38 mA")
    assert found.nominal == Decimal("0.038")
    assert found.high == Decimal("0.038") * (1 + ABOUT_PERCENT / 100)
    assert found.low == Decimal("0.038") * (1 - ABOUT_PERCENT / 100)


@pytest.mark.parametrize("text", ["9 V AC ± 10 %", "9 VAC ± 10 %", "9V ac ± 10 %"])
def test_alternating_volts_are_told_apart(text: str) -> None:
    assert parse_expectation(text).alternating
    assert parse_expectation(text).words == "8.1 V to 9.9 V AC"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nothing is expected"),
        ("5 V", "no tolerance"),
        ("> 200", "without a unit"),
        ("5 V ± 4", "of what"),
        ("0 V ± 5 %", "percentage of zero"),
        ("5 V ± 0 %", "no tolerance in per cent"),
        ("5 V ± x %", "no tolerance in per cent"),
        ("5 V ± 2 mA", "no tolerance in volts"),
        ("12.6..11.4 V", "not below"),
        ("> 5.2 V and > 4.8 V", "one lower and one upper"),
        ("1 V .. 5 mA", "mixes two units"),
        ("1,000 ohm ± 5 %", "two ways"),
        ("hello", "no quantity"),
        ("± 5 %", "no quantity"),
        ("200 ohm AC ± 5 %", "AC goes with"),
        ("a" * 200, "too long"),
    ],
)
def test_a_bad_expectation_says_what_is_missing(text: str, said: str) -> None:
    with pytest.raises(SoldersideError, match=said) as caught:
        parse_expectation(text)
    assert caught.value.hint


@given(st.text(max_size=40))
def test_no_text_makes_an_expectation_or_reading_fail_in_another_way(text: str) -> None:
    with contextlib.suppress(SoldersideError):
        parse_expectation(text)
    for unit in ("volt", ""):
        with contextlib.suppress(SoldersideError):
            assert parse_reading(text, unit).text == text


@given(st.integers(-99999, 99999), st.integers(0, 3), st.integers(1, 40))
def test_a_nominal_lies_between_its_limits(n: int, places: int, percent: int) -> None:
    if n:
        nominal = Decimal(n).scaleb(-places)
        found = parse_expectation(f"{nominal:f} V ± {percent} %")
        assert found.low is not None
        assert found.high is not None
        assert found.low + found.high == 2 * nominal
        assert found.high - nominal == abs(nominal) * percent / 100


@pytest.mark.parametrize(
    ("text", "unit", "amount", "resolution"),
    [
        ("4k69", "ohm", "4690", "10"),
        ("12.03", "volt", "12.03", "0.01"),
        ("-11.98", "volt", "-11.98", "0.01"),
        ("160m", "volt", "0.16", "0.001"),
        ("103.2n", "farad", "103.2E-9", "0.1E-9"),
        ("12.03 V", "volt", "12.03", "0.01"),
        ("12,03", "volt", "12.03", "0.01"),
        ("1,250", "volt", "1.250", "0.001"),
        ("12.00", "volt", "12", "0.01"),
        ("0.00", "volt", "0", "0.01"),
        ("38 mA", "ampere", "0.038", "0.001"),
        ("1.2e-3", "ampere", "0.0012", "0.0001"),
        ("- 5.0", "volt", "-5", "0.1"),
    ],
)
def test_a_reading_keeps_its_amount_and_last_digit(text: str, unit: str, amount: str, resolution: str) -> None:
    found = parse_reading(text, unit)
    assert found.amount == Decimal(amount)
    assert found.resolution == Decimal(resolution)


@pytest.mark.parametrize("text", ["OL", "ol", "0L", "O.L", "-OL"])
def test_overload_is_a_reading(text: str) -> None:
    assert parse_reading(text, "ohm").amount is None
    assert parse_reading(text, "ohm").negative == text.startswith("-")


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "no reading was typed"), ("blah", "not a reading"), ("1.2.3", "not a reading"), ("5 mA", "but volts"),
     ("160M", "would be"), ("--5", "not a reading"), ("5 V 3", "not a reading"), ("TL072", "not a reading")],
)  # fmt: skip
def test_a_bad_reading_says_why(text: str, said: str) -> None:
    with pytest.raises(SoldersideError, match=said):
        parse_reading(text, "volt")


def test_a_bare_number_that_could_be_amperes_or_milliamperes_is_asked_about() -> None:
    limit = parse_expectation("< 40 mA")
    for typed in ("38", "0.2"):
        with pytest.raises(ReadingDoubt, match="A or mA") as caught:
            read_against(typed, limit)
        assert [each.text for each in caught.value.meanings] == [f"{typed} A", f"{typed} mA"]
    assert read_against("38m", limit).amount == Decimal("0.038")
    assert read_against("0.038", limit).amount == Decimal("0.038")
    assert read_against("4690", parse_expectation("4k7 ± 5 %")).amount == 4690


def test_units_have_plurals() -> None:
    assert plural("") == "anything"
    assert plural("ohm") == "ohms"

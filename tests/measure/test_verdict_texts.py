"""Every text of a verdict is true: each form of limits against readings of every kind of wrongness.

What a hint claims is reckoned again here from the limits and the reading alone. Meters that show a lone 1 for
over range, E for the decimal point of ohms and OVLD: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from bench.errors import SoldersideError
from bench.measure.verdict.meaning import meaning, not_yet_adjusted, probes, swapped
from bench.measure.verdict.meter_input import ReadingDoubt, read_against
from bench.measure.verdict.verdict import Verdict, judge_text
from bench.parts.expectation import Expectation, ExpectationError, meant_as_limit, parse_expectation

LIMITS = (
    "> 200 ohm",
    "> 10 kohm",
    "> 1 Mohm",
    "< 1 ohm",
    "4k7 ± 5 %",
    "2..20 ohm",
    "0 ohm ± 1 ohm",
    "OL",
    "12 V ± 5 %",
    "-11.7 V ± 5 %",
    "0 V ± 10 mV",
    "-0.15 V ± 0.3 V",
    "0.052 V ± 10 %",
    "< 5 V",
    "> 5 V",
    "< -5 V",
    "253 V ± 10 %",
    "0.22 V AC ± 15 %",
    "12.6 V AC ± 10 %",
    "< 1 mA",
    "< 0.25 A AC",
    "2 mA ± 50 %",
    "about 38 mA",
    "-2 mA ± 20 %",
    "680 Hz ± 30 %",
    "100 nF ± 10 %",
    "10 mH ± 10 %",
    "11.4 V to 12.6 V",
    "5 V +4 %/-2 %",
)
MARKS = {"volt": "V", "ampere": "A", "ohm": "ohm", "farad": "F", "henry": "H", "hertz": "Hz"}


def readings_for(limit: Expectation) -> Iterator[str]:
    """At each limit, a thousand times off, wrong sign, zero, another unit, OL, AC and DC."""
    ends = [end for end in (limit.low, limit.high) if end is not None] or [Decimal(0), Decimal(5)]
    mark = MARKS[limit.unit or "ohm"]
    for end in (*ends, sum(ends, Decimal(0)) / len(ends)):
        for factor in ("1", "1000", "0.001", "1.5", "0.7", "0.03", "-1", "-1000", "-0.5", "100000"):
            yield f"{end * Decimal(factor):f} {mark}"
    yield from (f"{said} {mark}" for said in ("0", "0.000", "-0.00"))
    yield from ("OL", "-OL", "5 Hz", "5 V", "5 mA", "5 k", "12 Vac", "12 Vdc", "5 mA AC")


def every_verdict() -> Iterator[tuple[Expectation, Decimal | None, Verdict]]:
    for text in LIMITS:
        limit = parse_expectation(text)
        for typed in readings_for(limit):
            try:
                reading, verdict = read_against(typed, limit), judge_text(text, typed)
            except SoldersideError:
                continue
            yield limit, reading.amount, verdict


def inside(amount: Decimal, limit: Expectation, slack: Decimal) -> bool:
    low, high = limit.low, limit.high
    return (low is None or amount >= low - slack) and (high is None or amount <= high + slack)


def test_enough_texts_are_looked_at() -> None:
    assert sum(verdict.answer == "out" for _, _, verdict in every_verdict()) > 300


def test_a_wrong_sign_is_only_spoken_of_where_only_the_sign_is_wrong() -> None:
    seen = 0
    for limit, amount, verdict in every_verdict():
        said = " ".join(verdict.notes)
        if "right value, wrong sign" not in said:
            continue
        seen += 1
        assert limit.unit in ("volt", "ampere")
        assert not limit.alternating
        assert amount is not None
        assert inside(-amount, limit, verdict.guard or Decimal(0))
        assert not inside(Decimal(0), limit, Decimal(0)), "where nothing would do, a sign cannot be wrong"
    assert seen > 5


@pytest.mark.parametrize("typed", ["160m", "-160m", "2 A", "1.5m"])
def test_too_much_current_is_never_called_swapped_probes(typed: str) -> None:
    verdict = judge_text("< 1 mA", typed)
    said = " ".join(verdict.notes)
    assert verdict.answer == "out"
    assert "too much current: switch off now" in said
    assert "swapped" not in said


def test_each_hint_is_given_only_where_it_can_be() -> None:
    for limit, amount, verdict in every_verdict():
        said = " ".join(verdict.notes)
        ends = [abs(end) for end in (limit.low, limit.high) if end is not None]
        if verdict.answer != "out":
            for hint in ("too high", "too low", "switch off", "next to nothing", "hands off", "bridge"):
                assert hint not in said
        if "a thousand times as much" in said:
            assert amount is not None
            assert inside(amount * 1000, limit, Decimal(0))
        if "a thousandth of it" in said:
            assert amount is not None
            assert inside(amount / 1000, limit, Decimal(0))
        if "next to nothing" in said:
            assert amount is not None
            assert abs(amount) < min(ends) / 10
        if "too high: switch off" in said or "too much current" in said:
            assert amount is None or abs(amount) > max(ends)
        if "too low" in said or "too little" in said:
            assert amount is not None
            assert abs(amount) < min(ends)
        if "bridge" in said or "lift one leg" in said:
            assert limit.unit in ("ohm", "ampere", "")
        if "touched together" in said:
            assert limit.unit == "ohm"
            assert min(end for end in ends if end) <= 20
        if "minus sign was left out" in said:
            assert limit.low is None
            assert amount is not None
            assert amount < 0
        if "below the limits" in verdict.words:
            assert amount is not None
            assert limit.low is not None
            assert 0 <= amount < limit.low
        if "above the limits" in verdict.words:
            assert amount is not None
            assert limit.high is not None
            assert amount > limit.high >= 0


def test_whatever_is_out_says_what_that_may_mean() -> None:
    for limit, amount, verdict in every_verdict():
        if verdict.answer == "out" and limit.unit in ("ohm", "volt", "ampere", ""):
            assert verdict.notes, (limit.text, amount)


def test_an_answer_agrees_with_plain_comparison() -> None:
    for limit, amount, verdict in every_verdict():
        if limit.open or amount is None:
            continue
        size = abs(amount) if limit.low is None and (limit.high or 0) > 0 else amount
        if verdict.answer != "too close to call":
            assert (verdict.answer == "in") == inside(size, limit, Decimal(0)), (limit.text, amount)


def test_a_missed_connection_and_a_short_are_told_apart() -> None:
    assert "a solder bridge" in judge_text("> 200 ohm", "12 ohm").notes[0]
    assert "no power before it is found" in judge_text("> 200 ohm", "12 ohm").notes[0]
    assert "no connection" in judge_text("< 1 ohm", "OL").notes[0]
    assert "conducts here that should not" in judge_text("OL", "5 ohm").notes[0]


@pytest.mark.parametrize(
    ("expect", "typed", "amount"),
    [
        ("3 V AC ± 5 %", "2.89V~", "2.89"),
        ("3.4 V AC ± 5 %", "3.4 Vrms", "3.4"),
        ("680 ohm ± 5 %", "680E", "680"),
        ("4.7 ohm ± 5 %", "4E7", "4.7"),
        ("12 V ± 5 %", "12,03", "12.03"),
        ("4k7 ± 5 %", "4k69", "4690"),
        ("< 200 mA", "160m", "0.16"),
        ("1M2 ± 5 %", "1M2", "1200000"),
        ("230 V AC ± 10 %", "230VAC", "230"),
        ("12 V ± 5 %", "12 Vdc", "12"),
        ("10 mV AC ± 60 %", "5mVac", "0.005"),
        ("-12 V ± 5 %", "\u221211.98", "-11.98"),
        ("0 V ± 10 mV", "-0.00", "0"),
        ("0 V ± 10 mV", "\u22120.00", "0"),
        ("230 V AC ± 10 %", "~230 V", "230"),
        ("12 V ± 5 %", "12.0 V DC", "12"),
        ("12 V ± 5 %", "12.0V=", "12"),
        ("2 A AC ± 5 %", "2.0 A rms", "2"),
    ],
)
def test_readings_are_taken_as_people_type_them(expect: str, typed: str, amount: str) -> None:
    assert read_against(typed, parse_expectation(expect)).amount == Decimal(amount)


@pytest.mark.parametrize("typed", ["OVLD", "O.L", "0.L", "OL", "ovld", ".OL", "OL Mohm", "0L", "O L", "over"])
def test_overload_in_the_ways_that_meters_show_it(typed: str) -> None:
    assert read_against(typed, parse_expectation("> 200 ohm")).amount is None


@pytest.mark.parametrize(
    ("expect", "typed", "offered"),
    [
        ("> 10 kohm", "10,1", {"o": "10,1 ohm", "k": "10,1 kohm"}),
        ("> 200 ohm", "1.2", {"o": "1.2 ohm", "k": "1.2 kohm"}),
        ("> 200 ohm", "47", {"o": "47 ohm", "k": "47 kohm"}),
        ("> 1 kohm", "4.7", {"o": "4.7 ohm", "k": "4.7 kohm"}),
        ("2 mA ± 50 %", "2.1", {"a": "2.1 A", "m": "2.1 mA"}),
        ("0 V ± 10 mV", "5", {"v": "5 V", "m": "5 mV"}),
        ("0.052 V ± 10 %", "52", {"v": "52 V", "m": "52 mV"}),
        ("4k7 ± 5 %", "4.7", {"o": "4.7 ohm", "k": "4.7 kohm"}),
        ("4700 ohm ± 5 %", "4.7", {"o": "4.7 ohm", "k": "4.7 kohm"}),
        ("12 V ± 5 %", "11980", {"v": "11980 V", "m": "11980 mV"}),
        ("< 1 mA", "0.00", {"a": "0.00 A", "m": "0.00 mA"}),
        ("< 1 mA", "160", {"a": "160 A", "m": "160 mA", "u": "160 uA"}),
        ("> 200 ohm", "1.", {"l": "OL", "o": "1 Ω"}),
        ("12 V ± 5 %", "1.", {"l": "OL", "v": "1 V"}),
        ("> 200 ohm", "1", {"l": "OL", "o": "1 Ω"}),
        ("-12 V ± 5 %", "-1 .", {"l": "-OL", "v": "-1 V"}),
        ("100 nF ± 10 %", "103.2", {"f": "103.2 F", "n": "103.2 nF"}),
        ("0.5 V ± 10 %", "0", {"v": "0 V", "m": "0 mV"}),
        ("> 10 kohm", "10", {"o": "10 ohm", "k": "10 kohm"}),
    ],
)
def test_a_number_that_can_mean_two_things_is_asked_about(
    expect: str, typed: str, offered: dict[str, str]
) -> None:
    limit = parse_expectation(expect)
    with pytest.raises(ReadingDoubt) as caught:
        read_against(typed, limit)
    assert [(each.key, each.text) for each in caught.value.meanings] == [*offered.items()]
    for text in offered.values():
        read_against(text, limit)  # each of them is a reading without doubt, if only an overload or an odd one


@pytest.mark.parametrize(
    ("expect", "typed"),
    [
        ("> 200 ohm", "150"),
        ("> 200 ohm", "0.5"),
        ("12 V ± 5 %", "9.5"),
        ("12 V ± 5 %", "-12.0"),
        ("< 1 ohm", "0.4"),
        ("> 10 kohm", "15000"),
        ("0 V ± 10 mV", "0.005"),
        ("< 40 mA", "0.038"),
        ("12 V ± 5 %", "120"),
    ],
)
def test_a_number_that_can_mean_one_thing_is_not_asked_about(expect: str, typed: str) -> None:
    assert read_against(typed, parse_expectation(expect)).amount == Decimal(typed)


@pytest.mark.parametrize(
    ("expect", "typed", "said"),
    [
        ("12 V ± 5 %", "12 Vac", "is AC, but DC"),
        ("12 V AC ± 5 %", "12 Vdc", "is DC, but AC"),
        ("12 V AC ± 5 %", "-12", "no sign"),
        ("> 200 ohm", "-OL", "cannot be negative"),
        ("680 Hz ± 5 %", "-680", "cannot be negative"),
        ("OL", "5 V", "ohms are measured"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_do(expect: str, typed: str, said: str) -> None:
    with pytest.raises(SoldersideError, match=said) as caught:
        judge_text(expect, typed)
    assert caught.value.hint


@pytest.mark.parametrize(
    "text",
    [
        "> 1O kohm",
        "9..1 V",
        "5 bananas",
        "nan V",
        "> -200 ohm",
        "< -5 ohm",
        "< 0 ohm",
        "-12 V AC ± 5 %",
        "> 999999 kV",
        "5 V",
        "ten volts",
        "inf V",
        "± 5 %",
        "> ohm",
        "5 V ± red",
    ],
)
def test_a_limit_that_cannot_be_understood_or_met_is_no_mere_word(text: str) -> None:
    with pytest.raises(ExpectationError):
        parse_expectation(text)
    assert meant_as_limit(text)


@pytest.mark.parametrize("text", ["steady light", "LED1 shines", "a click", "no smoke, no smell", ""])
def test_words_for_eye_and_ear_are_no_limit(text: str) -> None:
    assert not meant_as_limit(text)


@pytest.mark.parametrize(
    ("expect", "reading", "answer", "said"),
    [
        # Over range says only that more is there than the range holds (a meter's manual, common practice): on a
        # range of 2 V it is no proof of 4.5 V, and 600 V where 4.5 V are meant is no pass either.
        ("> 4.5 V", "OL", "too close to call", "switch up and read again"),
        ("> 10 mA", "OL", "too close to call", "switch up and read again"),
        ("> 2 Mohm", "OL", "in", "switch up and read again"),
        # A blown fuse in the meter reads nothing at all.
        ("< 1.5 A", "0.000 A", "in", "its fuse whole"),
        ("< 1.5 A", "0.300 A", "in", ""),
        # A stuck output stage: loudspeakers die of it. Common practice, no source.
        ("0 V ± 50 mV", "-28 V", "out", "no loudspeaker"),
        ("0 V ± 50 mV", "28.0 V", "out", "no loudspeaker"),
        ("0 V ± 50 mV", "60 mV", "out", "there should be less here"),
        ("0 V ± 50 mV", "35.0 V", "out", "hands off"),
    ],
)
def test_no_box_closes_on_over_range_and_a_stuck_output_is_named(
    expect: str, reading: str, answer: str, said: str
) -> None:
    verdict = judge_text(expect, reading)
    assert verdict.answer == answer
    assert said in " ".join(verdict.notes)
    assert bool(said) or not verdict.notes


@pytest.mark.parametrize(
    ("expect", "amount", "said"),
    [
        # 0 V ± 10 mV: less than ten times the limit or a volt, more than that, and from 30 V on hands off
        ("0 V ± 10 mV", "0.02", "there should be less here"),
        ("0 V ± 10 mV", "1", "there should be less here"),
        ("0 V ± 10 mV", "-1.001", "far more than there should be"),
        ("0 V ± 10 mV", "29.999", "far more than there should be"),
        ("0 V ± 10 mV", "-30", "hands off"),
        ("0 V ± 0.2 V", "2", "there should be less here"),
        ("0 V ± 0.2 V", "2.001", "far more than there should be"),
        ("< 5 V", "5.1", "hands off"),
        ("< 5 V", None, "hands off"),
        # 12 V ± 5 %: 11.4 to 12.6 V, next to nothing below a twentieth of the lower limit
        ("12 V ± 5 %", "12.7", "too high"),
        ("12 V ± 5 %", None, "too high"),
        ("12 V ± 5 %", "11", "too low: more is drawn"),
        ("12 V ± 5 %", "0.57", "too low: switch off; more"),
        ("12 V ± 5 %", "9.11", "too low: switch off; more"),
        ("12 V ± 5 %", "9.12", "too low: more is drawn"),
        ("12 V ± 5 %", "0.569", "no supply"),
        ("12 V ± 5 %", "0", "no supply"),
        ("12 V ± 5 %", "-12", "right value, wrong sign"),
        ("12 V ± 5 %", "-12.6", "right value, wrong sign"),
        ("12 V ± 5 %", "-11", "wrong sign and wrong value"),
        ("12 V ± 5 %", "-13", "too high"),
        ("-12 V ± 5 %", "11.4", "right value, wrong sign"),
        ("-12 V ± 5 %", "11.3", "wrong sign and wrong value"),
        ("12.6 V AC ± 10 %", "0.1", "no supply or signal"),
        ("12.6 V AC ± 10 %", "20", "too high"),
        ("12.6 V AC ± 10 %", "5", "too low"),
        # 2 mA ± 20 %
        ("2 mA ± 20 %", "0.0025", "too much current"),
        ("2 mA ± 20 %", None, "too much current"),
        ("2 mA ± 20 %", "0.001", "too little flows"),
        ("2 mA ± 20 %", "0.00008", "too little flows"),
        ("2 mA ± 20 %", "0.000079", "almost nothing flows"),
        ("2 mA ± 20 %", "-0.002", "right value, wrong sign"),
        ("2 mA ± 20 %", "-0.001", "wrong sign and wrong value"),
        # ohms: flux and fingers explain a megohm and more
        ("open", "999999", "the wrong way round"),
        ("open", "1000000", "can also be flux"),
        ("> 200 ohm", "100", "no power before it is found"),
        ("0 ohm ± 1 ohm", None, "no connection"),
        ("0 ohm ± 1 ohm", "7", "not the connection it should be"),
        ("4k7 ± 5 %", None, "too high: an open joint"),
        ("4k7 ± 5 %", "5000", "too high: an open joint"),
        ("4k7 ± 5 %", "4000", "too low: a bridge"),
        ("4k7 ± 5 %", "4000", "lift one leg"),
    ],
)
def test_what_a_reading_out_of_its_limits_may_mean_turns_at_its_boundary(
    expect: str, amount: str | None, said: str
) -> None:
    read = None if amount is None else Decimal(amount)
    texts = list(meaning(read, Decimal(0), parse_expectation(expect)))
    assert said in " ".join(texts)
    others = {
        "hands off",
        "far more than",
        "there should be less",
        "too high",
        "too low",
        "the wrong sign, and",
    }
    kept = [other for other in others if other in said or said.startswith(other)]
    assert sum(any(other in text for text in texts) for other in others) <= max(1, len(kept))


@pytest.mark.parametrize(
    ("expect", "amount", "said"),
    [
        ("0.5 ohm ± 20 %", "9.9", True), ("0.5 ohm ± 20 %", "10", False), ("2..20 ohm", "3", True),
        ("20..30 ohm", "9", True), ("20.1..30 ohm", "9", False), ("> 200 ohm", "3", False),
        ("1 V ± 5 %", "1", False), ("0..5 ohm", "0.4", True),
    ],
)  # fmt: skip
def test_the_probes_are_spoken_of_at_few_ohms_against_limits_of_few_ohms(
    expect: str, amount: str, said: bool
) -> None:
    assert bool(list(probes(Decimal(amount), parse_expectation(expect)))) == said


@pytest.mark.parametrize(
    ("amount", "said"), [("-12", ""), ("0.012", "almost nothing arrives"), ("11", "too low")]
)
def test_what_is_not_yet_adjusted_is_neither_a_swapped_sign_nor_a_slip_of_the_prefix(
    amount: str, said: str
) -> None:
    found = not_yet_adjusted(Decimal(amount), Decimal(0), parse_expectation("12 V ± 5 %"))
    assert (len(found), all(each.startswith(said) for each in found)) == (bool(said), True)


def test_a_swapped_sign_takes_the_guard_band_into_account_and_only_volts_and_amperes_have_one() -> None:
    limit = parse_expectation("12 V ± 5 %")
    for amount, guard, swap in (("-12.6", "0", True), ("-12.7", "0", False), ("-12.7", "0.1", True),
                                ("-11.3", "0", False), ("-11.3", "0.1", True), ("12", "0", False)):  # fmt: skip
        assert swapped(Decimal(amount), Decimal(guard), limit) == swap, (amount, guard)
    assert not swapped(Decimal(-680), Decimal(0), parse_expectation("680 Hz ± 30 %"))
    assert swapped(Decimal(-9), Decimal(0), parse_expectation("> 5 V"))
    assert swapped(Decimal(9), Decimal(0), parse_expectation("< -5 V"))
    assert not swapped(Decimal(-9), Decimal(0), parse_expectation("0 V ± 10 V"))
    assert not swapped(Decimal(-12), Decimal(0), parse_expectation("12.6 V AC ± 10 %"))


@pytest.mark.parametrize("reading", ["0.0 V", "20 V", "-200 V", "450 V", "OL"])
def test_where_high_voltage_belongs_no_reading_makes_it_safe_to_touch(reading: str) -> None:
    """A dead meter shows 0 as well; tried before and after: common practice, no source."""
    said = " ".join(judge_text("190..210 V", reading).notes)
    assert "take it for live, whatever the meter shows" in said
    assert "take it for live" not in " ".join(judge_text("12 V ± 5 %", "450 V").notes)


@pytest.mark.parametrize(("expect", "off"), [("190..210 V", True), ("< 40 mA", True), ("4k7 ± 5 %", False)])
def test_a_range_is_not_switched_under_power(expect: str, off: bool) -> None:
    """Leads off before the range switch is turned: meters' manuals, common practice."""
    said = " ".join(judge_text(expect, "OL").notes)
    assert "switch up and read again" in said
    assert ("power off, switch up" in said) is off


@pytest.mark.parametrize(
    ("target", "amount", "mild"),
    [
        # Idle current that runs away, a rail and an output stage that have failed: common practice, no source.
        ("25 mA ± 20 %", "0.040", True), ("25 mA ± 20 %", "0.4", False), ("< 30 mA", "0.4", False),
        ("12 V ± 2 %", "14", True), ("12 V ± 2 %", "40", False),
        ("0 V ± 10 mV", "0.2", True), ("0 V ± 10 mV", "28", False), ("0 V ± 10 mV", "-35", False),
        ("440 Hz ± 1 %", "2000", True),
    ],
)  # fmt: skip
def test_at_a_trimmer_too_the_supply_goes_off_at_far_too_much(target: str, amount: str, mild: bool) -> None:
    expectation = parse_expectation(target)
    said = set(meaning(Decimal(amount), Decimal(0), expectation))
    assert (not_yet_adjusted(Decimal(amount), Decimal(0), expectation) == said) is mild

"""Meters and verdicts against published examples.

Sources: JCGM 106:2012; ILAC-G8:09/2019; makers' pages on meter accuracy, each named beside its figures.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.measure.verdict.meter import (
    CLASSES,
    DEFAULT_METER,
    Meter,
    MeterError,
    MeterRange,
    choose_range,
    class_words,
    meter_from,
)
from bench.measure.verdict.meter_input import parse_reading
from bench.measure.verdict.verdict import Answer, conformity, judge, judge_text, standard_uncertainty
from bench.parts.expectation import parse_expectation


def _range(full_scale: str, count: str, percent: str, counts: str) -> MeterRange:
    return MeterRange(
        full_scale=Decimal(full_scale),
        resolution=Decimal(count),
        percent=Decimal(percent),
        counts=Decimal(counts),
    )


@pytest.mark.parametrize(
    ("its", "reading", "limit"),
    [
        # my.fluke.com/en-us/article/KA-03135: 120 V on the 600.0 V range, ±(1 % + 3)
        (_range("600", "0.1", "1", "3"), "120", "1.5"),
        # kpu.ca/physics/Phys1102-1220/DMMUncertainties: ±(2.5 % + 3 digits), last digit 0.01 V
        (_range("60", "0.01", "2.5", "3"), "32.00", "0.83"),
        (_range("60", "0.01", "2.5", "3"), "0.09", "0.03225"),
        # sk.gvda-instrument.com/...87246271: 100.0 V, ±(1 % + 2), so 98.8 to 101.2 V
        (_range("600", "0.1", "1", "2"), "100.0", "1.2"),
        # victorruoshui.com/newsinfo/72611.html: 2.000 V on 5.000 V, ±(0.08 % + 2)
        (_range("5", "0.001", "0.08", "2"), "2.000", "0.0036"),
    ],
)
def test_accuracy_is_percent_of_reading_plus_counts(its: MeterRange, reading: str, limit: str) -> None:
    assert its.accuracy(Decimal(reading)) == Decimal(limit)
    assert its.accuracy(-Decimal(reading)) == Decimal(limit)


@pytest.mark.parametrize(
    ("value", "uncertainty", "low", "high", "published", "digits"),
    [
        # JCGM 106:2012, clause 7 examples; figures from memory, recomputed from their inputs
        (-5.47, 0.05, None, -5.40, 0.92, 2),
        (509.7, 8.6, 490.0, None, 0.99, 2),
        (13.6, 1.8, 12.5, 16.3, 0.66, 2),
    ],
)
def test_conformity_gives_the_probabilities_of_jcgm_106(
    value: float, uncertainty: float, low: float | None, high: float | None, published: float, digits: int
) -> None:
    assert round(conformity(value, uncertainty, low, high), digits) == published


@pytest.mark.parametrize(
    ("probability", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)]
)
def test_conformity_agrees_with_table_1_of_jcgm_106(probability: float, z: float) -> None:
    # Printed to two digits, so the probability must lie between those of z half a digit either way.
    assert conformity(z - 0.005, 1.0, 0.0, None) < probability < conformity(z + 0.005, 1.0, 0.0, None)


def test_at_the_guard_band_less_than_one_in_forty_is_accepted_wrongly() -> None:
    # ILAC-G8:09/2019, w = U (k = 2): false acceptance below 2.5 %.
    assert 1.0 - conformity(2.0, 1.0, 0.0, None) < 0.025
    assert 1.0 - conformity(1.9, 1.0, 0.0, None) > 0.025


def _simpson(values: list[float], step: float) -> float:
    return step / 3 * (values[0] + values[-1] + 4 * sum(values[1:-1:2]) + 2 * sum(values[2:-2:2]))


def _false_accept(limit: float, accept: float, ratio: float) -> float:
    """Normal product of standard deviation 1, meter `ratio` times better, accepted within ±accept."""
    step = 0.001
    xs = [limit + step * i for i in range(6001)]
    density = [math.exp(-x * x / 2) / math.sqrt(2 * math.pi) for x in xs]
    accepted = [conformity(x, 1 / ratio, -accept, accept) for x in xs]
    return 2 * _simpson([d * a for d, a in zip(density, accepted, strict=True)], step)


def test_false_acceptance_agrees_with_deaver() -> None:
    # Deaver, How to Maintain Confidence, p. 7, as quoted in the tests of sandialabs/suncal.
    assert _false_accept(2.0, 2.0, 4.0) == pytest.approx(0.0080061, abs=1e-6)
    assert _false_accept(2.5, 2.5, 4.0) == pytest.approx(0.0024453, abs=1e-6)
    assert _false_accept(2.0, 0.91 * 2.0, 2.0) == pytest.approx(0.0080516, abs=1e-6)


def test_consumers_risk_of_the_ball_bearings_agrees_with_jcgm_106() -> None:
    # JCGM 106:2012, 9.5.4, worked in sandialabs/suncal: gamma (4, 1/4) µm, limit 2, u 0.25: 0.8 %.
    def density(x: float) -> float:
        return 4.0**4 * x**3 * math.exp(-4.0 * x) / 6.0

    step = 0.001
    xs = [2.0 + step * i for i in range(6001)]

    def risk(accept: float) -> float:
        return _simpson([density(x) * conformity(x, 0.25, None, accept) for x in xs], step)

    assert risk(2.0) == pytest.approx(0.0080191, abs=1e-6)
    assert risk(1.671829) == pytest.approx(0.001, abs=1e-5)


def test_without_uncertainty_the_limits_decide_and_a_negative_one_is_refused() -> None:
    assert conformity(5.0, 0.0, 5.0, None) == 1.0
    assert conformity(5.0, 0.0, None, 4.9) == 0.0
    with pytest.raises(SoldersideError, match="not an uncertainty"):
        conformity(5.0, -1.0, None, None)


ONE_RANGE = Meter(name="test meter", volts=(_range("60", "0.01", "1", "3"),))


@pytest.mark.parametrize(
    # At 5.00 V this meter may be off by 0.05 + 0.03 = 0.08 V, so w = 2 × 0.08 / √3 = 0.0924 V.
    ("reading", "answer"),
    [("5.00", "in"), ("5.10", "in"), ("5.11", "too close to call"), ("5.19", "too close to call"),
     ("5.21", "too close to call"), ("5.29", "too close to call"), ("5.30", "out"), ("4.90", "in"),
     ("4.88", "too close to call"), ("4.70", "out")],
)  # fmt: skip
def test_the_guard_band_is_kept_on_both_sides_of_a_limit(reading: str, answer: Answer) -> None:
    assert judge_text("5 V ± 4 %", reading, ONE_RANGE).answer == answer


def test_a_verdict_states_its_guard_band_in_words_and_numbers() -> None:
    verdict = judge_text("5 V ± 4 %", "5.00", ONE_RANGE)
    assert verdict.accuracy == Decimal("0.08")
    assert verdict.guard is not None
    assert float(verdict.guard) == pytest.approx(2 * 0.08 / math.sqrt(3))
    assert "80 mV" in verdict.guard_words
    assert "guard band 92 mV" in verdict.guard_words
    assert "range 60 V, assumed: the smallest" in verdict.guard_words
    assert verdict.probability is not None
    assert verdict.probability > 0.9999


@given(st.integers(300, 700))
def test_in_and_out_are_said_only_when_nearly_sure(hundredths: int) -> None:
    # A limit on either side, so false acceptance is at most twice the 2.28 % beyond k = 2.
    verdict = judge_text("5 V ± 4 %", f"{hundredths / 100:.2f}", ONE_RANGE)
    assert verdict.probability is not None
    if verdict.answer == "in":
        assert verdict.probability > 0.954
    if verdict.answer == "out":
        assert verdict.probability < 0.025


def test_digits_left_out_widen_the_guard_band() -> None:
    assert judge_text("5 V ± 4 %", "5").answer == "too close to call"
    assert "type every digit" in " ".join(judge_text("5 V ± 4 %", "5").notes)
    assert judge_text("5 V ± 4 %", "5.000").answer == "in"
    assert standard_uncertainty(Decimal(3), Decimal(4)) == (Decimal(25) / 3).sqrt()


def test_limits_closer_than_the_meter_can_tell_are_said_to_be_so() -> None:
    verdict = judge_text("12 V ± 0.1 %", "12.00")
    assert verdict.answer == "too close to call"
    assert "closer together" in verdict.notes[0]


def test_a_reading_out_of_close_limits_is_out_and_nothing_is_said_of_the_meter() -> None:
    verdict = judge_text("12 V ± 0.1 %", "14.00")
    assert verdict.answer == "out"
    assert not any("closer together" in note for note in verdict.notes)


def test_only_a_verdict_left_open_asks_for_more_digits() -> None:
    for reading in ("5", "7"):
        asked = "type every digit" in " ".join(judge_text("5 V ± 4 %", reading).notes)
        assert asked == (judge_text("5 V ± 4 %", reading).answer == "too close to call")


def test_the_guard_band_names_the_last_digit_where_digits_were_left_out() -> None:
    assert "the last digit typed leaves" in judge_text("5 V ± 4 %", "5").guard_words
    assert "the last digit typed leaves" not in judge_text("5 V ± 4 %", "5.000").guard_words
    assert "only the last digit typed counts" in judge_text("1 W ± 10 %", "1").guard_words
    assert "leaves" not in judge_text("1 W ± 10 %", "1").guard_words


def test_alternating_volts_are_judged_by_the_ranges_for_them() -> None:
    steady, alternating = DEFAULT_METER.ranges("volt"), DEFAULT_METER.ranges("volt", alternating=True)
    assert (steady, alternating) == (DEFAULT_METER.volts, DEFAULT_METER.volts_ac)
    assert DEFAULT_METER.ranges("ampere", alternating=True) == DEFAULT_METER.amps_ac
    assert DEFAULT_METER.ranges("ampere") == DEFAULT_METER.amps
    assert DEFAULT_METER.ranges("ohm") == DEFAULT_METER.ranges("ohm", alternating=True) != ()
    assert DEFAULT_METER.ranges("watt") == ()


def test_the_smallest_range_that_holds_an_amount_is_chosen_and_its_full_scale_is_held() -> None:
    meter = Meter(name="mine", volts=(_range("6", "0.001", "0.5", "3"), _range("60", "0.01", "0.5", "3")))
    for amount, full_scale in (("6", 6), ("-6", 6), ("6.001", 60), ("-60", 60), ("61", 60)):
        found = choose_range(meter, Decimal(amount), "volt")
        assert found is not None
        assert found.full_scale == full_scale
    assert choose_range(meter, Decimal(1), "ohm") is None


@pytest.mark.parametrize(
    ("changed", "sound"),
    [
        ({"resolution": "0"}, False),
        ({"resolution": "6 V"}, False),
        ({"resolution": "5 V"}, True),
        ({"percent": 20}, True),
        ({"percent": 20.1}, False),
    ],
)
def test_a_range_that_no_meter_has_is_refused(changed: dict[str, object], sound: bool) -> None:
    entry: dict[str, object] = {"full_scale": "6 V", "resolution": "1 mV", "percent": 0.5, "counts": 3}
    if sound:
        assert meter_from({"volts": [entry | changed]}).volts
    else:
        with pytest.raises(MeterError):
            meter_from({"volts": [entry | changed]})


@pytest.mark.parametrize(
    ("expect", "reading", "answer"),
    [
        ("> 200 ohm", "OL", "in"),
        ("> 100 Mohm", "OL", "too close to call"),
        ("100 Mohm ± 5 %", "OL", "too close to call"),
        ("4k7 ± 5 %", "OL", "out"),
        ("11.4..12.6 V", "OL", "out"),
        ("11.4..12.6 V", "-OL", "out"),
        ("> 5 V", "-OL", "out"),
        ("-1200 V ± 5 %", "-OL", "too close to call"),
        ("< -5 V", "-OL", "too close to call"),
        ("OL", "OL", "in"),
        ("open", "0.3", "out"),
        ("open", "4k7", "out"),
    ],
)
def test_overload_says_only_beyond_the_largest_range(expect: str, reading: str, answer: Answer) -> None:
    assert judge_text(expect, reading).answer == answer


def test_overload_with_a_minus_is_below_all_but_a_limit_on_the_size() -> None:
    assert judge_text("< 40 mA", "-OL").words.startswith("-OL means more than 10 A, outside the limits")
    assert judge_text("< -5 V", "-OL").words.startswith("-OL means less than -600 V")


def test_a_limit_without_a_lower_end_is_on_the_size() -> None:
    verdict = judge_text("< 40 mA", "-50m")
    assert verdict.answer == "out"
    assert "sign" in verdict.notes[0]
    assert judge_text("< 0.1 V", "-3.000 V").answer == "out"


def test_swapped_probes_are_named() -> None:
    verdict = judge_text("-12 V ± 5 %", "11.98")
    assert verdict.answer == "out"
    assert "wrong sign" in verdict.notes[0]


def test_ohms_carry_their_own_warnings() -> None:
    assert "touched together" in judge_text("0..5 ohm", "0.4").notes[0]
    assert "lift one leg" in judge_text("4k7 ± 5 %", "4k30").notes[-1]
    with pytest.raises(SoldersideError, match="cannot be negative"):
        judge_text("> 200 ohm", "-40")


def test_the_wrong_unit_is_refused() -> None:
    with pytest.raises(SoldersideError, match="not in volts"):
        judge(parse_expectation("5 V ± 4 %"), parse_reading("5 mA"))
    with pytest.raises(SoldersideError, match="amperes, but volts"):
        judge_text("5 V ± 4 %", "5 mA")


def test_a_unit_the_meter_does_not_measure_is_judged_by_the_last_digit_and_says_so() -> None:
    verdict = judge_text("1 W ± 10 %", "1.00")
    assert verdict.answer == "in"
    assert "no accuracy for watts" in verdict.guard_words
    with pytest.raises(MeterError, match="does not measure watts"):
        judge_text("1 W ± 10 %", "OL")


def test_readings_that_do_not_fit_the_meter_are_remarked_on() -> None:
    assert "more digits" in judge_text("5 V ± 4 %", "5.02134").notes[0]
    assert "largest range" in judge_text("400..800 V", "700").notes[-1]


def test_a_meter_of_its_own_ranges_is_read_from_plain_data() -> None:
    made = meter_from({"name": "mine", "volts": [
        {"full_scale": "60 V", "resolution": "10 mV", "percent": 0.5, "counts": 2},
        {"full_scale": "6 V", "resolution": "1 mV", "percent": 0.5, "counts": 2},
    ]})  # fmt: skip
    assert [each.full_scale for each in made.volts] == [6, 60]
    chosen = choose_range(made, Decimal("-7.5"), "volt")
    assert chosen == made.volts[1]
    assert choose_range(made, Decimal(5), "ohm") is None


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        ({"name": "x"}, "no ranges"),
        ({"smell": []}, "unknown"),
        ({"volts": "6 V"}, "not a list"),
        ({"volts": [{"full_scale": "6 V"}]}, "needs full_scale"),
        (
            {"volts": [{"full_scale": "6 A", "resolution": 1, "percent": 1, "counts": 1}]},
            "not an amount in volts",
        ),
        ({"volts": [{"full_scale": "six", "resolution": 1, "percent": 1, "counts": 1}]}, "not a quantity"),
        ({"volts": [{"full_scale": 6, "resolution": 7, "percent": 1, "counts": 1}]}, "not smaller"),
        ({"volts": [{"full_scale": 6, "resolution": "1 mV", "percent": 50, "counts": 1}]}, "not a possible"),
        ({"volts": [{"full_scale": 6, "resolution": "1 mV", "percent": "x", "counts": 1}]}, "not an amount"),
        ({"volts": [{"full_scale": 6, "resolution": "1 mV", "percent": -1, "counts": 1}]}, "not an amount"),
    ],
)
def test_a_badly_described_meter_says_where(mapping: dict[str, object], said: str) -> None:
    with pytest.raises(MeterError, match=said) as caught:
        meter_from(mapping)
    assert caught.value.where == (
        "meter" if not mapping.get("volts") or "list" in said else "meter.volts, range 1"
    )


def test_a_meter_is_told_by_its_name_and_has_its_ranges_in_order_however_they_stand() -> None:
    big = {"full_scale": "60 V", "resolution": "10 mV", "percent": 0.5, "counts": 2}
    small = {"full_scale": "6 V", "resolution": "1 mV", "percent": 0.5, "counts": 2}
    meter = meter_from({"volts": [big, small]})
    assert [each.full_scale for each in meter.volts] == [6, 60]
    assert judge_text("5 V ± 4 %", "5.000", meter).guard_words.startswith("meter may be off by")
    named = judge_text("5 V ± 4 %", "5.000", meter_from({"name": "the yellow one", "volts": [big, small]}))
    assert named.answer == "in"
    assert meter_from({"name": "the yellow one", "volts": [big]}).name == "the yellow one"
    assert meter_from({"volts": [big | {"percent": 0}]}).volts[0].accuracy(Decimal(12)) == Decimal("0.02")


def test_a_meter_described_by_its_class_keeps_its_own_name_and_takes_no_ranges_beside() -> None:
    word = next(iter(CLASSES))
    assert meter_from({"accuracy": f" {word.upper()} "}) == CLASSES[word]
    assert meter_from({"accuracy": word, "name": "mine"}) == replace(CLASSES[word], name="mine")
    entry = {"full_scale": "6 V", "resolution": "1 mV", "percent": 0.5, "counts": 2}
    with pytest.raises(MeterError, match="accuracy and ranges together"):
        meter_from({"accuracy": word, "volts": [entry]})
    with pytest.raises(MeterError, match="unknown accuracy 'splendid'"):
        meter_from({"accuracy": "splendid"})
    with pytest.raises(MeterError, match="kelvins"):
        meter_from({"kelvins": [entry]})
    with pytest.raises(MeterError, match="no ranges"):
        meter_from({"name": "mine", "volts": []})


@pytest.mark.parametrize(("limit", "told"), [("599", False), ("600", False), ("601", True), ("10k", True)])
def test_overload_of_a_range_not_named_asks_for_a_larger_one_only_where_the_limits_need_it(
    limit: str, told: bool
) -> None:
    """The meter's smallest range ends at 600 ohm: it settles what lies below."""
    assert DEFAULT_METER.ranges("ohm")[0].full_scale == 600
    found = judge_text(f"< {limit} ohm", "OL")
    assert found.answer == "out"
    assert any("switch up and read again" in note for note in found.notes) is told


def test_classes_of_meters_are_graded_and_within_what_makers_call_typical() -> None:
    # sk.gvda-instrument.com/...87246271 (seen): typical basic accuracy ±(0.7 % + 1) to ±(0.1 % + 1).
    # 3 1/2 digits: the leaflet of the M-1000D, page 7 (seen), has ±(0.8 % + 2) for ohms. Else common practice.
    percents = [CLASSES[name].volts[0].percent for name in ("basic", "good", "precise")]
    assert percents == sorted(percents, reverse=True)
    assert [str(percent) for percent in percents] == ["0.8", "0.5", "0.1"]
    for one in CLASSES.values():
        for unit in ("volt", "ohm", "ampere", "farad", "hertz"):
            assert one.ranges(unit)
    assert meter_from({"accuracy": "good"}).name == "a good meter"
    assert meter_from({"accuracy": "Good", "name": "the yellow one"}).name == "the yellow one"
    assert "0.5 %" in class_words("good")
    with pytest.raises(MeterError, match="unknown accuracy"):
        meter_from({"accuracy": "splendid"})
    with pytest.raises(MeterError, match="together"):
        meter_from({"accuracy": "good", "volts": []})


def test_the_meter_that_is_assumed_counts_to_six_thousand() -> None:
    # 6000 counts are usual for a hand-held: common practice, no source.
    for unit, alternating in (("volt", False), ("volt", True), ("ohm", False)):
        for its in DEFAULT_METER.ranges(unit, alternating):
            assert its.full_scale / its.resolution == 6000
    assert [str(its.full_scale) for its in DEFAULT_METER.ranges("volt")][:2] == ["0.6", "6"]

"""Identification by readings: values, diodes and transistors, without a kit and against the lines of one."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.measure.identify.candidates import apart
from bench.measure.identify.kit_lines import read_line
from bench.measure.identify.match_kit import identify
from bench.measure.verdict.meter import Meter, MeterRange
from bench.parts.junctions import DROPS, GAINS, drops_of, gains_of
from bench.parts.quantity import parse_quantity
from bench.parts.series import SERIES
from tests.support.identified import first, kit, refs, remarks
from tests.support.samples import part

BETTER = Meter(
    name="a better one",
    ohms=tuple(
        MeterRange(
            full_scale=Decimal(60).scaleb(n), resolution=Decimal("0.001").scaleb(n), percent=Decimal("0.05"),
            counts=Decimal(2),
        )
        for n in range(1, 7)
    ),
)  # fmt: skip
"""Our own figures: a meter that can tell ±1 % values apart."""


# -- readings -----------------------------------------------------------------------------------
def test_a_reading_finds_the_nearest_preferred_values() -> None:
    found = identify("4k69")
    assert found.candidates[0].amount_in("ohm") == 4700
    # IEC 60063 tables: 4.64 and 4.75 are the neighbours of 4.69 in E96, 4.7 is in E24
    assert [each.amount_in("ohm") for each in found.candidates] == [4700, 4640, 4750]
    assert "nearest preferred values: 4.7 kΩ (E24), 4.64 kΩ (E96)" in found.remarks


def test_a_capacitance_is_read_alike() -> None:
    found = identify("103.2n")
    assert found.candidates[0].amount_in("farad") == Decimal("1E-7")


@pytest.mark.parametrize("typed", ["4k69", "4.69k", "4,69 kΩ", "4690 ohm", "4.69 kohm"])
def test_a_reading_may_be_typed_in_any_way(typed: str) -> None:
    assert first(typed).amount_in("ohm") == 4700


def test_a_reading_in_the_kit_takes_tolerance_and_meter_into_account() -> None:
    # By hand: 4.69 kΩ ± (1.2 % + 3 counts of 1 Ω) is ± 59.28 Ω; 1 % of 4.7 kΩ is 47 Ω. 4.99 kΩ is 300 Ω away.
    asked = kit((part("R1", "4k7", tolerance="1 %"), part("R2", "4k99", tolerance="1 %"), part("R3", "47k")))
    found = identify("4k69", asked)
    assert refs(found) == [["R1"]]
    assert found.candidates[0].amount_in("ohm") == 4700
    assert [each.lines[0].part.refs[0] for each in found.ruled_out] == ["R2", "R3"]
    assert found.ruled_out[0].why.startswith("4.69 kΩ is 6.0 % below 4.99 kΩ, more than ±1 %")
    assert found.ruled_out[1].why.startswith("4.69 kΩ is a tenth of 47 kΩ")
    assert "may be off by 59 Ω here" in remarks(found)


def test_two_lines_that_both_fit_are_too_close_to_call() -> None:
    asked = kit((part("R1", "4k7", tolerance="1 %"), part("R2", "4k64", tolerance="1 %")))
    found = identify("4k66", asked)
    assert {ref for group in refs(found) for ref in group} == {"R1", "R2"}
    said = next(remark for remark in found.remarks if remark.startswith("too close to call between"))
    assert "(R1)" in said
    assert "(R2)" in said
    # IEC 60062: 4k7 at 1 % is yellow violet black brown brown, 4k64 yellow blue yellow brown brown
    assert "yellow violet black brown brown" in said
    assert "yellow blue yellow brown brown" in said


def test_a_better_meter_tells_them_apart() -> None:
    asked = kit((part("R1", "4k7", tolerance="1 %"), part("R2", "4k53", tolerance="1 %")))
    coarse, fine = identify("4.6100k", asked), identify("4.5400k", asked, BETTER)
    assert len(coarse.candidates) == 2
    assert refs(fine) == [["R2"]]
    assert "too close" not in remarks(fine)
    assert "a better one may be off by" in remarks(fine)


def test_the_same_value_with_two_tolerances_is_too_close_to_call() -> None:
    asked = kit((part("R1", "10k", tolerance="1 %"), part("R2", "10k", tolerance="0.1 %")))
    found = identify("10.00k", asked)
    assert len(found.candidates) == 2
    assert "too close to call between" in remarks(found)


def test_parts_that_look_different_are_not_called_too_close() -> None:
    asked = kit((part("R1", "10k", tolerance="1 %"), part("RV1", "10k", "trimmer", 3)))
    found = identify("9k98", asked)
    assert len(found.candidates) == 2
    assert "too close" not in remarks(found)


def test_a_line_without_tolerance_gets_the_usual_one_and_says_so() -> None:
    # Common practice, no source: ±5 % for a resistor, ±20 % for an electrolytic capacitor.
    asked = kit((part("R1", "10k"), part("C1", "100u", "electrolytic capacitor")))
    assert first("10k4", asked).why[-1] == "the kit gives no tolerance: ±5 % is usual"
    assert [ref for _, ref in first("85u", asked).refs] == ["C1"]
    assert not any(each.lines for each in identify("70u", asked).candidates)


@pytest.mark.parametrize(
    ("tolerance", "value", "below", "above"),
    [("1 %", "10k", 1, 1), ("±0.5%", "10k", "0.5", "0.5"), ("+80/-20 %", "10n", 20, 80), ("", "10k 2 %", 2, 2),
     ("", "10k", 5, 5), ("as the bag says", "10k", 5, 5)],
)  # fmt: skip
def test_tolerances_are_read_in_every_form(tolerance: str, value: str, below: str, above: str) -> None:
    line = read_line("main", part("R1", value, tolerance=tolerance))
    assert (line.below, line.above) == (Decimal(below), Decimal(above))


def test_the_same_part_on_two_boards_is_one_candidate() -> None:
    found = identify("4k7", kit((part("R1 R2", "4k7"),), (part("R1", "4k7"),)))
    assert found.candidates[0].refs == (("main", "R1"), ("main", "R2"), ("front", "R1"))


def test_a_reading_that_no_line_fits_still_says_what_it_can_be() -> None:
    found = identify("5k12", kit((part("R1", "4k7", tolerance="1 %"),)))
    assert found.candidates[0].lines == ()
    assert found.candidates[0].amount_in("ohm") == 5110
    assert "no line of the kit matches" in found.remarks
    assert found.ruled_out[0].lines[0].part.refs == ("R1",)


def test_candidates_are_ordered_by_how_likely_the_reading_is() -> None:
    asked = kit((part("R1", "1k1", tolerance="1 %"), part("R2", "1k", tolerance="10 %")))
    assert refs(identify("1k095", asked)) == [["R1"], ["R2"]]
    assert refs(identify("1k05", asked))[0] == ["R2"]


@given(st.sampled_from(SERIES["E24"]), st.integers(1, 5), st.floats(-0.99, 0.99))
def test_a_good_part_read_by_an_honest_meter_is_never_ruled_out(number: int, power: int, off: float) -> None:
    nominal = Decimal(number).scaleb(power)
    reading = (nominal * Decimal(1 + off / 100)).quantize(Decimal("0.001"))
    asked = kit((part("R1", f"{nominal:f}", tolerance="1 %"),))
    assert refs(identify(f"{reading} ohm", asked))[0] == ["R1"]


def test_overload_is_an_open_part_or_a_diode_the_wrong_way_round() -> None:
    asked = kit((part("D1", "1N4148", "diode"), part("C1", "10n", "film capacitor"), part("R1", "100M")))
    found = identify("OL", asked)
    # 100 Mohm is more than the largest range of the default meter, 60 Mohm
    assert refs(found) == [["R1"], ["D1"], ["C1"], []]
    assert found.remarks == ("OL means more than 60 MΩ, or no connection",)
    assert identify("-OL").candidates


def test_nearly_no_ohms_is_a_link_or_a_short() -> None:
    found = identify("0.2 ohm", kit((part("W1", "", "wire link"), part("R1", "10k"))))
    assert ["W1"] in refs(found)
    assert "subtract what the probes read" in remarks(found)
    assert first("0.0 ohm").text == "a link, or a short"


@pytest.mark.parametrize(
    ("text", "said"),
    [("12 V", "12 V is more than a diode test shows"), ("-5k", "-5 kΩ is below zero"),
     ("0 F", "no farad at all"), ("hello", "'hello' is not understood"), ("", "'' is not understood"),
     ("104J 4k7 nonsense", "104J: 100 nF"), ("x" * 81, "too long"), ("x" * 80, "not understood"),
     ("3 foo", "'foo' not understood in '3 foo'")],
)  # fmt: skip
def test_what_is_no_part_is_an_error_that_says_what_was_understood(text: str, said: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        identify(text)
    assert said in str(caught.value)


# -- diodes -------------------------------------------------------------------------------------
DIODES = kit(
    (
        part("D1", "1N5817", "Schottky diode"),
        part("D2 D3", "1N4148", "diode"),
        part("LED1", "red 3 mm", "LED"),
        part("D4", "1N34A", "diode"),
    )
)


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        # Hand-held's manual (manualslib.mx, ET-3702A, p. 36): silicon between 0.5 V and 0.8 V; another maker's
        # (easymanua.ls, "12 Multimeter", p. 11): about 0.6 V
        ("0.50 V", "D2"), ("0.6 V", "D2"), ("612 mV", "D2"), ("0.78 V", "D2"),
        # Red LEDs at some 20 mA, about 2 V: data sheets, from memory
        ("1.95 V", "LED1"), ("2.00 V", "LED1"),
    ],
)  # fmt: skip
def test_diodes_are_told_by_their_forward_voltage(typed: str, wanted: str) -> None:
    assert wanted in refs(identify(typed, DIODES))[0]


@pytest.mark.parametrize("typed", ["0.20 V", "0.25 V", "0.30 V"])
def test_germanium_and_schottky_cannot_be_told_apart(typed: str) -> None:
    # A maker of meters (gvda-instrument.com): germanium 200 mV to 300 mV; Schottky alike: from memory
    found = identify(typed, DIODES)
    assert sorted(ref for group in refs(found) for ref in group) == ["D1", "D4"]


def test_a_number_alone_may_be_a_forward_voltage() -> None:
    assert refs(identify("0.62", DIODES))[0] == ["D2", "D3"]


def test_other_diodes_are_ruled_out_nearest_first() -> None:
    found = identify("0.62 V", DIODES)
    assert [each.lines[0].part.refs[0] for each in found.ruled_out] == ["D1", "D4", "LED1"]
    assert found.ruled_out[0].why == "620 mV is more than the 0.45 V that such a part drops"


def test_a_whole_number_is_a_reading_only_when_nothing_like_it_is_printed() -> None:
    assert {each.source for each in identify("473").candidates} == {
        "capacitor marking", "three-figure code in ohms", "code in microhenries",
    }  # fmt: skip
    assert first("4690").amount_in("ohm") == 4700
    assert first("4690").source == "meter reading"


def test_swapped_probes_are_seen_by_the_sign() -> None:
    found = identify("-0.62 V", DIODES)
    assert refs(found) == [["D2", "D3"]]
    assert "negative: the probes are reversed" in found.remarks


def test_a_zener_reads_forward_like_silicon_and_cannot_be_told_from_it() -> None:
    # Common practice, no source.
    asked = kit((part("D1", "1N4148", "diode"), part("D2", "BZX55C5V1", "Zener diode")))
    assert "too close to call between" in remarks(identify("0.68 V", asked))


def test_an_led_is_classed_by_the_colour_in_its_value_or_note() -> None:
    assert [drop.name for drop in drops_of("LED", "3 mm", "blue")] == ["blue or white LED"]
    assert [drop.name for drop in drops_of("LED", "5 mm")] == ["LED"]
    assert drops_of("resistor", "10k") == ()


def test_every_class_of_diodes_has_limits_in_order() -> None:
    assert all(0 < drop.low < drop.high < 4 for drop in DROPS)


# -- transistors --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("type_number", "low", "high"),
    [
        # Data sheet BC546B/BC547A-C/BC548A-C, revision 8 (2010): hFE at 2 mA, 5 V
        ("BC547A", 110, 220), ("BC547B", 200, 450), ("BC548C", 420, 800),
        # Data sheet BC337, BC337-25, BC337-40: hFE at 100 mA, 1 V; -16 seen via eeworld.com
        ("BC337-16", 100, 250), ("BC337-25", 160, 400), ("BC33740", 250, 630),
        # Data sheet 2SC1815, revision E (2015): hFE classifications
        ("2SC1815-O", 70, 140), ("2SC1815Y", 120, 240), ("2SC1815-GR", 200, 400), ("2SC1815BL", 350, 700),
        # From memory: data sheet 2N3904 at 10 mA
        ("2N3904", 100, 300),
    ],
)  # fmt: skip
def test_gain_groups_are_those_of_the_data_sheets(type_number: str, low: int, high: int) -> None:
    (row,) = gains_of(type_number)
    assert (row.low, row.high) == (low, high)


def test_a_type_without_its_group_may_be_of_any() -> None:
    assert [row.group for row in gains_of("BC337")] == ["-16", "-25", "-40"]
    assert gains_of("BF245") == ()
    assert gains_of("BC5470") == ()


@pytest.mark.parametrize("typed", ["hFE 300", "hfe=300", "beta: 300", "gain 300", "h FE 300"])
def test_a_gain_finds_the_transistors_that_can_have_it(typed: str) -> None:
    asked = kit(
        (
            part("Q1", "BC547B", "transistor", 3),
            part("Q2", "BC547C", "transistor", 3),
            part("Q3", "BC337", "transistor", 3),
            part("Q4", "XY123", "transistor", 3),
            part("Q5", "2N5089", "transistor", 3),
        )
    )
    found = identify(typed, asked)
    assert sorted(ref for group in refs(found) for ref in group) == ["Q1", "Q3"]
    assert [each.lines[0].part.refs[0] for each in found.ruled_out] == ["Q5", "Q2"]
    assert "no gain data for XY123" in found.remarks


def test_a_gain_just_outside_a_group_is_not_ruled_out() -> None:
    # 220 ends group A; a hand-held's gain is taken to be right within a factor of 1.25, our own choice.
    asked = kit((part("Q1", "BC547A", "transistor", 3),))
    assert "within the meter's error" in first("hFE 250", asked).why[-1]
    assert not any(each.lines for each in identify("hFE 290", asked).candidates)


def test_the_ends_of_a_gain_group_belong_to_it_and_so_do_those_that_a_meter_can_be_off_by() -> None:
    (row,) = gains_of("BC547A")
    asked = kit((part("Q1", "BC547A", "transistor", 3),))
    for gain, inside, near in (
        (row.low, True, True), (row.high, True, True), (row.low - 1, False, True), (row.high + 1, False, True),
        (row.high * 5 // 4, False, True), (row.high * 5 // 4 + 1, False, False),
        (row.low * 4 // 5, False, True), (row.low * 4 // 5 - 1, False, False),
    ):  # fmt: skip
        found = [each for each in identify(f"hFE {gain}", asked).candidates if each.lines]
        assert bool(found) == near, gain
        assert inside == (near and "outside" not in " ".join(found[0].why)), gain


def test_a_gain_without_a_kit_names_the_groups() -> None:
    texts = [each.text for each in identify("hFE 650").candidates]
    assert any(text.startswith("BC546C") for text in texts)
    assert not any(text.startswith("BC546A") for text in texts)


def test_gain_groups_have_limits_in_order() -> None:
    assert all(0 < row.low < row.high for row in GAINS)


@pytest.mark.parametrize(
    ("value", "voltage", "volts"),
    [
        ("100n 63V", "", 63),
        ("100n 63V", "100 V", 100),
        ("100n", "", None),
        ("10k 0.25W", "", None),
        ("1u", "16V", 16),
    ],
)
def test_the_voltage_of_a_part_stands_in_its_field_or_else_beside_its_value(
    value: str, voltage: str, volts: int | None
) -> None:
    assert read_line("main", part("C1", value, "film capacitor", voltage=voltage)).volts == volts


@pytest.mark.parametrize(
    ("value", "tolerance", "below", "above", "usual"),
    [
        ("4k7", "1 %", 1, 1, False), ("4k7 2%", "", 2, 2, False), ("4k7 2%", "±0,5 %", "0.5", "0.5", False),
        ("4k7", "+80/-20 %", 20, 80, False), ("4k7", "some", 5, 5, True), ("4k7", "", 5, 5, True),
    ],
)  # fmt: skip
def test_the_tolerance_is_the_stated_one_or_else_the_usual_one(
    value: str, tolerance: str, below: object, above: object, usual: bool
) -> None:
    line = read_line("main", part("R1", value, "resistor", tolerance=tolerance))
    assert (line.below, line.above, line.usual) == (Decimal(str(below)), Decimal(str(above)), usual)


@pytest.mark.parametrize(
    ("measured", "said"),
    [
        ("4k7", "just 4.7 kΩ"), ("4700.1", "less than 0.1 % above 4.7 kΩ"), ("4k794", "2.0 % above 4.7 kΩ"),
        ("2351", "50.0 % below 4.7 kΩ"), ("2350", "4.7 kΩ divided by 2"), ("9399", "100.0 % above 4.7 kΩ"),
        ("9k4", "2 times 4.7 kΩ"), ("47k", "10 times 4.7 kΩ"), ("470R", "a tenth of 4.7 kΩ"),
        ("47R", "4.7 kΩ divided by 100"),
    ],
)  # fmt: skip
def test_how_far_a_reading_lies_off_is_told_in_per_cent_or_in_times(measured: str, said: str) -> None:
    assert apart(parse_quantity(measured, "ohm"), parse_quantity("4k7")) == said


@pytest.mark.parametrize(
    ("text", "likeliest"),
    [
        ("4.000", "4 MHz crystal"),
        ("32.768", "32.768 kHz crystal"),
        ("8.0", "8.06 Ω ±1 %"),
        ("10.7", "10.7 Ω ±1 %"),
    ],
)
def test_a_number_as_crystals_bear_it_is_rather_a_crystal_and_others_a_reading(
    text: str, likeliest: str
) -> None:
    assert identify(text).candidates[0].text == likeliest

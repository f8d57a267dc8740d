"""Identification by bands, markings and type numbers, without a kit and against the lines of one."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.measure.identify.match_kit import identify
from bench.parts.decode_marking import names_colours, read_print
from bench.parts.palette import COLOURS, ColourError
from bench.parts.quantity import Quantity, letter_code
from bench.parts.series import SERIES
from tests.support.identified import first, kit, refs, remarks
from tests.support.samples import part


# -- bands --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("bands", "ohms", "text"),
    [
        # By hand from the table of IEC 60062 (test_colours)
        ("brown black black red brown", 10_000, "10 kΩ ±1 %"),
        ("red red red silver", 2_200, "2.2 kΩ ±10 %"),
        ("yellow violet brown gold", 470, "470 Ω ±5 %"),
        ("red violet green gold", 2_700_000, "2.7 MΩ ±5 %"),
        # A maker's colour card "according to IEC 60062", dtsheet.com/doc/1513212
        ("yellow violet green orange brown", 475_000, "475 kΩ ±1 %"),
    ],
)
def test_published_bands_are_the_first_candidate(bands: str, ohms: int, text: str) -> None:
    found = first(bands)
    assert found.amount_in("ohm") == ohms
    assert (found.amount_in("farad"), found.text, found.source) == (None, text, "bands, left to right")


def test_both_ends_are_offered_when_both_make_sense() -> None:
    found = identify("brown black black brown brown")
    assert [(each.text, each.source) for each in found.candidates] == [
        ("1 kΩ ±1 %", "bands, left to right"),
        ("110 Ω ±1 %", "bands, right to left"),
    ]


def test_an_impossible_end_is_ruled_out_with_its_reason() -> None:
    found = identify("brown black red gold")
    assert [each.amount_in("ohm") for each in found.candidates if each.amount_in("ohm")] == [1000]
    assert "gold stands for no figure" in found.ruled_out[0].why


def test_the_kit_decides_between_the_two_ends() -> None:
    asked = kit((part("R1", "4k7"), part("R2", "110R", tolerance="1 %")))
    found = identify("brown black black brown brown", asked)
    assert found.candidates[0].amount_in("ohm") == 110
    assert refs(found) == [["R2"], []]
    assert found.candidates[0].source == "bands, right to left"


def test_both_ends_in_the_kit_are_both_named() -> None:
    found = identify("brown black black brown brown", kit((part("R1 R2", "1k"),), (part("R1", "110R"),)))
    assert [each.refs for each in found.candidates] == [
        (("main", "R1"), ("main", "R2")),
        (("front", "R1"),),
    ]
    assert any("from the other end" in why for why in found.candidates[0].why)


def test_a_looser_resistor_than_the_kit_wants_is_spoken_of() -> None:
    asked = kit((part("R1", "10k", tolerance="1 %"),))
    assert "the kit asks for ±1 %, this is ±5 %" in first("brown black orange gold", asked).why
    assert not any("asks for" in why for why in first("brown black black red violet", asked).why)


def test_a_colour_misread_is_offered_when_the_kit_asks_for_none_of_it() -> None:
    others = (part("R8", "330R"), part("RV1", "12k", "trimmer", 3), part("R9", "0R"))
    found = identify("brown red black orange brown", kit((part("R7", "12k"), *others)))
    assert all("RV1" not in each and "R8" not in each for each in found.remarks)
    assert "with red for orange as the 4th band it would be 12 kΩ ±1 %: R7" in remarks(found)
    assert "no line of the kit matches" in found.remarks
    found = identify("brown red black red brown", kit((part("R7", "12k"), part("R8", "12R"))))
    assert "with" not in remarks(found)


def test_lines_that_bands_do_not_mean_come_nearest_first_with_the_reason() -> None:
    asked = kit((part("R1", "100k"), part("R2", "12k"), part("R3", "9k1"), part("C1", "10n", "film capacitor")))
    found = identify("brown black orange gold", asked)
    assert [(each.lines[0].part.refs[0], each.why) for each in found.ruled_out if each.lines] == [
        ("R3", "10 kΩ is 9.9 % above 9.1 kΩ"),
        ("R2", "10 kΩ is 16.7 % below 12 kΩ"),
        ("R1", "10 kΩ is a tenth of 100 kΩ"),
    ]


def test_a_black_band_alone_is_a_link() -> None:
    found = identify("black", kit((part("W1", "", "wire link"), part("R1", "0R"))))
    assert found.candidates[0].amount_in("ohm") == 0
    assert refs(found)[0] == ["R1"]


@pytest.mark.parametrize("text", ["red", "gold gold gold gold"])
def test_bands_that_cannot_be_leave_no_candidate_but_say_why(text: str) -> None:
    found = identify(text)
    assert not found.candidates
    assert found.ruled_out[0].why


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("brwn black red gold", "'brwn' is not a band colour (understood: black, red, gold)"),
        ("red red", "2 bands are no resistor code"),
        ("red LED", "'LED' is not a band colour (understood: red)"),
    ],
)
def test_bands_that_are_none_raise_an_error_that_shows_what_was_understood(text: str, said: str) -> None:
    with pytest.raises(ColourError) as caught:
        identify(text)
    assert said in str(caught.value)


def test_older_editions_are_offered_as_such() -> None:
    # EN 60062:2005, from memory: grey is ±0.05 %; ±0.01 % since IEC 60062:2016
    texts = {each.source: each.text for each in identify("orange orange black red grey").candidates}
    assert texts["bands, left to right"] == "33 kΩ ±0.01 %"
    assert texts["bands, left to right, by EN 60062:2005 and older"] == "33 kΩ ±0.05 %"


def test_a_link_is_never_near_to_a_resistor() -> None:
    found = identify("brown black orange gold", kit((part("R1", "0R"), part("R2", "12k"))))
    assert [each.lines[0].part.refs[0] for each in found.ruled_out if each.lines] == ["R2"]


@given(st.lists(st.sampled_from(sorted(COLOURS)), min_size=3, max_size=6))
def test_any_bands_are_read_or_ruled_out_never_lost(bands: list[str]) -> None:
    found = read_print(" ".join(bands))
    assert found.meanings or found.excluded
    assert names_colours(" ".join(bands))


# -- markings -----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("code", "farads"),
    [
        ("104", "1E-7"),  # EIA-198, by hand
        ("473J", "47E-9"),  # IEC 60062, J is 5 %
        ("2A474J", "470E-9"),  # 2A is 100 V, see test_code_letters
        ("105K 330V", "1E-6"),  # EIA-198 and IEC 60062, by hand
        ("479", "4.7E-12"),  # EIA-198, from memory: 9 is 0.1
        (".1K63", "1E-7"),  # common practice, no source
    ],
)
def test_published_capacitor_codes_are_the_first_candidate(code: str, farads: str) -> None:
    found = first(code)
    assert (found.amount_in("farad"), found.amount_in("ohm")) == (Decimal(farads), None)
    assert found.source == "capacitor marking"


@pytest.mark.parametrize(
    ("code", "ohms"),
    # IEC 60062, by hand; test_quantity holds such codes against a library for them
    [("R47", "0.47"), ("4R7", "4.7"), ("470R", "470"), ("4K7", "4700"), ("47K", "47000"), ("47K3", "47300"),
     ("470K", "470000"), ("4M7", "4700000")],
)  # fmt: skip
def test_published_letter_codes_are_the_first_candidate(code: str, ohms: str) -> None:
    found = read_print(code).meanings[0]
    assert found.amount == Quantity(amount=Decimal(ohms), unit="ohm")
    assert found.source == "letter code (IEC 60062)"


def test_a_letter_behind_a_letter_code_is_its_tolerance() -> None:
    # IEC 60062 tolerance letters: F 1 %, J 5 %
    assert [first(text).text for text in ("4k7J", "10k0F")] == ["4.7 kΩ ±5 %", "10 kΩ ±1 %"]


def test_a_number_with_k_that_is_no_sold_resistance_is_a_capacitor_of_ten_per_cent() -> None:
    assert read_print("104K").meanings[0].text == "100 nF ±10 %"
    assert read_print("100K").meanings[0].text == "100 kΩ"


@given(st.sampled_from(SERIES["E24"]), st.integers(-1, 5))
def test_every_letter_code_of_e24_reads_back(number: int, power: int) -> None:
    ohms = Decimal(number).scaleb(power)
    code = letter_code(Quantity(amount=ohms, unit="ohm"))
    assert ohms in [each.amount.amount for each in read_print(code).meanings if each.amount]


@given(st.sampled_from(SERIES["E24"]), st.integers(0, 5))
def test_every_three_figure_code_is_a_capacitance_and_a_resistance(number: int, power: int) -> None:
    amounts = [each.amount for each in read_print(f"{number}{power}").meanings]
    assert Quantity(amount=(Decimal(number).scaleb(power - 12)), unit="farad") in amounts
    assert Quantity(amount=Decimal(number).scaleb(power), unit="ohm") in amounts


def test_one_print_on_a_capacitor_and_on_a_trimmer_finds_both() -> None:
    asked = kit(
        (
            part("C2 C3", "100n", "ceramic capacitor", marking="104", tolerance="10 %"),
            part("RV1", "100k", "trimmer", 3, marking="104"),
            part("C5", "10n", "ceramic capacitor", marking="103"),
        )
    )
    found = identify("104", asked)
    assert refs(found)[:2] == [["C2", "C3"], ["RV1"]]
    assert not any(refs(found)[2:])
    assert [each.source for each in found.candidates][:2] == ["marking in the kit"] * 2
    assert found.ruled_out[0].why == "100 nF is 10 times 10 nF"


def test_a_potentiometer_is_known_by_its_code() -> None:
    asked = kit((part("RV1", "B100k", "potentiometer", 3), part("RV2", "B10k", "potentiometer", 3)))
    for text in ("B104", "B100k", "b100K"):
        assert refs(identify(text, asked))[0] == ["RV1"], text


def test_a_capacitor_for_too_few_volts_is_ruled_out() -> None:
    asked = kit((part("C5", "10u", "electrolytic capacitor", voltage="25 V"),))
    found = identify("10u 16V", asked)
    assert (found.candidates[0].lines, found.ruled_out[0].why) == (
        (),
        "the kit asks for 25 V, and it is marked 16 V",
    )
    assert refs(identify("10u 35V", asked)) == [["C5"]]


def test_what_the_kit_says_is_printed_on_it_is_found_whatever_it_is() -> None:
    asked = kit((part("U1", "ICM7555", "IC", 8, marking="7555"), part("", "M3x10 spacer", "spacer", 0)))
    assert first("7555", asked).text == "ICM7555, IC"
    assert first("m3x10 SPACER", asked).kind == "spacer"


def test_fuses_and_crystals_are_found_by_their_value() -> None:
    asked = kit((part("F1", "100 mA", "resettable fuse"), part("Y1", "4MHz", "crystal")))
    assert refs(identify("0.1A", asked)) == [["F1"]]
    assert refs(identify("4 MHz", asked)) == [["Y1"]]


def test_a_zener_voltage_finds_the_zener_diode() -> None:
    asked = kit((part("D1", "BZX55C5V1", "Zener diode"), part("D2", "6V2", "Zener diode")))
    assert refs(identify("5V1", asked))[0] == ["D1"]
    assert refs(identify("6V2", asked))[0] == ["D2"]


# -- type numbers -------------------------------------------------------------------------------
def test_a_type_number_brings_what_is_known_of_it() -> None:
    found = first("BC547B")
    assert (found.text, found.source) == ("BC547B: NPN, TO-92", "type number")
    assert (found.amount_in("ohm"), found.amount_in("farad")) == (None, None)


def test_sisters_in_the_kit_are_ruled_out_worst_first() -> None:
    asked = kit((part("Q1", "2N3904", "transistor", 3), part("Q2", "J111", "JFET", 3), part("R1", "1k")))
    found = identify("2N3906", asked)
    assert "no line of the kit matches" in found.remarks
    assert found.ruled_out[0].why == "PNP and NPN in the same case"
    assert all(each.lines[0].part.kind != "resistor" for each in found.ruled_out)


def test_letters_behind_a_type_are_no_other_type_but_are_spoken_of() -> None:
    found = first("BC547B", kit((part("Q1", "BC547", "transistor", 3),)))
    assert [ref for _, ref in found.refs] == ["Q1"]
    assert any("the kit says BC547" in why for why in found.why)


def test_prints_without_their_front_are_known() -> None:
    # Common practice, no source: small glass diodes say 4148, Japanese transistors C1815.
    assert first("4148").text.startswith("1N4148")
    assert first("C1815").text.startswith("2SC1815")
    assert refs(identify("4148", kit((part("D1", "1N4148", "diode"),)))) == [["D1"]]


def test_an_unknown_type_number_is_called_that() -> None:
    assert first("ZN414").why == ("nothing more is known of it here: look at its data sheet",)


@pytest.mark.parametrize(("mark", "volts"), [("M1", 50), ("M4", 400), ("m7", 1000)])
def test_a_mark_of_an_smd_rectifier_comes_before_ohms(mark: str, volts: int) -> None:
    """Reverse voltages of 1N4001 to 1N4007, from memory; the marks are common practice, no source."""
    found = read_print(mark).meanings
    assert (found[0].kinds, found[0].volts) == (("diode",), Decimal(volts))
    if mark.isupper():
        assert any(each.amount is not None and each.amount.unit == "ohm" for each in found[1:])
    assert not any("legs" in each.text for each in read_print("M47").meanings)


@pytest.mark.parametrize(
    ("printed", "why"),
    [
        ("TL072", ""),
        ("TL072CP", "check whether the suffix letters matter"),
        ("104", ""),
        ("yellow violet red gold", "the kit asks for ±1 %, this is ±5 %"),
        ("brown black orange silver", ""),  # the kit states no tolerance
    ],
)
def test_what_a_print_has_otherwise_than_the_line_asks_for_is_said_and_nothing_else(
    printed: str, why: str
) -> None:
    asked = kit(
        (
            part("U1", "TL072", "IC", 8),
            part("C1", "100n", "film capacitor", voltage="63 V"),
            part("R1", "4k7", tolerance="1 %"),
            part("R2", "10k"),
        )
    )
    (found,) = (each for each in identify(printed, asked).candidates if each.lines)
    differences = [said for said in found.why if "the kit" in said]
    assert len(differences) == bool(why)
    assert why in "".join(differences)


def test_a_capacitor_that_stands_less_than_the_line_asks_for_is_ruled_out() -> None:
    asked = kit((part("C1", "100n", "film capacitor", voltage="63 V"),))
    assert identify("104 50V", asked).ruled_out[0].why == "the kit asks for 63 V, and it is marked 50 V"
    for sound in ("104 63V", "104 100V", "104"):
        assert identify(sound, asked).candidates[0].lines, sound


@pytest.mark.parametrize(
    ("text", "kind", "refs"),
    [("500 mA", "fuse", "F1"), ("3.579545 MHz", "crystal", "Y1"), ("4k7", "resistor", "R1")],
)
def test_a_value_as_it_stands_on_a_part_finds_its_line_once(text: str, kind: str, refs: str) -> None:
    lines = (
        part("F1", "500 mA", "fuse"),
        part("Y1", "3.579545 MHz", "crystal"),
        part("R1", "4k7", tolerance="1 %"),
    )
    found = identify(text, kit(lines)).candidates
    lined = [(each.kind, line.part.refs) for each in found for line in each.lines]
    assert lined == [(kind, (refs,))]


@pytest.mark.parametrize(
    ("text", "found"), [("47n", ["47 nF"]), ("4k7", ["4.7 kΩ", "4.75 kΩ ±1 %", "4.64 kΩ ±1 %"])]
)
def test_a_value_that_a_print_means_is_not_named_again_as_a_reading(text: str, found: list[str]) -> None:
    assert [each.text for each in identify(text).candidates] == found


# -- parts that have to be exactly the one listed -----------------------------------------------
@pytest.mark.parametrize(
    ("marked", "fits"),
    [
        # Classes of IEC 60384-14, from memory: X1 does for X2, Y1 for Y2, Y1 and Y2 for an X.
        ("472 1kV", []), ("4n7", []), ("472M Y2", ["C2"]), ("4n7 Y1", ["C2"]), ("4n7 Y4", []),
        ("104J 400", []), ("100n 630V", []), ("0.1 X2 275V~", ["C1"]), ("0.1 X1 300V~", ["C1"]),
        ("0.1uF X3 275VAC", []),
        # Speeds of IEC 60127.
        ("T500mAL250V", ["F1"]), ("F500mAL250V", []), ("500mA", ["F1"]),
    ],
)  # fmt: skip
def test_a_marking_fits_a_part_for_the_mains_only_with_its_class_and_speed(
    marked: str, fits: list[str]
) -> None:
    asked = kit((
        part("C1", "100n X2", "film capacitor", voltage="275 V AC"),
        part("C2", "4n7", "ceramic capacitor", note="Y2"), part("F1", "500mA T 250V", "fuse"),
    ))  # fmt: skip
    found = identify(marked, asked).candidates
    by_print = [each for each in found if not each.source.startswith(("meter", "value in"))]
    assert [ref for each in by_print for _, ref in each.refs] == fits


def test_a_reading_and_a_bare_value_say_that_the_class_has_to_be_printed() -> None:
    asked = kit((part("C2", "4n7", "ceramic capacitor", note="Y2"),))
    for text in ("4.68 nF", "4n7"):
        (found,) = (each for each in identify(text, asked).candidates if each.refs)
        assert "only with class Y2 printed on it: this is for the mains" in found.why


def test_a_capacitor_beside_a_crystal_named_y1_is_of_no_class() -> None:
    asked = kit((part("C1", "22p", "ceramic capacitor", note="beside Y1"),))
    assert refs(identify("220J 50V", asked))[0] == ["C1"]

"""Codes on parts against the published tables: EIA-96, IEC 60062, JEDEC numbers, forms of data sheets."""

from __future__ import annotations

from decimal import Decimal

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.measure.identify.match_kit import identify
from bench.parts.capacitors import TANTALUM_VOLTS
from bench.parts.decode_marking import read_print
from bench.parts.meaning import LETTER_PERCENT
from bench.parts.part_words import set_apart
from bench.parts.quantity import Quantity
from bench.parts.resistances import EIA_96_FACTORS
from bench.parts.type_families import JEDEC_ZENERS, bridge, family, zener_volts
from tests.benchmarks.markings import rows, says
from tests.support.identified import first, kit, refs, remarks
from tests.support.samples import part


def texts(print_: str) -> list[str]:
    return [each.text for each in read_print(print_).meanings]


# -- published tables ---------------------------------------------------------------------------
def test_three_character_codes_are_those_of_eia_96_and_no_more() -> None:
    # EIA-96: 01 to 96 number the values of E96 (IEC 60063, from the package eseries); letters from memory.
    published = {
        "Z": -3,
        "Y": -2,
        "R": -2,
        "X": -1,
        "S": -1,
        "A": 0,
        "B": 1,
        "H": 1,
        "C": 2,
        "D": 3,
        "E": 4,
        "F": 5,
    }
    assert published == EIA_96_FACTORS
    e96 = sorted(eseries.series(eseries.E96))
    for number, value in enumerate(e96, 1):
        for letter, power in published.items():
            wanted = Decimal(str(value)) * 10**power if power >= 0 else Decimal(str(value)) / 10**-power
            amounts = [each.amount for each in read_print(f"{number:02}{letter}").meanings]
            assert Quantity(amount=wanted.normalize(), unit="ohm") in [
                each and Quantity(amount=each.amount.normalize(), unit=each.unit) for each in amounts
            ], (number, letter)
    for text in ("00A", "97A"):
        assert "EIA-96" not in str(_meanings(text))


def _meanings(text: str) -> list[str]:
    try:
        return [each.source for each in read_print(text).meanings]
    except SoldersideError:
        return []


def test_tolerance_letters_of_resistors_are_those_of_iec_60062() -> None:
    # B, C, D, F, G, J, K, M: IEC 60062 as on a maker's colour card, dtsheet.com/doc/1513212; H: from memory
    published = [
        "B",
        "0.1",
        "C",
        "0.25",
        "D",
        "0.5",
        "F",
        "1",
        "G",
        "2",
        "H",
        "3",
        "J",
        "5",
        "K",
        "10",
        "M",
        "20",
    ]
    assert dict(zip(published[::2], published[1::2], strict=True)) == LETTER_PERCENT


def test_one_letter_voltages_of_tantalum_capacitors_are_the_table_and_no_more() -> None:
    # EIA-535, from memory
    table = ["e", "2.5", "G", "4", "J", "6.3", "A", "10", "C", "16", "D", "20", "E", "25", "V", "35", "T", "50"]
    assert {
        letter: Decimal(volts) for letter, volts in zip(table[::2], table[1::2], strict=True)
    } == TANTALUM_VOLTS


@given(st.sampled_from(sorted(eseries.series(eseries.E96))), st.integers(1, 5), st.sampled_from("FD"))
def test_every_four_figure_code_of_e96_is_a_resistance_first(value: float, power: int, letter: str) -> None:
    # IEC 60062: three figures and a power of ten, with the letter of its tolerance
    found = read_print(f"{value:.0f}{power}{letter}").meanings[0]
    assert found.amount is not None
    assert (found.amount.unit, found.amount.amount) == ("ohm", Decimal(f"{value:.0f}") * 10**power)
    assert found.percent == Decimal(LETTER_PERCENT[letter])


def test_registered_zener_diodes_keep_to_their_series() -> None:
    # JEDEC: 1N4728A is 3.3 V and 1N4764A 100 V in steps of E24 (IEC 60063); 1N5221B 2.4 V, 1N5231B 5.1 V,
    # 1N5242B 12 V, 1N5281B 200 V; ends and middle from memory
    e24 = [Decimal(str(each)) / 10 for each in eseries.series(eseries.E24)]
    steps = [each for each in (*e24, *(each * 10 for each in e24), Decimal(100)) if each >= Decimal("3.3")]
    assert [JEDEC_ZENERS[f"1N{number}"] for number in range(4728, 4765)] == steps
    known = {
        "1N5221B": "2.4",
        "1N5231B": "5.1",
        "1N5242B": "12",
        "1N5281B": "200",
        "1N4733A": "5.1",
        "1N753A": "6.2",
    }
    assert {name: str(found.amount) for name in known if (found := zener_volts(name))} == known


# -- what is ambiguous gives every sense --------------------------------------------------------
@pytest.mark.parametrize(
    ("marking", "senses"),
    # IEC 60062 and EIA codes stand on several kinds of parts; which is likeliest: common practice, no source.
    [
        ("brown black brown silver", ["100 Ω ±10 %", "100 µH ±10 %"]),
        ("101K", ["100 pF ±10 %", "100 µH ±10 %", "100 V ±10 % varistor"]),
        ("4R7M", ["4.7 µH ±20 %", "4.7 Ω ±20 %", "4.7 pF ±20 %"]),
        ("R22", ["0.22 Ω", "0.22 pF", "220 nH"]),
        ("R22J", ["0.22 Ω ±5 %", "0.22 pF ±5 %", "220 nH ±5 %"]),
        ("6R8D", ["6.8 pF ±0.5 pF", "6.8 Ω ±0.5 %"]),
        ("100", ["10 pF", "100 pF", "10 Ω", "100 µF", "10 µH"]),
        ("12R", ["12 Ω", "12 pF", "1.3 Ω ±1 %"]),
        ("4001", ["1N4001: rectifier, DO-41", "4001: CMOS logic"]),
        ("4020", ["4020: CMOS logic", "402 Ω"]),
        ("4700", ["4.7 nF", "470 Ω", "4700 µF"]),
        ("A103J", ["10 kΩ ±5 % network, bussed", "10 kΩ ±5 % law A"]),
        ("105J", ["1 µF ±5 %", "1 µF 6.3 V", "1 MΩ ±5 %"]),
    ],
)
def test_every_sense_of_a_marking_is_offered_likeliest_first(marking: str, senses: list[str]) -> None:
    assert texts(marking)[: len(senses)] == senses


def test_more_senses_than_one_are_said_and_one_is_not() -> None:
    several = "it can mean more than one thing: look at the part, or measure it"
    assert several in identify("101K").remarks
    assert several in identify(".022").remarks
    assert several not in identify("5D-9").remarks


def test_henries_are_never_farads() -> None:
    for text in ("10uH", "100uH", "4.7mH", "4u7H", "330uH 1A", "47uH K", "100 µH"):
        found = identify(text).candidates
        assert all(each.amount_in("farad") is None for each in found), text
        assert found[0].amount_in("henry"), text


def test_a_number_after_a_point_is_microfarads_first_and_milliohms_last() -> None:
    # Common practice, no source: film capacitors are printed .022
    found = identify(".022").candidates
    assert [found[0].text, found[-1].text] == ["22 nF", "22 mΩ ±5 %"]
    assert found[-1].source == "meter reading"


@pytest.mark.parametrize("text", ["hello", "xyz", "?", "10x20", "USB", "3.5mm", "LED 5mm", ""])
def test_nonsense_is_not_understood_and_says_what_can_be_tried(text: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        identify(text)
    assert "not understood" in str(caught.value)
    assert "103 trimmer" in str(caught.value)


# -- with a kit, the sense that it has ----------------------------------------------------------
KIT = kit(
    (
        part("L1", "100uH", "inductor"), part("R1", "10k"), part("RT1", "NTC 5D-9", "thermistor"),
        part("RV1", "10D471K", "varistor"), part("RV2", "10k", "trimmer", 3), part("Y1", "16MHz", "crystal"),
        part("F1", "RXEF050", "resettable fuse"), part("D1", "1N4733A", "Zener diode"),
        part("C1", "100n", "film capacitor", voltage="275 V"), part("BR1", "W04M", "bridge rectifier", 4),
        part("Q1", "BD139", "transistor", 3), part("U1", "CD4017", "IC", 16),
    )
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "ref"),
    [("brown black brown silver", "L1"), ("101K", "L1"), ("5D-9", "RT1"), ("471K", "RV1"), ("X050", "F1"),
     ("500mA", "F1"), ("5V1", "D1"), ("BZX55C5V1", "D1"), ("104K275", "C1"), ("16.000", "Y1"), ("W04M", "BR1"),
     ("BD139-16", "Q1"), ("W103", "RV2"), ("103", "RV2"), ("1002", "R1"), ("01C", "R1"), ("HEF4017BP", "U1")],
)  # fmt: skip
def test_the_sense_that_the_kit_has_comes_first(text: str, ref: str) -> None:
    assert refs(identify(text, KIT))[0] == [ref]


def test_a_choke_for_a_kit_of_resistors_is_still_named() -> None:
    found = identify("brown black brown silver", kit((part("R1", "100R"),)))
    assert [each.text for each in found.candidates] == ["100 Ω ±10 %", "100 µH ±10 %"]
    assert refs(found) == [["R1"], []]


# -- words beside a print -----------------------------------------------------------------------
def test_the_kind_beside_a_print_narrows_it_down() -> None:
    assert texts("trimmer 103") == texts("103 on a trimmer") == ["10 kΩ"]
    assert texts("choke 101K") == ["100 µH ±10 %"]
    assert first("NTC 103").kind == "thermistor"
    assert texts("choke brown black brown silver") == ["100 µH ±10 %"]
    assert set_apart("trimmer") == ("trimmer", ())


@pytest.mark.parametrize(
    "bands",
    # Names of the colours in eight languages; common practice, no source.
    ["gelb violett rot gold", "jaune violet rouge or", "amarillo violeta rojo oro", "giallo viola rosso oro",
     "geel paars rood goud", "amarelo violeta vermelho ouro", "gul violett röd guld",
     "żółty fioletowy czerwony złoty", "ylw vio red gld", "YEVTRDGD"],
)  # fmt: skip
def test_bands_are_read_in_several_languages(bands: str) -> None:
    assert first(bands).text == "4.7 kΩ ±5 %"


def test_or_is_gold_only_among_french_colours() -> None:
    assert first("marron noir rouge or").text == "1 kΩ ±5 %"
    with pytest.raises(SoldersideError, match="'or' is not a band colour"):
        identify("brown black red or")


def test_a_makers_series_beside_a_print_is_left_out_and_said() -> None:
    found = first("SQP 5W 10RJ")
    assert found.text == "10 Ω ±5 % 5 W"
    assert "'SQP' was left out: not understood" in found.why
    with pytest.raises(SoldersideError):
        identify("foo 12")


# -- type numbers -------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("number", "role"),
    # JIS C 7012: 2SA and 2SB are PNP, 2SC and 2SD NPN, 2SJ P-channel, 2SK N-channel; Pro Electron: BC small
    # signal, BD power, BF radio frequencies, BY rectifier; JEDEC: 1N diodes, 2N transistors; from memory.
    [("2SA9999", "PNP transistor"), ("2SC9999", "NPN transistor"), ("2SK999", "N-channel FET"),
     ("BC999", "small-signal transistor"), ("BF999", "transistor for radio frequencies"),
     ("BY299", "rectifier"), ("1N9999", "diode"), ("2N9999", "transistor"), ("CD4099BE", "CMOS logic"),
     ("74HC999N", "logic")],
)  # fmt: skip
def test_a_type_number_says_what_it_is_by_its_system(number: str, role: str) -> None:
    found = family(number)
    assert found is not None
    assert found.role == role
    assert "told by the system of its number only" in " ".join(first(number).why)


def test_bridge_rectifiers_say_volts_and_amperes() -> None:
    # The forms of data sheets, from memory: two figures of hundreds of volts, 1 to 7 for 50 to 1000 V, B for
    # AC volts
    assert bridge("KBPC2510") == "1000 V 25 A bridge rectifier"
    assert bridge("DB107") == bridge("DB107S") == "1000 V 1 A bridge rectifier"
    assert bridge("B80C3700/2200") == "80 V AC 3.7 A bridge rectifier"
    assert bridge("KBP299") == bridge("W103") == ""


# -- the whole list -----------------------------------------------------------------------------
@pytest.mark.parametrize("name", ["known", "unseen"])
def test_markings_are_right_at_first_rank_and_none_is_confidently_wrong(name: str) -> None:
    asked = rows(name)
    right = 0
    for text, words in asked:
        found = identify(text).candidates
        assert any(says(each, words[0]) for each in found), text
        right += all(says(found[0], word) for word in words)
    assert right / len(asked) >= 0.97
    assert len({text for text, _ in asked}) == len(asked)


def test_remarks_say_why_a_line_is_not_meant() -> None:
    assert "no line of the kit matches" in remarks(identify("07D471K", kit((part("R1", "10k"),))))

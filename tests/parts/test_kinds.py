"""Kinds of parts against the letters of IEEE 315 and common practice.

Class letters: IEEE 315-1975 clause 22.4, from memory. Everything else is common practice, no source,
from memory, unless a check names its source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts import traits
from bench.parts.guessing import LETTERS, guess_kind
from bench.parts.kinds import KINDS, MOUNTS, Kind, height_for, kind_named
from bench.parts.kinds.kind import When
from bench.parts.pins import READERS, joints_for
from bench.parts.quantity import read_value
from bench.suspects.suspicion import GROUPS
from bench.ui.drawings import DRAWN
from bench.ui.shapes import SHAPES

FIT_EITHER_WAY = ("resistor", "film capacitor", "inductor", "fuse", "bipolar electrolytic capacitor")
"""Two-legged parts without a polarity: IEC 60617 draws their signs alike at both ends (from memory)."""
HAVE_A_POLARITY = (
    "diode", "Zener diode", "Schottky diode", "LED", "electrolytic capacitor", "tantalum capacitor",
)  # fmt: skip
"""IEC 60617 draws their signs with a plus or an anode (from memory)."""


SAID_ELSEWHERE = {"place", "insert", "placed", "stacked", "ac", "smd", "axial"}
"""Traits that a plan gives, and those that parts of any kind can have."""
UNSPOKEN = ("resistor", "IC")
"""Kinds that nobody names in words: a value in ohms and a type number do."""


def gaps(kind: Kind) -> list[str]:
    """What the record of a kind leaves unsaid or says twice, in words for whoever adds one."""
    has_letters = bool(kind.usual_for or kind.letters)
    given = set(re.findall(r'"([a-z-]+)"', Path(traits.__file__).read_text(encoding="utf-8")))
    given |= {mount.replace(" ", "-") for mount in MOUNTS} | SAID_ELSEWHERE | {*kind.shows, *kind.told}
    asked = {word.removeprefix("-") for each in (*kind.ways, *kind.sometimes) for word in each.traits.split()}
    found = {
        "letters: no class letter means it": not has_letters and kind.joints > 0,
        "words: nothing that a parts list says gives it away": not (
            kind.words or kind.vague or kind.name in UNSPOKEN
        ),
        "sought: its own name is taken for another kind; its words must be tried before that one's": (
            kind.name not in UNSPOKEN and guess_kind("", kind.name) != kind.name
        ),
        f"by_unit: {kind.by_unit} are not among its letters": not set(kind.by_unit.split())
        <= set(kind.letters.split()),
        "by_unit: its value has no unit": bool(kind.by_unit) and not kind.unit,
        "mount: none of MOUNTS": kind.mount not in MOUNTS or not set(kind.heights) <= set(MOUNTS),
        "pins: it has more than two joints, and nothing reads their number": kind.joints > 3 and not kind.pins,
        f"pins: parts.pins has no reader {kind.pins!r}": bool(kind.pins) and kind.pins not in READERS,
        f"socket: no kind is called {kind.socket!r}": kind.socket not in KINDS,
        "drawing: it has an orientation and no drawing": bool(kind.orientation) and not kind.drawing,
        f"drawing: ui.drawings has none called {kind.drawing!r}": bool(kind.drawing)
        and not {kind.drawing} & {*DRAWN, *SHAPES},
        f"shows, told: nothing shows {asked - given}, which its cautions ask for": bool(asked - given),
        "unit: it needs one for its tolerance": kind.percent is not None and not kind.unit,
    }
    return [what for what, wrong in found.items() if wrong]


@pytest.mark.parametrize("name", KINDS)
def test_each_record_says_all_that_the_program_needs(name: str) -> None:
    assert KINDS[name].name == name
    assert not gaps(KINDS[name])


def test_a_record_that_says_too_little_is_told_what_is_missing() -> None:
    bare = Kind(
        name="bare thing", height=7, joints=4, pins="", suspects=(), orientation="As printed.",
        sometimes=(When("reed", "Glass."),), by_unit="K", percent=5, socket="shelf", mount="wall",
    )  # fmt: skip
    assert [what.partition(":")[0] for what in gaps(bare)] == [
        "letters", "words", "sought", "by_unit", "by_unit", "mount", "pins", "socket", "drawing", "shows, told",
        "unit",
    ]  # fmt: skip


def test_a_field_that_must_be_said_cannot_be_left_out() -> None:
    for left_out in ("name", "height", "joints", "pins", "suspects"):
        said = {"name": "x", "height": 1, "joints": 2, "pins": "", "suspects": ()}
        del said[left_out]
        with pytest.raises(TypeError, match=left_out):
            Kind(**said)  # type: ignore[arg-type]


def test_what_is_suspected_belongs_to_a_group_of_the_fault_search() -> None:
    suspects = {each for kind in KINDS.values() for each in kind.suspects}
    assert suspects - {"windings"} <= set(GROUPS)


def test_parts_with_a_polarity_say_which_way_round_and_others_do_not() -> None:
    assert all(KINDS[name].polarised for name in HAVE_A_POLARITY)
    assert not any(KINDS[name].polarised for name in FIT_EITHER_WAY)
    for name, kind in KINDS.items():
        joined = kind.joints > 2 or kind.polarised or not kind.joints or kind.mount == "panel"
        assert joined or not any(each.say for each in kind.ways) or name == "crystal"


@pytest.mark.parametrize("name", KINDS)
def test_each_entry_of_the_table_is_whole(name: str) -> None:
    entry = KINDS[name]
    assert entry.mount in MOUNTS
    assert set(entry.heights) <= set(MOUNTS)
    assert all(1 <= height <= 9 for height in (entry.height, *entry.heights.values()))
    assert 0 <= entry.joints <= 13
    assert entry.unit in ("", "ohm", "farad", "henry", "volt", "ampere", "hertz")
    words = [each.say for each in (*entry.ways, *entry.sometimes)]
    for said in (entry.orientation, *entry.cautions, *words):
        assert len(said) <= 110, said
        assert not said or said.endswith((".", ":")), said
    assert len(set(entry.cautions)) == len(entry.cautions)
    assert not set(entry.cautions) & {each.say for each in entry.sometimes}


def test_no_class_letter_has_two_usual_kinds() -> None:
    usual = [letter for kind in KINDS.values() for letter in kind.usual_for.split()]
    assert len(usual) == len(set(usual))
    assert all(known.usual in ("", known.kinds[0]) for known in LETTERS.values())


@pytest.mark.parametrize(
    ("letters", "kind"),
    [
        ("R", "resistor"), ("D", "diode"), ("CR", "diode"), ("DS", "LED"), ("U", "IC"), ("Q", "transistor"),
        ("L", "inductor"), ("E", "ferrite bead"), ("RT", "resettable fuse"), ("F", "fuse"), ("XF",
        "fuse holder"),
        ("Y", "crystal"), ("J", "connector"), ("P", "connector"), ("S", "toggle switch"), ("K", "relay"),
        ("T", "transformer"), ("TP", "test point"), ("MP", "hardware"), ("H", "hardware"),
    ],
)  # fmt: skip
def test_letters_of_the_standard_give_their_class(letters: str, kind: str) -> None:
    """IEEE 315-1975, clause 22.4, from memory."""
    assert guess_kind(letters, "") == kind
    assert guess_kind(letters.lower(), "") == kind


@pytest.mark.parametrize(
    ("letters", "kind"),
    [
        ("RN", "resistor network"), ("IC", "IC"), ("VT", "transistor"), ("FB", "ferrite bead"), ("ZD",
        "Zener diode"),
        ("BR", "bridge rectifier"), ("LED", "LED"), ("SW", "toggle switch"), ("RY", "relay"), ("FU",
        "fuse"),
        ("XTAL", "crystal"), ("JP", "pin header"), ("HS", "heatsink"), ("PTC", "resettable fuse"), ("RV",
        "trimmer"),
        ("VR", "trimmer"), ("CN", "connector"),
    ],
)  # fmt: skip
def test_other_letters_in_use_give_their_class(letters: str, kind: str) -> None:
    assert guess_kind(letters, "") == kind


@pytest.mark.parametrize(
    ("value", "package", "kind"),
    [
        ("10u", "", "electrolytic capacitor"), ("1u", "", "electrolytic capacitor"),
        ("10uF/25V", "", "electrolytic capacitor"), ("1µ0", "", "electrolytic capacitor"),
        ("1u film", "", "film capacitor"), ("1u", "film 5 mm", "film capacitor"), ("2u2 MKT", "",
        "film capacitor"),
        ("4.7uF X7R", "", "ceramic capacitor"), ("10u", "MLCC", "ceramic capacitor"),
        ("10u NP", "", "bipolar electrolytic capacitor"), ("22p NP0", "", "ceramic capacitor"),
        ("10u tantalum", "", "tantalum capacitor"), ("999n", "", "film capacitor"), ("10n", "",
        "film capacitor"),
        ("1n", "", "film capacitor"), ("999p", "", "ceramic capacitor"), ("100n", "", "ceramic capacitor"),
        ("0.1uF", "", "ceramic capacitor"), ("104", "", "ceramic capacitor"), ("5-60p trimmer", "",
        "trimmer capacitor"),
    ],
)  # fmt: skip
def test_capacitors_are_told_apart_by_value_and_dielectric(value: str, package: str, kind: str) -> None:
    assert guess_kind("C", value, package) == kind


def test_a_capacitor_without_a_value_is_not_guessed() -> None:
    assert guess_kind("C", "") is None
    assert guess_kind("C", "4k7") is None


@pytest.mark.parametrize(
    ("letters", "value", "package", "kind"),
    [
        ("VR", "B100k", "", "potentiometer"), ("RV", "100kA", "", "potentiometer"), ("R", "10k lin", "",
        "potentiometer"),
        ("P", "A1M", "", "potentiometer"), ("RV", "10k", "", "trimmer"), ("VR", "100k", "", "trimmer"),
        ("RV", "10k", "16 mm", "potentiometer"), ("RV", "10k 25 turns", "", "trimmer"), ("P", "10k", "",
        "trimmer"),
        ("RV", "275V", "", "varistor"), ("VR", "5V1", "", "Zener diode"), ("VR", "78L05", "",
        "voltage regulator"),
        ("R", "10k NTC", "", "thermistor"), ("RT", "10k", "", "thermistor"), ("R", "LDR", "",
        "photoresistor"),
        ("RV", "slider 10k", "", "slide potentiometer"), ("R", "wire link", "", "wire link"),
        ("R", "0R", "", "resistor"),
    ],
)  # fmt: skip
def test_variable_and_special_resistors_are_told_apart(
    letters: str, value: str, package: str, kind: str
) -> None:
    assert guess_kind(letters, value, package) == kind


@pytest.mark.parametrize(
    ("letters", "value", "kind"),
    [
        ("D", "1N4148", "diode"), ("D", "1N914", "diode"), ("D", "1N4007", "diode"), ("D", "1N5408",
        "diode"),
        ("D", "1N4733A", "Zener diode"), ("D", "1N5231B", "Zener diode"), ("D", "BZX55C5V1", "Zener diode"),
        ("D", "5V1", "Zener diode"), ("D", "1N5817", "Schottky diode"), ("D", "1N5822", "Schottky diode"),
        ("D", "BAT42", "Schottky diode"), ("D", "red", "LED"), ("D", "LED 3 mm", "LED"),
        ("D", "W04M", "bridge rectifier"), ("DS", "7-segment", "display"), ("V", "1N4148", "diode"),
        ("Q", "BC547B", "transistor"), ("Q", "2N3904", "transistor"), ("Q", "2N5401", "transistor"),
        ("Q", "BF199", "transistor"), ("T", "BC337", "transistor"), ("TR", "2SC1815", "transistor"),
        ("Q", "J113", "JFET"), ("Q", "2N5457", "JFET"), ("Q", "2N5485", "JFET"), ("Q", "BF245A", "JFET"),
        ("Q", "BS170", "MOSFET"), ("Q", "2N7000", "MOSFET"), ("Q", "IRF520N", "MOSFET"), ("Q", "C106D",
        "thyristor"),
        ("Q", "32.768 kHz", "crystal"), ("X", "16 MHz", "crystal"), ("Y", "8 MHz resonator",
        "ceramic resonator"),
        ("U", "7805", "voltage regulator"), ("U", "L7912CV", "voltage regulator"), ("IC", "78L05",
        "voltage regulator"),
        ("U", "LM317T", "voltage regulator"), ("U", "LM337", "voltage regulator"), ("U", "TL431",
        "voltage reference"),
        ("U", "LM4040", "voltage reference"), ("U", "TL072", "IC"), ("U", "LM339", "IC"), ("U", "LM13700",
        "IC"),
        ("U", "4046", "IC"), ("U", "6N138", "optocoupler"), ("U", "DIP-8 socket", "IC socket"), ("V",
        "ECC83", "valve"),
    ],
)  # fmt: skip
def test_semiconductors_are_told_apart_by_type_number(letters: str, value: str, kind: str) -> None:
    assert guess_kind(letters, value) == kind


def test_a_chip_stays_a_chip_when_its_package_names_the_socket() -> None:
    assert guess_kind("U", "TL072", "DIP-8 socket") == "IC"


@pytest.mark.parametrize(
    ("letters", "value", "kind"),
    [
        ("L", "10uH", "inductor"), ("L", "ferrite bead", "ferrite bead"), ("L", "T50-2", "toroid inductor"),
        ("F", "500mA", "fuse"), ("F", "polyfuse 0.5 A", "resettable fuse"), ("F", "PTC", "resettable fuse"),
        ("RT", "500mA", "resettable fuse"), ("F", "RXEF050", "resettable fuse"), ("F", "clips",
        "fuse holder"),
        ("J", "2x5", "pin header"), ("J", "2x5 box header", "box header"), ("J", "1x8 female header",
        "pin socket"),
        ("J", "3.5 mm mono", "jack socket"), ("J", "6.35 mm", "jack socket"), ("J", "DC 2.1 mm",
        "DC socket"),
        ("J", "screw terminal 3-way", "terminal block"), ("S", "DPDT", "toggle switch"), ("SW", "tactile",
        "push button"),
        ("SW", "rotary 1x12", "rotary switch"), ("S", "slide", "slide switch"), ("SW", "encoder",
        "rotary encoder"),
        ("W", "ribbon cable", "cable"), ("H", "M3x11 spacer", "spacer"), ("MP", "knob", "knob"),
    ],
)  # fmt: skip
def test_coils_fuses_plugs_and_switches_are_told_apart(letters: str, value: str, kind: str) -> None:
    assert guess_kind(letters, value) == kind


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        ("M3x11 spacer", "spacer"), ("M3 nut", "nut"), ("M3x6 screw", "screw"), ("knob 6 mm", "knob"),
        ("front panel", "panel"), ("cable tie", "hardware"), ("ribbon cable 10-16", "cable"), ("4k7",
        "resistor"),
        ("6k8", "resistor"), ("100nF", "ceramic capacitor"), ("10uH", "inductor"), ("16 MHz", "crystal"),
        ("10k metal film resistor", "resistor"), ("ceramic resistor 5W", "resistor"), ("reed relay", "relay"),
        ("resistor, metal film", "resistor"), ("toroid transformer", "transformer"), ("LED display", "display"),
        ("TL072", "IC"), ("dual opamp TL072", "IC"), ("BC547B", "transistor"), ("B100k", "potentiometer"),
        ("14-pin DIL socket", "IC socket"), ("panel mount jack", "jack socket"), ("something else", None),
        ("", None),
        ("12 V", None),
    ],
)  # fmt: skip
def test_parts_without_a_designator_are_known_by_their_words(value: str, kind: str | None) -> None:
    assert guess_kind("", value) == kind
    assert guess_kind("GAIN", value) == kind


@pytest.mark.parametrize(
    ("kind", "package", "value", "joints"),
    [
        ("IC", "DIP-14", "", 14), ("IC", "DIL 16", "", 16), ("IC", "8-pin DIP", "", 8), ("IC", "TO-99", "",
        8),
        ("IC", "", "TL072", 8), ("IC", "", "TL074", 14), ("IC", "", "CD4016", 14), ("IC", "", "4046", 16),
        ("IC", "", "CD40106BE", 14), ("IC", "", "LM13700", 16), ("IC", "", "74HC595", 16), ("IC", "",
        "NE555", 8),
        ("IC", "", "LM3914", 18), ("IC", "", "unheard-of", 8),
        ("IC socket", "DIP-8", "", 8), ("IC socket", "", "DIP-16", 16), ("resistor network", "SIP-9", "",
        9),
        ("transistor", "TO-92", "BC547", 3), ("voltage regulator", "TO-220", "7805", 3),
        ("voltage regulator", "TO-220-5", "", 5), ("transistor", "TO-3", "", 2), ("resistor", "", "4k7", 2),
        ("box header", "", "2x5", 10), ("pin header", "", "1x8", 8), ("box header", "", "10-pin", 10),
        ("box header", "2×8", "", 16), ("pin header", "2.54 mm", "1x3", 3), ("terminal block", "", "3-way",
        3),
        ("potentiometer", "9 mm", "B100k", 3), ("potentiometer", "9 mm with lugs", "B100k", 5),
        ("potentiometer", "", "dual 100k A", 6), ("potentiometer", "5 pins", "", 5), ("rotary encoder", "",
        "", 5),
        ("rotary encoder", "without switch", "", 3), ("jack socket", "3.5 mm mono", "", 3),
        ("jack socket", "6.35 mm mono", "", 3), ("jack socket", "3.5 mm stereo", "", 3),
        ("jack socket", "3.5 mm stereo switched", "", 5), ("jack socket", "6.35 mm stereo switched", "", 6),
        ("jack socket", "unswitched", "", 2), ("DC socket", "", "", 3),
        ("valve socket", "noval", "", 9), ("valve socket", "", "octal", 8), ("valve socket", "B7G", "", 7),
        ("toggle switch", "", "SPST", 2), ("toggle switch", "", "SPDT", 3), ("toggle switch", "", "DPDT",
        6),
        ("slide switch", "", "DP3T", 8), ("rotary switch", "", "1x12", 13), ("rotary switch", "", "2P6T",
        14),
        ("rotary switch", "", "4 pole 3 way", 16), ("push button", "6x6 tactile", "", 4), ("push button",
        "", "", 2),
        ("relay", "", "SPDT", 5), ("relay", "", "DPDT", 8), ("relay", "DIP-8", "", 8), ("LED", "", "RGB",
        4),
        ("LED", "", "bi-colour", 3), ("bridge rectifier", "", "", 4), ("crystal", "HC-49", "16 MHz", 2),
        ("crystal", "DIP-14", "", 4), ("ceramic resonator", "", "", 3), ("optocoupler", "", "4N35", 6),
        ("optocoupler", "", "PC817", 4), ("optocoupler", "", "6N138", 8), ("display", "", "LCD 16x2", 16),
        ("display", "OLED", "", 4), ("module", "", "2x15", 30), ("toroid inductor", "", "bifilar", 4),
        ("toroid inductor", "", "trifilar", 6), ("test point", "", "", 1), ("spacer", "", "M3x11", 0),
        ("knob", "", "", 0),
        ("pin header", "", "99x99", 2), ("pin header", "", "0x5", 2),
        ("IC", "SOT-23-6", "MT3608", 6), ("IC", "TSSOP-20", "", 20), ("MOSFET", "TSSOP-8", "FS8205A", 8),
        ("Schottky diode", "SOT-23", "BAT54S", 3), ("Zener diode", "SOT-23", "", 3),
        ("diode", "SOD-123", "", 2),
        ("voltage regulator", "SOT-223", "", 4), ("IC", "SOP-8", "", 8), ("IC", "QFN-32", "", 32),
        ("battery cell", "", "18650", 0),
    ],
)  # fmt: skip
def test_joints_are_counted_as_usual(kind: str, package: str, value: str, joints: int) -> None:
    """Pins of packages and of common types; common practice, no source, from memory."""
    assert joints_for(kind, package, value) == joints


LOW_TO_HIGH = (
    ("wire link", "flat"), ("resistor", "flat"), ("diode", "flat"), ("IC socket", "board"),
    ("ceramic capacitor", "board"), ("transistor", "board"), ("pin header", "board"),
    ("electrolytic capacitor", "board"), ("transformer", "board"), ("potentiometer", "panel"),
    ("knob", "panel"),
)  # fmt: skip
"""What lies lower is soldered first, so that the board lies flat on its parts: common practice, no source."""


def test_heights_follow_the_order_low_to_high() -> None:
    heights = [height_for(kind, mount) for kind, mount in LOW_TO_HIGH]
    assert heights == sorted(heights)
    assert heights[0] < heights[3] < heights[5] < heights[7] < heights[-1]
    for kind in ("resistor", "diode", "inductor"):
        assert height_for(kind, "flat") < height_for(kind, "upright")


def test_every_kind_has_a_height_in_every_mount() -> None:
    for name in KINDS:
        for mount in MOUNTS:
            assert 1 <= height_for(name, mount) <= 9


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("electrolytic capacitor", ("Long leg", "stripe", "minus")), ("diode", ("band", "cathode")),
        ("LED", ("flat side", "Short leg", "cathode")), ("IC", ("Notch", "pin 1")), ("IC socket",
        ("notch",)),
        ("transistor", ("Flat side", "as printed")), ("voltage regulator", ("tab", "as printed")),
        ("box header", ("notch", "pin 1")), ("bridge rectifier", ("+",)), ("tantalum capacitor", ("+",
        "plus")),
    ],
)  # fmt: skip
def test_orientation_names_the_mark_to_look_for(kind: str, words: tuple[str, ...]) -> None:
    assert all(word in KINDS[kind].orientation for word in words)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("resistor", "resistor"), ("Resistors", "resistor"), (" IC  sockets ", "IC socket"), ("ic", "IC"),
        ("ICs", "IC"),
        ("leds", "LED"), ("zener", "Zener diode"), ("Zener-Diodes", "Zener diode"), ("toggle switches",
        "toggle switch"),
        ("electrolytics", "electrolytic capacitor"), ("pots", "potentiometer"), ("box_header",
        "box header"),
        ("tube", "valve"), ("jfet", "JFET"), ("fuses", "fuse"), ("washers", "washer"),
    ],
)  # fmt: skip
def test_kinds_are_found_whatever_case_and_plural(text: str, name: str) -> None:
    found = kind_named(text)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("text", ["", "s", "flux capacitor", "R", "resistorss"])
def test_unknown_kinds_are_not_found(text: str) -> None:
    assert kind_named(text) is None


def test_every_kind_is_found_by_its_own_name_and_plural() -> None:
    for name, kind in KINDS.items():
        assert kind_named(name) is kind
        assert kind_named(name.upper() + "S") is kind


@given(st.text(max_size=4), st.text(max_size=40), st.text(max_size=20))
def test_any_text_is_guessed_or_not_but_never_stumbled_over(letters: str, value: str, package: str) -> None:
    kind = guess_kind(letters, value, package)
    assert kind is None or kind in KINDS
    for name in KINDS:
        assert 0 <= joints_for(name, package, value) <= 200


def test_a_value_reads_in_the_unit_of_its_guessed_kind() -> None:
    for letters, value in (("R", "4k7"), ("C", "10u"), ("L", "10u"), ("X", "16M"), ("ZD", "5V1"), ("F", "1A")):
        kind = guess_kind(letters, value)
        assert kind is not None
        main = read_value(value, KINDS[kind].unit).main
        assert main is not None
        assert main.unit == KINDS[kind].unit


@pytest.mark.parametrize("piece", ["a", "1", "-", " ", "x", "socket ", "2x"])
def test_a_long_text_counts_as_its_first_200_signs(piece: str) -> None:
    text, start = piece * 100_000, (piece * 200)[:200]
    assert guess_kind("J", text, text) == guess_kind("J", start, start)
    assert guess_kind("", text) == guess_kind("", start)
    assert joints_for("pin header", text, text) == joints_for("pin header", start, start)


def test_what_stands_behind_200_signs_of_value_does_not_change_the_guess() -> None:
    assert guess_kind("", "." * 150 + " TL072") == guess_kind("", "TL072") == "IC"
    assert guess_kind("", "." * 200 + " TL072") is None

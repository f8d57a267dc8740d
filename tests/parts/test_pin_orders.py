"""Orders of legs and tabs against the KiCad symbol library, which cites the maker's data sheet of each type.

The library is open data; read from the copy in the package skidl 3.0.0 on PyPI. Its pin 1 is the left leg with
the print towards you (TO-92: JEDEC TO-226, TO-220: JEDEC TO-220; from memory). Types and tabs below the first
table are from memory where no source is named.
"""

from __future__ import annotations

import pytest

from bench.parts.advice import cautions_about, instead_of, way_round
from bench.parts.traits import traits_of
from bench.parts.type_numbers import TYPES, facts, leg_words

LIBRARY = """
2N3904 E B C | 2N3906 E B C | BC547 C B E | BC550 C B E | BC557 C B E | BC337 C B E | BC327 C B E
BC237 C B E | BC517 C B E | BC516 C B E | BC636 E C B | 2SC1815 E C B | 2SA1015 E C B | S8050 E B C
S8550 E B C | PN2222A E B C | MPSA42 E B C | MPSA92 E B C | BD135 E C B | BD139 E C B | BD140 E C B
TIP41C B C E | TIP42C B C E | TIP120 B C E | TIP127 B C E
2N3819 D G S | BF244A D G S | BF245A G S D | BS170 D G S | BS250 D G S | 2N7000 S G D
IRF540N G D S | IRF9540N G D S
LM317T ADJ VO VI | LM337T ADJ VI VO | LM317LZ ADJ VO VI | LM350T ADJ VO VI | LM7805 VI GND VO
LM7905 GND VI VO | L78L05 VO GND VI | L79L05 GND VI VO | LM1117-3.3 GND VO VI | LM1117-ADJ ADJ VO VI
LM1084-ADJ ADJ VO VI | TL431LP REF A K | LM4040LP-5 NC K A | LM329BZ NC K A | TIC106 K A G
BT136-600 A1 A2 G | BT138-600 A1 A2 G | TIC206 A1 A2 G | BTA16-600B A1 A2 G
"""
LETTERS = {
    "E": "emitter", "B": "base", "C": "collector", "D": "drain", "S": "source", "G": "gate", "ADJ": "adjust",
    "VO": "output", "VI": "input", "GND": "ground", "REF": "reference", "A": "anode", "K": "cathode",
    "NC": "not used", "A1": "MT1", "A2": "MT2",
}  # fmt: skip
ROWS = [tuple(row.split()) for line in LIBRARY.strip().splitlines() for row in line.split("|")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_order_of_legs_is_that_of_the_symbol_library(row: tuple[str, ...]) -> None:
    known = facts(row[0])
    assert known is not None
    assert leg_words(known) == tuple(LETTERS[pin] for pin in row[1:])


@pytest.mark.parametrize(
    ("value", "tab"),
    [
        ("LM317T", "output"), ("LM338T", "output"), ("LM337T", "input"), ("LM7805CT", "ground"),
        ("L7812CV", "ground"),
        ("LM7912CT", "input"), ("LM2940T-5.0", "ground"), ("LM1117T-3.3", "output"), ("LD1117V33", "output"),
        ("TIP31C", "collector"), ("TIP42", "collector"), ("BD139-16", "collector"), ("IRF510", "drain"),
        ("IRF9540", "drain"), ("BT136-600E", "MT2"), ("BTA12-600B", "insulated"), ("TIC106D", "anode"),
    ],
)  # fmt: skip
def test_a_tab_is_what_its_data_sheet_says_and_a_live_one_is_warned_of(value: str, tab: str) -> None:
    """Tab and middle leg are one piece of metal in TO-220 (from memory), but for insulated types."""
    known = facts(value)
    assert known is not None
    assert known.tab == tab
    if tab != "insulated":
        assert leg_words(known)[1] == tab
    kind = "voltage regulator" if "regulator" in known.role else "transistor"
    traits = traits_of(kind, value, "TO-220")
    assert f"Tab: {tab}." in way_round(kind, value, traits)
    warned = any("insulate" in said for said in cautions_about(kind, value, traits))
    assert warned == (tab not in ("ground", "insulated"))


def test_in_a_case_with_a_tab_the_tab_is_the_middle_leg() -> None:
    for known in TYPES.values():
        if known.tab and known.tab not in ("insulated",):
            assert leg_words(known)[1] == known.tab, known.base


@pytest.mark.parametrize(
    ("kind", "value", "package", "said"),
    [
        # Collector, output or input on the can of a TO-3, source on the tab of lateral MOSFETs: from memory.
        ("transistor", "2N3055", "", "Its case is usually the collector: insulate it"),
        ("transistor", "MJ15003", "TO-3", "Its case is usually the collector: insulate it"),
        ("voltage regulator", "LM317K", "TO-3", "The case of the LM317 is its output: insulate it"),
        ("voltage regulator", "LM7905K", "TO-3", "The case of the 7905 is its input: insulate it"),
        ("MOSFET", "2SK1058", "", "The tab of the 2SK1058 is its source: insulate it"),
        ("MOSFET", "2SJ162", "TO-3P", "The tab of the 2SJ162 is its source: insulate it"),
        ("transistor", "2N2219A", "", "Its can is usually the collector"),
        ("transistor", "BC108", "TO-18", "Its can is usually the collector"),
    ],
)  # fmt: skip
def test_the_metal_of_a_case_is_named(kind: str, value: str, package: str, said: str) -> None:
    assert any(said in each for each in cautions_about(kind, value, traits_of(kind, value, package)))


def test_types_without_a_known_tab_are_warned_of_by_kind() -> None:
    traits = traits_of("MOSFET", "XYZ123", "TO-220")
    assert any("drain" in said for said in cautions_about("MOSFET", "XYZ123", traits))


@pytest.mark.parametrize(
    "value", ["MPF102", "J201", "2N5457", "S9014", "TIP31A", "IRF510", "LM385Z-2.5", "2N5060"]
)
def test_common_types_have_an_order_of_legs_on_the_card(value: str) -> None:
    """From memory: not in the symbol library, or only in part."""
    kind = {"M": "JFET", "J": "JFET", "I": "MOSFET", "L": "voltage reference"}.get(value[0], "transistor")
    assert "Legs, print towards you: " in way_round(kind, value, traits_of(kind, value))


def test_a_gain_group_does_not_hide_the_type() -> None:
    for value in ("BC337-40", "BD139-10", "BC639-16"):
        known = facts(value)
        assert known is not None
        assert known.legs


def test_a_type_of_which_makers_differ_gets_no_order() -> None:
    for value in ("2N2222", "LM337L"):
        known = facts(value)
        assert known is not None
        assert leg_words(known) == ()


@pytest.mark.parametrize(
    ("listed", "kind", "other", "words"),
    [
        ("2N3904", "transistor", "BC550C", "collector, base, emitter"),
        ("2N7000", "MOSFET", "BS170", "drain, gate, source"),
        ("LM7805", "voltage regulator", "LM317T", "adjust, output, input"),
        ("78L05", "voltage regulator", "79L05", "ground, input, output"),
        ("BF245A", "JFET", "J113", "drain, source, gate"),
        ("2N3904", "transistor", "2N3906", "PNP"),
        ("LM7812", "voltage regulator", "LM7912", "Different tab: input"),
    ],
)
def test_another_order_of_legs_is_said_of_a_substitute(listed: str, kind: str, other: str, words: str) -> None:
    assert words in " ".join(instead_of(listed, kind, other))


def test_a_sister_type_needs_no_words() -> None:
    assert instead_of("BC547B", "transistor", "BC550C") == ()
    assert instead_of("BC547B", "transistor", "BC547C") == ()
    assert instead_of("something", "transistor", "BC547C") == ()

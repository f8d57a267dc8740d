"""Packages by the names of footprints: pads or leads, the kind, the trade's word, the number of joints.

Sources beside the names in `footprints-known.txt`; the sizes of chips are those of EIA, the number of
pins that of the names themselves. Which kind a value means for a through-hole part: common practice, no source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bench.parts.advice import cautions_about, way_round
from bench.parts.footprints import kind_by_footprint, package_said, surface
from bench.parts.guessing import guess_kind
from bench.parts.lookalikes import LookalikePart, find_lookalikes
from bench.parts.pins import joints_for
from bench.parts.printed_values import bears_bands, usual_prints
from bench.parts.quantity import read_value
from bench.parts.resistances import resistances
from bench.parts.traits import traits_of

_TABLE = Path(__file__).with_name("footprints-known.txt").read_text("utf-8").splitlines()
_ROWS = [tuple(map(str.strip, row.split("|"))) for row in _TABLE if row and not row.startswith("#")]
_WORD = {True: "surface", False: "leads", None: "open"}


def test_there_are_more_than_eighty_names_on_the_surface() -> None:
    assert sum(row[3] == "surface" for row in _ROWS) >= 80


@pytest.mark.parametrize("row", _ROWS, ids="|".join)
def test_what_a_name_says(row: tuple[str, ...]) -> None:
    package, value, letter, mounted, kind, said = row
    flat = surface(package, value)
    # a name that leaves it open is planned with leads, unless the board's pads say otherwise
    assert _WORD[flat] == mounted or (mounted == "leads" and flat is None)
    assert kind in ("-", guess_kind(letter, value, package))
    assert not said or package_said(package) == said
    # nothing is lost where the trade's name stands for the footprint's
    assert surface(package_said(package), value) in (flat, flat or None)
    if flat and kind_by_footprint(letter, package):
        assert guess_kind(letter, value, package_said(package)) == kind


_HAS_LEGS = re.compile("SO|QF|SMDIP|TO-252|LCC")
_LEADED_WORDS = ("leg is", "legs", "bend", "bent", "leads", "clip", "bands", "flat side", "in their holes")


@pytest.mark.parametrize("row", [row for row in _ROWS if row[3] == "surface" and row[4] != "-"], ids="|".join)
def test_nothing_is_said_of_leads_that_are_not_there(row: tuple[str, ...]) -> None:
    package, value, letter, *_ = row
    kind = guess_kind(letter, value, package)
    assert kind is not None
    traits = traits_of(kind, value, package, "flat") | {"solder"}
    assert "smd" in traits
    said = f"{way_round(kind, value, traits)} {' '.join(cautions_about(kind, value, traits))}".casefold()
    for words in _LEADED_WORDS:
        assert words not in said.replace("have no bands", "") or (
            words == "legs" and _HAS_LEGS.search(package)
        ), said
    assert bears_bands(kind, value, package) == (kind == "resistor" and "melf" in package.casefold())


@pytest.mark.parametrize(
    ("kind", "package", "joints"),
    [
        ("IC", "SOIC127P600X175-8N", 8), ("IC", "QFP80P900X900X120-32N", 32), ("IC", "SOT95P280X145-5N", 5),
        ("transistor", "SOT95P280X145-3N", 3), ("IC", "SO08", 8), ("IC", "TQFP32-08", 32), ("IC", "SO16W", 16),
        ("transistor", "Package_TO_SOT_SMD:SOT-23", 3), ("IC", "Package_DFN_QFN:QFN-16-1EP_3x3mm_P0.5mm", 17),
        ("voltage regulator", "Package_TO_SOT_SMD:TO-252-2", 3),
        ("IC", "Package_SO:SOIC-8-1EP_3.9x4.9mm_P1.27mm", 9),
        ("IC", "DIP-8_W7.62mm", 8), ("transistor", "TO-92_Inline", 3),
    ],
)  # fmt: skip
def test_joints(kind: str, package: str, joints: int) -> None:
    assert joints_for(kind, package) == joints


@pytest.mark.parametrize(
    ("letter", "value", "package", "said"),
    [
        ("D", "BAV99", "SOT23", "Marked side up: its legs fit the pads one way only."),
        ("D", "1N4148", "MINIMELF", "The ring nearer to one end is the cathode."),
        ("C", "10u", "CP_EIA-3216-18_Kemet-A", "The bar on the case marks the plus."),
        ("C", "100u", "CP_Elec_6.3x7.7", "The black mark on top of the can is minus"),
        ("D", "1N4148W", "Diode_SMD:D_SOD-123", "The line on its case is the cathode"),
        ("D", "1N4007", "Diode_SMD:D_SMA", "The line on its case is the cathode"),
        ("C", "10u", "Capacitor_SMD:C_0805_2012Metric", ""),
    ],
)
def test_which_way_round(letter: str, value: str, package: str, said: str) -> None:
    """Marks of polarity: IPC-A-610 and makers' data sheets, from memory."""
    kind = guess_kind(letter, value, package)
    assert kind is not None
    assert way_round(kind, value, traits_of(kind, value, package, "board")).startswith(said)


@pytest.mark.parametrize(
    ("value", "tolerance", "package", "codes"),
    [
        ("10k", "", "R0805", ("103", "1002")),
        ("10k", "1 %", "Resistor_SMD:R_0603_1608Metric", ("1002", "103")),
        ("4R7", "", "1206", ("4R7", "4R70")), ("49.9k", "1 %", "RESC2012X65N", ("4992",)),
        ("100R", "", "0805", ("101", "1000")),
        ("10k", "", "R0402", ()), ("10k", "", "R_MELF_MMB-0207", ()), ("10k", "", "", ()),
        ("0R1", "", "2512", ()),
    ],
)  # fmt: skip
def test_what_is_printed_on_a_chip_resistor(
    value: str, tolerance: str, package: str, codes: tuple[str, ...]
) -> None:
    """Three or four figures: IEC 60062, from memory; the reader of printed codes reads each of them back."""
    assert usual_prints("resistor", value, tolerance, "", package) == codes
    wanted = read_value(value, "ohm").main
    for code in codes:
        assert wanted in [meaning.amount for meaning in resistances(code)], code


def test_a_chip_is_not_taken_for_a_part_with_legs() -> None:
    def pair(first: str, second: str) -> int:
        parts = [LookalikePart(value="10u", kind="electrolytic capacitor", package=first),
                 LookalikePart(value="100u", kind="electrolytic capacitor", package=second)]  # fmt: skip
        return len(find_lookalikes(parts))

    assert pair("CP_Elec_6.3x7.7", "CP_Radial_D5.0mm_P2.00mm") == 0
    assert pair("CP_Elec_6.3x7.7", "CP_Elec_6.3x7.7") == 1
    assert pair("radial", "") == 1

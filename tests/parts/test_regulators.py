"""Windows of regulators and drops of series parts against data sheets; `from memory` where not seen."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bench.errors import SoldersideError
from bench.parts.regulators import FROM_MEMORY, PartUnknown, behind, diode_drop, fuse_drop, regulator_window


@pytest.mark.parametrize(
    ("part", "cold", "low", "high"),
    [
        # Fairchild LM78XX rev. 1.3.1, 2006 (seen)
        ("LM7805", True, "4.80", "5.20"),
        ("LM7805CT", False, "4.75", "5.25"),
        # pdf.support/b163be37/fairchildsemi.com/LM7805A.html, table for the LM7812 (seen)
        ("LM7812", True, "11.5", "12.5"),
        ("L7812CV", False, "11.4", "12.6"),
        # ON Semiconductor MC7800, page 8 (seen)
        ("MC7812A", True, "11.75", "12.25"),
        ("MC7812ACT", False, "11.5", "12.5"),
        # Fairchild MC78LXXA/LM78LXXA rev. 1.0.6, 2004 (seen)
        ("LM78L05ACZ", True, "4.80", "5.20"),
        ("78L05A", False, "4.75", "5.25"),
        # National LM79XX, September 2001, table for the LM7905C (seen)
        ("LM7905C", True, "-5.20", "-4.80"),
        ("LM7905", False, "-5.25", "-4.75"),
        # LM7912: from memory
        ("LM7912", True, "-12.5", "-11.5"),
    ],
)
def test_windows_are_those_of_the_data_sheets(part: str, cold: bool, low: str, high: str) -> None:
    window = regulator_window(part, at_25_celsius=cold)
    assert (window.low, window.high) == (Decimal(low), Decimal(high))


@pytest.mark.parametrize("volts", ["05", "06", "08", "09", "10", "12", "15", "18", "24"])
def test_grades_are_as_wide_as_the_sheets_promise(volts: str) -> None:
    # ±4 % and, with an A, ±2 %: Fairchild DS400018, 2005 (seen).
    # 78L: ±4 % (A) or ±8 % (C): ST L78L, 2014 (seen). The sheets round, so half a percent is allowed.
    for part, percent in ((f"78{volts}C", 4), (f"78{volts}A", 2), (f"78L{volts}A", 4), (f"78L{volts}C", 8)):
        for negative in (False, True):
            name = part.replace("78", "79", 1) if negative else part
            window = regulator_window(name, at_25_celsius=True)
            share = (window.high - window.low) / 2 / abs(window.nominal) * 100
            assert abs(share - percent) <= Decimal("0.5"), name
            wide = regulator_window(name)
            assert wide.low < window.low < window.nominal < window.high < wide.high


def test_a_figure_says_whether_its_sheet_was_seen() -> None:
    assert regulator_window("LM7812").source.startswith("seen")
    assert regulator_window("LM7912").source == FROM_MEMORY
    assert regulator_window("LM78M12").source == FROM_MEMORY


@pytest.mark.parametrize("part", ["7807", "TL072", "", "LM317", "178050"])
def test_an_unknown_regulator_is_refused(part: str) -> None:
    with pytest.raises(PartUnknown):
        regulator_window(part)


@pytest.mark.parametrize(
    ("part", "amps", "volts"),
    [
        # 1N5817 to 1N5819: dtsheet.com/doc/1313526 (seen)
        ("1N5817", "1", "0.45"), ("1N5818", "1", "0.55"), ("1n5819", "0.04", "0.60"),
        ("1N5817", "3", "0.75"), ("1N5818", "3", "0.875"), ("1N5819", "1.5", "0.90"),
        # from memory
        ("1N4001", "1", "1.1"), ("1N4148", "0.01", "1.0"),
    ],
)  # fmt: skip
def test_diodes_take_off_at_most_what_their_sheets_say(part: str, amps: str, volts: str) -> None:
    assert diode_drop(part, Decimal(amps)) == Decimal(volts)


def test_a_diode_beyond_its_table_or_unknown_is_refused() -> None:
    with pytest.raises(SoldersideError, match="outside the table"):
        diode_drop("1N4148", Decimal(1))
    with pytest.raises(PartUnknown):
        diode_drop("1N9999", Decimal(1))


def test_a_resettable_fuse_takes_off_current_times_its_greatest_resistance() -> None:
    # RXEF sheet (seen): R1max 20 ohm for the 50 mA part, so 1 V at its hold current.
    assert fuse_drop("RXEF005", Decimal("0.05")) == 1
    assert fuse_drop("RXEF010", Decimal("0.1")) == Decimal("0.75")
    with pytest.raises(PartUnknown, match="no resistance"):
        fuse_drop("RHEF050", Decimal("0.1"))
    with pytest.raises(SoldersideError, match="below zero"):
        fuse_drop("RXEF005", Decimal(-1))


@pytest.mark.parametrize(("part", "low", "high"), [("7812", "10.20", "12.6"), ("7912", "-12.6", "-10.20")])
def test_series_parts_widen_the_window_towards_zero_only(part: str, low: str, high: str) -> None:
    after_diode = behind(regulator_window(part), diode_drop("1N5817", Decimal("0.04")))
    window = behind(after_diode, fuse_drop("RXEF010", Decimal("0.1")))
    assert (window.low, window.high) == (Decimal(low), Decimal(high))

"""Identification as a whole: whatever is typed, whatever stands in the kit."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.measure.identify.candidates import apart, distance
from bench.measure.identify.kit_lines import KitLine, lines_of, named
from bench.measure.identify.match_kit import identify
from bench.measure.verdict.meter import DEFAULT_METER
from bench.parts.decode_marking import read_print
from bench.parts.meaning import PrintError
from bench.parts.quantity import parse_quantity
from tests.support.identified import first, kit, remarks
from tests.support.samples import part


# -- the whole ----------------------------------------------------------------------------------
def test_amounts_are_compared_in_words() -> None:
    ask = parse_quantity
    assert apart(ask("4k7"), ask("4k7")) == "just 4.7 kΩ"
    assert apart(ask("4k701"), ask("4k7")) == "less than 0.1 % above 4.7 kΩ"
    assert apart(ask("100k"), ask("100R")) == "1,000 times 100 Ω"


def test_no_line_is_both_possible_and_ruled_out() -> None:
    asked = kit((part("R1", "10k"), part("RV1", "10k", "trimmer", 3), part("C1", "10n", "film capacitor")))
    for text in ("10k", "103", "10n", "brown black orange gold", "9k3", "0.62 V", "OL"):
        found = identify(text, asked)
        possible = {ref for each in found.candidates for ref in each.refs}
        out = {(line.board, ref) for each in found.ruled_out for line in each.lines for ref in line.part.refs}
        assert not possible & out, text
        assert len([ref for each in found.candidates for ref in each.refs]) == len(possible), text


PIECES = (
    "brown", "black", "gold", "4k7", "104", "J", "16V", "hFE", "220", "OL", "-OL", "X7R", "2A", "1N4148",
    "BC547", "none", "0", "0.0", "-0", "1e9", "9" * 30, "0.0000000000000001p", "inf", "nan", "%", "±", "V",
    "\x1b[31m", "Ω",
)  # fmt: skip
SOME_KIT = kit((part("R1", "10k"), part("C1", "100n", "ceramic capacitor"), part("D1", "1N4148", "diode")))


@given(st.lists(st.sampled_from(PIECES) | st.text(max_size=6), max_size=4), st.sampled_from([None, SOME_KIT]))
def test_whatever_is_typed_gives_an_answer_or_a_clear_error(pieces: list[str], of: Kit | None) -> None:
    try:
        found = identify(" ".join(pieces), of)
    except SoldersideError:
        return
    assert found.candidates or found.ruled_out or found.remarks


def test_a_lopsided_tolerance_is_shown_and_used_on_both_sides() -> None:
    # +80/-20 %: letter Z, EIA-198, from memory; limits of 10 nF are 8 nF and 18 nF
    asked = kit((part("C1", "10n", "ceramic capacitor", tolerance="+80/-20 %"),))
    assert first("17n", asked).text == "10 nF +80/−20 %"
    assert "more than +80/−20 % and the meter's error allow" in identify("25n", asked).ruled_out[0].why


def test_values_that_bands_cannot_show_are_too_close_to_call_without_bands() -> None:
    asked = kit((part("R1", "12.34k", tolerance="1 %"), part("R2", "12.35k", tolerance="1 %")))
    said = next(each for each in identify("12.34k", asked).remarks if each.startswith("too close"))
    assert "bands" not in said


def test_nothing_at_all_in_a_diode_test_is_a_short() -> None:
    found = identify("0.000 V")
    assert found.candidates[0].text == "a short"
    assert found.remarks == ("0 V both ways: the junction is shorted",)


def test_lines_are_read_whatever_stands_in_them() -> None:
    odd = kit((part("R1", "?? 12..", tolerance="% %"), part("X1", "", "no such kind"), part("R2", "-5")))
    lines = lines_of(odd)
    assert [isinstance(line, KitLine) for line in lines] == [True] * 3
    assert all(line.limits is None for line in lines)
    assert [line.text for line in lines][1] == "no such kind"
    assert identify("4k7", odd).candidates


def test_the_default_meter_is_used_when_none_is_given() -> None:
    assert DEFAULT_METER.name in remarks(identify("4k69"))


def test_a_print_that_is_none_raises_its_own_error() -> None:
    with pytest.raises(PrintError, match="'hello' is not understood"):
        read_print("hello")


@pytest.mark.parametrize(("measured", "wanted"), [(0, 1), (1, 0), (0, 0), (-1, 1), (1, -1)])
def test_what_is_not_above_zero_is_at_no_distance_by_ratio(measured: int, wanted: int) -> None:
    assert distance(Decimal(measured), Decimal(wanted)) == math.inf
    assert distance(Decimal(3), Decimal(3)) == 0


@pytest.mark.parametrize(
    ("text", "several"), [("104", True), ("472", True), ("1002", False), ("BC547", False), ("4R7", False)]
)
def test_a_print_that_means_several_things_asks_for_a_look_or_a_reading(text: str, several: bool) -> None:
    assert (
        "it can mean more than one thing: look at the part, or measure it" in remarks(identify(text))
    ) is several


def test_boards_are_named_where_a_kit_has_several() -> None:
    lines = lines_of(kit((part("R1 R2", "4k7"),), (part("R9", "4k7"),)))
    assert [named(lines[:1], 1), named(lines[:1], 2)] == ["R1, R2", "R1, R2 on main"]
    assert named(lines, 2) == "R1, R2 on main, R9 on front"

"""Colour difference and simulated colour blindness against published figures."""

from __future__ import annotations

from itertools import combinations
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.palette import COLOURS, ColourError, confusable, mistaken_for
from tests.support.colour_science import DEFICIENCIES, difference, lab

# Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula", Color Research and Application 30 (2005),
# Table 1: both L*a*b* colours and the difference, to four places.
SHARMA = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""

# L*a*b* (D65) of sRGB colours, worked out with Bruce Lindbloom's spreadsheet (brucelindbloom.com).
LINDBLOOM = """
36.657 8.250 12.270 106 81 67
64.202 9.433 14.710 182 149 130
50.845 1.004 -19.450 103 122 154
43.637 -12.265 20.263 95 108 69
57.421 22.476 49.944 194 121 48
40.818 15.837 -39.953 79 91 162
46.848 35.976 9.351 170 85 97
30.394 25.037 -48.957 54 62 149
56.556 -29.605 32.966 101 148 76
80.527 -4.273 70.711 228 199 55
95.095 -0.589 2.575 242 241 236
22.160 -0.017 0.017 53 53 53
"""


def rows(table: str) -> list[list[float]]:
    return [[float(cell) for cell in line.split()] for line in table.split("\n") if line]


@pytest.mark.parametrize("row", rows(SHARMA), ids=str)
def test_the_difference_of_two_colours_is_the_published_one_both_ways_round(row: list[float]) -> None:
    first, second, published = (row[0], row[1], row[2]), (row[3], row[4], row[5]), row[6]
    assert abs(difference(first, second) - published) <= 5.1e-5
    assert abs(difference(second, first) - published) <= 5.1e-5


@pytest.mark.parametrize("row", rows(LINDBLOOM), ids=str)
def test_lab_of_an_srgb_colour_is_within_a_step_of_the_published_one(row: list[float]) -> None:
    red, green, blue = (int(part) for part in row[3:])
    assert difference(lab((red, green, blue)), (row[0], row[1], row[2])) < 0.5


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_greys_stay_grey_in_every_simulation(deficiency: str) -> None:
    # Machado et al. (2009) normalise their matrices so that white and greys keep their place.
    for row in DEFICIENCIES[deficiency]:
        assert isclose(sum(row), 1.0, abs_tol=2e-6)
    for level in (0, 40, 128, 255):
        assert difference(lab((level,) * 3), lab((level,) * 3, deficiency)) < 0.01


def test_red_and_green_draw_together_for_protan_and_deutan_eyes_and_not_for_tritan_ones() -> None:
    # What protan, deutan and tritan mean: CIE 17:2020 (International lighting vocabulary), from memory.
    red, green = COLOURS["red"].srgb, COLOURS["green"].srgb
    usual = difference(lab(red), lab(green))
    assert difference(lab(red, "protan"), lab(green, "protan")) < usual / 3
    assert difference(lab(red, "deutan"), lab(green, "deutan")) < usual / 3
    assert difference(lab(red, "tritan"), lab(green, "tritan")) > usual / 2


@pytest.mark.parametrize(
    "pair",
    ["brown red", "red orange", "brown orange", "violet grey", "grey black", "violet black", "blue green"],
)
def test_pairs_that_builders_complain_of_are_confusable(pair: str) -> None:
    # Common practice, no source.
    assert confusable(*pair.split())


@pytest.mark.parametrize("pair", ["black white", "yellow black", "blue yellow", "red white", "green white"])
def test_pairs_that_nobody_takes_for_one_another_are_not_confusable(pair: str) -> None:
    # Common practice, no source.
    assert confusable(*pair.split()) is None


def test_the_reason_says_for_whose_eyes_a_pair_is_alike() -> None:
    assert confusable("red", "green") == "red and green look much the same to deutan eyes"


ALIKE = 14.0
"""Below this CIEDE2000 difference two bands are easily confused: our own choice, not a published limit."""


@pytest.mark.parametrize(("first", "second"), list(combinations(COLOURS, 2)))
def test_the_table_says_for_each_pair_what_the_formulas_say(first: str, second: str) -> None:
    """A pair that builders mix up has that reason whatever the formulas say; each other pair has theirs."""
    why = confusable(first, second) or ""
    if "when bands are small" in why:
        return
    a, b = COLOURS[first].srgb, COLOURS[second].srgb
    alike = [eyes for eyes in ("", *DEFICIENCIES) if difference(lab(a, eyes), lab(b, eyes)) < ALIKE]
    blind = " and ".join(eyes for eyes in alike if eyes)
    if "" in alike:
        assert why == f"{first} and {second} are close in hue and brightness"
    elif blind:
        assert why == f"{first} and {second} look much the same to {blind} eyes"
    else:
        assert not why


@given(st.sampled_from(sorted(COLOURS)), st.sampled_from(sorted(COLOURS)))
def test_confusion_works_both_ways_and_no_colour_is_confused_with_itself(first: str, second: str) -> None:
    assert bool(confusable(first, second)) == bool(confusable(second, first))
    assert (second in mistaken_for(first)) == (first in mistaken_for(second))
    assert first not in mistaken_for(first)


def test_a_word_that_is_no_colour_is_refused() -> None:
    with pytest.raises(ColourError, match="did you mean brown"):
        confusable("bronw", "red")

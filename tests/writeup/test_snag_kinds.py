"""What kind of snag it was, told from the builder's words."""

from __future__ import annotations

import pytest

from bench.writeup.snag_kinds import KINDS, kind_of_snag

SAID = [
    ("R5 got 4k7 instead of 47k", "R5", "", "wrong value"),
    ("mixed up C3 and C4", "", "", "wrong value"),
    ("wrong resistor", "R1", "", "wrong value"),
    ("R11 got 499k, which belongs to R12", "R11", "", "wrong value"),
    ("soldered R7 in the place of R8, swapped", "", "", "wrong place"),
    ("R22 went into R26's place", "R26", "", "wrong place"),
    ("J1 one pin off", "J1", "", "wrong place"),
    ("C3 in the holes of C4", "", "", "wrong place"),
    ("pot wired to the wrong lug", "RV1", "", "wrong place"),
    ("ribbon plugged in off by one", "", "", "wrong place"),
    ("a 1k in the place of 10k", "", "", "wrong value"),
    ("LED anode and cathode swapped", "D5", "", "wrong way round"),
    ("LED fitted 180 degrees out", "D5", "", "wrong way round"),
    ("SW1 sits crooked", "SW1", "", "poor fit"),
    ("jack does not fit its hole", "J1", "", "poor fit"),
    ("spacers too short", "", "", "poor fit"),
    ("bent a pin of U4, bent pin straightened", "U4", "", "damaged part"),
    ("broke a leg off C7", "C7", "", "damaged part"),
    ("missed two joints", "", "", "bad joint"),
    ("burnt my finger", "", "", "other"),
    ("lost the bias after warming up", "", "", "other"),
    ("D3 sat the wrong way round", "D3", "", "wrong way round"),
    ("U2 in backwards", "U2", "", "wrong way round"),
    ("electrolytic reversed", "C5", "", "wrong way round"),
    ("header on the wrong side", "J3", "", "wrong way round"),
    ("bridge between pins 4 and 5", "U1", "", "bridge"),
    ("a hair of solder between two lugs of J2", "J2", "", "bridge"),
    ("+12 V shorted to ground by a whisker", "", "", "bridge"),
    ("cold joint", "J1", "", "bad joint"),
    ("pin 3 not soldered", "U4", "", "bad joint"),
    ("forgot to solder the second leg", "R2", "", "bad joint"),
    ("dull joint on the ground pour", "", "", "bad joint"),
    ("pad lifted", "Q3", "", "damaged pad"),
    ("I tore the trace to R9", "", "", "damaged pad"),
    ("one 22u missing from the bag", "C1", "", "missing part"),
    ("two nuts short", "", "", "missing part"),
    ("the guide shows the diode the other way round", "D101", "", "documents wrong"),
    ("silkscreen says R13, should be R33", "", "", "documents wrong"),
    ("no sound", "", "reflowed pin 3", "bad joint"),
    ("no sound", "", "turned it round", "wrong way round"),
    ("the left oscillator drifts for its first ten minutes", "", "", "other"),
    ("", "", "", "other"),
    ("took ages to find the knob", "", "", "other"),
]
"""Sentences as builders write them (common practice, no source): words, part, fix, kind."""


@pytest.mark.parametrize(("what", "part", "fix", "kind"), SAID)
def test_a_snag_is_known_by_its_words(what: str, part: str, fix: str, kind: str) -> None:
    assert kind_of_snag(what, part, fix) == kind
    assert kind_of_snag(what.upper(), part.lower(), fix.upper()) == kind


def test_every_kind_has_an_example_here() -> None:
    assert {kind for *_, kind in SAID} == set(KINDS)


def test_a_long_text_is_looked_at_up_to_a_bound() -> None:
    assert kind_of_snag("pad " * 100_000) == "other"

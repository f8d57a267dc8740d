"""What controls and sockets are called, and which of them a text names already."""

from __future__ import annotations

import pytest

from bench.plan.placed_part import label_of, names_of, role_of
from tests.support.simulated_kits import line


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ("LED7 lights", ()),
        ("LED1 to LED9 light", ()),
        ("LED1-9 light", ()),
        ("LED1\u20139 light", ()),
        ("LED1 to LED100 light", ()),
        ("LED1 to LED101 light", ("LED7",)),
        ("LED8 to LED9 light", ("LED7",)),
        ("LED9 to LED1 light", ("LED7",)),
        ("LED1 to R9", ("LED7",)),
        ("LED71 and XLED7 light", ("LED7",)),
        ("", ("LED7",)),
    ],
)
def test_a_part_is_named_by_its_designator_alone_or_within_a_range_of_a_hundred_at_most(
    told: str, left: tuple[str, ...]
) -> None:
    assert names_of([line("LED7", "red", "LED")], told) == left


def test_a_label_in_capitals_names_a_part_before_its_designator_does() -> None:
    labelled, plain = (line("RV1", "100k", "potentiometer", note=note) for note in ("CUTOFF: log", "log, 9 mm"))
    assert (label_of(labelled), label_of(plain)) == ("CUTOFF", "")
    assert names_of([labelled, plain], "") == ("CUTOFF", "RV1")
    assert names_of([labelled], "turn CUTOFF up") == ()
    assert names_of([labelled], "turn RV1 up") == ()


@pytest.mark.parametrize(
    ("kind", "note", "section", "role"),
    [
        ("jack socket", "IN 1", "", "input"), ("jack socket", "FM, attenuated", "", "input"),
        ("jack socket", "SINE OUT", "", "output"), ("jack socket", "headphones", "", "phones"),
        ("jack socket", "", "inputs", "input"), ("jack socket", "", "", "socket"),
        ("terminal block", "IN", "", "input"), ("terminal block", "SPEAKER OUT", "power", "output"),
        ("terminal block", "POWER IN", "", ""), ("terminal block", "IN", "power supply", ""),
        ("terminal block", "", "inputs", ""), ("resistor", "IN", "", ""),
    ],
)  # fmt: skip
def test_what_a_signal_is_plugged_into_is_told_by_its_label_then_its_section(
    kind: str, note: str, section: str, role: str
) -> None:
    assert role_of(line("J1", "", kind, note=note, section=section)) == role


def test_a_terminal_that_names_its_nets_carries_no_signal_unless_it_says_so() -> None:
    assert role_of(line("J1", "", "terminal block", note="IN", nets=("A", "B"))) == ""
    assert role_of(line("J1", "", "terminal block", note="OUT", nets=("A", "B"))) == "output"

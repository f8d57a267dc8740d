"""What controls and sockets are called, and which of them a text names already."""

from __future__ import annotations

import pytest

from bench.plan.ends import label_of, names_of
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

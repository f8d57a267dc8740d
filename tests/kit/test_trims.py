"""What a kit file says about a trimmer's part in tracking, read and written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from bench.errors import FileFaults
from bench.kit.kit import Kit, Trim
from bench.kit.kit_file import TRIM_KINDS, TRIM_ROLES
from bench.kit.load import parse_kit
from bench.kit.write import kit_text
from tests.support.kit_files import bare, small

PART = "{refs: RV1 RV2, value: 10k, kind: trimmer}"


def kit_with(*trims: str) -> Kit:
    """A small kit with these trims; the first trim stands in line 8."""
    text = small(PART, top="trims:\n" + "\n".join(f"  - {trim}" for trim in trims))
    return parse_kit(text.encode(), "my.yaml")


def test_role_range_and_sense_of_a_trimmer_are_read() -> None:
    kit = kit_with(
        "{name: Scale, kind: Hertz per volt, trimmer: RV1, role: Scale, range: 215 cents per octave}",
        "{name: Zero, trimmer: RV2, role: offset, range: 1000cents, clockwise: lowers}",
        "{name: Look}",
    )
    scale, zero, look = kit.trims
    assert (scale.kind, scale.role, scale.range_cents, scale.clockwise) == ("hertz per volt", "scale", 215, "")
    assert (zero.kind, zero.role, zero.range_cents, zero.clockwise) == ("general", "offset", 1000, "lowers")
    assert (look.role, look.range_cents, look.clockwise) == ("", 0, "")


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("role: offest", '8: "role" is "offest"; did you mean "offset"?'),
        ("clockwise: up", '8: "clockwise" is "up"; known here: raises, lowers'),
        ("range: 3 octaves", '8: "range" is "3 octaves"; write whole cents from stop to stop: 300 cents'),
        ("range: 0 cents", '8: "range" is "0 cents"; write whole cents from stop to stop: 300 cents'),
        ("range: 300", '8: "range" is "300"; write whole cents from stop to stop: 300 cents'),
    ],
)
def test_a_word_that_nobody_knows_is_a_fault_with_its_line(entry: str, said: str) -> None:
    with pytest.raises(FileFaults) as caught:
        kit_with("{name: Scale, trimmer: RV1, " + entry + "}")
    assert [str(fault).removeprefix("my.yaml:") for fault in caught.value.faults] == [said]


@given(
    st.builds(
        Trim,
        name=st.just("Scale"),
        kind=st.sampled_from(TRIM_KINDS),
        trimmer=st.sampled_from(["", "RV1"]),
        turns=st.integers(0, 100),
        role=st.sampled_from(["", *TRIM_ROLES]),
        range_cents=st.integers(0, 12_000),
        clockwise=st.sampled_from(["", "raises", "lowers"]),
    )
)
def test_any_trim_is_written_so_that_it_reads_back_equal(trim: Trim) -> None:
    kit = replace(kit_with("{name: Scale}"), trims=(trim,))
    assert bare(parse_kit(kit_text(kit).encode(), "my.yaml")) == bare(kit)

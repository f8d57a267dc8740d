"""What on a board minds the wash, said by designator (common practice, no source)."""

from __future__ import annotations

import pytest

from bench.kit.kit import Board, Kit, PartLine
from bench.plan.grouping import placements_of
from bench.plan.wash import keep_dry
from tests.support.samples import part


def dry(*lines: PartLine) -> str:
    said = keep_dry(placements_of(Kit(name="A kit", boards=(Board(name="main", parts=lines),))))
    return said.removeprefix("Keep solvent and brush away from ").partition(": it creeps")[0]


def test_what_minds_the_wash_is_named_by_designator_and_kind_in_order() -> None:
    assert dry(
        part("RV2 RV1", "B100k", "potentiometer", 3),
        part("S1", "DPDT", "toggle switch", 6),
        part("R1", "10k"),
        part("K1", "5 V", "relay", 5),
    ) == "K1 (relay, unless sealed), RV1, RV2 (potentiometers) and S1 (toggle switch)"  # fmt: skip


def test_kinds_come_in_the_order_of_their_lowest_designator() -> None:
    assert dry(
        part("K5", "5 V", "relay", 5),
        part("K9 K2", "DPDT", "toggle switch", 6),
        part("K4", "push", "push button", 4),
    ) == "K2, K9 (toggle switches), K4 (push button, unless sealed) and K5 (relay, unless sealed)"  # fmt: skip


def test_switches_and_boxes_have_their_plural() -> None:
    assert dry(part("S1 S2", "DPDT", "toggle switch", 6)) == "S1, S2 (toggle switches)"


def test_a_board_that_minds_nothing_says_so() -> None:
    everything = "Nothing on this board so far is harmed by washing."
    assert dry(part("R1 R2", "10k"), part("U1", "TL072", "IC", 8)) == everything


@pytest.mark.parametrize(
    ("value", "minds"),
    [
        ("5 V sealed", False),
        ("5 V, washable", False),
        ("5 V unsealed", True),
        ("5 V not sealed", True),
        ("5 V", True),
    ],
)
def test_a_part_that_its_line_calls_sealed_may_be_washed(value: str, minds: bool) -> None:
    assert ("K1" in dry(part("K1", value, "relay", 5))) == minds


def test_a_socket_may_be_washed_though_what_goes_in_may_not() -> None:
    found = placements_of(
        Kit(name="A kit", boards=(Board(name="main", parts=(
            part("U1", "PT2399", "IC", 0, socket="DIP-16", socket_joints=16, package="display module"),
        )),))
    )  # fmt: skip
    assert [each.is_socket for each in found] == [True, False]
    assert "Nothing" in keep_dry(found[:1])
    assert "U1" in keep_dry(found[1:])

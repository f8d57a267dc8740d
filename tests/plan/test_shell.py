"""The outside of a module: what carries its panel parts, what closes it, what carries its supply.

Common practice, no source.
"""

from __future__ import annotations

import pytest

from bench.kit.kit import Board, Kit, PartLine
from bench.plan.holds import side_step, told_apart
from bench.plan.placed_part import carries_supply, each_side, plugged_in, shell_of
from tests.support.samples import part

POT = part("RV1", "B100k", "potentiometer", 3, mount="panel")


def outside(value: str, kind: str = "hardware") -> PartLine:
    return part("", value, kind, 0, quantity=1)


def shell(*lines: PartLine) -> tuple[list[str], list[str]]:
    found = shell_of(Kit(name="A kit", boards=(Board(name="main", parts=lines),)))
    return [line.value for line in found.carries], [line.value for line in found.closes]


PANEL, LID, BOX = outside("front plate", "panel"), outside("bottom plate"), outside("aluminium box")
KNOB = outside("16 mm", "knob")


def test_a_panel_carries_the_panel_parts_and_knobs_lid_and_box_close_it() -> None:
    assert shell(POT, PANEL, KNOB, LID, BOX) == (["front plate"], ["16 mm", "bottom plate", "aluminium box"])


def test_without_a_panel_the_box_carries_them_and_a_drilled_lid_goes_before_it() -> None:
    assert shell(POT, BOX, LID) == (["aluminium box"], ["bottom plate"])
    drilled = outside("lid, drilled", "panel")
    assert shell(POT, BOX, drilled) == (["lid, drilled"], ["aluminium box"])
    assert shell(POT, drilled, outside("rear cover", "panel")) == (["lid, drilled"], ["rear cover"])


def test_a_box_that_nothing_goes_through_only_closes() -> None:
    assert shell(part("R1", "10k"), BOX) == ([], ["aluminium box"])
    assert shell(part("R1", "10k"), PANEL) == (["front plate"], [])
    loose = part("", "window", "hardware", 0, quantity=1, mount="panel")
    assert shell(loose, BOX) == ([], ["aluminium box"])


@pytest.mark.parametrize("value", ["box label", "case screw", "lid gasket", "box header", "rear panel sticker"])
def test_what_belongs_to_a_box_is_none(value: str) -> None:
    assert shell(POT, outside(value)) == ([], [])


@pytest.mark.parametrize(
    ("kind", "value", "carries"),
    [
        ("fuse", "500 mA", True), ("hardware", "jumper", True), ("pin socket", "shunt", True),
        ("hardware", "M3 screw", False), ("pin socket", "1x4", False), ("IC", "jumper driver", False),
        ("voltage regulator", "7812", True), ("resistor", "10R", False),
    ],
)  # fmt: skip
def test_what_carries_the_supply_has_to_be_in_before_power(kind: str, value: str, carries: bool) -> None:
    assert carries_supply(kind, value) == carries


def test_a_part_is_plugged_in_when_it_names_a_socket_or_has_no_joints_of_its_own() -> None:
    assert plugged_in(part("U1", "TL072", "IC", 0))
    assert plugged_in(part("V1", "ECC83", "valve", 0))
    assert plugged_in(part("Q1", "BC547", "transistor", 3, socket="DIP-8"))
    assert not plugged_in(part("U1", "TL072", "IC", 8))
    assert not plugged_in(part("F1", "1 A", "fuse", 0))


def test_a_line_with_parts_on_both_sides_gives_one_for_each() -> None:
    both = part(
        "R1 R2 R3", "10k", sides=("top", "bottom", "top"), positions=((1.0, 2.0), (3.0, 4.0), (5.0, 6.0))
    )
    top, bottom = each_side([both])
    assert (top[1], top[0].refs, top[0].quantity, top[0].positions) == (
        "top", ("R1", "R3"), 2, ((1.0, 2.0), (5.0, 6.0)),
    )  # fmt: skip
    assert (bottom[1], bottom[0].refs, bottom[0].sides) == ("bottom", ("R2",), ("bottom",))
    one = part("R1 R2", "10k", sides=("bottom", "bottom"))
    assert list(each_side([one, part("R3", "1k")])) == [(one, "bottom"), (part("R3", "1k"), "")]
    (first, _), _ = each_side([part("R1 R2", "10k", sides=("top", "bottom"))])
    assert first.positions == ()


def test_steps_of_one_headline_have_items_of_their_own() -> None:
    steps = [side_step("Tests", "", "do", what) for what in ("Look", "Press", "Look", "Look")]
    named = told_apart(steps)
    assert [step.value for step in named] == ["Look", "Press", "Look (2)", "Look (3)"]
    assert len({step.items for step in named}) == len({step.key for step in named}) == 4
    assert all(step.items == (step.key,) for step in named)
    assert named[:2] == tuple(steps[:2])

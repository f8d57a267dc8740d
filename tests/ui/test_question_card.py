"""Questions in the place of the card: every answer is on screen; units side by side are told at a glance."""

from __future__ import annotations

from msgspec.structs import replace

from bench.plan.plan import Step
from bench.session.view import StepView, UnitMark
from bench.ui.question_card import choice_rows
from bench.ui.unit_forms import unit_marks


def test_answers_that_wrap_are_cut_before_one_of_them_is_hidden() -> None:
    choices = [(key, "each stage on all units before the next one begins") for key in "13sovj"]
    assert len(choice_rows(choices, 38, 20)) == 12
    rows = choice_rows(choices, 38, 8)
    assert [row[0][0].strip() for row in rows] == list("13sovj")


def test_how_a_step_stands_on_each_unit_is_said_with_its_name() -> None:
    step = Step(key="a", stage="s", board="", action="do", value="Look", items=("a",))
    states = {"A": "done", "B": "open", "C": "open", "D": "aside"}
    units = tuple(UnitMark(name=name, state=state) for name, state in states.items())
    view = StepView(kit="Lamp", step=step, unit="B", units=units)
    assert unit_marks(view) == "Unit B: ✓A ▸B ·C (D)"
    assert unit_marks(replace(view, looking=True)) == "Unit B: ✓A ·B ·C (D)"

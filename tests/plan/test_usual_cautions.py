"""Cautions that every build is told, and that they are not all there are.

Iron, fumes, splashes, lead and solvent: HSE INDG248 for flux fumes, the rest common practice, no source.
Lithium cells: makers' safety sheets ask for no soldering, shorting or reversing (from memory).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from bench.kit.load import load_kit
from bench.parts.advice import NOT_ALL
from bench.plan.plan import Plan
from bench.plan.stages import make_plan
from bench.tui.screens.keys import CAUTIONS
from bench.writeup.sheets.procedure import procedure_sheet
from bench.writeup.sheets.stages import stage_sheet
from tests.support.plans import SHIPPED

ROOT = Path(__file__).parents[2]
KITS = sorted((ROOT / "kits").glob("*.yaml"))
PROCEDURES = ("low-to-high", "signal-flow")
KIT = """
kit: 1
name: Small
supply: {"9 V": 20 mA}
boards:
  - name: main
    parts:
      - {refs: R1, value: 10k}
      - {refs: J1, value: headphones, kind: jack socket, mount: board}
      - {refs: BT1, value: 18650}
"""


def plan_of(kit: Path, procedure: str) -> Plan:
    return make_plan(load_kit(kit), SHIPPED[procedure])


def said(plan: Plan) -> str:
    return " ".join(caution for step in plan.steps for caution in step.cautions)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "small.yaml"
    path.write_text(KIT, encoding="utf-8")
    return path


@pytest.mark.parametrize("procedure", PROCEDURES)
@pytest.mark.parametrize(
    "words",
    [
        "Glasses on from the first joint", "Clipped leads", "Desoldering throws hot solder", "gloves on",
        "no flame", "Dry before power", "Volume at zero", "never solder to it", "never short it", "no food",
    ],
)  # fmt: skip
def test_each_usual_danger_is_named_at_some_step(small: Path, procedure: str, words: str) -> None:
    assert words in said(plan_of(small, procedure))


@pytest.mark.parametrize("procedure", PROCEDURES)
def test_eyes_are_warned_of_before_the_first_joint(small: Path, procedure: str) -> None:
    plan = plan_of(small, procedure)
    glasses = next(at for at, step in enumerate(plan.steps) if "lasses" in " ".join(step.cautions))
    assert glasses < next(at for at, step in enumerate(plan.steps) if step.joints)


def test_help_readme_command_and_print_outs_say_that_the_list_is_not_complete(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "not a complete list" in NOT_ALL
    assert NOT_ALL in CAUTIONS
    assert "list of cautions is not complete" in (ROOT / "README.md").read_text(encoding="utf-8")
    assert main(["plan", str(small), "--new", "--data", str(tmp_path / "data")]) == 0
    assert capsys.readouterr().out.count(NOT_ALL) == 1
    kit, procedure = load_kit(small), SHIPPED[PROCEDURES[0]]
    assert stage_sheet(kit, make_plan(kit, procedure)).not_all == NOT_ALL
    assert procedure_sheet(procedure, kit).not_all == NOT_ALL

"""What the README shows works."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bench.kit.case import case_from
from bench.kit.load import parse_kit
from bench.plan.procedure import parse_procedure
from bench.plan.stages import make_plan
from bench.session.verdicts import meter_of
from bench.settings import Settings, parse_settings
from bench.ui.commands import COMMANDS, keymap_faults

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_the_two_commands_stand_in_it_just_so() -> None:
    lines = [line.strip() for line in README.splitlines()]
    kit = "kits/twin-board-oscillator.yaml"
    assert f"python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/solderside build {kit}" in lines
    assert "python3 -m venv .venv && .venv/bin/pip install '.[test]' && .venv/bin/pytest -n auto" in lines
    assert (ROOT / kit).is_file()


def test_the_kit_and_the_procedure_load_and_plan_without_a_fault() -> None:
    kit_text, procedure_text = blocks("yaml")
    kit = parse_kit(kit_text.encode(), "README.md")
    procedure = parse_procedure(procedure_text.encode(), "README.md")
    plan = make_plan(kit, procedure)
    assert plan.joints > 0


def test_the_settings_are_the_defaults_and_a_keymap_that_works() -> None:
    (text,) = blocks("toml")
    settings, warnings = parse_settings(text, "README.md")
    assert not warnings
    assert not keymap_faults(settings.keys, "README.md")
    for name in Settings.__struct_fields__:
        if name not in ("keys", "meter", "case"):
            assert getattr(settings, name) == getattr(Settings(), name), name
        assert name in text
    assert meter_of(settings.meter).name == "bench meter"
    assert case_from(settings.case).words == "2 rows of 84 HP, 3 U, 60 mm deep"


def test_every_key_that_the_tour_names_does_what_it_says() -> None:
    keys = {key for command in COMMANDS if "bench" in command.places for key in command.keys}
    tour = README.split("## At the bench, key by key")[1].split("\n## ")[0]
    named = set(re.findall(r"\*\*(.|Space)\*\*", tour))
    assert len(named) > 10
    assert {name.lower() for name in named} <= keys | {"space"}


@pytest.mark.parametrize("picture", re.findall(r"\]\((screenshots/[^)]+)\)", README))
def test_every_picture_is_there(picture: str) -> None:
    assert (ROOT / picture).is_file()

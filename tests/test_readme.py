"""What the README shows works, and a newcomer reads it in a few minutes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bench.cli.help import TOPICS
from bench.ui.commands import COMMANDS
from tests.support.command_line import run

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
FIRST_KIT = "first-evening-metronome"


def test_the_two_commands_stand_in_it_just_so() -> None:
    lines = [line.strip() for line in README.splitlines()]
    begin = "python3 -m venv .venv && .venv/bin/pip install"
    assert f"{begin} . && .venv/bin/solderside build {FIRST_KIT}" in lines
    assert f"{begin} '.[test]' && .venv/bin/pytest -n auto --dist worksteal" in lines
    assert (ROOT / "kits" / f"{FIRST_KIT}.yaml").is_file()
    runs = (ROOT / ".ci" / "run").read_text(encoding="utf-8").replace(" --quiet", "")
    assert f"{begin} '.[test]' && .venv/bin/pytest -n auto --dist worksteal" in runs


def test_the_job_stands_first_and_all_of_it_is_short() -> None:
    title, job, *_ = README.split("\n\n")
    assert title == "# solderside"
    assert job.startswith("solderside is a ")
    assert len(job.split()) < 120
    assert len(README.split()) < 1300


def test_it_names_what_can_hurt() -> None:
    cautions = README.split("## Cautions")[1].split("\n## ")[0].casefold()
    for word in ("iron", "fumes", "eyes", "lead", "stored charge", "mains", "local regulations", "licensed"):
        assert word in cautions


def test_every_key_that_it_names_is_a_key_of_the_bench_or_the_shelf() -> None:
    keys = {key for command in COMMANDS if {"bench", "shelf"} & set(command.places) for key in command.keys}
    named = set(re.findall(r"\*\*(.|Space|Enter|Escape)\*\*", README))
    assert len(named) > 15
    assert {name.lower() for name in named} <= keys


def test_every_topic_of_the_manual_is_named_and_no_other() -> None:
    listed = README.split("prints one:")[1].split("\n\n")[1]
    assert sorted(re.findall(r"`(\w+)`", listed)) == sorted(TOPICS)


def test_every_command_that_it_shows_is_known() -> None:
    shown = set(
        re.findall(r"(?:^    |`)solderside ([a-z-]+)", README.replace("`solderside\n", "`solderside "), re.M)
    )
    assert len(shown) > 8
    for command in shown:
        assert run(command, "--help").returncode == 0, command


@pytest.mark.parametrize("picture", re.findall(r"\]\((screenshots/[^)]+)\)", README))
def test_every_picture_is_there(picture: str) -> None:
    assert (ROOT / picture).is_file()


def test_it_shows_a_build_in_motion_a_step_a_hold_point_a_page_and_the_shelf() -> None:
    pictures = re.findall(r"\]\(screenshots/([a-z]+)-?[^)]*\)", README)
    assert sorted(pictures) == ["a", "bench", "hold", "page", "shelf"]

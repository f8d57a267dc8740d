"""The man page: made from the command line's own table, shipped where `man` looks, set without a warning."""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

from bench.cli import main, parser
from bench.cli.man import man_page
from bench.cli.table import TABLE

ROOT = Path(__file__).parents[2]
needs_man = pytest.mark.skipif(shutil.which("man") is None, reason="man is not installed")


def options_of(whole: argparse.ArgumentParser) -> set[str]:
    (commands,) = (each for each in whole._actions if isinstance(each, argparse._SubParsersAction))
    return {
        option
        for each in commands.choices.values()
        for action in each._actions
        if not isinstance(action, argparse._HelpAction)
        for option in action.option_strings
    }


def test_every_command_and_every_option_is_on_it() -> None:
    page = man_page(parser())
    assert all(f".SS {name.replace('-', chr(92) + '-')}\n" in page for name in TABLE)
    assert all(option.replace("-", r"\-") in page for option in options_of(parser()))


def test_the_wheel_takes_it_to_where_man_pages_are_looked_for() -> None:
    """share/man/man1 under the prefix: Filesystem Hierarchy Standard 3.0, 4.11.7; `.ci/wheel` builds one."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    hook = project["tool"]["hatch"]["build"]["targets"]["wheel"]["hooks"]["custom"]["path"]
    assert '"share/man/man1/solderside.1"' in (ROOT / hook).read_text(encoding="utf-8")


def test_a_pipe_gets_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["man"]) == 0
    assert capsys.readouterr().out.startswith(".TH SOLDERSIDE 1 ")


@needs_man
def test_it_is_set_without_a_warning_and_can_be_read(tmp_path: Path) -> None:
    """The check that Debian's lintian makes of a man page (tag groff-message)."""
    page = tmp_path / "solderside.1"
    page.write_text(man_page(parser()), encoding="utf-8")
    env = {**os.environ, "LC_ALL": "C.UTF-8", "MANROFFSEQ": "", "MANWIDTH": "80"}
    command = ["man", "--warnings", "-E", "UTF-8", "-l", "-Tutf8"]
    checked = subprocess.run([*command, "-Z", page], env=env, capture_output=True, text=True, check=True)
    assert checked.stderr == ""
    shown = subprocess.run(["man", "-l", page], env=env, capture_output=True, text=True, check=True).stdout
    assert "solderside - a bench companion" in shown
    assert "--placement" in shown

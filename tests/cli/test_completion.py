"""Completion in real shells, each in a terminal: words are typed, Tab is pressed, Enter runs them."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from bench.cli import parser
from bench.cli.completion import SHELLS, script

pytest.importorskip("pty", reason="needs pseudo-terminals")
from tests.support.terminal import Terminal

START = {
    "bash": "bash --norc --noprofile -i",
    "zsh": "zsh -f -i",
    "fish": "fish --no-config -i",
}
LOAD = {"bash": 'eval "$(cat told)"', "zsh": 'eval "$(cat told)"', "fish": "cat told | source"}
"""As the README says, with a file for the program's answer."""


class Shell:
    """A shell in a terminal, and a `solderside` there that only notes what it is called with."""

    def __init__(self, terminal: Terminal, calls: Path) -> None:
        self.terminal, self.calls = terminal, calls

    def runs(self, typed: str) -> list[str]:
        """Type this, press Tab and Enter; all that the program is called with until it has run."""
        before = self.calls.read_text(encoding="utf-8").splitlines()
        self.terminal.send(f"solderside {typed}\t", "enter")
        for _ in range(250):
            self.terminal.read_for(0.02)
            found = self.calls.read_text(encoding="utf-8").splitlines()[len(before) :]
            if found:
                break
        return [line.strip() for line in found]


@pytest.fixture(scope="module", params=SHELLS)
def shell(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shell]:
    name = request.param
    if not shutil.which(name):
        pytest.skip(f"there is no {name} here")
    folder, data = tmp_path_factory.mktemp("shell"), tmp_path_factory.mktemp("data")
    for build in ("first-build", "second-build"):
        (data / "builds" / build).mkdir(parents=True)
        (data / "builds" / build / "log.jsonl").touch()
    (data / "builds" / "third-without-a-log").mkdir()
    (data / "kits").mkdir()
    (data / "kits" / "own-kit.yaml").touch()
    (folder / "kit-of-a-lamp.yaml").touch()
    (folder / "calls").touch()
    (folder / "told").write_text(script(parser(), name), encoding="utf-8")
    (folder / "solderside").write_text(f'#!/bin/sh\necho "$*" >>{folder}/calls\n', encoding="utf-8")
    (folder / "solderside").chmod(0o755)
    env = {"PATH": f"{folder}:{os.environ['PATH']}", "HOME": str(folder), "SOLDERSIDE_DATA": str(data)}
    with Terminal(START[name].split(), env=env, cwd=folder) as terminal:
        terminal.settle(0.5)
        terminal.send(LOAD[name], "enter", "echo RE''ADY", "enter")
        terminal.wait("READY")
        yield Shell(terminal, folder / "calls")


@pytest.mark.parametrize(
    ("typed", "whole"),
    [
        ("ide", "identify"),
        ("help-r", "help-request"),
        ("read --pla", "read --placement"),
        ("completion z", "completion zsh"),
        ("batch --order ea", "batch --order easiest"),
        ("--ver", "--version"),
        ("--pla", "--plain"),
        ("help plai", "help plain"),
        ("build --un", "build --unit"),
        ("article sec", "article second-build"),
        ("article first-build sec", "article first-build second-build"),
        ("build first-b", "build first-build"),
        ("sheet sec", "sheet second-build"),
        ("build kit-", "build kit-of-a-lamp.yaml"),
        ("check kit-", "check kit-of-a-lamp.yaml"),
        ("check second-b", "check second-b"),
        ("check fog", "check fog-filter"),
        ("check own", "check own-kit"),
        ("build fog", "build fog-filter"),
        ("plan own", "plan own-kit"),
        ("identify 4k7 --kit usher", "identify 4k7 --kit usher-lamp"),
        ("article fog", "article fog"),
        ("build third-w", "build third-w"),
    ],
)
def test_a_shell_completes_and_asks_the_program_for_nothing(shell: Shell, typed: str, whole: str) -> None:
    """A start of the program takes longer than Tab may."""
    assert shell.runs(typed) == [whole]


@pytest.mark.parametrize("name", SHELLS)
def test_every_command_stands_in_every_script(name: str) -> None:
    told = script(parser(), name)
    option = "-l json" if name == "fish" else "--json"
    assert all(word in told for word in ("build", "read", "identify", "article", option))

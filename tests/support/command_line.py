"""The command line as a test runs it: what it prints, in words and as data, and a build with a hostile note."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import bench
from bench.cli import main
from bench.kit.load import load_kit
from bench.session.folders import start
from bench.settings import Settings, shipped_kits_folder
from bench.writeup.film.publish import Typed, name_clip
from tests.support.samples import HandClock, small_build

ROOT = Path(bench.__file__).parent.parent
PROGRAM = [sys.executable, "-m", "bench.cli"]
HOSTILE = "\x1b[31mred\x1b]0;title\x07\u202etxt\u009b5m"
"""Escape sequences, a change of writing direction and a C1 control: none may reach a terminal."""


def data_from(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """What a command prints as JSON; it must end well."""
    assert main(arguments) == 0
    return json.loads(capsys.readouterr().out)


def run(*arguments: str, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*PROGRAM, *arguments], input=stdin, capture_output=True, cwd=ROOT, env=os.environ | environment,
        check=False,
    )  # fmt: skip


def assert_inert(text: str) -> None:
    """No control character but the line's end, and none that is not seen."""
    assert all(char == "\n" or char.isprintable() for char in text), ascii(text)


def a_whole_build(data: Path, name: str = "lamp") -> Path:
    """A build of a shipped kit with its copies of kit and procedure, a few steps and a clip; its folder."""
    kit = shipped_kits_folder() / "first-evening-metronome.yaml"
    clock = HandClock()
    build = start(data, load_kit(kit), kit, Settings(), clock)
    for _ in range(3):
        clock.work(40)
        build.done()
    build.clap()
    name_clip(build, Settings(), Typed(clip="one.mov", claps=["1=3.5"], length="10:00"))
    build.log.close()
    return build.log.folder.rename(data / "builds" / name)


def a_build(data: Path, name: str = "lamp-wobbler") -> None:
    build = small_build(data / "builds" / name)
    build.opened()
    build.done()
    build.note(f"a note with {HOSTILE} in it")
    build.log.close()

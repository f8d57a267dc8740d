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
from tests.samples import small_build

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


def a_build(data: Path, name: str = "lamp-wobbler") -> None:
    build = small_build(data / "builds" / name)
    build.opened()
    build.done()
    build.note(f"a note with {HOSTILE} in it")
    build.log.close()

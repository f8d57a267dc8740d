"""Ctrl-C while a long PDF is read: a word, the exit code of an interruption, and nothing left running."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from tests.support.pdfs import typed
from tests.support.terminal import Terminal

PAGES = 80
"""As many as are read, so that a slow terminal still has time for the key."""


def _children(parent: int) -> list[str]:
    return subprocess.run(
        ["pgrep", "-P", str(parent)], capture_output=True, text=True, check=False
    ).stdout.split()  # fmt: skip


def test_a_long_pdf_is_stopped_from_the_keyboard(tmp_path: Path) -> None:
    paper = tmp_path / "guide.pdf"
    paper.write_bytes(typed(f"R{at} 10k {'words ' * 20}" for at in range(60 * PAGES)))
    command = [sys.executable, "-m", "bench.cli", "read", str(paper)]
    with Terminal(command, 80, 24) as terminal:
        terminal.wait(f"page 2 of {PAGES}")
        (child,) = _children(terminal.pid)
        terminal.send("\x03")
        terminal.wait(re.compile(r"^stopped$", re.MULTILINE))
        assert terminal.wait_exit() == 130
        shown = [line.rstrip() for line in terminal.screen.display if line.strip()]
        assert shown == ["stopped"]
        assert not Path("/proc", child).exists()

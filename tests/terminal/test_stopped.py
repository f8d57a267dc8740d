"""Ctrl-C while a long PDF is read: a word, the exit code of an interruption, and nothing left running."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.support.pdfs import typed
from tests.support.terminal import Terminal


def _children(parent: int) -> list[str]:
    return subprocess.run(
        ["pgrep", "-P", str(parent)], capture_output=True, text=True, check=False
    ).stdout.split()  # fmt: skip


def test_a_long_pdf_is_stopped_from_the_keyboard(tmp_path: Path) -> None:
    paper = tmp_path / "guide.pdf"
    paper.write_bytes(typed(f"R{at} 10k {'words ' * 20}" for at in range(60 * 78)))
    command = [sys.executable, "-m", "bench.cli", "read", str(paper)]
    with Terminal(command, 80, 24) as terminal:
        terminal.wait("page 5 of 78")
        (child,) = _children(terminal.pid)
        terminal.send("\x03")
        terminal.wait("stopped")
        assert terminal.wait_exit() == 130
        shown = [line.rstrip() for line in terminal.screen.display if line.strip()]
        assert shown == ["stopped"]
        assert not Path("/proc", child).exists()

"""The look of a real terminal: its title, ASCII where the locale has no more, and the mouse left alone."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")
from tests.support.at_bench import SMALL, at_bench, walk

KEEP_TITLE, TITLE_BACK = b"\x1b[22;2t", b"\x1b[23;2t"
"""XTWINOPS: "save xterm window title on stack", "restore xterm window title from stack" (XTerm Control
Sequences, Ps = 22 ; 2 and 23 ; 2)."""
MOUSE_ON = b"\x1b[?1000h"
"""Send mouse events on button press and release (the same, Ps = 1 0 0 0)."""


def test_the_title_says_kit_and_step_and_is_put_back(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        walk(terminal, "New value")
        terminal.send("q")
        terminal.wait_exit()
        output = bytes(terminal.output)
    titles = [piece.partition(b"\x07")[0].decode() for piece in output.split(b"\x1b]2;")[1:]]
    assert len(set(titles)) > 1
    assert all(" - " in title for title in titles)
    assert output.index(KEEP_TITLE) < output.index(b"\x1b]2;")
    assert output.rindex(TITLE_BACK) > output.rindex(b"\x1b]2;")


def test_a_console_gets_no_title(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path, TERM="linux") as terminal:
        walk(terminal, "New value")
        assert b"\x1b]2;" not in bytes(terminal.output)


@pytest.mark.parametrize("locale", ["C", "POSIX"])
def test_a_locale_without_utf_8_gets_ascii_alone(locale: str, tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path, LC_ALL=locale) as terminal:
        walk(terminal, "New value")
        terminal.press("l", "Nothing is ever erased")
        terminal.press("?", "Keys: the log")
        terminal.press("escape", "Nothing is ever erased")
        terminal.send("escape")
        assert bytes(terminal.output).isascii()


def test_the_mouse_can_be_left_to_the_terminal(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        walk(terminal, "New value")
        assert MOUSE_ON in bytes(terminal.output)
        terminal.send("q")
        terminal.wait_exit()
    (tmp_path / "settings.toml").write_text("mouse = false\n", encoding="utf-8")
    with at_bench(SMALL, tmp_path) as terminal:
        walk(terminal, "New value")
        assert MOUSE_ON not in bytes(terminal.output)

"""Colours and hostile texts in a real pseudo-terminal, and what is said when nothing can be opened."""

from __future__ import annotations

import json
import os
import re
import subprocess
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")
from tests.support.at_bench import (
    ASKED,
    HEAD,
    MISCOUNTED,
    PATH,
    PROGRAM,
    SIZES,
    SMALL,
    at_bench,
    log_of,
    still,
    walk,
)
from tests.support.terminal import Terminal

# -- colours and hostile texts ------------------------------------------------------------------
SGR = re.compile(rb"\x1b\[([\d;:]*)m")


def is_colour(code: int) -> bool:
    """True for a parameter that chooses a colour (ECMA-48, 8.3.117; 90 to 107 are common practice, no source).

    39 and 49 are the terminal's own colours.
    """
    return 30 <= code <= 38 or 40 <= code <= 48 or 58 <= code <= 59 or 90 <= code <= 107


def test_no_color_sends_no_colour_at_all_and_stays_readable(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path, NO_COLOR="1") as terminal:
        walk(terminal, "New value")
        terminal.press("n", "Enter record")
        terminal.press("escape", "cancelled")
        terminal.press("l", "Nothing is ever erased")
        codes = {
            int(code) for found in SGR.findall(bytes(terminal.output)) for code in re.findall(rb"\d+", found)
        }
        assert codes
        assert not {code for code in codes if is_colour(code)}
        assert 7 in codes, "what is on a ground of its own is in reverse video when there are no colours"
        for row in terminal.screen.buffer.values():
            assert all(cell.fg == "default" and cell.bg == "default" for cell in row.values())


def test_colours_are_there_without_no_color(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait(HEAD)
        cells = [cell for row in terminal.screen.buffer.values() for cell in row.values() if cell.data.strip()]
        assert all(cell.fg != cell.bg for cell in cells)
        assert any(cell.fg != "default" for cell in cells)


HOSTILE = r"""
kit: 1
name: "Trap [/b] [$x]"
errata: ["[red]gone[/]"]
boards:
  - name: "main [$x]"
    parts:
      - {refs: R1, value: "[/b][red]4k7", kind: resistor, mount: flat, caution: "[/b] hot \u202eback"}
      - {refs: R2, value: "LONG", kind: resistor, mount: flat, note: "LONG", caution: "LONG"}
""".replace("LONG", "x" * 5000)
STOLEN = ("\x1b[35m", "\x1b]0;stolen", "\x1b]52", "\x1b[999;", "\x9b35m", "\x1b[?1049l", "\u202e")
"""What a hostile text would have the terminal do."""


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_hostile_text_of_a_kit_or_a_log_is_shown_and_not_obeyed(
    tmp_path: Path, columns: int, rows: int
) -> None:
    kit = tmp_path / "trap.yaml"
    kit.write_text(HOSTILE, encoding="utf-8")
    with at_bench(kit, tmp_path, columns, rows) as terminal:
        seen = ""
        for _ in range(30):
            terminal.wait("all keys")
            terminal.settle(0.05)
            seen += terminal.text
            if "xxxxxxxx" in terminal.text and "[/b]" in seen:
                break
            before = still(terminal)
            keys = ["7", "enter"] if ASKED in before else ["k"] if MISCOUNTED in before else ["space"]
            terminal.send(*keys)
            terminal.wait(lambda now, before=before: still(now) != before)  # type: ignore[misc]
        assert "xxxxxxxx" in terminal.text
        assert "[/b]" in seen
        terminal.send("q")
        assert terminal.wait_exit() == 0
        assert not [stolen for stolen in STOLEN if stolen.encode() in terminal.output[:-400]]

    events = log_of(tmp_path)
    note = {**events[-1], "n": len(events) + 1, "event": "noted", "text": "".join(STOLEN[:-2]) + "end"}
    with next(tmp_path.glob("builds/*/log.jsonl")).open("a", encoding="utf-8") as file:
        file.write(json.dumps(note) + "\n")
    with at_bench(kit, tmp_path, columns, rows) as terminal:
        terminal.wait(HEAD)
        terminal.press("l", "The log, oldest first")
        terminal.wait("note: ␛[35m")
        assert not [stolen for stolen in STOLEN if stolen.encode() in terminal.output]


def test_a_kit_with_control_characters_is_refused_without_sending_them_on(tmp_path: Path) -> None:
    kit = tmp_path / "trap.yaml"
    kit.write_text(
        HOSTILE + r"""      - {refs: R3, value: "\e[35m\x9b35m\e]0;stolen\a"}""" + "\n", encoding="utf-8"
    )
    with at_bench(kit, tmp_path) as terminal:
        assert terminal.wait_exit() == 1
        assert "trap.yaml:10: " in terminal.text.replace("\n", "")
        assert "control character" in terminal.text
        assert b"\x1b" not in terminal.output
        assert b"\x9b" not in terminal.output


# -- what cannot be opened ----------------------------------------------------------------------
FAULTY = """
kit: 1
name: Bad
boards:
  - name: main
    parts:
      - {refs: R1, value: 4k7, mount: sideways}
      - {refs: R2, value: 1k, hight: 3}
"""


def test_every_fault_of_a_kit_is_told_with_file_and_line_and_no_screen_is_opened(tmp_path: Path) -> None:
    kit = tmp_path / "broken.yaml"
    kit.write_text(FAULTY, encoding="utf-8")
    with at_bench(kit, tmp_path) as terminal:
        assert terminal.wait_exit() == 1
        said = terminal.text.replace("\n", "")
        for line in (7, 8):
            assert f"broken.yaml:{line}: " in said
        assert "Traceback" not in said
        assert b"\x1b[?1049h" not in terminal.output
    assert not (tmp_path / "builds").exists()


@pytest.mark.parametrize("named", ["nothing.yaml", "no-such-build", "."])
def test_what_is_not_there_is_said_in_words(tmp_path: Path, named: str) -> None:
    command = [*PROGRAM, "build", named, "--new", "--data", str(tmp_path / "data")]
    with Terminal(command, 100, 30, env=PATH, cwd=tmp_path) as terminal:
        assert terminal.wait_exit() == 1
        assert "Traceback" not in terminal.text
        assert terminal.text.strip()


def test_without_a_terminal_the_bench_says_that_it_needs_one(tmp_path: Path) -> None:
    command = [*PROGRAM, "build", str(SMALL), "--new", "--data", str(tmp_path)]
    done = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, env=os.environ | PATH
    )
    assert done.returncode == 1
    assert "terminal" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""

"""Bytes of any sort, signals, a terminal that goes, a shell that suspends the program."""

from __future__ import annotations

import hashlib
import inspect
import os
import signal
import subprocess
import termios
import time
from importlib.metadata import version
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")
from textual import events
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver

from bench.tui.driver import Strokes
from bench.tui.typed import stroke_of
from tests.support.at_bench import HEAD, PATH, PROGRAM, SMALL, at_bench, log_of
from tests.support.terminal import Terminal


def test_the_stock_driver_is_the_one_that_ours_was_written_against() -> None:
    """Where this fails, read the stock one again and mend `bench/tui/driver.py`."""
    source = inspect.getsource(LinuxDriver.run_input_thread)
    assert version("textual").startswith("8."), version("textual")
    assert hashlib.sha256(source.encode()).hexdigest()[:12] == "d796af6d69db"


def test_bytes_that_mean_nothing_leave_the_input_alive(tmp_path: Path) -> None:
    junk = [
        b"\xff",
        b"\xc3",
        b"\xe2\x82",
        b"\x1b[99999999999u",
        b"\x1b[1;2;3;4;5;6~",
        b"\x00\x01",
        b"\x1b[200~\xfe",
    ]
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        for number, each in enumerate(junk):
            os.write(terminal.handle, each)
            terminal.settle(0.2)
            if b"200~" in each:
                os.write(terminal.handle, b"\x1b[201~")
                terminal.settle(0.2)
            os.write(terminal.handle, b"\x1b")
            terminal.settle(0.2)
            terminal.press("n", "Enter record")
            os.write(terminal.handle, b"pad \xff lifted %d" % number)
            terminal.wait(f"lifted {number}")
            terminal.send("enter")
            terminal.wait(lambda now, many=number + 1: len(notes(tmp_path)) == many)  # type: ignore[misc]
            terminal.settle(0.2)  # what comes before the card is painted again is dropped
        terminal.send("q")
        assert terminal.wait_exit() == 0
        assert "Traceback" not in terminal.text
    assert all(note.endswith(f"pad \ufffd lifted {number}") for number, note in enumerate(notes(tmp_path)))


def notes(data: Path) -> list[str]:
    return [str(event["text"]) for event in log_of(data) if event["event"] == "noted"]


HELD = b"\x1b[32;1:2;32u"
"""Space repeated, in the kitty keyboard protocol with event types, all keys and their text (from memory)."""


def test_a_terminal_is_asked_which_keys_repeat_and_what_it_tells_is_obeyed(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("repeat_milliseconds = 250\n", encoding="utf-8")
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.settle(0.2)
        assert terminal.output.index(b"\x1b[>25u") < terminal.output.index(b"\x1b[=2;2u")
        os.write(terminal.handle, b"\x1b[32;;32u")
        terminal.wait("step 2 of")
        for _ in range(3):
            time.sleep(0.4)
            os.write(terminal.handle, HELD)
        os.write(terminal.handle, b"\x1b[32;1:3u")
        terminal.settle(0.4)
        assert "step 2 of" in terminal.text
        os.write(terminal.handle, b"\x1b[32;1:1;32u\x1b[32;1:3u")
        terminal.wait("step 5 of")
        terminal.send("q")
        assert terminal.wait_exit() == 0


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("\x1b[32;;32u", [("space", "")]),
        ("\x1b[32;1:2;32u", [("space", "repeated")]),
        ("\x1b[32;1:3u\x1b[13u", [("enter", "pressed")]),
        ("\x1b[13;1:2u", [("enter", "repeated")]),
        ("\x1b[1;1:2Aa", [("up", "repeated"), ("a", "pressed")]),
        ("\x1b[5;1:2~", [("pageup", "repeated")]),
        ("\x1b[112;5:1u", [("ctrl+p", "pressed")]),
        ("\x1b[97;2:2;65u", [("A", "repeated")]),
    ],
)
def test_what_a_terminal_tells_of_a_key_in_one_piece_or_two(text: str, keys: list[tuple[str, str]]) -> None:
    for cut in (0, *range(3, len(text))):
        strokes = Strokes(XTermParser(False))
        came = [*(strokes.feed(text[:cut]) if cut else ()), *strokes.feed(text[cut:])]
        found = [(each.key, stroke_of(each)) for each in came if isinstance(each, events.Key)]
        assert found == keys, cut


def last(data: Path) -> object:
    """The last event in the log."""
    return log_of(data)[-1]["event"]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_a_signal_closes_the_build_keeps_the_text_and_gives_the_terminal_back(
    tmp_path: Path, number: signal.Signals
) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        before = termios.tcgetattr(terminal.handle)
        terminal.wait("step 1 of")
        terminal.settle(0.2)
        terminal.press("n", "Enter record")
        terminal.send("half a thought")
        terminal.wait("half a thought")
        os.kill(terminal.pid, number)
        assert terminal.wait_exit() == 128 + number
        assert termios.tcgetattr(terminal.handle)[3] & termios.ICANON
        assert before[3] & termios.ECHO
        assert not terminal.screen.cursor.hidden
        assert "Traceback" not in terminal.text
    assert last(tmp_path) == "closed"
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait(HEAD)
        terminal.settle(0.2)
        terminal.press("n", "half a thought")


def test_a_terminal_that_goes_closes_the_build(tmp_path: Path) -> None:
    terminal = at_bench(SMALL, tmp_path)
    terminal.wait("step 1 of")
    terminal.settle(0.2)
    os.close(terminal.handle)
    for _ in range(100):
        pid, _ = os.waitpid(terminal.pid, os.WNOHANG)
        if pid:
            break
        time.sleep(0.1)
    else:
        os.kill(terminal.pid, signal.SIGKILL)
        raise AssertionError("the program goes on without a terminal")
    assert last(tmp_path) == "closed"


def test_a_log_that_is_gone_does_not_keep_the_program_from_closing(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.settle(0.2)
        log = next((tmp_path / "builds").glob("*/log.jsonl"))
        log.write_bytes(b"")
        os.kill(terminal.pid, signal.SIGTERM)
        assert terminal.wait_exit() == 128 + signal.SIGTERM
        assert "Traceback" not in terminal.text


def test_ctrl_c_twice_closes_the_program_and_once_does_not(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.settle(0.2)
        terminal.press("\x03", "Ctrl-C again")
        terminal.settle(0.2)
        terminal.send("\x03")
        assert terminal.wait_exit() == 130
    assert last(tmp_path) == "closed"


def test_ctrl_z_suspends_the_program_and_fg_brings_it_back(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("repeat_milliseconds = 0\n", encoding="utf-8")
    with Terminal(["bash", "--norc", "-i"], 100, 30, env=PATH | {"PS1": "$ "}) as terminal:
        terminal.wait("$")
        terminal.send(f"{' '.join(PROGRAM)} build {SMALL} --data {tmp_path}", "enter")
        terminal.wait("step 1 of", 30)
        terminal.settle(0.2)
        terminal.send("\x1a")
        terminal.wait("Stopped")
        assert "step 1 of" not in terminal.text
        assert not terminal.screen.cursor.hidden
        terminal.send("fg", "enter")
        terminal.wait("step 1 of")
        terminal.settle(0.2)
        terminal.press("space", "step 2 of")
        terminal.send("q")
        terminal.wait("$")
    assert last(tmp_path) == "closed"


# -- plain lines --------------------------------------------------------------------------------
def plain(data: Path) -> list[str]:
    return [*PROGRAM, "build", str(SMALL), "--plain", "--new", "--data", str(data)]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_a_signal_closes_the_build_in_plain_lines(tmp_path: Path, number: signal.Signals) -> None:
    with Terminal(plain(tmp_path), 100, 30, env=PATH) as terminal:
        terminal.wait("Next:")
        terminal.settle(0.2)
        os.kill(terminal.pid, number)
        assert terminal.wait_exit() == 128 + number
        assert "Traceback" not in terminal.text
    assert last(tmp_path) == "closed"


@pytest.mark.parametrize("mode", ["--plain", "--data"])
def test_a_closed_input_is_said_in_words(tmp_path: Path, mode: str) -> None:
    command = plain(tmp_path) if mode == "--plain" else [each for each in plain(tmp_path) if each != "--plain"]
    line = " ".join(command)
    done = subprocess.run(
        ["sh", "-c", f"{line} <&-"], capture_output=True, text=True, check=False, env=os.environ | PATH
    )
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert "terminal" in done.stderr


def test_a_text_that_plain_lines_cannot_record_is_said_and_offered_again(tmp_path: Path) -> None:
    long = "x" * 20_001
    lines = f"n\n{long}\nn\n.\nq\n"
    done = subprocess.run(
        plain(tmp_path), input=lines, capture_output=True, text=True, check=False, env=os.environ | PATH
    )
    assert done.returncode == 0, done.stderr
    assert "kept in drafts.json" in done.stdout
    assert "Enter alone: xxxx" in " ".join(done.stdout.split())
    assert long in (tmp_path / "drafts.json").read_text(encoding="utf-8")

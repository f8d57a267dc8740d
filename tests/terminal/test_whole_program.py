"""The program in a real pseudo-terminal, at every size: what a builder would see."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")
from tests.support.at_bench import (
    HEAD,
    LARGE,
    PATH,
    PROGRAM,
    SIZES,
    SMALL,
    at_bench,
    comes_to,
    log_of,
    place_of,
    still,
    walk,
)
from tests.support.terminal import Terminal


# -- at the bench -------------------------------------------------------------------------------
@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_kit_opens_and_a_key_moves_on_at_every_size(tmp_path: Path, columns: int, rows: int) -> None:
    with at_bench(SMALL, tmp_path, columns, rows) as terminal:
        terminal.wait("step 1 of")
        terminal.press("space", "step 2 of")
        for _ in range(3):  # a low screen scrolls first
            terminal.send("space")
            terminal.settle(0.3)
            if "step 5 of" in terminal.text:
                break
        terminal.wait("step 5 of")
        terminal.press("u", "step 2 of")
        assert "Undone" in terminal.text
        assert ("bench 0:0" in terminal.text) == (columns >= 40)
        assert ("▸ Bag check" in terminal.text) == (columns >= 100)
        terminal.send("q")
        assert terminal.wait_exit() == 0
    assert [event["event"] for event in log_of(tmp_path)] == [
        "started", "opened", *["done"] * 4, *["undone"] * 3, "closed",
    ]  # fmt: skip


def test_the_terminal_is_given_back_as_it_was(tmp_path: Path) -> None:
    shell = f"echo before; {' '.join(PROGRAM)} build {SMALL} --data {tmp_path}; echo after $?; sleep 9"
    with Terminal(["sh", "-c", shell], 80, 24, env=PATH) as terminal:
        terminal.wait(HEAD)
        assert "before" not in terminal.text
        terminal.send("q")
        terminal.wait("after 0")
        assert terminal.text.split() == ["before", "after", "0"]
        assert not terminal.screen.cursor.hidden


def test_resizing_in_the_middle_of_a_step_loses_nothing(tmp_path: Path) -> None:
    with at_bench(LARGE, tmp_path, 80, 24) as terminal:
        walk(terminal, "Which way")
        terminal.press(".", "done already")
        terminal.settle()
        before = still(terminal)
        events = len(log_of(tmp_path))
        for columns, rows in [*SIZES, (20, 5), (3, 1)]:
            terminal.resize(columns, rows)
            terminal.settle()
        terminal.resize(200, 60)
        terminal.wait("done already")
        terminal.resize(80, 24)
        comes_to(terminal, still, before)
        assert len(log_of(tmp_path)) == events


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_which_way_round_and_every_caution_fit_or_can_be_scrolled_to(
    tmp_path: Path, columns: int, rows: int
) -> None:
    with at_bench(SMALL, tmp_path, columns, rows) as terminal:
        walk(terminal, "Which way")
        assert "▲" in terminal.text or "▼" in terminal.text
        seen = terminal.text
        while "▼" in terminal.text:
            before = terminal.text
            terminal.send("down")
            terminal.wait(lambda now, before=before: now.text != before)  # type: ignore[misc]
            terminal.settle(0.05)
            seen += terminal.text
        assert "Which way" in seen
        assert "▲" in seen


def test_closed_and_opened_again_it_shows_the_same_step_and_says_where_the_builder_was(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.press("space", "step 2 of")
        terminal.press("space", "step 5 of")
        terminal.settle()
        place = place_of(terminal)
        terminal.send("q")
        terminal.wait_exit()
    last = log_of(tmp_path)[5]
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("You were here")
        terminal.settle()
        assert place_of(terminal) == place
        assert str(last["value"]) in terminal.text.replace("\n", " ")
        terminal.press("v", "Looking back")


def down_to(terminal: Terminal, word: str) -> None:
    """Go down a list until a line with this word is the chosen one."""
    for _ in range(30):
        terminal.settle(0.05)
        if re.search(rf"^>.*{word}", terminal.text, re.MULTILINE | re.IGNORECASE):
            return
        terminal.send("down")
    raise AssertionError(f"no line with {word!r}:\n{terminal.text}")


def test_from_the_bench_to_the_shelf_to_another_build_and_back_to_the_first(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.press("space", "step 2 of")
        terminal.press("k", "Ready to build")
        down_to(terminal, "twin.board")
        terminal.press("enter", "step 1 of")
        terminal.press("k", "Ready to build")
        down_to(terminal, "metronome")
        terminal.press("enter", "You were here")
        assert "step 2 of" in terminal.text
        terminal.send("q")
        assert terminal.wait_exit() == 0


def test_a_second_window_reads_only_and_says_so(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as first:
        first.wait("step 1 of")
        with at_bench(SMALL, tmp_path) as second:
            second.wait("READ ONLY")
            before = log_of(tmp_path)
            second.send("space", "u", "b", "h", ".", "x")
            second.settle(0.3)
            assert "step 1 of" in second.text
            assert "another window" in second.text
            assert log_of(tmp_path) == before
            first.press("space", "step 2 of")
            second.send("q")
            assert second.wait_exit() == 0
        first.press("space", "step 5 of")
        assert "READ ONLY" not in first.text
    with at_bench(SMALL, tmp_path) as third:
        third.wait("step 5 of")
        assert "READ ONLY" not in third.text


def test_a_place_over_the_bench_is_left_alone_while_its_clock_runs(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.press("l", "The log, oldest first")
        terminal.settle(0.5)
        sent = len(terminal.output)
        terminal.read_for(2.2)
        assert len(terminal.output) == sent
        terminal.press("escape", "step 1 of")
        before = still(terminal), terminal.text
        terminal.wait(lambda now: (still(now), now.text) != before)
        assert still(terminal) == before[0], "only the clocks moved"

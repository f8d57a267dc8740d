"""The program in a real pseudo-terminal: what a builder would see, and what survives when it is killed.

`kill -9` leaves the system's own buffers alive. So the kills show that nothing is on screen before it is in the
log, that no moment leaves a log that cannot be opened again, and that nothing is done twice; a line is also
on the disk by then is the business of the fsync, tested in `test_log_file`.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import bench
from bench.settings import shipped_kits_folder

pytest.importorskip("pty", reason="needs pseudo-terminals")
from tests.terminal import Terminal

KITS = shipped_kits_folder()
SMALL, LARGE = KITS / "first-evening-metronome.yaml", KITS / "twin-board-oscillator.yaml"
PROGRAM = [sys.executable, "-m", "bench.cli"]
PATH = {"PYTHONPATH": str(Path(bench.__file__).parent.parent)}

SIZES = [(40, 12), (80, 24), (120, 40)]
KILLS = int(os.environ.get("SOLDERSIDE_KILLS", "25"))
SEED = 20310203

HEAD = re.compile(r"step \d+ of \d+")
ASKED = "How many joints"
CLOCKS = re.compile(r"(?:stage \d+:\d\d:\d\d  )?bench \d+:\d\d:\d\d")


def at_bench(kit: Path, data: Path, columns: int = 120, rows: int = 40, **env: str) -> Terminal:
    """The program at the bench; not yet waited for."""
    command = [*PROGRAM, "build", str(kit), "--data", str(data)]
    return Terminal(command, columns, rows, env=PATH | env, cwd=data)


def still(terminal: Terminal) -> str:
    """What is on screen but for the clocks."""
    return CLOCKS.sub("", terminal.text)


def log_of(data: Path) -> list[dict[str, object]]:
    """The events of the only build in a data folder; what follows the last line end does not count."""
    raw = next((data / "builds").glob("*/log.jsonl")).read_bytes()
    return [json.loads(line) for line in raw.split(b"\n")[:-1]]


# -- at the bench -------------------------------------------------------------------------------
@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_kit_opens_and_a_key_moves_on_at_every_size(tmp_path: Path, columns: int, rows: int) -> None:
    with at_bench(SMALL, tmp_path, columns, rows) as terminal:
        terminal.wait("step 1 of")
        terminal.press("space", "step 2 of")
        terminal.press("space", "step 3 of")
        terminal.press("u", "step 2 of")
        assert "Taken back" in terminal.text
        assert ("bench 0:0" in terminal.text) == (columns >= 40)
        assert ("> Bag check" in terminal.text) == (columns >= 100)
        terminal.send("q")
        assert terminal.wait_exit() == 0
    assert [event["event"] for event in log_of(tmp_path)] == [
        "started", "opened", "done", "done", "undone", "closed",
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


def walk(terminal: Terminal, until: str, most: int = 60) -> None:
    """Do steps, and count joints, until a word is on screen."""
    terminal.wait(HEAD)
    for _ in range(most):
        terminal.settle(0.05)
        if until in terminal.text:
            return
        before = still(terminal)
        terminal.send(*(["7", "enter"] if ASKED in before else ["space"]))
        terminal.wait(lambda now, before=before: still(now) != before)  # type: ignore[misc]
    raise AssertionError(f"{until!r} did not come; the screen shows:\n{terminal.text}")


def test_closed_and_opened_again_it_shows_the_same_step_and_says_where_the_builder_was(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.press("space", "step 2 of")
        terminal.press("space", "step 3 of")
        terminal.settle()
        place = place_of(terminal)
        terminal.send("q")
        terminal.wait_exit()
    last = log_of(tmp_path)[3]
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("You were here")
        terminal.settle()
        assert place_of(terminal) == place
        assert str(last["value"]) in terminal.text.replace("\n", " ")
        terminal.press("v", "Looking back")


def test_from_the_bench_to_the_shelf_to_another_build_and_back_to_the_first(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 1 of")
        terminal.press("space", "step 2 of")
        terminal.press("k", "Builds under way")
        terminal.send("down", "down")
        terminal.wait(re.compile(r"^>.*twin board", re.MULTILINE))
        terminal.press("enter", "step 1 of")
        terminal.press("k", "Builds under way")
        terminal.press("down", re.compile(r"^>.*metronome", re.MULTILINE))
        terminal.press("enter", "You were here")
        assert "step 2 of" in terminal.text
        terminal.send("q")
        assert terminal.wait_exit() == 0


def test_a_second_window_reads_only_and_says_so(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as first:
        first.wait("step 1 of")
        with at_bench(SMALL, tmp_path) as second:
            second.wait("READING ONLY")
            before = log_of(tmp_path)
            second.send("space", "u", "b", "h", ".", "x")
            second.settle(0.3)
            assert "step 1 of" in second.text
            assert "another window" in second.text
            assert log_of(tmp_path) == before
            first.press("space", "step 2 of")
            second.send("q")
            assert second.wait_exit() == 0
        first.press("space", "step 3 of")
        assert "READING ONLY" not in first.text
    with at_bench(SMALL, tmp_path) as third:
        third.wait("step 3 of")
        assert "READING ONLY" not in third.text


# -- colours and hostile texts ------------------------------------------------------------------
SGR = re.compile(rb"\x1b\[([\d;:]*)m")


def is_colour(code: int) -> bool:
    """True for a parameter that chooses a colour (ECMA-48, 8.3.117; 90 to 107 are common practice, no source).

    39 and 49 are the terminal's own colours.
    """
    return 30 <= code <= 38 or 40 <= code <= 48 or 58 <= code <= 59 or 90 <= code <= 107


def test_no_color_sends_no_colour_at_all_and_stays_readable(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path, NO_COLOR="1") as terminal:
        walk(terminal, "Another value now")
        terminal.press("n", "what?")
        terminal.press("escape", "given up")
        terminal.press("l", "Nothing in it is ever erased")
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
            terminal.wait(HEAD)
            terminal.settle(0.05)
            seen += terminal.text
            if "xxxxxxxx" in terminal.text and "[/b]" in seen:
                break
            before = still(terminal)
            terminal.send(*(["7", "enter"] if ASKED in before else ["space"]))
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
    command = [*PROGRAM, "build", named, "--data", str(tmp_path / "data")]
    with Terminal(command, 100, 30, env=PATH, cwd=tmp_path) as terminal:
        assert terminal.wait_exit() == 1
        assert "Traceback" not in terminal.text
        assert terminal.text.strip()


def test_without_a_terminal_the_bench_says_that_it_needs_one(tmp_path: Path) -> None:
    command = [*PROGRAM, "build", str(SMALL), "--data", str(tmp_path)]
    done = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, env=os.environ | PATH
    )
    assert done.returncode == 1
    assert "terminal" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


# -- killed -------------------------------------------------------------------------------------
Place = tuple[str, ...]
AT_ONCE = ("done", "one", "undo", "up")
"""Actions of a single key."""
QUIET = ("started", "opened", "closed")
"""Events that are no action of the builder's."""


def place_of(terminal: Terminal) -> Place:
    """What the screen says of where the build stands, whatever word to the builder is on it."""
    lines = still(terminal).partition("\n──────")[0].split("\n")
    head = next((line[:81].split() for line in lines if HEAD.search(line)), [])
    tally = [line[:81].strip() for line in lines if re.match(r" \d+ parts?[,; ]| \d+ parts?$", line[:81])]
    return (lines[0].strip(), " ".join(head), *tally, *(line[81:].strip() for line in lines[1:30]))


def act(terminal: Terminal, action: str) -> None:
    """Press the keys of an action; waits only for the boxes in which something is typed."""
    match action.split():
        case ["note", *words]:
            terminal.press("n", "what?")
            terminal.send(" ".join(words), "enter")
        case ["hold"]:
            terminal.press("h", "why?")
            terminal.send("enter")
        case ["count"]:
            if ASKED not in terminal.text:
                terminal.press("j", ASKED)
            terminal.send("7", "enter")
        case _:
            terminal.send({"done": "space", "one": ".", "undo": "u", "up": "t"}[action])


def chosen(chance: random.Random, terminal: Terminal, before: str, number: int) -> str:
    """An action that makes sense on this screen."""
    if ASKED in terminal.text:
        return "count"
    likely = ["done"] * 8 + ["one"] * 2
    if before in ("done", "one", "hold"):
        likely += ["undo", f"note number {number}", f"note number {number}"]
    if "held back 1" in terminal.text:
        likely += ["up"]
    elif before != "up":
        likely += ["hold"]
    return chance.choice(likely)


def comes_to(terminal: Terminal, look: Callable[[Terminal], object], wanted: object) -> None:
    """Wait until the screen, looked at in this way, is as wanted; fails with what is different."""
    with contextlib.suppress(TimeoutError):
        terminal.wait(lambda now: look(now) == wanted)
    assert look(terminal) == wanted


WORDS = {
    "note": "Note kept",
    "hold": "Held back:",
    "count": "ou counted",
    "up": "Back on",
    "undo": "Taken back:",
}


def has_come(terminal: Terminal, action: str, before: Place) -> bool:
    """True when the screen shows what an action brings, and no box is open but the one that asks for joints."""
    word = WORDS.get(action.split()[0])
    if word is None:
        return place_of(terminal) != before
    return word in terminal.text and "Enter: go on" not in terminal.text


def ends_a_stage(terminal: Terminal) -> bool:
    """True at the last step of a stage, after which joints may be asked for."""
    found = re.search(r"step (\d+) of (\d+)", terminal.text)
    return bool(found and found[1] == found[2])


def uninterrupted(data: Path, chance: random.Random, many: int) -> tuple[list[str], list[str], list[Place]]:
    """A build that nobody kills: its actions, then screen and place after each (and before the first)."""
    actions: list[str] = []
    with at_bench(LARGE, data) as terminal:
        terminal.wait("step 1 of")
        terminal.settle()
        screens, places = [still(terminal)], [place_of(terminal)]
        for number in range(many):
            actions.append(chosen(chance, terminal, actions[-1] if actions else "", number))
            last_of_stage = ends_a_stage(terminal)
            act(terminal, actions[-1])
            terminal.wait(lambda now: has_come(now, actions[-1], places[-1]))
            terminal.settle(0.5 if last_of_stage else 0.03 if actions[-1] in AT_ONCE else 0.2)
            screens.append(still(terminal))
            places.append(place_of(terminal))
    return actions, screens, places


def at_once(data: Path) -> None:
    """A data folder whose builder lets no key pass for a held-down one, however fast they come."""
    data.mkdir()
    (data / "settings.toml").write_text("repeat_milliseconds = 0\n", encoding="utf-8")


def follows_at_once(actions: list[str], number: int, screen: str) -> bool:
    """True when an action may be keyed in before the one ahead of it is on screen."""
    return ASKED not in screen and actions[number] in AT_ONCE and actions[number - 1] in AT_ONCE


def deeds(data: Path) -> Iterator[str]:
    """The builder's actions as they stand in the log, with nothing that differs from run to run."""
    position: dict[object, int] = {}
    for expected, event in enumerate(log_of(data), 1):
        assert event["n"] == expected, "the log has a gap or an event twice"
        if event["event"] in QUIET:
            continue
        position[event["n"]] = len(position)
        kept = {name: field for name, field in event.items() if name not in ("n", "at", "mono", "run")}
        if "of" in kept:
            kept["of"] = position[kept["of"]]
        yield json.dumps(kept, sort_keys=True)


def test_killed_at_any_moment_nothing_shown_is_lost_and_nothing_is_done_twice(tmp_path: Path) -> None:
    chance = random.Random(SEED)
    whole, torn = tmp_path / "whole", tmp_path / "torn"
    for data in (whole, torn):
        at_once(data)
    actions, screens, places = uninterrupted(whole, chance, min(60, 2 * KILLS))
    should = list(deeds(whole))
    assert len(should) == len(actions)

    shown, kills, unseen = 0, 0, 0
    while kills < KILLS:
        in_log = shown
        sent = shown
        with at_bench(LARGE, torn) as terminal:
            if chance.random() < 0.2:
                terminal.read_for(chance.uniform(0.0, 0.6))
            else:
                comes_to(terminal, place_of, places[in_log])
                for _ in range(chance.randint(1, 5)):
                    for more in range(chance.choice([1, 1, 2, 3])):
                        if sent == len(actions) or (more and not follows_at_once(actions, sent, screens[sent])):
                            break
                        act(terminal, actions[sent])
                        sent += 1
                    if chance.random() < 0.4:
                        break
                    comes_to(terminal, still, screens[sent])
                    shown = sent
                terminal.read_for(chance.uniform(0.0, 0.02))
            kills += 1
            terminal.kill()
            seen = still(terminal)
            shown = max([shown, *(n for n in range(in_log, sent + 1) if screens[n] == seen)])
        did = list(deeds(torn)) if list(torn.glob("builds/*/log.jsonl")) else []
        assert shown <= len(did) <= sent, f"kill {kills}: {shown} shown, {len(did)} in the log, {sent} pressed"
        assert did == should[: len(did)], f"kill {kills}"
        unseen += len(did) > shown
        shown = len(did)
        if shown == len(actions):
            with at_bench(LARGE, torn) as terminal:
                comes_to(terminal, place_of, places[shown])
            torn = tmp_path / f"torn-{kills}"
            at_once(torn)
            shown = 0
    with at_bench(LARGE, torn) as terminal:
        comes_to(terminal, place_of, places[shown])
    print(f"{kills} kills; in {unseen} the log was ahead of the screen")

"""The program killed in a real pseudo-terminal, and what survives.

`kill -9` leaves the system's own buffers alive. So the kills show that nothing is on screen before it is in the
log, that no moment leaves a log that cannot be opened again, and that nothing is done twice; a line is also
on the disk by then is the business of the fsync, tested in `test_log_file`.
"""

from __future__ import annotations

import json
import os
import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")

from tests.support.at_bench import ASKED, LARGE, MISCOUNTED, Place, at_bench, comes_to, log_of, place_of, still
from tests.support.terminal import Terminal

KILLS = int(os.environ.get("SOLDERSIDE_KILLS", "25"))
SEED = 20310203


# -- killed -------------------------------------------------------------------------------------


AT_ONCE = ("done", "one", "undo", "up")
"""Actions of a single key."""
QUIET = ("started", "opened", "closed")
"""Events that are no action of the builder's."""


def act(terminal: Terminal, action: str) -> None:
    """Press the keys of an action; waits only for the boxes in which something is typed."""
    match action.split():
        case ["note", *words]:
            terminal.press("n", "Enter record")
            terminal.press(" ".join(words), " ".join(words))
            terminal.send("enter")
        case ["hold"]:
            terminal.press("h", "leave it empty")
            terminal.send("enter")
        case ["count"]:
            if ASKED not in terminal.text:
                terminal.press("j", ASKED)
            terminal.send("7", "enter")
            terminal.wait(MISCOUNTED)
            terminal.send("k")
        case ["up"]:
            terminal.press("m", "worth showing")
            terminal.send("h")
        case _:
            one = "at once" in terminal.text  # an action, an entry
            terminal.send({"done": "." if one else "space", "one": ".", "undo": "u"}[action])


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


WORDS = {
    "note": "Note recorded",
    "hold": "Held back:",
    "count": "ou counted",
    "up": "Resumed.",
    "undo": "Undone:",
}


def has_come(terminal: Terminal, action: str, before: Place) -> bool:
    """True when the screen shows what an action brings, and no box is open but the one that asks for joints."""
    word = WORDS.get(action.split()[0])
    if word is None:
        return place_of(terminal) != before
    return word in terminal.text and "Enter next" not in terminal.text and "Enter record" not in terminal.text


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
            asked = ASKED in terminal.text  # it stands where the place is told
            if asked:
                terminal.send("escape")
                terminal.settle(0.3)
            places.append(place_of(terminal))
            if asked:
                terminal.press("j", ASKED)
    return actions, screens, places


def at_once(data: Path) -> None:
    """A data folder whose builder lets no key pass for a held-down one, however fast they come."""
    data.mkdir()
    (data / "settings.toml").write_text("repeat_milliseconds = 0\n", encoding="utf-8")


def deeds(data: Path) -> Iterator[str]:
    """The builder's actions as they stand in the log, with nothing that differs from run to run."""
    position: dict[object, int] = {}
    for expected, event in enumerate(log_of(data), 1):
        assert event["n"] == expected, "the log has a gap or an event twice"
        if event["event"] in QUIET:
            continue
        position[event["n"]] = len(position)
        kept = {name: field for name, field in event.items() if name not in ("n", "at", "mono", "run", "crc")}
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
                    if sent == len(actions):
                        break
                    act(terminal, actions[sent])
                    sent += 1
                    if chance.random() < 0.4:
                        break
                    comes_to(terminal, still, screens[sent])
                    shown = sent
                    terminal.read_for(0.05)  # a finger is no faster
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

"""A kit that is edited in mid-build: what is told, part by part, and what is open again."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from bench.errors import FileFaults, Refused
from bench.log import events as ev
from bench.log.file import LOG_NAME
from bench.plain.spoken import step_lines
from tests.support.edited_kit import KIT, R7, built, open_items, opened, put, to_the_end

SECOND_TRANSISTOR = "      - {refs: Q2, value: BC547, kind: transistor, section: core}\n"
TRANSISTOR = "      - {refs: Q1, value: BC547, kind: transistor, section: core}\n"
EDITS: dict[str, tuple[list[tuple[str, str]], list[str], set[str]]] = {
    "a value": ([R7], ["R7 on main: 47k is now 470R"], {"main/R7"}),
    "a value near by": ([("value: 47k", "value: 51k")], ["R7 on main: 47k is now 51k"], {"main/R7"}),
    "a value of several parts": (
        [("R1-R4, value: 47R", "R1-R4, value: 51R")], ["R1-R4 on main: 47R is now 51R"],
        {"main/R1", "main/R2", "main/R3", "main/R4"},
    ),
    "one value out of a line": (
        [("{refs: R1-R4, value: 47R,",
          "{refs: R4, value: 470R, section: core}\n      - {refs: R1-R3, value: 47R,")],
        ["R4 on main: 47R is now 470R"], {"main/R4"},
    ),
    "two values swapped": (
        [("R5, value: 1k", "R5, value: 47k"), ("R7, value: 47k", "R7, value: 1k")],
        ["R5 on main: 1k is now 47k", "R7 on main: 47k is now 1k"], {"main/R5", "main/R7"},
    ),
    "a value spelled otherwise": ([("value: 47k", "value: 47 kohm")], [], set()),
    "a line split": (
        [("{refs: R1-R4, value: 47R, tolerance: 5 %, section: core}",
          "{refs: R1-R2, value: 47R, tolerance: 5 %, section: core}\n"
          "      - {refs: R3-R4, value: 47R, tolerance: 5%, section: core}")], [], set(),
    ),
    "a kind": (
        [("kind: transistor", "kind: JFET")], ["Q1 on main: was a transistor, is now a JFET"], {"main/Q1"},
    ),
    "a type number": ([("BC547", "BC557")], ["Q1 on main: BC547 is now BC557"], {"main/Q1"}),
    "a tolerance": (
        [("tolerance: 5 %", "tolerance: 1 %")], ["R1-R4 on main: tolerance 5 % is now 1 %"],
        {"main/R1", "main/R2", "main/R3", "main/R4"},
    ),
    "a rated voltage": (
        [("voltage: 25 V", "voltage: 63 V")], ["C1 on main: voltage 25 V is now 63 V"], {"main/C1"},
    ),
    "a rated voltage spelled otherwise": ([("voltage: 25 V", "voltage: 25V")], [], set()),
    "a rated voltage taken away": ([("voltage: 25 V, ", "")], [], set()),
    "a tolerance that was not given": (
        [("refs: R5, value: 1k", "refs: R5, tolerance: 1 %, value: 1k")],
        ["R5 on main: tolerance (none) is now 1 %"], {"main/R5"},
    ),
    "a package": (
        [("radial 5 mm", "radial 7.5 mm")],
        ["C2 on main: package radial 5 mm is now radial 7.5 mm"], {"main/C2"},
    ),
    "a marking": ([('"104"', '"474"')], ["C2 on main: marking 104 is now 474"], {"main/C2"}),
    "a side": ([("side: front", "side: back")], ["R8 on main: goes on the back now"], {"main/R8"}),
    "a side that was not given": (
        [("refs: R5,", "refs: R5, side: back,")], ["R5 on main: goes on the back now"], {"main/R5"},
    ),
    "the side it had in any case": ([("refs: R5,", "refs: R5, side: front,")], [], set()),
    "a position": (
        [("at: [10, 10]", "at: [50, 30]")], ["R5 on main: moved from 10, 10 to 50, 30 mm"], {"main/R5"},
    ),
    "a position corrected by a hair": ([("at: [10, 10]", "at: [10.3, 10]")], [], set()),
    "a position that was not given": ([("R7, value: 47k", "R7, at: [5, 5], value: 47k")], [], set()),
    "a socket added": (
        [("{refs: U2, value: LM311", "{refs: U2, socket: DIP-8, value: LM311")],
        ["U2 on main: goes into a socket now"], {"main/U2", "main/U2#socket"},
    ),
    "a socket taken away": (
        [("socket: DIP-8, ", "")],
        ["U1 on main: has no socket any more", "socket of U1 on main, DIP-8, is not in the kit any more"],
        {"main/U1"},
    ),
    "another socket": (
        [("socket: DIP-8", "socket: DIP-14")],
        ["socket of U1 on main: DIP-8 is now DIP-14"], {"main/U1#socket"},
    ),
    "a part removed": (
        [("      - {refs: Q1, value: BC547, kind: transistor, section: core}\n", "")],
        ["Q1 on main, BC547, is not in the kit any more"], set(),
    ),
    "a part added": (
        [(TRANSISTOR, TRANSISTOR + SECOND_TRANSISTOR)], [], {"main/Q2"},
    ),
    "a part renamed": (
        [("refs: Q1,", "refs: Q9,")], ["Q1 on main is not in the kit any more, and Q9 has its value, BC547"],
        {"main/Q9"},
    ),
    "a board renamed": (
        [("name: main", "name: mother")],
        ["board main is not in the kit any more, and mother has the same parts"],
        {"mother/"},
    ),
    "a board taken away": (
        [("""  - name: front
    parts:
      - {refs: R1, value: 100k, section: core}
      - {refs: D1, value: red 5 mm, kind: LED, section: core}
      - {refs: J1, value: 3.5 mm mono, kind: jack socket, joints: 3, section: core}
""", "")],
        ["R1, 100k, on board front is not in", "D1, red 5 mm, on board front",
         "J1, 3.5 mm mono, on board front"], {"/!Does it work!it does what its maker says it does"},
    ),
    "a part moved to another board": (
        [(TRANSISTOR, ""), ("      - {refs: D1,", TRANSISTOR + "      - {refs: D1,")],
        ["Q1 on main, BC547, is not in the kit any more"], {"front/Q1"},
    ),
    "more of a screw": ([("quantity: 4", "quantity: 6")], [], {"main/~M3 screw~5", "main/~M3 screw~6"}),
    "fewer of a screw": (
        [("quantity: 4", "quantity: 3")], ["1 x M3 screw on main is not in the kit any more"], set(),
    ),
    "another screw": (
        [("value: M3 screw", "value: M4 screw")], ["4 x M3 screw on main is not in the kit any more"],
        {f"main/~M4 screw~{n}" for n in range(1, 5)},
    ),
    "a limit": (
        [("> 200 ohm", "> 400 ohm")], ["+12 V and 0 V: > 200 ohm is now > 400 ohm"],
        {"/!Before power!+12 V and 0 V"},
    ),
    "a limit spelled otherwise": ([("> 200 ohm", ">200 Ω")], [], set()),
    "a target": ([("5 V ± 2 %", "5 V ± 1 %")], ["Glow: 5 V ± 2 % is now 5 V ± 1 %"], {"/!Trim!Glow"}),
    "a section": ([("R7, value: 47k, section: core", "R7, value: 47k, section: power")], [], set()),
    "notes": ([("count first", "count twice")], [], set()),
    "a caution": ([("R7, value: 47k", "R7, caution: hot, value: 47k")], [], set()),
    "a supply current": (
        [("38 mA", "50 mA")],
        ["current from +12 V, sockets empty: < 38 mA is now < 50 mA", "+12 V: 38 mA ± 30 % is now 50"],
        {"/!First power, sockets empty!current from +12 V, sockets empty", "/!Power!current from +12 V"},
    ),
}  # fmt: skip
"""What is edited after all was built -> the edits, what is told, what is open again."""


def _of_task(item: str) -> str:
    """An item without the stage of its task: what the stages are called is the procedure's."""
    return item.rpartition("!")[2]


@pytest.mark.parametrize(("edits", "told", "opens"), EDITS.values(), ids=EDITS.keys())
def test_what_an_edit_touches_is_told_and_open_again_until_the_builder_says_that_it_is_right(
    tmp_path: Path, edits: list[tuple[str, str]], told: list[str], opens: set[str]
) -> None:
    built(tmp_path)
    put(tmp_path, *edits)
    build = opened(tmp_path)
    words = [change.words for change in build.kit_watch.changes()]
    assert len(words) == len(told)
    assert all(any(said in each for each in words) for said in told)
    found = open_items(build)
    if opens == {"mother/"}:
        assert found
        assert all(item.startswith("mother/") for item in found)
    else:
        assert {_of_task(item) for item in found} == {_of_task(item) for item in opens}
    build.close()
    again = opened(tmp_path)  # nothing is told twice, and nothing is lost by opening again
    assert [change.words for change in again.kit_watch.changes()] == words
    assert open_items(again) == found
    joints = again.progress.joints
    for change in again.kit_watch.changes():
        again.kit_watch.right_as_it_is(change)
    assert again.kit_watch.changes() == ()
    assert again.progress.joints >= joints
    new = open_items(again)
    again.close()
    later = opened(tmp_path)
    assert later.kit_watch.changes() == ()
    assert open_items(later) == new
    later.close()


def test_a_reading_taken_before_a_limit_changed_does_not_open_the_hold_point(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, ("> 200 ohm", "> 10 kohm"))
    build = opened(tmp_path)
    assert build.view().wants_reading
    with pytest.raises(Refused):
        build.done()
    build.close()


def test_an_old_log_without_facts_is_read_and_compared_by_value(tmp_path: Path) -> None:
    built(tmp_path)
    folder = next((tmp_path / "data" / "builds").iterdir())
    log = folder / LOG_NAME
    text = re.sub(r',"facts":\{[^{}]*\}', "", log.read_text(encoding="utf-8"))
    text = re.sub(r',"crc":"[0-9a-f]+"', "", text)
    text = re.sub(r',"(?:name|maker|revision)":"[^"]*"', "", text, count=3)
    log.write_text(text, encoding="utf-8")
    put(tmp_path, R7, ("tolerance: 5 %", "tolerance: 1 %"))
    build = opened(tmp_path)
    assert [change.words for change in build.kit_watch.changes()] == ["R7 on main: 47k is now 470R"]
    build.close()


def test_the_event_of_a_done_part_holds_value_kind_and_place(tmp_path: Path) -> None:
    put(tmp_path)
    build = opened(tmp_path)
    to_the_end(build)
    done = {item: event for event in build.events if isinstance(event, ev.Done) for item in event.items}
    event = done["main/R5"]
    assert (event.value, event.board) == ("1k", "main")
    assert event.facts is not None
    assert (event.facts.kind, event.facts.places) == ("resistor", ((10.0, 10.0),))
    assert done["main/U1"].facts is not None
    assert done["main/U1"].facts.seat == "socket"
    build.close()


def test_comparing_says_nothing_of_a_kit_that_did_not_change(tmp_path: Path) -> None:
    built(tmp_path)
    before = (next((tmp_path / "data" / "builds").iterdir()) / LOG_NAME).read_bytes()
    build = opened(tmp_path)
    assert build.kit_watch.changes() == ()
    assert build.log.path.read_bytes() == before
    build.log.close()


def test_a_board_of_another_name_with_another_value_on_it(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, ("name: main", "name: mother"), R7)
    build = opened(tmp_path)
    (change,) = build.kit_watch.changes()
    build.kit_watch.right_as_it_is(change)
    assert [each.words for each in build.kit_watch.changes()] == ["R7 on mother: 47k is now 470R"]
    assert open_items(build) == {"mother/R7"}
    build.close()


def test_a_part_that_comes_late_has_the_checks_after_it_done_again(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, *EDITS["a part added"][0])
    build = opened(tmp_path)
    assert open_items(build) == {"main/Q2"}
    build.done()
    step = build.next_step
    assert step is not None
    assert step.action == "check"
    build.close()


def test_a_reopened_part_is_not_called_in_already(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, ("R7, value: 47k", "R7, value: 4k7"), ("R8, value: 22k", "R8, value: 47k"))
    build = opened(tmp_path)
    while build.next_step and "R8" not in build.next_step.refs:
        build.hold_back()
    said = " ".join(step_lines(build.view()))
    assert "not 4k7 R7" in said
    assert "not 4k7 R7 (in already)" not in said
    build.close()


def test_whatever_is_edited_is_told_and_can_be_settled(tmp_path: Path) -> None:
    chance = random.Random(20313)
    names = [name for name in EDITS if name not in ("a board taken away", "a part moved to another board")]
    for number in range(40):
        folder = tmp_path / str(number)
        folder.mkdir()
        put(folder)
        build = opened(folder)
        for _ in range(chance.randint(1, 25)):
            if build.view().wants_reading:
                build.override_hold("measured elsewhere")
            build.done()
        build.close()
        text = KIT
        for name in chance.sample(names, 5):
            for old, new in EDITS[name][0]:
                text = text.replace(old, new)
        path = put(folder)
        path.write_text(text, encoding="utf-8")
        try:
            build = opened(folder)
        except FileFaults:
            continue  # two edits that do not go together: the kit says so, and the build is as it was
        done = build.progress.done
        for _ in range(3):
            for change in build.kit_watch.changes():
                build.kit_watch.right_as_it_is(change)
        assert build.kit_watch.changes() == ()
        assert len(build.progress.done) >= len(done)
        build.close()
        again = opened(folder)
        assert again.kit_watch.changes() == ()
        again.close()


def test_only_what_is_done_is_compared(tmp_path: Path) -> None:
    put(tmp_path)
    opened(tmp_path).close()
    put(tmp_path, R7)
    build = opened(tmp_path)
    assert build.kit_watch.changes() == ()
    assert "main/R7" in open_items(build)
    build.close()

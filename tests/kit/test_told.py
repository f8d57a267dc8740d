"""What kits, sound and faulty, are told, case by case, as it was read through and found good.

The limits of what can kill are held against their published sources in `test_published_limits.py` and
`test_danger.py`; here whole answers are held, at a limit and on both sides of it. A case is what a kit file
holds: parts of its board in braces, `board` before what concerns the board, `&` between, `¶` for a line end.
"""

from __future__ import annotations

from ast import literal_eval
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.errors import FileFaults, SoldersideError
from bench.kit.case import case_from, parse_case, parse_rail
from bench.kit.counts import boards_to_solder, count_kit
from bench.kit.danger import danger_of
from bench.kit.kit import Board, Kit, PartLine
from bench.kit.lint import kit_remarks
from bench.kit.load import kit_of, parse_kit
from bench.kit.rails import high_rail
from bench.kit.tell_tales import Sign
from bench.kit.write import kit_text, part_entry
from tests.support.frozen import loose
from tests.support.told import held


def kit_file(case: str) -> str:
    """The kit file of a case; one resistor where it lists no part, a second such board for `twice`."""
    entries = case.replace("¶", "\n").split(" & ")
    parts = [entry for entry in entries if entry.startswith("{")] or ["{refs: R1, value: 1k}"]
    about = "".join(f"    {entry[6:]}\n" for entry in entries if entry.startswith("board "))
    more = [entry for entry in entries if entry[0] != "{" and not entry.startswith("board ")]
    board = f"  - name: main\n{about}    parts:\n" + "".join(f"      - {entry}\n" for entry in parts)
    board += board.replace("main", "other") if "twice" in more else ""
    top = "".join(f"{entry}\n" for entry in more if entry not in ("twice", "nothing"))
    return f"kit: 1\nname: Case\n{top}boards:\n{board}"


def _of_kit(tell: Callable[[Kit], str], case: str) -> str:
    """What is told of a kit, or its faults."""
    text = literal_eval(case[5:]) if case.startswith("file ") else kit_file(case)
    try:
        return tell(parse_kit(text.encode(), "k"))
    except FileFaults as error:
        return " | ".join(f"{each.where} {each.what} ({each.hint})" for each in error.faults)


def _danger(kit: Kit) -> str:
    found = danger_of(kit)
    marks = [name for name in ("deadly", "hands_off", "doubted", "closed_mains") if getattr(found, name)]
    marks += ["high rail"] * any(map(high_rail, kit.supply))
    said = (", ".join((*found.hazards, *marks)), found.why, found.brief, found.omission)
    return " | ".join(filter(None, said)) or "nothing"


def test_what_can_kill_is_told_as_it_was() -> None:
    held(__file__, "dangers", partial(_of_kit, _danger))


def _sound(kit: Kit) -> str:
    """What follows from what is not said, and whether the kit is the same when it is written and read."""
    again = parse_kit(kit_text(kit).encode(), "k")
    lines = [line for board in kit.boards for line in board.parts]
    told = " ".join(f"{p.kind}/{p.joints}/{p.socket_joints}/{p.mount}/{p.height}" for p in lines[:2])
    same = [replace(line, line=0) for board in again.boards for line in board.parts] == [
        replace(line, line=0) for line in lines
    ]
    boards = len(boards_to_solder(kit))
    return f"sound: {told}; {count_kit(kit).words()}; {boards}{'' if same else ' NOT AS WRITTEN'}"


def test_every_fault_of_a_kit_file_is_told_as_it_was() -> None:
    held(__file__, "faults", partial(_of_kit, _sound))


def _written(kit: Kit) -> str:
    """The kit file that is written of a kit, without the remarks in it."""
    return " | ".join(line for line in kit_text(kit).splitlines() if line.strip() and line.lstrip()[0] != "#")


def test_kit_files_are_written_as_they_were() -> None:
    held(__file__, "written", partial(_of_kit, _written))


def test_a_part_that_no_kit_file_could_hold_is_written_in_full() -> None:
    gizmo = PartLine(refs=("X1",), value="thing", kind="gizmo", quantity=1, joints=3, mount="board", height=2)
    assert part_entry(gizmo) == "{refs: X1, value: thing, kind: gizmo, mount: board, height: 2, joints: 3}"
    remarks = kit_text(Kit(name="X", boards=()), ("two\nlines", "and\x07a bell")).splitlines()[:3]
    assert remarks == ["# two lines", "# and a bell", ""]


def test_a_board_that_is_called_so_is_the_mains() -> None:
    assert danger_of(Kit(name="X", boards=(Board(name="mains side", parts=(), line=7),))).reasons == (
        Sign(hazard="mains", what='board "mains side"', line=7),
    )


def test_a_build_that_was_begun_opens_with_values_that_make_no_sense() -> None:
    text = kit_file("{refs: R1, value: 5 V, kind: resistor}").encode()
    with pytest.raises(FileFaults):
        kit_of(text, Path("k"))
    assert kit_of(text, Path("k"), lenient=True).boards[0].parts[0].value == "5 V"


def test_warnings_in_the_makers_own_words_kill_nobody() -> None:
    found = danger_of(Kit(name="X", boards=(), hazards=("sharp edges", "Mains")))
    assert (found.hazards, found.kills) == (("mains", "sharp edges"), ("mains",))


def _remarks(kit: Kit) -> str:
    return " | ".join(f"{each.where} {each.what} ({each.hint})" for each in kit_remarks(kit))


def test_what_is_worth_saying_of_a_sound_kit_is_told_as_it_was() -> None:
    held(__file__, "remarks", partial(_of_kit, _remarks))


def _broken(case: str) -> str:
    what, _, text = case.partition(" ")
    if what == "file":
        return _of_kit(_sound, case)
    try:
        if what == "rail":
            return f"{parse_rail(text)}"
        made = case_from(literal_eval(text)) if what == "table" else parse_case(text)
    except SoldersideError as error:
        return f"? {error.what} ({error.hint})"
    return f"{made.words}; {made}"


def test_broken_files_and_cases_are_told_as_they_were() -> None:
    held(__file__, "broken", _broken)


def test_records_of_this_room_are_values() -> None:
    assert not loose("kit")

"""How large and how branched each room is: `python -m tests.rooms [--write]`.

Prints a table of rooms and every function above `AIMED_AT`; `--write` puts the table into DEVELOPERS.md.
Complexity is McCabe's number, one more than the decisions of a function, each `and` and `or` counted as one
too (T. J. McCabe, "A Complexity Measure", IEEE Transactions on Software Engineering SE-2, 1976).
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from statistics import mean

import lizard
from msgspec import Struct

import bench

SOURCE = Path(bench.__file__).parent
DOCUMENT = SOURCE.parent / "DEVELOPERS.md"
BEGIN, END = "<!-- rooms: python -m tests.rooms --write -->\n", "<!-- end of rooms -->\n"
AIMED_AT = 10
"""McCabe's own limit; above it a function is hard to try in full."""


class Function(Struct, frozen=True):
    """One function or method of the program."""

    file: str
    """Below `bench/`."""
    name: str
    complexity: int

    @property
    def where(self) -> str:
        """What it goes by in a table: file and name."""
        return f"{self.file} {self.name}"


class Room(Struct, frozen=True):
    """A folder or file directly in `bench/`."""

    name: str
    files: int
    lines: int
    functions: tuple[Function, ...]

    @property
    def branched(self) -> float:
        """The share of functions above `AIMED_AT`, 0 to 1."""
        return share_above(self.functions)


def share_above(functions: Sequence[Function], limit: int = AIMED_AT) -> float:
    """The share of functions that are more complex than the limit, 0 to 1."""
    return sum(each.complexity > limit for each in functions) / max(1, len(functions))


@cache
def rooms() -> tuple[Room, ...]:
    """Every room, by its name."""
    paths: dict[str, list[Path]] = {}
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE).parts[0].removesuffix(".py")
        if name not in ("__init__", "shipped_kits"):
            paths.setdefault(name, []).append(path)
    return tuple(_room(name, found) for name, found in sorted(paths.items()))


def functions() -> list[Function]:
    """Every function of the program, the most complex first."""
    return sorted(
        (each for room in rooms() for each in room.functions), key=lambda each: (-each.complexity, each.where)
    )


def table() -> str:
    """The rooms as a table in Markdown."""
    rows = [*rooms(), _all(rooms())]
    return "\n".join(
        [
            "| room | files | lines | functions | complexity: mean | highest | above 10 |",
            "|---|--:|--:|--:|--:|--:|--:|",
            *(_row(room) for room in rows),
            "",
        ]
    )


def write(document: Path = DOCUMENT) -> None:
    """Put the table between its markers; nothing else of the document changes."""
    before, rest = document.read_text(encoding="utf-8").split(BEGIN)
    _, after = rest.split(END)
    document.write_text(f"{before}{BEGIN}{table()}{END}{after}", encoding="utf-8")


def written(document: Path = DOCUMENT) -> dict[str, int]:
    """The lines of each room as the document has them."""
    text = document.read_text(encoding="utf-8").split(BEGIN)[1].split(END)[0]
    return {name: int(lines) for name, lines in re.findall(r"^\| `(\w+)` \| \d+ \| (\d+) \|", text, re.M)}


def _room(name: str, paths: list[Path]) -> Room:
    found = [
        Function(path.relative_to(SOURCE).as_posix(), each.name, each.cyclomatic_complexity)
        for path in paths
        for each in lizard.analyze_file(str(path)).function_list
    ]
    lines = sum(len(path.read_text(encoding="utf-8").splitlines()) for path in paths)
    return Room(name, len(paths), lines, tuple(found))


def _all(found: Sequence[Room]) -> Room:
    return Room(
        "bench",
        sum(room.files for room in found),
        sum(room.lines for room in found),
        tuple(each for room in found for each in room.functions),
    )


def _row(room: Room) -> str:
    complexities = [each.complexity for each in room.functions] or [0]
    return (
        f"| `{room.name}` | {room.files} | {room.lines} | {len(room.functions)} | {mean(complexities):.1f} "
        f"| {max(complexities)} | {100 * room.branched:.0f} % |"
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table and what stands above the aim."""
    parser = argparse.ArgumentParser(prog="python -m tests.rooms", description="Size and complexity by room.")
    parser.add_argument("--write", action="store_true", help=f"put the table into {DOCUMENT.name}")
    asked = parser.parse_args(arguments)
    print(table())
    for each in functions():
        if each.complexity > AIMED_AT:
            print(f"{each.complexity:4} {each.where}")
    if asked.write:
        write()
    return 0


if __name__ == "__main__":
    sys.exit(main())

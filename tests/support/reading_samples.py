"""Lists that the project wrote, with what a person reads in them: files in `tests/lists`.

Beside each list stands a file `.want`: `R1 R2 = 10k`, one line for each value; `Main board: R1 = 10k` where
the list tells boards apart.
"""

from __future__ import annotations

from pathlib import Path

from bench.papers.lists import ListReading, read_list
from bench.papers.lists.draft import ListPart

LISTS = Path(__file__).parents[1] / "papers" / "lists"
SAMPLES = sorted(path for path in LISTS.iterdir() if path.suffix != ".want")

Found = dict[tuple[str, str], str]
"""Board (empty where boards are not told apart) and designator -> value without spaces."""


def plain(value: str) -> str:
    """A value without its spaces."""
    return "".join(value.split()).replace("μ", "µ")


def wanted(sample: Path) -> Found:
    """What a person reads in a list."""
    found: Found = {}
    for line in sample.with_name(sample.name + ".want").read_text(encoding="utf-8").splitlines():
        if "=" in line:
            refs, _, value = line.partition("=")
            board, _, named = refs.rpartition(": ")
            found |= {(board, ref): plain(value) for ref in named.split()}
    return found


def read(sample: Path) -> ListReading:
    return read_list(sample.read_bytes(), sample.name)


def found_in(reading: ListReading, boards: bool = False) -> Found:
    """What was read: the first value of each designator."""
    return {
        (part.board if boards else "", ref): plain(part.value_text)
        for part in reversed(reading.parts)
        for ref in part.refs
    }


def doubts_of(reading: ListReading, kind: str) -> list[tuple[int, str]]:
    """Line and text of the doubts of a kind."""
    return [(doubt.line, doubt.what) for doubt in reading.doubts if doubt.kind == kind]


def told(reading: ListReading) -> list[str]:
    """All that was read of a list, a line for each entry, column, doubt and line that is no part."""
    out = [f"{reading.form}; title: {reading.title or 'none'}"]
    out += [f"column {heading}: {role}" for heading, role in reading.columns]
    out += [f"{part.line}: {_told(part)}" for part in reading.parts]
    out += [f"{part.line}: again {_told(part)}" for part in reading.again]
    out += [f"{skipped.line}: {skipped.why}" for skipped in reading.skipped]
    out += [f"{doubt.line}: doubt {doubt.kind} {' '.join(doubt.refs)}".rstrip() for doubt in reading.doubts]
    out += [f"{line}: total {number}" for line, number in reading.totals]
    return [*out, *(f"unit of a bare {what}: {unit}" for what, unit in reading.units)]


def _told(part: ListPart) -> str:
    said = [f"{' '.join(part.refs) or '-'} = {part.value_text or '-'}"]
    said += [f"x{part.quantity}"] if part.quantity != len(part.refs) else []
    for name in ("understood", "board", "section", "description", "package", "note"):
        said += [f"{name} {text}"] if (text := getattr(part, name)) else []
    said += [] if part.fitted else ["not fitted"]
    return " | ".join([*said, *(["optional"] if part.optional else [])])


def from_text(text: str, name: str = "list.csv") -> ListReading:
    return read_list(text.encode(), name)

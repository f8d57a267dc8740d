"""All papers of a kit in one folder: the list that says most is read, the others are laid beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from bench.errors import SoldersideError
from bench.papers.compare import compare
from bench.papers.list_files import likely_lists, read_bytes
from bench.papers.list_session import ListSession
from bench.papers.lists.draft import ListReading
from bench.papers.paper import read_paper, read_places
from bench.papers.remembered import MakerColumns
from bench.parts.english import counted

_MOST = 20
"""Papers that are read of one folder."""


class Given(Struct, frozen=True, kw_only=True):
    """What one paper of a folder gave."""

    path: Path
    said: str
    """In words."""


def read_folder(
    folder: Path, lists: Sequence[MakerColumns] = (), drafts: Path | None = None
) -> tuple[ListSession, tuple[Given, ...]]:
    """Read all papers in a folder: the fullest list, with the others laid beside it.

    `lists` and `drafts` are as for `ListSession`. Raises SoldersideError when none of them holds a list.
    """
    read: list[tuple[Path, ListReading | None, str]] = []
    for path in likely_lists([folder])[:_MOST]:
        try:
            reading = read_paper(read_bytes(path), str(path))
        except SoldersideError as error:
            read.append((path, None, error.what))
            continue
        read.append((path, reading, _gave(reading)))
    with_parts = [(path, each) for path, each, _ in read if each is not None and _lettered(each)]
    if not with_parts:
        hint = "put the maker's list, PDF or board file into it"
        raise SoldersideError("no parts list was found in this folder", str(folder), hint)
    boards = [each for _, each in with_parts if each.nets]
    fits = {path: _fit(each, boards) for path, each in with_parts}
    main = max(with_parts, key=lambda each: (_is_list(each[1]), fits[each[0]], _lettered(each[1])))[0]
    rivals = [path for path, each in with_parts if _is_list(each) and path != main]
    work = ListSession(read_bytes(main), str(main), lists, drafts)
    given = []
    for path, paper, said in read:
        if path == main:
            said = f"the list: {said}{_better(main, rivals, fits)}"
        elif paper is not None and str(path) not in work.state.others and _belongs(paper, path, work):
            agreement = work.lay_beside(path).partition(": ")[2]
            said = f"{said}; {agreement}" if paper.parts else said
        given.append(Given(path=path, said=said))
    return work, tuple(given)


def missing(reading: ListReading) -> tuple[str, ...]:
    """What a kit needs and no paper gave, in words."""
    found = []
    if reading.placement is None:
        found.append("where the parts sit: a placement file, a drawing or the board file")
    lacking = sum(not part.value_text for part in reading.parts if part.refs)
    if lacking:
        found.append(f"the value in {counted(lacking, 'line')}")
    found.append("supply, panel width and the maker's checks before power: type them into the kit file")
    return tuple(found)


def _fit(reading: ListReading, boards: Sequence[ListReading]) -> float:
    """How well a list agrees with the board files, 0 to 1."""
    return max((compare(reading, board).fit for board in boards), default=0.0) if _is_list(reading) else 0.0


def _better(main: Path, lists: Sequence[Path], fits: Mapping[Path, float]) -> str:
    """That the board file was what chose between several lists, in words."""
    worse = [f"{path.name} {100 * fits[path]:.0f} %" for path in lists if 0 < fits[path] < fits[main]]
    return f"; it fits the board best: {100 * fits[main]:.0f} % ({', '.join(worse)})" if worse else ""


def _is_list(reading: ListReading) -> bool:
    """Whether it is a list made for people: no board file, schematic or placement file."""
    return (
        not reading.partly
        and bool(reading.encoding)
        and not {"x", "y"} <= {role for _, role in reading.columns}
    )


def _lettered(reading: ListReading) -> int:
    return len({ref for part in reading.parts for ref in part.refs})


def _gave(reading: ListReading) -> str:
    number, places = _lettered(reading), reading.placement
    said = [counted(number, "designator")] if number else []
    if places is not None:
        said.append(counted(len(places.places), "place"))
    if reading.nets:
        said.append(counted(len(reading.nets), "net"))
    return ", ".join(said) or "nothing for a kit"


def _belongs(reading: ListReading, path: Path, work: ListSession) -> bool:
    """Whether a paper is about the same board: it names half of its parts or more."""
    mine = {ref for part in work.reading.parts for ref in part.refs}
    theirs = {ref for part in reading.parts for ref in part.refs}
    if not theirs:
        try:
            places = reading.placement or read_places(read_bytes(path), str(path))
        except SoldersideError:
            return False
        theirs = {place.ref for place in places.places}
    return len(mine & theirs) * 2 >= min(len(mine), len(theirs)) and bool(mine & theirs)

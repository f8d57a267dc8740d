"""A maker's list while a builder settles it: the columns, the answers, and the way back."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Sequence
from pathlib import Path

import msgspec
from msgspec import Struct

from bench.errors import SoldersideError
from bench.files import MEGABYTE, make_folder, read_plain_file
from bench.kit.write import write_text
from bench.papers.doubts.decisions import Ruling
from bench.papers.doubts.settle import ResolvedList, settle
from bench.papers.lists.draft import ListReading, PlacementFile
from bench.papers.lists.headings import ROLE_WORDS, heading_key
from bench.papers.remembered import MakerColumns, read_remembered
from bench.parts.english import counted

_UNIQUE = ("ref", "value", "quantity")
"""Roles that one column has."""


class State(Struct, frozen=True, kw_only=True):
    """All that was decided about a list."""

    known: dict[str, str] = {}
    """Heading -> role."""
    rulings: tuple[Ruling, ...] = ()
    maker: str = ""
    others: tuple[str, ...] = ()
    """Files of other papers that were laid beside it."""
    said: str = ""
    """What led to this state, in words."""


class ListSession:
    """A list, what was decided about it, and what it is now; each step can be taken back."""

    def __init__(
        self, data: bytes, name: str, lists: Sequence[MakerColumns] = (), drafts: Path | None = None
    ) -> None:
        """Read the list; `drafts` is the folder where answers are kept until they are needed again.

        Raises SoldersideError when the bytes are no list.
        """
        self.data, self.name, self.lists = data, name, tuple(lists)
        self._draft = None if drafts is None else drafts / f"{hashlib.sha256(data).hexdigest()[:24]}.json"
        self._before: list[tuple[State, ListReading, ListReading, str]] = []
        self._papers: dict[str, PlacementFile | ListReading] = {}
        self.beside: list[ListReading] = []
        """The other papers that hold parts."""
        self.state = State()
        self.note = ""
        """What is known about the list's maker, in words."""
        self.unkept = ""
        """Why the latest answers are in memory only, in words; empty while all are on the disk."""
        self.alone = self._read("", {})
        """The list without what other papers say."""
        self.reading = self.alone
        self.resumed = 0
        """Answers of an earlier time that are here again."""
        self._resume()
        self._settled: ResolvedList | None = None

    def _read(self, maker: str, columns: dict[str, str]) -> ListReading:
        found = read_remembered(self.data, self.name, self.lists, maker, columns)
        self.note = found.note
        self.state = msgspec.structs.replace(self.state, known=found.known, maker=found.maker or maker)
        return found.reading

    @property
    def settled(self) -> ResolvedList:
        """The list as it stands now."""
        if self._settled is None:
            self._settled = settle(self.reading, self.state.rulings)
        return self._settled

    # -- deciding -------------------------------------------------------------------------------
    def rule(self, ruling: Ruling) -> None:
        """Take an answer."""
        self._step(msgspec.structs.replace(self.state, rulings=(*self.state.rulings, ruling), said=ruling.said))

    def set_role(self, heading: str, role: str) -> None:
        """A column holds something else: the list is read again, and the answers that still fit stay."""
        known = {
            key: held for key, held in self.state.known.items() if heading_key(key) != heading_key(heading)
        }
        if role in _UNIQUE:
            known = {key: held for key, held in known.items() if held != role}
        said = f"column '{heading}' holds {ROLE_WORDS[role]}"
        known[heading] = role
        self._step(msgspec.structs.replace(self.state, known=known, said=said), again=True)

    def set_maker(self, maker: str) -> None:
        """The list is this maker's: it is read again with what is kept for that maker."""
        maker = " ".join(maker.split())[:80]
        before = self.state
        self._before.append((before, self.reading, self.alone, self.note))
        try:
            self.alone = self._read(maker, {} if maker else before.known)
        except BaseException:
            self._before.pop()
            raise
        self.state = msgspec.structs.replace(
            self.state, maker=maker, said=f"the maker is {maker or 'not known'}"
        )
        self._changed()

    def read_plainly(self) -> None:
        """Read the list as it comes, without what was set or kept for its columns."""
        self._step(msgspec.structs.replace(self.state, known={}, said="the columns are read anew"), again=True)

    def undo(self) -> str:
        """Take the last step back; returns what it was. Raises SoldersideError when there is none."""
        if not self._before:
            raise SoldersideError("nothing was decided yet", "", "")
        said = self.state.said
        self.state, self.reading, self.alone, self.note = self._before.pop()
        self._changed()
        return said

    def _step(self, state: State, *, again: bool = False) -> None:
        before = (self.state, self.reading, self.alone, self.note)
        if again:
            from bench.papers.paper import read_paper

            self.alone = read_paper(self.data, self.name, state.known)
            self.note = "columns read as you set them" if state.known else ""
        self._before.append(before)
        self.state = state
        self._changed()

    def lay_beside(self, path: Path) -> str:
        """Lay another paper beside the list: what contradicts it is an open question, places are taken over.

        Returns what came of it, in words. Raises SoldersideError when the paper cannot be read.
        """
        from bench.papers.compare import compare

        name = str(path)
        paper = self._papers[name] = _paper(path)
        others = tuple(dict.fromkeys((*self.state.others, name)))
        self._step(msgspec.structs.replace(self.state, others=others, said=f"{path.name} laid beside the list"))
        if isinstance(paper, PlacementFile):
            return f"{path.name}: {counted(len(paper.places), 'place')}"
        return f"{path.name}: {compare(self.alone, paper).said}"

    def _beside_others(self) -> ListReading:
        """The list with what the other papers say; one that is gone meanwhile is passed over."""
        from bench.papers.compare import compared, with_others

        self.beside = []
        reading = self.alone
        for name in self.state.others:
            try:
                paper = self._papers.get(name) or _paper(Path(name))
            except SoldersideError:
                continue
            self._papers[name] = paper
            if isinstance(paper, PlacementFile):
                reading = msgspec.structs.replace(reading, placement=paper)
            else:
                self.beside.append(paper)
                if paper.placement is not None and reading.placement is None:
                    reading = msgspec.structs.replace(reading, placement=paper.placement)
        return with_others(reading, compared(reading, self.beside))

    def _changed(self) -> None:
        self._settled = None
        self.reading = self._beside_others() if self.state.others else self.alone
        if self._draft is not None:
            try:
                make_folder(self._draft.parent)
                write_text(msgspec.json.encode(self.state).decode(), self._draft, overwrite=True)
                self.unkept = ""
            except OSError as error:
                self.unkept = error.strerror or str(error)
            except SoldersideError as error:
                self.unkept = error.what

    def _resume(self) -> None:
        """Take up the answers of an earlier time, each as a step that can be taken back."""
        if self._draft is None:
            return
        try:
            kept = msgspec.json.decode(read_plain_file(self._draft, 10 * MEGABYTE), type=State)
        except (SoldersideError, msgspec.DecodeError, RecursionError):
            return
        self._settled = None
        if kept.known != self.state.known or kept.maker != self.state.maker:
            from bench.papers.paper import read_paper

            self._before.append((self.state, self.reading, self.alone, self.note))
            self.state = State(known=kept.known, maker=kept.maker, said="the columns as they were last time")
            self.alone = read_paper(self.data, self.name, kept.known)
            self.note = "columns as you set them last time" if kept.known else ""
        if kept.others:
            self._before.append((self.state, self.reading, self.alone, self.note))
            said = "other papers laid beside it, as last time"
            self.state = msgspec.structs.replace(self.state, others=kept.others, said=said)
        self.reading = self._beside_others() if kept.others else self.alone
        for ruling in kept.rulings:
            self._before.append((self.state, self.reading, self.alone, self.note))
            rulings = (*self.state.rulings, ruling)
            self.state = msgspec.structs.replace(self.state, rulings=rulings, said=ruling.said)
        self.resumed = len(kept.rulings)


def _paper(path: Path) -> PlacementFile | ListReading:
    """Another paper: a list, or one that only says where parts sit."""
    from bench.papers.list_files import read_bytes
    from bench.papers.paper import read_paper, read_places

    data = read_bytes(path)
    try:
        reading = read_paper(data, str(path))
    except SoldersideError:
        return read_places(data, str(path))
    if not reading.parts:
        return reading.placement or read_places(data, str(path))
    if {"x", "y"} <= {role for _, role in reading.columns}:
        with contextlib.suppress(SoldersideError):
            return read_places(data, str(path))
    return reading

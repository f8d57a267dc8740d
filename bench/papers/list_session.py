"""A maker's list while a builder settles it: the columns, the answers, and the way back."""

from __future__ import annotations

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
from bench.papers.lists.draft import ListReading
from bench.papers.lists.headings import ROLE_WORDS, heading_key
from bench.papers.remembered import MakerColumns, read_remembered

_UNIQUE = ("ref", "value", "quantity")
"""Roles that one column has."""


class State(Struct, frozen=True, kw_only=True):
    """All that was decided about a list."""

    known: dict[str, str] = {}
    """Heading -> role."""
    rulings: tuple[Ruling, ...] = ()
    maker: str = ""
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
        self._before: list[tuple[State, ListReading, str]] = []
        self.state = State()
        self.note = ""
        """What is known about the list's maker, in words."""
        self.unkept = ""
        """Why the latest answers are in memory only, in words; empty while all are on the disk."""
        self.reading = self._read("", {})
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
        before, note = self.state, self.note
        self._before.append((before, self.reading, note))
        try:
            self.reading = self._read(maker, {} if maker else before.known)
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
        self.state, self.reading, self.note = self._before.pop()
        self._changed()
        return said

    def _step(self, state: State, *, again: bool = False) -> None:
        before = (self.state, self.reading, self.note)
        if again:
            from bench.papers.paper import read_paper

            self.reading = read_paper(self.data, self.name, state.known)
            self.note = "columns read as you set them" if state.known else ""
        self._before.append(before)
        self.state = state
        self._changed()

    def _changed(self) -> None:
        self._settled = None
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
            from bench.papers.lists import read_list

            self._before.append((self.state, self.reading, self.note))
            self.state = State(known=kept.known, maker=kept.maker, said="the columns as they were last time")
            self.reading = read_list(self.data, self.name, kept.known)
            self.note = "columns as you set them last time" if kept.known else ""
        for ruling in kept.rulings:
            self._before.append((self.state, self.reading, self.note))
            rulings = (*self.state.rulings, ruling)
            self.state = msgspec.structs.replace(self.state, rulings=rulings, said=ruling.said)
        self.resumed = len(kept.rulings)

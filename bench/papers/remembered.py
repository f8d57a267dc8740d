"""A maker's list read with what is known of that maker's columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bench.papers.lists.draft import ListReading
from bench.papers.lists.headings import heading_key
from bench.papers.paper import read_paper


class MakerColumns(Struct, frozen=True, kw_only=True):
    """What the columns of one kind of list hold."""

    maker: str
    roles: tuple[tuple[str, str], ...]
    """Heading as written, and its role."""

    @property
    def headings(self) -> frozenset[str]:
        """The headings as they are compared."""
        return frozenset(heading_key(heading) for heading, _ in self.roles)


class Remembered(Struct, frozen=True, kw_only=True):
    """A reading, and what was known beforehand."""

    reading: ListReading
    known: dict[str, str]
    """Heading -> role, as the list was read."""
    maker: str = ""
    """The maker whose columns were used or asked for."""
    note: str = ""
    """What was used, or why it was not; empty when nothing was known."""


def read_remembered(
    data: bytes,
    name: str,
    lists: Sequence[MakerColumns],
    maker: str = "",
    columns: Mapping[str, str] | None = None,
) -> Remembered:
    """Read a list with the columns of its maker, or of a list with the same headings.

    `columns` (heading -> role) stand above what is remembered. Columns that find fewer designators than a
    plain reading are not used, and the note says so. Raises SoldersideError as `read_paper` does.
    """
    own = dict(columns or {})
    plain = read_paper(data, name, own)
    chosen = _chosen(plain, lists, maker)
    if chosen is None:
        note = f"nothing is remembered for lists of {maker}" if maker else ""
        return Remembered(reading=plain, known=own, maker=maker, note=note)
    known = dict(chosen.roles) | own
    reading = read_paper(data, name, known)
    found, otherwise = _designators(reading), _designators(plain)
    if found < otherwise:
        note = (
            f"the columns remembered for {chosen.maker} are not used: "
            f"they give {found} designators, a plain reading {otherwise}"
        )
        return Remembered(reading=plain, known=own, maker=maker or chosen.maker, note=note)
    note = f"columns read as remembered for {chosen.maker}"
    return Remembered(reading=reading, known=known, maker=chosen.maker, note=note)


def _chosen(plain: ListReading, lists: Sequence[MakerColumns], maker: str) -> MakerColumns | None:
    """The maker's columns with most headings in common, else those of a list with the same headings."""
    headings = {heading_key(column.heading) for column in plain.table}
    if maker:
        mine = [each for each in lists if heading_key(each.maker) == heading_key(maker)]
        best = max(reversed(mine), key=lambda each: len(each.headings & headings), default=None)
        return best if best is not None and best.headings & headings else None
    named = {heading for heading in headings if not heading.startswith("column ")}
    same = [each for each in lists if each.headings == headings]
    return same[-1] if same and len(named) > 1 else None


def _designators(reading: ListReading) -> int:
    return len({(part.board, ref) for part in reading.parts for ref in part.refs})

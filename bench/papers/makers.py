"""What the columns of each maker's lists hold, kept from one list to the next in a small TOML file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from msgspec import Struct

from bench.errors import Fault, Refused, SoldersideError
from bench.files import MEGABYTE, make_folder, parse_toml, read_text_file, stands
from bench.kit.write import write_text
from bench.papers.lists.draft import ListColumn
from bench.papers.lists.headings import AS_FOUND, NOTHING, ROLE_WORDS, heading_key, role_named
from bench.papers.remembered import MakerColumns

_HEAD = """# What the columns of makers' parts lists hold. Written by solderside; your own comments do not stay.
# A column can hold: {}.

"""
_MOST = 500
"""Lists that are kept."""


class Makers(Struct, frozen=True, kw_only=True):
    """The file as it was read."""

    lists: tuple[MakerColumns, ...] = ()
    """In the order in which they were kept."""
    faults: tuple[Fault, ...] = ()
    """What could not be used; while there are any, nothing is written to the file."""

    def of(self, maker: str) -> tuple[MakerColumns, ...]:
        """What is kept for one maker."""
        return tuple(each for each in self.lists if heading_key(each.maker) == heading_key(maker))


def load_makers(path: Path) -> Makers:
    """What is kept in a file; no file means nothing, and what is wrong with it is told, not raised."""
    hint = "mend the file, or move it away to begin anew"
    try:
        raw = parse_toml(read_text_file(path, MEGABYTE, "file of makers' columns")) if stands(path) else {}
    except ValueError as error:
        line = re.search(r"at line (\d+)", str(error))
        where = f"{path}:{line[1]}" if line else str(path)
        what = "the columns kept for makers cannot be read: this is not TOML"
        return Makers(faults=(Fault(what=what, where=where, hint=hint),))
    except SoldersideError as error:
        return Makers(faults=(Fault(what=error.what, where=str(path), hint=hint),))
    return _makers(raw, str(path))


def _makers(raw: dict[str, object], where: str) -> Makers:
    lists: list[MakerColumns] = []
    faults: list[Fault] = []

    def fault(what: str, hint: str) -> None:
        faults.append(Fault(what=what, where=where, hint=hint))

    for key in raw.keys() - {"list"}:
        fault(f"unknown key {key!r}", "write [[list]] tables with maker and columns")
    entries = raw.get("list", [])
    for number, entry in enumerate(entries if isinstance(entries, list) else [entries], 1):
        maker = entry.get("maker") if isinstance(entry, dict) else None
        columns = entry.get("columns") if isinstance(entry, dict) else None
        if not isinstance(maker, str) or not maker.strip() or not isinstance(columns, dict):
            fault(f"list {number} has no maker, or no columns", 'write maker = "..." and a table of columns')
            continue
        roles: list[tuple[str, str]] = []
        for heading, word in columns.items():
            try:
                roles.append((heading, role_named(word if isinstance(word, str) else repr(word))))
            except SoldersideError as error:
                fault(f"list {number}, column {heading!r}: {error.what}", error.hint)
        lists.append(MakerColumns(maker=maker, roles=tuple(roles)))
    return Makers(lists=tuple(lists), faults=tuple(faults))


def remember(path: Path, maker: str, columns: Sequence[ListColumn]) -> int:
    """Keep what a maker's columns hold, instead of what was kept for a list with the same headings.

    Returns how many columns are kept. Raises Refused while the file has faults, SoldersideError when it cannot
    be written.
    """
    roles = tuple((each.heading, _role(each)) for each in columns)
    new = MakerColumns(maker=" ".join(maker.split())[:80], roles=roles)
    kept = _sound(path)
    others = [
        each
        for each in kept.lists
        if heading_key(each.maker) != heading_key(maker) or each.headings != new.headings
    ]
    if roles:
        _write(path, [*others, new])
    return len(roles)


def _role(column: ListColumn) -> str:
    """What is kept of a column: nothing certain of one that was empty, or that holds what only a look tells."""
    if column.role and column.role in ROLE_WORDS:
        return column.role
    return AS_FOUND if column.role or not column.samples else NOTHING


def forget(path: Path, maker: str) -> int:
    """Keep nothing more for a maker; returns how many lists were forgotten. Raises as `remember` does."""
    kept = _sound(path)
    mine = kept.of(maker)
    if mine:
        _write(path, [each for each in kept.lists if each not in mine])
    return len(mine)


def _sound(path: Path) -> Makers:
    kept = load_makers(path)
    if kept.faults:
        first = kept.faults[0]
        raise Refused(f"nothing is kept for this maker: {first.what}", first.where, first.hint)
    return kept


def _write(path: Path, lists: Iterable[MakerColumns]) -> None:
    import tomli_w

    data = [
        {"maker": each.maker, "columns": {heading: ROLE_WORDS[role] for heading, role in each.roles}}
        for each in lists
    ]
    words = ", ".join(ROLE_WORDS.values())
    try:
        make_folder(path.parent)
    except OSError as error:
        raise SoldersideError(f"the folder cannot be made ({error.strerror})", str(path.parent), "") from None
    write_text(_HEAD.format(words) + tomli_w.dumps({"list": data[-_MOST:]}), path, overwrite=True)

"""What to buy for a batch: all its parts added up, less what the builder has. Pure."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping

from msgspec import Struct

from bench.batch.gather import Member
from bench.errors import SoldersideError
from bench.parts.kinds import KINDS, kind_named
from bench.parts.quantity import read_value
from bench.plan.bag import bag_lines

_HEADS = {
    "value": ("value", "part", "type", "wert"),
    "kind": ("kind", "sort", "category"),
    "count": ("count", "qty", "quantity", "number", "stock"),
}
"""Headings of a stock file, by what their columns contain."""


class ToBuy(Struct, frozen=True, kw_only=True):
    """One line of a shopping list."""

    kind: str
    value: str
    package: str
    voltage: str
    needed: int
    in_stock: int
    """How many of them the stock file gives to this line."""
    kits: tuple[tuple[str, int], ...]
    """Title of each kit and how many go into it."""

    @property
    def to_buy(self) -> int:
        """How many are still to be had."""
        return self.needed - self.in_stock


def shopping_list(members: Iterable[Member], stock: Mapping[tuple[str, str], int]) -> tuple[ToBuy, ...]:
    """All parts of kits that are not begun, and what is missing of those that are.

    `stock` counts parts by kind (empty for any kind) and value, as `stock_from` makes it; each part is given
    out once.
    """
    found: dict[tuple[str, str, str, str], dict[str, int]] = {}
    shown: dict[tuple[str, str, str, str], tuple[str, str, str]] = {}
    for member in members:
        for kind, value, package, voltage, number in _needed(member):
            key = kind, value_key(kind, value), "".join(package.split()), "".join(voltage.split())
            shown.setdefault(key, (value, package, voltage))
            kits = found.setdefault(key, {})
            kits[member.title] = kits.get(member.title, 0) + number
    left = dict(stock)
    lines = []
    for key, kits in sorted(found.items(), key=lambda each: (each[0][0], each[0][1])):
        needed = sum(kits.values())
        given = 0
        for holding in ((key[0], key[1]), ("", key[1])):
            taken = min(left.get(holding, 0), needed - given)
            if taken:
                left[holding] -= taken
                given += taken
        value, package, voltage = shown[key]
        lines.append(
            ToBuy(kind=key[0], value=value, package=package, voltage=voltage, needed=needed, in_stock=given,
                  kits=tuple(kits.items()))
        )  # fmt: skip
    return tuple(lines)


def _needed(member: Member) -> Iterable[tuple[str, str, str, str, int]]:
    """Kind, value, package, voltage and number of what a kit still needs."""
    if member.build:
        for kind, value, number in member.short:
            yield kind, value, "", "", number
        return
    for line in bag_lines(member.kit):
        yield line.kind, line.value, line.package, line.voltage, len(line.items)


def value_key(kind: str, value: str) -> str:
    """A value as it is compared: 0.1uF and 100n are the same capacitor.

    >>> value_key("film capacitor", "0.1uF") == value_key("film capacitor", "100n")
    True
    >>> value_key("IC", "TL 072") == value_key("IC", "tl072")
    True
    """
    unit = KINDS[kind].unit if kind in KINDS else "ohm"  # of a bare prefix, which is all that counts here
    main = read_value(value, unit).main if unit else None
    if main is not None and main.unit in ("ohm", "farad", "henry"):
        return f"{main.amount.normalize():f}"
    return re.sub(r"[\s_-]", "", value).casefold()


def stock_from(text: str, name: str) -> dict[tuple[str, str], int]:
    """The builder's own parts out of a CSV file with columns for value, count and, if wanted, kind.

    Raises SoldersideError, with the line, for a heading or a count that cannot be read.
    """
    first = text.split("\n", 1)[0]
    sign = max(";\t,", key=first.count)
    rows = csv.reader(io.StringIO(text), delimiter=sign)
    columns = _columns(next(rows, []), name)
    stock: dict[tuple[str, str], int] = {}
    for number, row in enumerate(rows, 2):
        cells = {role: row[at].strip() if at < len(row) else "" for role, at in columns.items()}
        if not any(row):
            continue
        if not cells["count"].isdigit() or len(cells["count"]) > 9:
            what = f"the count '{cells['count'][:20]}' is not a whole number"
            raise SoldersideError(what, f"{name}:{number}", "write how many there are, such as 25")
        kind = _kind(cells.get("kind", ""), f"{name}:{number}")
        key = kind, value_key(kind, cells["value"])
        stock[key] = stock.get(key, 0) + int(cells["count"])
    return stock


def _columns(heads: list[str], name: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for at, head in enumerate(heads):
        for role, words in _HEADS.items():
            if head.strip().strip("\ufeff").casefold() in words:
                found.setdefault(role, at)
    lacking = [role for role in ("value", "count") if role not in found]
    if lacking:
        what = f"the stock file has no column '{lacking[0]}'"
        raise SoldersideError(what, name, "its first line names the columns: value, kind, count")
    return found


def _kind(text: str, where: str) -> str:
    if not text:
        return ""
    kind = kind_named(text)
    if kind is None:
        raise SoldersideError(
            f"unknown kind of part '{text[:40]}'", where, "such as resistor, IC, film capacitor"
        )
    return kind.name


def as_csv(lines: Iterable[ToBuy]) -> str:
    """The shopping list as CSV: what to buy, and for which kits."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["buy", "value", "kind", "package", "voltage", "needed", "in stock", "kits"])
    for line in lines:
        if line.to_buy:
            kits = "; ".join(f"{title}: {number}" for title, number in line.kits)
            said = (line.value, line.kind, line.package, line.voltage)
            writer.writerow([line.to_buy, *map(_inert, said), line.needed, line.in_stock, _inert(kits)])
    return out.getvalue()


def _inert(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return (
        f"'{cell}"
        if cell.startswith(tuple("=+-@\t\r")) and not re.fullmatch(r"[+-]?[0-9.,]+.*", cell)
        else cell
    )

"""What should be in the bag: the kit's parts by value, whatever board they go on. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct

from bench.kit.kit import Kit
from bench.parts.footprints import package_said
from bench.parts.kinds import KINDS
from bench.parts.quantity import read_value
from bench.plan.grouping import placements_of


class BagLine(Struct, frozen=True, kw_only=True):
    """One sort of part, as somebody who opens the bag sees it."""

    kind: str
    value: str
    tolerance: str
    voltage: str
    package: str
    marking: str
    items: tuple[str, ...]
    """The parts, named as in `plan.plan.Step.items`; as many as there should be in the bag."""
    places: tuple[tuple[str, tuple[str, ...]], ...]
    """Board and designators."""

    @property
    def refs(self) -> tuple[str, ...]:
        """All designators, board by board."""
        return tuple(ref for _, refs in self.places for ref in refs)


def bag_lines(kit: Kit) -> tuple[BagLine, ...]:
    """Every sort of part, in the order of the parts list; sockets are sorts of their own."""
    lines: dict[tuple[str, ...], BagLine] = {}
    for placement in placements_of(kit):
        line = placement.line
        plain = placement.is_socket
        fields = (
            ("", "", "", "")
            if plain
            else (line.tolerance, line.voltage, package_said(line.package), line.marking)
        )
        value = placement.value or placement.kind
        key = (placement.kind, value, *("".join(field.split()) for field in fields[:3]))
        known = lines.get(key)
        end = "#socket" if plain else ""
        lines[key] = BagLine(
            kind=placement.kind,
            value=value,
            tolerance=fields[0],
            voltage=fields[1],
            package=fields[2],
            marking=known.marking if known else fields[3],
            items=(*(known.items if known else ()), *(item + end for item in placement.items)),
            places=_joined(known.places if known else (), placement.board, line.refs),
        )
    return tuple(lines.values())


def by_kind(lines: Iterable[BagLine]) -> tuple[BagLine, ...]:
    """As the parts are sorted on a table: kind by kind, small values before large ones, types by name."""
    order = {name: number for number, name in enumerate(KINDS)}

    def key(line: BagLine) -> tuple[int, str, bool, Decimal, str]:
        worth = read_value(line.value, unit_of(line.kind)).main
        amount = worth.amount if worth is not None else Decimal(0)
        return order.get(line.kind, len(order)), line.kind, worth is None, amount, line.value.casefold()

    return tuple(sorted(lines, key=key))


def unit_of(kind: str) -> str:
    """The unit in which a kind's values are written; empty where they have none."""
    known = KINDS.get(kind)
    return known.unit if known is not None else ""


def _joined(
    places: tuple[tuple[str, tuple[str, ...]], ...], board: str, refs: tuple[str, ...]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    if not refs:
        return places
    held = dict(places)
    held[board] = (*held.get(board, ()), *refs)
    return tuple(held.items())

"""The lines of a kit as identification needs them: what each part is worth, and within what limits."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct

from bench.kit.kit import Kit, PartLine
from bench.parts.designators import shorten
from bench.parts.kinds import KINDS
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.ratings import lacks_class


class KitLine(Struct, frozen=True, kw_only=True):
    """One line of a kit, read."""

    board: str
    part: PartLine
    amount: Quantity | None
    """What the part is worth; None for a type number."""
    below: Decimal | None
    """Tolerance below the value in per cent, as stated or usual; None where neither is known."""
    above: Decimal | None
    """The same above the value."""
    usual: bool
    """True when the tolerance is the usual one, not the kit's."""
    volts: Decimal | None
    """Rated voltage, volts."""

    @property
    def text(self) -> str:
        """The part in words: `4.7 kΩ ±1 %`, or its value as written."""
        if self.amount is None:
            return self.part.value or self.part.kind
        if self.below is None:
            return show(self.amount)
        if self.below != self.above:
            return f"{show(self.amount)} +{self.above:f}/−{self.below:f} %"
        return f"{show(self.amount)} ±{self.below:f} %"

    @property
    def refs(self) -> str:
        """Its designators in short, or its kind when it has none."""
        return shorten(self.part.refs) or self.part.kind

    @property
    def printed(self) -> str:
        """All that the kit says of its ratings."""
        part = self.part
        return " ".join((part.value, part.voltage, part.marking, part.note, part.package))

    def must_show(self, marked: str = "") -> str:
        """Which class for the mains a capacitor has to bear; empty where `marked` names one that does."""
        missing = lacks_class(self.printed, marked) if self.amount and self.amount.unit == "farad" else ()
        return (
            f"only with class {' and '.join(missing)} printed on it: this is for the mains" if missing else ""
        )

    @property
    def look(self) -> str:
        """What tells it apart at a glance: parts of another look are not mistaken for it."""
        kind = KINDS.get(self.part.kind)
        return (kind.look if kind else "") or self.part.kind

    @property
    def limits(self) -> tuple[Decimal, Decimal] | None:
        """The least and the most that a good part measures, base unit; None where measuring says nothing."""
        if self.amount is None or self.below is None or self.above is None or self.amount.amount <= 0:
            return None
        size = self.amount.amount
        return size * (1 - self.below / 100), size * (1 + self.above / 100)


def lines_of(kit: Kit) -> tuple[KitLine, ...]:
    """Every line of a kit, read, board by board."""
    return tuple(read_line(board.name, part) for board in kit.boards for part in board.parts)


def read_line(board: str, part: PartLine) -> KitLine:
    """One line of a kit, read; never raises, whatever its value."""
    kind = KINDS.get(part.kind)
    value = read_value(part.value, kind.unit if kind else "")
    stated = _tolerance(part.tolerance)
    if stated is None and value.tolerance_percent is not None:
        stated = value.tolerance_percent, value.tolerance_percent
    usual = Decimal(kind.percent) if kind and kind.percent is not None else None
    below, above = (stated or (usual, usual)) if usual is not None else (None, None)
    rated = read_value(part.voltage, "volt").main
    ratings = [found.amount for found in value.ratings if found.unit == "volt"]
    if rated is not None and rated.unit == "volt":
        ratings.insert(0, rated.amount)
    return KitLine(
        board=board, part=part, amount=value.main, below=below, above=above,
        usual=stated is None and below is not None, volts=ratings[0] if ratings else None,
    )  # fmt: skip


def _tolerance(text: str) -> tuple[Decimal, Decimal] | None:
    """Per cent below and above: `1 %`, `±5%`, `+80/-20 %`; None when it is not in per cent.

    >>> _tolerance("±5 %"), _tolerance("+80/-20 %"), _tolerance("")
    ((Decimal('5'), Decimal('5')), (Decimal('20'), Decimal('80')), None)
    """
    plain = text.replace(",", ".").replace("−", "-")
    if found := re.search(r"\+\s*(\d{1,3}(?:\.\d+)?)\s*%?\s*/?\s*-\s*(\d{1,2}(?:\.\d+)?)\s*%", plain):
        return Decimal(found[2]), Decimal(found[1])
    if found := re.fullmatch(r"\s*(?:±|\+/?-)?\s*(\d{1,2}(?:\.\d+)?)\s*%?\s*", plain):
        return Decimal(found[1]), Decimal(found[1])
    return None


def named(lines: Iterable[KitLine], boards: int = 1) -> str:
    """Designators of lines, with the board of each where the kit has more than one: `R1-R4 on main`."""
    if boards < 2:
        return ", ".join(line.refs for line in lines)
    by_board: dict[str, list[str]] = {}
    for line in lines:
        by_board.setdefault(line.board, []).append(line.refs)
    return ", ".join(f"{', '.join(refs)} on {board}" for board, refs in by_board.items())

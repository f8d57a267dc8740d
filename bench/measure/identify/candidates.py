"""What identification answers: parts that it can be, and lines of the kit that it cannot be."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct

from bench.measure.identify.kit_lines import KitLine
from bench.parts.quantity import Quantity, show


class Candidate(Struct, frozen=True, kw_only=True):
    """One part that it can be."""

    text: str
    """The part in words: `10 kΩ ±1 %`."""
    source: str
    """How that follows: `bands, left to right`, `meter reading`."""
    amount: Quantity | None = None
    """What the part is worth; None for a type number and for a diode."""
    kind: str = ""
    """The kind of part, where it follows."""
    lines: tuple[KitLine, ...] = ()
    """The lines of the kit that ask for it."""
    why: tuple[str, ...] = ()
    """In words: how it was understood, how well it fits, what speaks against it."""
    weight: float = 0.0
    """For readings: how likely the reading is if it is this part; comparable within one answer only."""

    def amount_in(self, unit: str) -> Decimal | None:
        """What it is worth in that unit (`henry`), None when it is worth nothing of it."""
        return self.amount.amount if self.amount and self.amount.unit == unit else None

    @property
    def refs(self) -> tuple[tuple[str, str], ...]:
        """Board and designator of each part of the kit that it can be."""
        return tuple((line.board, ref) for line in self.lines for ref in line.part.refs)


class RuledOut(Struct, frozen=True, kw_only=True):
    """Something that it cannot be."""

    text: str
    """The part or the reading in words."""
    why: str
    lines: tuple[KitLine, ...] = ()
    """The lines of the kit that ask for it; empty for a reading of bands that makes no sense."""


class IdentifyAnswer(Struct, frozen=True, kw_only=True):
    """One way of looking at it: what it can be, what it cannot be, what else to know."""

    candidates: tuple[Candidate, ...] = ()
    ruled_out: tuple[RuledOut, ...] = ()
    remarks: tuple[str, ...] = ()


class Identified(Struct, frozen=True, kw_only=True):
    """The whole answer."""

    text: str
    """What was asked, as typed."""
    candidates: tuple[Candidate, ...]
    """Best first; those that the kit asks for before the others."""
    ruled_out: tuple[RuledOut, ...] = ()
    """Nearest first."""
    remarks: tuple[str, ...] = ()
    """What else to know: too close to call, the meter's accuracy, nearest preferred values."""
    boards: int = 0
    """How many boards the kit has, 0 without a kit."""


def joined(answers: Iterable[IdentifyAnswer]) -> IdentifyAnswer:
    """Several answers one after the other."""
    listed = tuple(answers)
    return IdentifyAnswer(
        candidates=tuple(each for answer in listed for each in answer.candidates),
        ruled_out=tuple(each for answer in listed for each in answer.ruled_out),
        remarks=tuple(each for answer in listed for each in answer.remarks),
    )


def apart(measured: Quantity, wanted: Quantity) -> str:
    """How far one amount lies from another, in words.

    >>> from bench.parts.quantity import parse_quantity as q
    >>> apart(q("4k69"), q("4k7")), apart(q("4k69"), q("47k")), apart(q("10k"), q("100R"))
    ('0.2 % below 4.7 kΩ', 'a tenth of 47 kΩ', '100 times 100 Ω')
    """
    shown = show(wanted)
    if measured.amount == wanted.amount:
        return f"just {shown}"
    ratio = measured.amount / wanted.amount
    if Decimal("0.5") < ratio < 2:
        percent = abs(ratio - 1) * 100
        said = f"{percent:.1f}" if percent >= Decimal("0.05") else "less than 0.1"
        return f"{said} % {'below' if ratio < 1 else 'above'} {shown}"
    if ratio >= 2:
        return f"{_times(ratio)} times {shown}"
    times = _times(1 / ratio)
    return f"a tenth of {shown}" if times == "10" else f"{shown} divided by {times}"


def _times(ratio: Decimal) -> str:
    """A ratio of about two or more, in as many figures as a person wants to hear.

    >>> _times(Decimal("2.136")), _times(Decimal("10.02")), _times(Decimal("45454.5"))
    ('2.1', '10', '45,000')
    """
    if ratio < Decimal("9.95"):
        return f"{ratio:.1f}".removesuffix(".0")
    digits = max(0, ratio.adjusted() - 1)
    return f"{int((ratio / 10**digits).to_integral_value()) * 10**digits:,}"


def distance(measured: Decimal, wanted: Decimal) -> float:
    """How far apart two positive amounts are by ratio, for sorting: 0 when they are the same."""
    return abs(float((measured / wanted).ln())) if measured > 0 and wanted > 0 else float("inf")

"""What is printed on a part, held against the lines of a kit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.errors import SoldersideError
from bench.measure.identify.candidates import Candidate, RuledOut, apart, distance
from bench.measure.identify.kit_lines import KitLine, grouped, named
from bench.parts.advice import fuse_unfit
from bench.parts.colours import decode
from bench.parts.decode_marking import read_print
from bench.parts.meaning import CAPACITORS, RESISTORS, Meaning
from bench.parts.palette import confusable, mistaken_for
from bench.parts.quantity import Quantity, quantity_in, show
from bench.parts.type_families import family
from bench.parts.type_numbers import facts, mistaken

_PLACES = ("1st", "2nd", "3rd", "4th", "5th", "6th")


def squeezed(text: str) -> str:
    """A marking without spaces and capitals, for comparing."""
    return "".join(text.split()).casefold()


def as_listed(text: str, lines: Sequence[KitLine]) -> Iterator[Candidate]:
    """Lines whose marking or value is what was typed, letter for letter."""
    wanted = squeezed(text)
    for field, source in (("marking", "marking in the kit"), ("value", "value in the kit")):
        alike = [line for line in lines if squeezed(getattr(line.part, field)) == wanted]
        for group in grouped(alike):
            first = group[0]
            yield Candidate(
                text=first.text if first.amount else f"{first.text}, {first.part.kind}".rstrip(", "),
                source=source, amount=first.amount, kind=first.part.kind, lines=group,
                why=tuple(filter(None, (first.must_show(text),))),
            )  # fmt: skip


def of_that_worth(text: str, lines: Sequence[KitLine]) -> Iterator[Candidate]:
    """Lines of exactly that quantity that are neither resistors nor capacitors: fuses, crystals, coils."""
    quantity = quantity_in(text)
    if quantity is None:
        return
    alike = [
        line for line in lines if line.amount == quantity and line.part.kind not in (*RESISTORS, *CAPACITORS)
    ]
    for group in grouped(alike):
        first = group[0]
        text = f"{first.text} {first.part.kind}"
        yield Candidate(text=text, source="value", amount=quantity, kind=first.part.kind, lines=group)


def from_meaning(meaning: Meaning, lines: Sequence[KitLine]) -> Iterator[Candidate]:
    """The meaning with the lines that ask for such a part; without any when none does."""
    fitting = [line for line in lines if _asked(meaning, line) and not _unfit(meaning, line)]
    for group in grouped(fitting):
        first = group[0]
        yield Candidate(
            text=meaning.text, source=meaning.source, amount=meaning.amount, kind=first.part.kind, lines=group,
            why=(*meaning.remarks, *_differences(meaning, first)),
        )  # fmt: skip
    if not fitting:
        yield Candidate(
            text=meaning.text, source=meaning.source, amount=meaning.amount,
            kind=meaning.kinds[0] if len(meaning.kinds) == 1 else "", why=meaning.remarks,
        )  # fmt: skip


def _asked(meaning: Meaning, line: KitLine) -> bool:
    """Whether a line asks for what the marking means."""
    if meaning.kinds and line.part.kind not in meaning.kinds:
        return False
    if meaning.type_number:
        known = facts(line.part.value) or family(line.part.value)
        if meaning.facts is not None and known is not None and meaning.facts.base == known.base:
            return True
        if squeezed(meaning.type_number) == squeezed(line.part.value):
            return True
    if meaning.amount is None:
        return False
    return line.amount == meaning.amount or (line.amount is None and _stated(meaning, line))


def _stated(meaning: Meaning, line: KitLine) -> bool:
    """Whether a kit states that worth by a print of its own: `RXEF050`, `BZX55C5V1`."""
    try:
        printed = read_print(line.part.value).meanings
    except SoldersideError:
        return False
    return any(each.amount == meaning.amount and line.part.kind in each.kinds for each in printed)


def _unfit(meaning: Meaning, line: KitLine) -> str:
    """Why a part of the right worth is not the one a line asks for; empty where it may be."""
    if meaning.volts is not None and line.volts is not None and meaning.volts < line.volts:
        return f"the kit asks for {line.volts} V, and it is marked {meaning.volts} V"
    return fuse_unfit(line.part.value, meaning) or line.must_show(" ".join(meaning.remarks))


def _differences(meaning: Meaning, line: KitLine) -> Iterator[str]:
    """Where a part is not quite what the line asks for."""
    if (
        meaning.percent is not None
        and line.below is not None
        and not line.usual
        and meaning.percent > line.below
    ):
        yield f"the kit asks for ±{line.below:f} %, this is ±{meaning.percent:f} %"
    if meaning.type_number and squeezed(meaning.type_number) != squeezed(line.part.value):
        yield f"the kit says {line.part.value}: check whether the suffix letters matter"


def ruled_out(meanings: Sequence[Meaning], lines: Sequence[KitLine]) -> Iterator[RuledOut]:
    """Those of the lines that the marking could be thought to mean but does not, nearest first, with why."""
    found: list[tuple[float, RuledOut]] = []
    for group in grouped(lines):
        first = group[0]
        whys = [why for meaning in meanings if (why := _why_not(meaning, first))]
        if whys:
            nearest, said = min(whys)
            found.append((nearest, RuledOut(text=f"{first.text}, {first.part.kind}", why=said, lines=group)))
    yield from (each for _, each in sorted(found, key=lambda pair: pair[0]))


def _why_not(meaning: Meaning, line: KitLine) -> tuple[float, str] | None:
    """How near a line is and why it is not meant; None when the two have nothing to do with each other."""
    if _asked(meaning, line):
        return -1.0, _unfit(meaning, line)
    if meaning.facts is not None:
        known = facts(line.part.value)
        verdict = mistaken(meaning.facts, known) if known else None
        return (float(verdict[0]), verdict[1]) if verdict else None
    if meaning.amount is None or line.amount is None or line.part.kind not in meaning.kinds:
        return None
    if line.amount.unit != meaning.amount.unit or not (line.amount.amount > 0 and meaning.amount.amount > 0):
        return None
    said = f"{show(meaning.amount)} is {apart(meaning.amount, line.amount)}"
    return distance(meaning.amount.amount, line.amount.amount), said


def misread(meanings: Sequence[Meaning], lines: Sequence[KitLine], boards: int) -> Iterator[str]:
    """Lines that the bands would mean if one of them were a colour that people take for it."""
    for meaning in meanings:
        for place, band in enumerate(meaning.bands):
            for other in mistaken_for(band):
                bands = (*meaning.bands[:place], other, *meaning.bands[place + 1 :])
                reading = decode(bands)[0]
                if not reading.sound or reading.bands != bands or reading.ohms is None:
                    continue
                ohms = Quantity(amount=reading.ohms, unit="ohm")
                asked = [line for line in lines if line.part.kind == "resistor" and line.amount == ohms]
                if asked:
                    yield (
                        f"with {other} for {band} as the {_PLACES[place]} band it would be {reading.text}: "
                        f"{named(asked, boards)} ({confusable(band, other)})"
                    )

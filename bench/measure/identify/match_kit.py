"""What is this part? Bands, a marking, a type number or a meter reading -> which parts of a kit it can be."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.measure.identify.by_meter import DIODE_TEST_ENDS, MEASURED, by_gain, by_meter
from bench.measure.identify.by_print import as_listed, from_meaning, misread, of_that_worth, ruled_out
from bench.measure.identify.candidates import Candidate, Identified, IdentifyAnswer, RuledOut, joined
from bench.measure.identify.kit_lines import KitLine, lines_of
from bench.measure.verdict.meter import DEFAULT_METER, Meter
from bench.measure.verdict.meter_input import MeterReading, ReadingError, parse_reading
from bench.parts.decode_marking import names_colours, read_print
from bench.parts.meaning import Meaning, Print, PrintError
from bench.parts.palette import ColourError
from bench.parts.quantity import Quantity
from bench.parts.series import is_preferred, series_of

_GAIN = re.compile(r"(?:h ?fe|beta|β|gain)\s*[:=]?\s*(\d{1,4}(?:\.\d)?)", re.IGNORECASE)
_PREFERRED = ("ohm", "farad", "henry")
_SHUNT = Decimal("0.1")
"""Ohms below which resistors of any value are sold: common practice."""
_POTS = ((5,), (2, 5))
"""Figures of potentiometers and power resistors that are in no series: 50k, 25k; common practice."""
_VOLTS_FIRST = re.compile(r"[0-3][A-Z]\d{3}[A-Z]?|\d{3}[kKM]\d{2,3}", re.ASCII)
"""A capacitor's code with its volts, never a reading."""
_DROP = Decimal("0.5")
"""Volts from which a number alone is rather a silicon diode's drop than microfarads: common practice."""
_IMPROBABLE = 4
"""Doubt from which a marking is not offered beside a reading."""
_CAPITAL_POINT = re.compile(r"\d{1,2}[KM]\d|\d[KM]\d{1,2}")
"""A resistance as IEC 60062 prints it, three figures at most; readings are typed with a small k."""
_SEVERAL = "it can mean more than one thing: look at the part, or measure it"
_LONGEST = 80
"""Characters; a longer text is no part."""


def identify(text: str, kit: Kit | None = None, meter: Meter = DEFAULT_METER) -> Identified:
    """Everything that bands, a marking, a type number or a reading can be, best first.

    With a kit its lines that fit come first, and those that do not are ruled out with the reason. Raises
    SoldersideError, which says what was understood, when the text is none of these.

    >>> [found.text for found in identify("4k69").candidates]
    ['4.7 kΩ ±5 %', '4.64 kΩ ±1 %', '4.75 kΩ ±1 %']
    """
    lines = lines_of(kit) if kit is not None else ()
    return identify_among(text, lines, boards=len(kit.boards) if kit is not None else 0, meter=meter)


def identify_among(
    text: str, lines: Sequence[KitLine], *, boards: int, meter: Meter = DEFAULT_METER
) -> Identified:
    """The same for lines read before (`lines_of`), of a kit with that many boards; 0 boards is no kit."""
    plain = " ".join(text.split())
    if len(plain) > _LONGEST:
        raise PrintError(f"{plain[:40]!r} and so on is too long for a part", hint="give one part at a time")
    if gain := _GAIN.fullmatch(plain):
        return _finished(text, by_gain(Decimal(gain[1]), lines), boards)
    printed, trouble = _printed(plain)
    link = any(one.amount is not None and not one.amount.amount for one in printed.meanings)
    readings = () if link or names_colours(plain) else _readings(plain, bool(printed.meanings))
    measured = [by_meter(reading, lines, boards, meter) for reading in readings]
    listed = (*as_listed(plain, lines), *of_that_worth(plain, lines))
    if trouble is not None and not listed and not any(each.candidates for each in measured):
        raise trouble if not measured or not measured[0].remarks else PrintError(measured[0].remarks[0])
    meanings = _likely(printed, plain) if readings else list(printed.meanings)
    marked = IdentifyAnswer(
        candidates=(*listed, *(each for one in meanings for each in from_meaning(one, lines))),
        ruled_out=(
            *(RuledOut(text=each.text, why="; ".join(each.why)) for each in printed.excluded),
            *(() if readings else ruled_out(meanings, lines)),
        ),
    )
    answers = _likelier_first(plain, meanings, marked, readings, measured, known=bool(boards))
    return _finished(text, joined(answers), boards, misread(meanings, lines, boards))


def _printed(plain: str) -> tuple[Print, SoldersideError | None]:
    """What a text means as a print, or why it means nothing as one."""
    try:
        return read_print(plain), None
    except (ColourError, PrintError) as error:
        return Print(meanings=()), error


def _likely(printed: Print, plain: str) -> list[Meaning]:
    """What a text that can be a reading too is likely to mean as a print."""
    pointed = _CAPITAL_POINT.fullmatch(plain) is not None
    return [one for one in printed.meanings if one.doubt < _IMPROBABLE and (pointed or _sold(one.amount))]


def _likelier_first(
    plain: str,
    meanings: Sequence[Meaning],
    marked: IdentifyAnswer,
    readings: Sequence[MeterReading],
    measured: Sequence[IdentifyAnswer],
    *,
    known: bool,
) -> list[IdentifyAnswer]:
    """What it is as a print and as a reading, in the order of likelihood; `known`: there is a kit to ask."""
    in_kit = list(filter(_asked_for, measured))
    told = in_kit or [each for each in measured if each.candidates or each.ruled_out]
    if readings and readings[0].bare and not _rather_printed(plain, meanings):
        return [*told, marked]
    several = len({one.amount for one in meanings}) > 1
    remark = [] if known else [IdentifyAnswer(remarks=(_SEVERAL,))]
    if meanings and not in_kit and _no_reading(meanings[0], readings):
        told = [IdentifyAnswer(candidates=each.candidates[:1]) for each in told]
        return [marked, *told, *(remark if several or told else [])]
    return [marked, *told, *(remark if several and not readings else [])]


def _asked_for(answer: IdentifyAnswer) -> bool:
    return any(found.lines for found in answer.candidates)


def _sold(amount: Quantity | None) -> bool:
    """Whether a part of that worth can be sold, so that it can be printed on one.

    Resistors, capacitors and coils come in preferred numbers, but for shunts of milliohms and for the rounder
    numbers of potentiometers.
    """
    if amount is None or amount.unit not in _PREFERRED:
        return True
    if amount.unit == "ohm" and (
        amount.amount < _SHUNT or amount.amount.normalize().as_tuple().digits in _POTS
    ):
        return True
    return bool(series_of(amount.amount))


def _no_reading(meaning: Meaning, readings: Sequence[MeterReading]) -> bool:
    """Whether a print most likely means something that none of the readings shows."""
    shown = {reading.unit for reading in readings}
    return not meaning.doubt and (meaning.amount is None or meaning.amount.unit not in shown)


def _rather_printed(text: str, meanings: Sequence[Meaning]) -> bool:
    """Whether a number alone is rather a print than a reading: a crystal's, or a film capacitor's `.022`."""
    first = meanings[0] if meanings else None
    if first is None or first.amount is None:
        return False
    if first.amount.unit == "farad":
        short = text.startswith(".") and is_preferred(first.amount.amount, "E12")
        return short or (is_preferred(first.amount.amount, "E6") and Decimal(text.replace(",", ".")) < _DROP)
    return first.amount.unit == "hertz" and not first.doubt


def _readings(text: str, printed: bool) -> tuple[MeterReading, ...]:
    """What a text can mean as a meter's reading, likeliest first; empty when it is none.

    A number alone is read as ohms and, where a diode test shows such numbers, as volts; but a whole number that
    can be `printed` on a part is no reading.
    """
    if _VOLTS_FIRST.fullmatch(text):
        return ()
    try:
        reading = parse_reading(text)
    except ReadingError:
        return ()
    if reading.amount is None or reading.unit in MEASURED:
        return (reading,)
    if reading.unit:
        return ()
    whole = not re.search(r"[.,]", text)
    if whole and printed:
        return ()
    units = ("ohm",) if whole or abs(reading.amount) > DIODE_TEST_ENDS else ("volt", "ohm")
    return tuple(parse_reading(text, unit) for unit in units)


def _finished(text: str, answer: IdentifyAnswer, boards: int, misread: Iterable[str] = ()) -> Identified:
    """The answer in order: what the kit asks for first, nothing twice, nothing both possible and ruled out.

    `misread` says what to look at again, for when the kit asks for none of it.
    """
    kept: list[Candidate] = []
    owner: dict[int, int] = {}
    amounts: set[Quantity | None] = set()
    for each in answer.candidates:
        new = tuple(line for line in each.lines if id(line) not in owner)
        if each.lines and not new:
            place = owner[id(each.lines[0])]
            more = tuple(why for why in (f"also by {each.source}", *each.why) if why not in kept[place].why)
            kept[place] = replace(kept[place], why=(*kept[place].why, *more))
            continue
        if each.weight and not each.lines and each.amount in amounts:
            continue
        owner |= {id(line): len(kept) for line in new}
        amounts |= {each.amount} - {None}
        kept.append(replace(each, lines=new))
    ordered = sorted(kept, key=lambda each: not each.lines)
    out = [each for each in answer.ruled_out if not any(id(line) in owner for line in each.lines)]
    remarks = dict.fromkeys(answer.remarks)
    if boards and not owner:
        remarks = dict.fromkeys((*misread, "no line of the kit matches", *remarks))
    return Identified(
        text=text, candidates=tuple(ordered), ruled_out=tuple(out), remarks=tuple(remarks), boards=boards
    )

"""Quantities in a kit file: one that cannot be read, cannot be or is of the wrong sort is a fault.

Texts that state no quantity (`select on test`, `steady light`) are left to the builder. A build that was begun
before opens all the same: see `fields.Reader.doubt`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from decimal import Decimal

from bench.errors import SoldersideError
from bench.kit.fields import Reader, quoted
from bench.kit.kit import PartLine
from bench.kit.yaml_text import Map
from bench.parts.designators import shorten
from bench.parts.expectation import meant_as_limit, parse_expectation, plural
from bench.parts.kinds import KINDS, with_role
from bench.parts.panels import height_units, millimetres, panel_slots
from bench.parts.protection import protection
from bench.parts.quantity import Value, quantity_in, read_value, show

EXAMPLES = {
    "ohm": "4k7", "farad": "100n", "henry": "10u", "volt": "5V1", "ampere": "500 mA", "hertz": "4 MHz",
}  # fmt: skip
_MOST = {
    "ohm": Decimal("1E13"), "farad": Decimal(10_000), "henry": Decimal(10_000), "hertz": Decimal("1E11"),
    "volt": Decimal(100_000), "ampere": Decimal(1000), "watt": Decimal(100_000),
}  # fmt: skip
"""More than this no part of a kit is worth or stands (common practice, no source)."""
_MOST_ZENER = Decimal(1000)
_NO_NUMBER = re.compile(r"(?<![\w.])[-+−]?(?:nan|inf(?:inity)?|∞)(?!\w)", re.IGNORECASE)
_BELOW_ZERO = re.compile(r"[-−]\s*[.,]?[0-9]")
_CODE = re.compile(r"[0-9]{3,4}[A-Z]")
"""Digits and a tolerance letter as printed on a part: `1002F` is no farads."""
_NUM = r"[0-9]+(?:[.,][0-9]+)?"
_VOLTS = re.compile(
    rf"(?:({_NUM})\s*(?:[kmK]?V)?\s*(?:[x×/–-]|\.\.+|to|and)\s*)*({_NUM})\s*([kmK]?)V?|([0-9]+)[kK]?V([0-9]+)"
)
_BESIDE_VOLTS = re.compile(
    r"\b(?:AC|DC|rms|peak|min(?:imum)?|max(?:imum)?|at least|or (?:more|higher|better)|and up|working|class|"
    r"each|(?-i:[XY][1-4]?))\b\.?|(?<=V)(?:AC|DC|rms)|[~≥>=⎓()]",
    re.IGNORECASE,
)
_ONE_UNIT = re.compile(r"\s*[+-]?\s*[0-9.,]+\s*[A-Za-z]+\s*")
_LETTER = re.compile(r"[B-HJ-NP-TWZ]")
"""Letters of IEC 60062 for tolerances, symmetric, in picofarads and lopsided."""
_PERCENT = re.compile(rf"(?:±|\+/-|\+-)?\s*({_NUM})\s*(?:%|per ?cent)?")
_LOPSIDED = re.compile(rf"[+-]\s*({_NUM})\s*%?\s*(?:[/,]|\.\.+|to|…)?\s*[+-]\s*({_NUM})\s*%")
_PPM = re.compile(rf"±?\s*{_NUM}\s*ppm(?:/K|/°C)?", re.IGNORECASE)
_BESIDE_TOLERANCE = re.compile(
    r"\b(?:metal|carbon|film|matched|or better|or less|max(?:imum)?)\b|\(.*\)", re.IGNORECASE
)
_MOST_CENTS = 12_000
_UNIT_WORDS = (
    r"[munpµkMG]?(?:V|A|W|F|H|Hz|Ω|ohms?|Vpp|Vrms)|[kM]?ohms?|dB\w*|volts?|(?:milli|micro)?amp(?:ere)?s?|hertz|"
    r"%|per ?cent|cents?|beats?|bpm|s|ms|µs|us|min|minutes?|seconds?|octaves?|semitones?|notes?|degrees?|°\w?|"
    r"times|turns?|steps?|breaths?|clicks?|o'clock|mm|lux|divisions?|cycles?|pulses?|flashes|blinks|tenths?"
)
_TARGET_NUMBER = re.compile(rf"[<>≤≥=~±+-]*\s*{_NUM}(?:\s*[-–/x×]\s*{_NUM})*\s*(?:{_UNIT_WORDS})(?![A-Za-z])")
_ENOUGH_ALONE = frozenset(
    (
        "maximum", "minimum", "max", "min", "loudest", "quietest", "silence", "silent", "centre", "center",
        "middle", "noon", "unity", "zero", "purest", "brightest", "clean", "symmetrical", "symmetry",
        "resonance", "steady", "full", "off", "none", "null", "balance", "balanced",
    )
)  # fmt: skip


def check_part(reader: Reader, entry: Map, kind: str, value: str) -> None:
    """Doubts about value, tolerance, rated voltage, package and socket of one parts line."""
    _value(reader, entry, kind, value)
    _tolerance(reader, entry, KINDS[kind].unit if kind in KINDS else "")
    _voltage(reader, entry)
    for key, hint in (("package", "DIP-8, TO-92 or radial 5 mm"), ("socket", "DIP-8")):
        text = reader.peek(entry, key)
        main = read_value(text).main
        electrical = main is not None and main.unit not in ("", "watt") and quantity_in(text) is not None
        if electrical or _NO_NUMBER.search(text) or _BELOW_ZERO.match(text.strip()):
            reader.doubt(entry.line_of(key), f'"{key}" is {quoted(text)}', f"write it like {hint}")


def _value(reader: Reader, entry: Map, kind: str, value: str) -> None:
    known = KINDS.get(kind)
    unit = known.unit if known and kind not in with_role("sold by type") else ""
    what = _wrong_value(kind, unit, value)
    if what:
        example = EXAMPLES.get(unit, "the type number, such as TL072")
        reader.doubt(entry.line_of("value"), what, f"write it like {example}, or correct `kind`")


def _wrong_value(kind: str, unit: str, value: str) -> str:
    """What cannot be about the value of a part of this kind; empty when nothing is amiss."""
    said = f"the value {quoted(value)} of a {kind}"
    read = read_value(value, unit)
    main = read.main
    if (unit or kind in with_role("semiconductor")) and _NO_NUMBER.search(value):
        return f"{said} is no number"
    if not unit or any(kind in each.kinds for each in protection(value)):
        return ""
    sort = main.unit if main is not None and not _CODE.fullmatch(value.strip()) else ""
    if sort not in ("", unit) and not read.type_number:
        return f"{said} is in {plural(sort)}, not in {plural(unit)}"
    if _BELOW_ZERO.match(value.strip()) or (main is not None and main.amount < 0):
        return f"{said} is below zero"
    if main is not None and not main.amount and kind not in ("resistor", "resistor network"):
        return f"{said} is nothing"
    return _impossible(said, read)


def _impossible(said: str, read: Value) -> str:
    for quantity in (*((read.main,) if read.main else ()), *read.ratings):
        if quantity is not read.main and quantity.amount <= 0:
            return f"{said}: {show(quantity)} is no rating"
        most = _MOST_ZENER if "Zener" in said and quantity is read.main else _MOST.get(quantity.unit)
        if most is not None and quantity.amount > most:
            return f"{said}: no part has {show(quantity)}"
    return ""


def _voltage(reader: Reader, entry: Map) -> None:
    text = reader.peek(entry, "voltage")
    if not text.strip():
        return
    in_volts = re.sub(r"[Vv]olts?", "V", text)
    plain = " ".join(_BESIDE_VOLTS.sub(" ", in_volts).split()).rstrip("V ")
    found = _VOLTS.fullmatch(plain) or _VOLTS.fullmatch(f"{plain}V")
    numbers = [Decimal(number.replace(",", ".")) for number in re.findall(_NUM, plain)]
    scale = Decimal({"k": "1E3", "K": "1E3", "m": "1E-3"}.get(plain[-1:], "1"))
    what = ""
    if found is None or len(text) > 60:
        read = read_value(text, "volt").main
        sort = f"in {plural(read.unit)}" if read is not None and read.unit not in ("", "volt") else ""
        what = f'"voltage" is {quoted(text)}, {sort or "which is no voltage"}'
    elif not any(numbers):
        what = f'"voltage" is {quoted(text)}: no part is rated at 0 V'
    elif max(numbers) * scale > _MOST["volt"]:
        what = f'"voltage" is {quoted(text)}: nothing in a kit stands that'
    if what:
        reader.doubt(entry.line_of("voltage"), what, "write what the part stands, like 25 V or 275 V AC")


def _tolerance(reader: Reader, entry: Map, unit: str) -> None:
    text = reader.peek(entry, "tolerance")
    plain = " ".join(_BESIDE_TOLERANCE.sub(" ", text.replace("−", "-").replace("–", "-")).split())
    if not text.strip() or _LETTER.fullmatch(plain) or _PPM.fullmatch(plain):
        return
    percent, lopsided = _PERCENT.fullmatch(plain), _LOPSIDED.fullmatch(plain)
    numbers = [Decimal(number.replace(",", ".")) for number in re.findall(_NUM, plain)]
    if percent and 0 < numbers[0] <= 100:
        return
    if lopsided and any(numbers) and max(numbers) <= 200:
        return
    bare = re.sub(r"^(?:±|\+/-|\+-)\s*", "", plain)
    worth = quantity_in(bare, unit) if unit else None
    if worth is not None and worth.unit == unit and worth.amount > 0:
        return
    reader.doubt(
        entry.line_of("tolerance"), f'"tolerance" is {quoted(text)}, which is no tolerance', "write it like 1 %"
    )


def check_limit(reader: Reader, entry: Map) -> None:
    """A doubt about a limit that nobody can read or meet; words alone are for eye and ear."""
    text = reader.peek(entry, "expect")
    line = entry.line_of("expect")
    if not text.strip() or not (meant_as_limit(text) or _NO_NUMBER.search(text)):
        return
    try:
        limit = parse_expectation(text)
    except SoldersideError as error:
        hint = f"{error.hint}; what is seen or heard is said in words, without figures"
        reader.doubt(line, f"the limit is no use: {error.what}", hint)
        return
    ends = [abs(end) for end in (limit.low, limit.high) if end is not None]
    if limit.nominal and limit.high is not None and limit.high - limit.nominal > 2 * abs(limit.nominal):
        what = f"the limit {quoted(text)} is met by nearly everything"
        reader.doubt(line, what, "write a tolerance smaller than the value")
    elif ends and max(ends) > _MOST.get(limit.unit, max(ends)):
        reader.doubt(line, f"the limit {quoted(text)} is more than a bench has", "check the prefix: m, k, M")


def check_target(reader: Reader, entry: Map) -> None:
    """A doubt about a trim's target that says nothing to reach."""
    text = reader.peek(entry, "target")
    plain = text.strip()
    if not plain:
        return
    words = plain.split()
    starts_with_number = re.match(r"[<>≤≥~±+−-]*\s*[0-9]", plain) is not None
    hint = "write what to reach, like `659 Hz`, `5 V ± 1 %` or `loudest with the aerial on`"
    fault = ""
    if _NO_NUMBER.search(plain):
        fault = "is no number"
    elif len(words) == 1 and not re.search(r"[0-9]", plain) and plain.casefold() not in _ENOUGH_ALONE:
        fault = "does not say what to reach"
    elif starts_with_number and not _TARGET_NUMBER.search(plain):
        fault = "is in no unit that can be measured"
    elif re.fullmatch(r"[<>≤≥±0-9.,\s%/+−-]*(?:[A-Za-zµΩ]{1,5}[<>≤≥±0-9.,\s%/+−-]*){1,2}", plain) and (
        re.search(r"[<>≤≥±]|\.\.", plain)
    ):
        try:
            parse_expectation(plain)
        except SoldersideError as error:
            fault, hint = f"cannot be met: {error.what}", error.hint
    if fault:
        reader.doubt(entry.line_of("target"), f"the target {quoted(text)} {fault}", hint)


def check_panel(reader: Reader, panel: Map, *, own_case: bool) -> None:
    """Doubts about the panel's measures."""
    free = (millimetres,) if own_case else ()
    measures = {"width": (panel_slots, *free), "height": (height_units, *free), "depth": (millimetres,)}
    for key, readings in measures.items():
        text = reader.peek(panel, key)
        faults = [_fault_of(read, text) for read in readings] if text.strip() else []
        fault = faults[0] if all(faults) and faults else None
        if not fault and re.search(r"[mc]m\s*$", text, re.IGNORECASE) and millimetres(text) > 5000:
            what = f"{text.strip()} is more than a bench is wide"
            fault = SoldersideError(what, "", "check the unit: mm, cm, HP")
        if fault:
            reader.doubt(panel.line_of(key), f"the panel's {key}: {fault.what}", fault.hint)


def _fault_of(read: Callable[[str], object], text: str) -> SoldersideError | None:
    try:
        read(text)
    except SoldersideError as error:
        return error
    return None


def check_rail(reader: Reader, line: int, name: str, current: str) -> None:
    """Doubts about a supply rail: a voltage that is none, a current that is none."""
    hint = 'write the voltage and its current, like "+12 V": 38 mA'
    stated = re.search(r"[0-9]", name) is not None
    main = read_value(re.sub(r"\b(?:AC|DC)\b", " ", name), "volt").main if stated else None
    if _NO_NUMBER.search(name):
        reader.doubt(line, f"the supply rail {quoted(name)} is no number of volts", hint)
    elif main is not None and main.unit == "volt" and (not main.amount or abs(main.amount) > _MOST["volt"]):
        what = "of 0 V is no rail" if not main.amount else "has more volts than anything in a kit"
        reader.doubt(line, f"the supply rail {quoted(name)} {what}", hint)
    elif main is not None and main.unit != "volt" and quantity_in(name, "volt"):
        reader.doubt(line, f"the supply rail {quoted(name)} is in {plural(main.unit)}, not in volts", hint)
    elif _ONE_UNIT.fullmatch(name) and not quantity_in(re.sub(r"V?(?:AC|DC)\b", "V", name), "volt"):
        reader.doubt(line, f"the supply rail {quoted(name)} states no voltage", hint)
    plain = re.sub(r"\b(?:about|approx\.?|max\.?|AC|DC|each|up to|typ\.?)\b|[~≈<≤()]", " ", current)
    drawn = quantity_in(" ".join(plain.split()), "ampere")
    what = ""
    if drawn is None or plain.strip()[-1:].isdigit():
        what = "is not understood"
    elif drawn.unit != "ampere":
        what = f"is in {plural(drawn.unit)}, not in amperes"
    elif drawn.amount < 0:
        what = "is below zero"
    elif drawn.amount > _MOST["ampere"]:
        what = "is more than any rail gives"
    if what:
        said = f"the current {quoted(current)} of the rail {quoted(name)} {what}"
        reader.doubt(line, said, "write it like 38 mA")


def check_places(
    reader: Reader, board: str, size: tuple[float, float] | None, lines: Sequence[PartLine]
) -> None:
    """Doubts about positions beyond the edge of a board."""
    if size is None:
        return
    for part in lines:
        beyond = [
            ref
            for ref, (x, y) in zip(part.refs, part.positions, strict=False)
            if not (0 <= x <= size[0] and 0 <= y <= size[1])
        ]
        if beyond:
            edge = f"the edge of board {quoted(board)}, {size[0]:g} x {size[1]:g} mm"
            what = f"{shorten(beyond)} would sit beyond {edge}"
            hint = "count from its lower left corner, or leave `size` out"
            reader.doubt(part.line, what, hint)


def check_range(reader: Reader, line: int, cents: int) -> None:
    """A doubt about a trimmer that would move more than ten octaves."""
    if cents > _MOST_CENTS:
        reader.doubt(line, f'"range" is {cents} cents, more than ten octaves', "write cents from stop to stop")

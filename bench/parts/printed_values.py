"""What stands on a part that says its value: bands or not, the codes that capacitors usually bear; pure."""

from __future__ import annotations

import re
from decimal import Decimal

from bench.parts.footprints import bears_rings, package_said
from bench.parts.kinds import KINDS, marked_by

_LEAST_IN_MICROFARADS = Decimal("0.01E-6")
"""Farads; below it neither electrolytic nor tantalum capacitors are sold: common practice."""
_LETTERS = "BCDFGHJKM"


def surface_mounted(kind: str, value: str, package: str) -> bool:
    """Return whether a part is surface-mount; all arguments are texts of a kit.

    >>> surface_mounted("resistor", "10k", "0805"), surface_mounted("resistor", "10k", "")
    (True, False)
    """
    from bench.parts.traits import traits_of

    return "smd" in traits_of(kind, value, package)


def bears_bands(kind: str, value: str, package: str) -> bool:
    """Return whether colour bands give a part's value: a resistor with leads, or a round one (MELF).

    Common practice, no source.
    """
    if kind not in marked_by("bands"):
        return False
    return bears_rings(package, value) or not surface_mounted(kind, value, package)


def usual_prints(
    kind: str, value: str, tolerance: str = "", voltage: str = "", package: str = ""
) -> tuple[str, ...]:
    """List the codes usually printed on a capacitor or a chip resistor, likeliest first; none for other kinds.

    Ceramic and film chips bear none, nor do resistors of 0402 and below (common practice, no source).

    `codes.read_marking` reads each of them back to the value, among other meanings where it has some.

    >>> usual_prints("tantalum capacitor", "10u", "", "16 V"), usual_prints("ceramic capacitor", "47p", "5 %")
    (('10 16V', '106 16V'), ('470', '47', '470J'))
    """
    from bench.parts.capacitors import CodeError, encode
    from bench.parts.quantity import read_value

    if kind == "resistor" and surface_mounted(kind, value, package):
        return _on_chip(value, f"{tolerance} {value}", package)
    read = read_value(value[:100], "farad")
    if kind not in KINDS or read.main is None or read.main.unit != "farad" or read.main.amount <= 0:
        return ()
    farads, marked = read.main.amount, KINDS[kind].marked
    rated = read_value(voltage[:100], "volt").main or next((q for q in read.ratings if q.unit == "volt"), None)
    volts = rated.amount if rated is not None and rated.unit == "volt" else None
    if marked.startswith("microfarads"):
        return _in_microfarads(farads, volts, with_code=marked.endswith("code"))
    if marked != "code" or surface_mounted(kind, value, package):
        return ()
    try:
        code = encode(farads)
    except CodeError:
        return ()
    letter = _letter(farads, tolerance[:100] or value[:100])
    prints = (
        _on_film(code, letter, volts)
        if letter and kind == "film capacitor"
        else _on_ceramic(code, letter, farads)
    )
    return tuple(dict.fromkeys(prints))


def _on_chip(value: str, tolerance: str, package: str) -> tuple[str, ...]:
    """Three figures, the last one the number of zeros, and four on those of 1 % (IEC 60062)."""
    from bench.parts.quantity import read_value

    ohms = read_value(value[:100], "ohm").main
    bare = bears_rings(package, value) or package_said(package) in ("01005", "0201", "0402")
    if bare or ohms is None or ohms.unit != "ohm" or ohms.amount < 1:
        return ()
    codes = [code for figures in (2, 3) if (code := _figures(ohms.amount, figures))]
    percent = read_value(tolerance[:100]).tolerance_percent
    return tuple(reversed(codes)) if percent is not None and percent <= 1 else tuple(codes)


def _figures(ohms: Decimal, figures: int) -> str:
    """So many figures and the number of zeros; R for the point below that; empty where it takes more figures.

    >>> _figures(Decimal(47000), 2), _figures(Decimal("4.7"), 2), _figures(Decimal(237), 2)
    ('473', '4R7', '')
    """
    zeros = ohms.adjusted() + 1 - figures
    digits = ohms.scaleb(-zeros)
    if digits != int(digits):
        return ""
    plain = str(int(digits))
    return f"{plain}{zeros}" if zeros >= 0 else f"{plain[:zeros]}R{plain[zeros:]}"


def _in_microfarads(farads: Decimal, volts: Decimal | None, *, with_code: bool) -> tuple[str, ...]:
    """What cans and tantalum drops bear; the code in picofarads is on tantalum drops alone."""
    from bench.parts.capacitors import CodeError, encode

    if farads < _LEAST_IN_MICROFARADS:
        return ()
    microfarads = f"{(farads * 1_000_000).normalize():f}"
    beside = f" {volts.normalize():f}V" if volts is not None else ""
    if not with_code:
        return (f"{microfarads}µF{beside}",)
    try:
        return (f"{microfarads}{beside}", f"{encode(farads)}{beside}")
    except CodeError:
        return ()


def _on_film(code: str, letter: str, volts: Decimal | None) -> list[str]:
    from bench.parts.capacitors import VOLTAGE_CODES

    return [
        *(f"{rated}{code}{letter}" for rated, meant in VOLTAGE_CODES.items() if meant == volts),
        f"{code}{letter}",
    ]


def _on_ceramic(code: str, letter: str, farads: Decimal) -> list[str]:
    bare = f"{farads.scaleb(12).normalize():f}"
    short = [bare] if code.isdecimal() and len(bare) == 2 else []
    return [code, *short, f"{code}{letter}"]


def _letter(farads: Decimal, text: str) -> str:
    """The letter for a tolerance in per cent or picofarads, or nothing when it has none."""
    from bench.parts.capacitors import tolerance_letter
    from bench.parts.quantity import read_value

    percent = read_value(text).tolerance_percent
    found = re.search(r"(?:±|\+-|\+/-) ?(\d+(?:[.,]\d+)?) ?pF", text)
    if found:
        wanted, unit = Decimal(found[1].replace(",", ".")), "pF"
    elif percent is not None:
        wanted, unit = percent, "%"
    else:
        return text.strip() if re.fullmatch(f"[{_LETTERS}]", text.strip()) else ""
    for letter in _LETTERS:
        meant = tolerance_letter(letter, farads)
        if (meant.plus, meant.unit) == (wanted, unit):
            return letter
    return ""

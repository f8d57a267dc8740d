"""Which way round a part goes, as a small drawing; pure, cells only.

What counts pins and knows type numbers is imported when it is called: most drawings need neither.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import groupby

from bench.parts.footprints import surface
from bench.parts.kinds import KINDS
from bench.ui.bands import StyledRow
from bench.ui.shapes import SHAPES, WIDEST, box_header, two_rows_of_pins
from bench.ui.text import cells

_CASES = (
    ("half round", r"to-?92|to-?226|e-?line|sot-?54"),
    ("metal back", r"to-?(?:220|126|225|247|218|3p|202|251|252|263)"),
    ("round can", r"to-?(?:18|39|5|72|52|46)(?!\d)"),
)
_TWO_ROWS = r"\b(?:di[pl]|so|soic|cerdip|pdip)[ -]?\d"
_ONE_ROW = r"\b(?:si[pl]|zip)[ -]?\d"
_LEGS = {"I": "in", "G": "gnd", "O": "out", "A": "adj"}
_INKED = frozenset(" ─│┌┐└┘├┤┬┴┼═║█■•")


@lru_cache(maxsize=64)
def orientation_drawing(kind: str, package: str, width: int, value: str = "") -> tuple[StyledRow, ...]:
    """At most seven rows of at most thirty cells that show which way round a part of a kind goes.

    `kind` is a name of `parts.kinds.KINDS`; `package` and `value` are texts of a kit, which decide between
    cases and tell the number of pins. No rows for a part that goes in either way, for a case without a
    drawing, and when `width` cells are not enough.

    >>> for row in orientation_drawing("diode", "DO-35", 40): print("".join(text for text, _ in row))
          ┌──────██─┐
    A ────┤      ██ ├──── K
          └──────██─┘
        stripe = cathode, K
    """
    rows = _shape(kind, package[:100].casefold(), value[:100])
    if not rows or max(map(cells, rows)) > width:
        return ()
    return tuple(_spans(row) for row in rows)


def _shape(kind: str, package: str, value: str) -> Sequence[str]:
    name = KINDS[kind].drawing if kind in KINDS else ""
    if name in _FLAT and surface(package, value):
        no_line = name == "diode" and re.search(r"\bsot|\bsc-?\d", package)
        return () if no_line else SHAPES.get(_FLAT[name], ())
    draw = DRAWN.get(name)
    return draw(kind, package, value) if draw else SHAPES.get(name, ())


_FLAT = {
    "can": "flat can", "drop": "flat drop", "diode": "flat diode", "LED": "", "network": "", "bridge": "",
}  # fmt: skip
"""Drawings of parts that are soldered flat, by those of the same kind with legs; empty where marks differ."""


def _box_header(kind: str, package: str, value: str) -> Sequence[str]:
    pins = _pins(kind, package, value)
    return box_header(pins if pins >= 6 and pins % 2 == 0 else 0)


def _can(_: str, package: str, value: str) -> Sequence[str]:
    return SHAPES["axial can" if "axial" in f"{package} {value.casefold()}" else "radial can"]


def _bridge(_: str, package: str, value: str) -> Sequence[str]:
    words = f"{package} {value.casefold()}"
    if re.search(r"in.?line|\bsi[pl]|kb[lpu]|gb[ujl]|rs\d{3}", words):
        return SHAPES["bridge in line"]
    return SHAPES["bridge in two rows" if re.search(r"\bdi[pl]|\bdf\d|\bdb\d", words) else "bridge"]


def _valve(_: str, package: str, value: str) -> Sequence[str]:
    pins = _pins("valve socket", package, value)
    return SHAPES.get(f"valve of {pins}", SHAPES["valve"])


def _display(_: str, package: str, value: str) -> Sequence[str]:
    return SHAPES["module" if re.search(r"lcd|oled|tft", f"{package} {value.casefold()}") else "display"]


def _diode(_: str, package: str, __: str) -> Sequence[str]:
    return () if re.search(r"\bto-?\d|\bsot", package) else SHAPES["diode"]


def _chip(kind: str, package: str, value: str) -> Sequence[str]:
    """Two rows of pins, or one row."""
    if re.search(_ONE_ROW, package):
        return SHAPES["network"]
    if re.search(r"qf[pn]|lcc", package):
        return SHAPES["flat square"]
    pins = _pins(kind, package, value)
    notch = not surface(package)
    return two_rows_of_pins(pins if pins % 2 == 0 else 0, dot=kind != "IC socket", notch=notch)


def _optocoupler(kind: str, package: str, value: str) -> Sequence[str]:
    if re.search(_ONE_ROW, package):
        return SHAPES["network"]
    if re.search(r"vtl|nsl-?32|vactrol", f"{package} {value.casefold()}"):
        return SHAPES["bare coupler"]
    pins = _pins(kind, package, value)
    return two_rows_of_pins(pins if pins % 2 == 0 else 0, dot=True, notch=False)


def _pins(kind: str, package: str, value: str) -> int:
    """Pins that the texts state, 0 when they leave it open."""
    from bench.parts.pins import pins_of

    return pins_of(kind, package, value) or 0


def _three_legs(kind: str, package: str, value: str) -> Sequence[str]:
    """The case by package, else by type number, else both usual ones; with the usual legs where known."""
    from bench.parts.type_numbers import facts

    if re.search(_TWO_ROWS, package):
        return _chip("IC", package, value)
    known = facts(value) if value else None
    legs = known.legs if known else ""
    case = _case(package) or (_case(known.case.casefold()) if known and legs and not package else "")
    if not case and re.search(r"\b(?:to|sot|do|d2?pak)-?\d", package):
        return ()
    rows = SHAPES[case or "flat or metal"]
    if case in ("half round", "metal back"):
        names = " ".join(_LEGS.get(leg, leg) if kind == "voltage regulator" else leg for leg in legs)
        rows = (*rows, *([f"  1 2 3 mostly {names}:"] if names else []), "  compare with the print")
    return rows


DRAWN: dict[str, Callable[[str, str, str], Sequence[str]]] = {
    "three legs": _three_legs, "chip": _chip, "optocoupler": _optocoupler, "box header": _box_header,
    "can": _can, "bridge": _bridge, "valve": _valve, "display": _display, "diode": _diode,
}  # fmt: skip
"""Drawings that follow from package and value, by the name in `Kind.drawing`; the others are `SHAPES`."""


def _case(text: str) -> str:
    return next((name for name, pattern in _CASES if re.search(pattern, text)), "")


def _spans(row: str) -> StyledRow:
    """Lines and blocks plain, letters and signs with the look of the words on which way round."""
    row = row[:WIDEST].rstrip()
    groups = groupby(row, key=lambda char: "plain" if char in _INKED else "way")
    spans: list[tuple[str, str]] = []
    for look, chars in groups:
        text = "".join(chars)
        if spans and (text.isspace() or spans[-1][1] == look):
            spans[-1] = (spans[-1][0] + text, spans[-1][1])
        else:
            spans.append((text, look))
    return tuple(spans)

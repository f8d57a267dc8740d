"""A resistor's colour bands, drawn and named; pure, cells only.

A band is a cell of its colour that holds its digit, with its name beside or under it, so
the strip reads just as well without colour.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache

from msgspec import Struct

from bench.parts.palette import COLOURS
from bench.tui.text import cells, wrap

Row = tuple[tuple[str, str], ...]
"""Spans from left to right: text and the name of a look."""


def _luminance(srgb: tuple[int, int, int]) -> float:
    """Relative luminance of a colour, 0 to 1 (WCAG 2.1)."""
    parts = [part / 255 for part in srgb]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _inks(srgb: tuple[int, int, int]) -> tuple[str, str]:
    """Black or white, whichever reads better, and the colour that it stands on."""
    light = _luminance(srgb) + 0.05
    return "#000000" if light / 0.05 > 1.05 / light else "#ffffff", "#{:02x}{:02x}{:02x}".format(*srgb)


BAND_LOOKS: dict[str, tuple[str, str]] = {
    f"band-{name}": _inks(colour.srgb) for name, colour in COLOURS.items()
}
"""Look -> foreground and background, in sRGB; one for each colour of a band."""

_SHORT = {
    "pink": "pnk", "silver": "slv", "gold": "gld", "black": "blk", "brown": "brn", "red": "red",
    "orange": "org", "yellow": "yel", "green": "grn", "blue": "blu", "violet": "vio", "grey": "gry",
    "white": "wht",
}  # fmt: skip
_MULTIPLIERS = {-3: "×0.001", -2: "×0.01", -1: "×0.1"} | {
    3 * step + zeros: f"×{10**zeros}{prefix}"
    for step, prefix in enumerate(("", "k", "M", "G"))
    for zeros in range(3)
}
_PRINTED_FROM_WATTS = 5
"""From here up resistors bear print and no bands: common practice."""


class _Band(Struct, frozen=True, kw_only=True):
    name: str
    label: str
    """The digit, the factor with its sign, or the tolerance."""
    apart: bool = False
    """After the wider gap, which tells the end of the code from its beginning."""

    @property
    def look(self) -> str:
        return f"band-{self.name}"


@lru_cache(maxsize=64)
def band_strip(value: str, tolerance: str, width: int, *, compact: bool = False) -> tuple[Row, ...]:
    """The colour bands of a resistor in `width` cells: four rows drawn, or few rows of words.

    `value` and `tolerance` are texts of a kit (`4k7`, `1 %`, `0.1 % 25 ppm/K`). The drawing gives way to
    words when `compact` asks for it or the width does not take it; words keep to one row if they can, with
    shortened names if they must. Without a tolerance the usual codes are given, each with its condition.
    No rows for what bears no bands: no resistance, a value or tolerance that bands cannot show, 5 W and up.

    >>> band_strip("4k7", "5 %", 40, compact=True)[0][0]
    ('yellow 4', 'band-yellow')
    """
    if width < 4:
        return ()
    codes = _codes(value, tolerance)
    rows: list[Row] = []
    for condition, bands in codes:
        drawn = () if compact or condition else _drawn(bands, width)
        rows += drawn or _words(condition, bands, width)
        if len(bands) == 1:
            rows += [((line, "plain"),) for line in wrap("one black band: a link of 0 Ω", width)]
    return tuple(rows)


def _codes(value: str, tolerance: str) -> list[tuple[str, list[_Band]]]:
    """Each code that the texts leave open, with the condition under which it holds."""
    from bench.parts.colours import ColourError, encode
    from bench.parts.quantity import read_value

    read = read_value(value[:100], "ohm")
    ohms, said = read.main, f"{tolerance[:100]} {value[:100]}"
    if ohms is None or ohms.unit != "ohm":
        return []
    if any(rating.unit == "watt" and rating.amount >= _PRINTED_FROM_WATTS for rating in read.ratings):
        return []
    percent = read_value(tolerance[:100]).tolerance_percent or read.tolerance_percent
    if percent is None and (letter := tolerance.strip()) in _LETTERS:
        percent = _LETTERS[letter]
    found = re.search(r"(\d{1,4}) ?ppm", said)
    tempco = int(found[1]) if found else None
    open_ones = [("", percent)] if percent is not None or not ohms.amount else _USUAL
    codes = []
    for condition, assumed in open_ones:
        try:
            bands = encode(ohms.amount, assumed, tempco)
        except ColourError:
            continue
        if condition and len(bands) != (4 if assumed == 5 else 5):
            continue
        codes.append((condition, _labelled(bands)))
    return codes


_LETTERS = {
    colour.tolerance_letter: colour.tolerance_percent
    for colour in COLOURS.values()
    if colour.tolerance_percent is not None
}
_USUAL: list[tuple[str, Decimal | None]] = [("if ±5 %:", Decimal(5)), ("if ±1 %:", Decimal(1))]


def _labelled(names: Sequence[str]) -> list[_Band]:
    """Bands with what each stands for in its place."""
    if len(names) == 1:
        return [_Band(name=names[0], label="0")]
    figures = 2 if len(names) < 5 else 3
    bands = [_Band(name=name, label=str(COLOURS[name].digit)) for name in names[:figures]]
    bands.append(_Band(name=names[figures], label=_MULTIPLIERS[COLOURS[names[figures]].exponent]))
    for name in names[figures + 1 : figures + 2]:
        bands.append(_Band(name=name, label=f"±{COLOURS[name].tolerance_percent} %", apart=True))
    for name in names[figures + 2 :]:
        bands.append(_Band(name=name, label=f"{COLOURS[name].tempco_ppm} ppm"))
    return bands


# -- drawn --------------------------------------------------------------------------------------
def _drawn(bands: Sequence[_Band], width: int) -> tuple[Row, ...]:
    """Leads, body, bands and their names, as roomy as the width allows; nothing when it does not fit."""
    for lead, pad, gap, air in ((6, 2, 3, 2), (4, 1, 3, 2), (2, 1, 2, 2), (2, 0, 1, 0), (1, 0, 1, 0)):
        rows = _body(bands, lead, pad, gap, air)
        if sum(cells(text) for text, _ in rows[1]) <= width:
            return rows
    return ()


def _body(bands: Sequence[_Band], lead: int, pad: int, gap: int, air: int) -> tuple[Row, ...]:
    edge: list[tuple[int, str, str]] = []
    middle: list[tuple[int, str, str]] = []
    names: list[tuple[int, str, str]] = []
    at = pad
    for band in bands:
        inside = max(4, len(band.label) + air)
        slot = max(inside + 2, len(band.name))
        at += (gap if band.apart else 0) + bool(edge)
        left = at + (slot - inside - 2) // 2
        edge.append((left, "═" * inside, band.look))
        middle.append((left, band.label.center(inside), band.look))
        names.append((at + (slot - len(band.name)) // 2, band.name, "plain"))
        at += slot
    length = at + pad
    blank, wire = " " * lead, "─" * lead
    top, bottom = (
        [(left, ends[0] + line + ends[1], look) for left, line, look in edge] for ends in ("╦╦", "╩╩")
    )
    boxed = [(left, f"║{label}║", look) for left, label, look in middle]
    return (
        _row(f"{blank}┌", top, "─", length, "┐"),
        _row(f"{wire}┤", boxed, " ", length, f"├{wire}"),
        _row(f"{blank}└", bottom, "─", length, "┘"),
        _row(f"{blank} ", names, " ", length, ""),
    )


def _row(before: str, pieces: Sequence[tuple[int, str, str]], fill: str, length: int, after: str) -> Row:
    """Pieces at their places, with `fill` between them."""
    spans: list[tuple[str, str]] = []
    at, plain = 0, before
    for left, text, look in pieces:
        plain += fill * (left - at)
        spans += [(plain, "plain")] if plain else []
        spans.append((text, look))
        at, plain = left + len(text), ""
    end = (fill * (length - at) + after).rstrip()
    return (*spans, (end, "plain")) if end else tuple(spans)


# -- in words -----------------------------------------------------------------------------------
def _words(condition: str, bands: Sequence[_Band], width: int) -> list[Row]:
    """The bands one after the other: `yellow 4 · violet 7`, in one row if any wording of it fits."""
    before = [(f"{condition} ", "plain")] if condition else []
    rows: list[Row] = [((line, "plain"),) for line in wrap(condition, width)] if condition else []
    for lead, above in ((before, []), ([], rows)) if condition else (([], rows),):
        for names, air in ((None, " "), (None, ""), (_SHORT, " "), (_SHORT, "")):
            texts = [f"{air}{names[band.name] if names else band.name} {band.label}{air}" for band in bands]
            row = (*lead, *_with_dots([(text, band.look) for text, band in zip(texts, bands, strict=True)]))
            if sum(cells(text) for text, _ in row) <= width:
                return [*above, row]
    words: list[tuple[str, str]] = []
    for band in bands:
        for text in wrap(f"{band.name} {band.label}", width):
            if words and sum(len(word) + 1 for word, _ in words) + len(text) > width:
                rows.append(tuple(_with_dots(words)))
                words = []
            words.append((text, band.look))
    return [*rows, tuple(_with_dots(words))]


def _with_dots(spans: Sequence[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    for number, span in enumerate(spans):
        if number:
            yield "·", "plain"
        yield span

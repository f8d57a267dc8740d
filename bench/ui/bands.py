"""A resistor's colour bands, drawn and named; pure, cells only.

A band is a cell of its colour that holds its digit, with its name beside or under it, so
the strip reads just as well without colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from bench.parts.band_codes import Band, band_codes
from bench.parts.palette import COLOURS
from bench.ui.text import cells, wrap

StyledRow = tuple[tuple[str, str], ...]
"""Spans from left to right: text and the name of a look."""


def _luminance(srgb: tuple[int, int, int]) -> float:
    """Relative luminance of a colour, 0 to 1 (WCAG 2.1)."""
    parts = [part / 255 for part in srgb]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _inks(srgb: tuple[int, int, int]) -> tuple[str, str]:
    """Foreground (black or white, by contrast) and background colour."""
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


@lru_cache(maxsize=64)
def band_strip(value: str, tolerance: str, width: int, *, compact: bool = False) -> tuple[StyledRow, ...]:
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
    codes = band_codes(value, tolerance)
    rows: list[StyledRow] = []
    for condition, bands in codes:
        drawn = () if compact or condition else _drawn(bands, width)
        rows += drawn or _words(condition, bands, width)
        if len(bands) == 1:
            rows += [((line, "plain"),) for line in wrap("one black band: a link of 0 Ω", width)]
    return tuple(rows)


def short_strip(value: str, tolerance: str, width: int) -> StyledRow:
    """The bands in one row of short names, all of them or with an ellipsis; empty for what bears none.

    >>> "".join(text for text, _ in short_strip("47R", "1 %", 40))
    'yel 4·vio 7·blk 0·gld ×0.1·brn ±1 %'
    """
    codes = band_codes(value, tolerance)
    if not codes:
        return ()
    condition, bands = codes[0]
    lead = [(f"{condition} ", "plain")] if condition else []
    spans = [(f"{_SHORT[band.name]} {band.label}", _look(band)) for band in bands]
    row: StyledRow = (*lead, *_with_dots(spans))
    while spans and sum(cells(text) for text, _ in row) > width:
        spans.pop()
        row = (*lead, *_with_dots(spans), ("…", "plain"))
    return row


def _look(band: Band) -> str:
    return f"band-{band.name}"


# -- drawn --------------------------------------------------------------------------------------
def _drawn(bands: Sequence[Band], width: int) -> tuple[StyledRow, ...]:
    """Leads, body, bands and their names, as roomy as the width allows; nothing when it does not fit."""
    for lead, pad, gap, air in ((6, 2, 3, 2), (4, 1, 3, 2), (2, 1, 2, 2), (2, 0, 1, 0), (1, 0, 1, 0)):
        rows = _body(bands, lead, pad, gap, air)
        if sum(cells(text) for text, _ in rows[1]) <= width:
            return rows
    return ()


def _body(bands: Sequence[Band], lead: int, pad: int, gap: int, air: int) -> tuple[StyledRow, ...]:
    edge: list[tuple[int, str, str]] = []
    middle: list[tuple[int, str, str]] = []
    names: list[tuple[int, str, str]] = []
    at = pad
    for band in bands:
        inside = max(4, len(band.label) + air)
        slot = max(inside + 2, len(band.name))
        at += (gap if band.apart else 0) + bool(edge)
        left = at + (slot - inside - 2) // 2
        edge.append((left, "═" * inside, _look(band)))
        middle.append((left, band.label.center(inside), _look(band)))
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


def _row(before: str, pieces: Sequence[tuple[int, str, str]], fill: str, length: int, after: str) -> StyledRow:
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
def _words(condition: str, bands: Sequence[Band], width: int) -> list[StyledRow]:
    """The bands one after the other: `yellow 4 · violet 7`, in one row if any wording of it fits."""
    before = [(f"{condition} ", "plain")] if condition else []
    rows: list[StyledRow] = [((line, "plain"),) for line in wrap(condition, width)] if condition else []
    for lead, above in ((before, []), ([], rows)) if condition else (([], rows),):
        for names, air in ((None, " "), (None, ""), (_SHORT, " "), (_SHORT, "")):
            texts = [f"{air}{names[band.name] if names else band.name} {band.label}{air}" for band in bands]
            row = (*lead, *_with_dots([(text, _look(band)) for text, band in zip(texts, bands, strict=True)]))
            if sum(cells(text) for text, _ in row) <= width:
                return [*above, row]
    words: list[tuple[str, str]] = []
    for band in bands:
        for text in wrap(f"{band.name} {band.label}", width):
            if words and sum(len(word) + 1 for word, _ in words) + len(text) > width:
                rows.append(tuple(_with_dots(words)))
                words = []
            words.append((text, _look(band)))
    return [*rows, tuple(_with_dots(words))]


def _with_dots(spans: Sequence[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    for number, span in enumerate(spans):
        if number:
            yield "·", "plain"
        yield span

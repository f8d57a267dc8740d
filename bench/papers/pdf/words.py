"""Words and lines of writing out of glyphs. Pure."""

from __future__ import annotations

import itertools
import re
import statistics
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from bench.papers.pdf.page import Glyph, Page

_GAP = 0.13
"""Of the size of the font: a gap wider than this parts two words."""
_OVER = 0.3
"""Of the size of the font: text that begins so far before the end of other text belongs to another cell."""
_LINES_OF_A_COLUMN = 3
_REPAIRS = str.maketrans({
    "ﬁ": "fi", "ﬂ": "fl", "ﬀ": "ff", "ﬃ": "ffi", "ﬄ": "ffl", "\u00ad": "-", "\u2010": "-", "\u2011": "-",
    "\u2212": "-", "\x02": "-", "\u00a0": " ", "\uf057": "Ω", "\uf06d": "µ", "\uf020": " ", "\ufeff": "",
    "\u200b": "",
})  # fmt: skip
"""Ligatures, hyphens and the signs of symbol fonts, as they are meant."""
_LOST_OMEGA = re.compile(r"\b([0-9][0-9.,]*) ?([kM]?)[yW\ufffd\uf000-\uf8ff](?![A-Za-z0-9])")


class Word(Struct, frozen=True, kw_only=True):
    """Signs without a gap between them, in one direction of writing."""

    text: str
    left: float
    bottom: float
    right: float
    top: float
    along: tuple[float, float]
    up: tuple[float, float]
    begin: float
    """Where it begins along its direction of writing."""
    end: float
    base: float
    """How far up its line of writing is, across the direction."""
    size: float
    run: int = 0
    """Words that were set in one go have one number."""

    @property
    def level(self) -> bool:
        """Whether it is written from left to right, upright and not mirrored."""
        return self.along[0] > 0.99 and self.up[1] > 0.99

    @property
    def mirrored(self) -> bool:
        """Whether it is seen as in a mirror."""
        return self.along[0] * self.up[1] - self.along[1] * self.up[0] < 0

    @property
    def centre(self) -> tuple[float, float]:
        """The middle of its box."""
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2


def words_of(page: Page) -> list[Word]:
    """The words on a page, in the order in which their lines of writing stand."""
    grouped: dict[tuple[tuple[float, float], tuple[float, float]], list[Glyph]] = defaultdict(list)
    for glyph in page.glyphs:
        key = (round(glyph.along[0], 1) + 0.0, round(glyph.along[1], 1) + 0.0), (
            round(glyph.up[0], 1) + 0.0, round(glyph.up[1], 1) + 0.0,
        )  # fmt: skip
        grouped[key].append(glyph)
    return [word for glyphs in grouped.values() for word in _words(glyphs)]


def _words(glyphs: Sequence[Glyph]) -> Iterator[Word]:
    """Words of glyphs that are written in one direction."""
    along, up = glyphs[0].along, glyphs[0].up
    placed = [(_dot(glyph, up), _dot(glyph, along), glyph) for glyph in glyphs]
    lines = [_in_runs(line) for line in _lines(placed)]
    columns = _columns(lines, along)
    for line in lines:
        run: list[tuple[float, Glyph]] = []
        doubled: set[tuple[str, int]] = set()
        for base, begin, glyph in line:
            key = (glyph.text, round(begin))
            if key in doubled and not glyph.text.isspace():
                continue  # printed twice for a bold look
            doubled.add(key)
            text = glyph.text.translate(_REPAIRS)
            if not text.strip():
                if run:
                    yield _word(run, along, up, base)
                run = []
                continue
            if run and (_apart(run[-1][1], glyph, along) or _reaches(run, glyph, along, columns)):
                yield _word(run, along, up, base)
                run = []
            run.append((base, glyph))
        if run:
            yield _word(run, along, up, run[0][0])


def _lines(placed: list[tuple[float, float, Glyph]]) -> Iterator[list[tuple[float, float, Glyph]]]:
    """Glyphs that stand on one line of writing, line by line."""
    line: list[tuple[float, float, Glyph]] = []
    for each in sorted(placed, key=lambda each: -each[0]):
        if line and line[0][0] - each[0] > 0.35 * max(min(each[2].size, line[0][2].size), 2.0):
            yield line
            line = []
        line.append(each)
    if line:
        yield line


def _in_runs(line: Sequence[tuple[float, float, Glyph]]) -> list[tuple[float, float, Glyph]]:
    """The glyphs of a line in order, those that were set in one go together: cells may lie over one another."""
    begins: dict[int, float] = {}
    for _, begin, glyph in line:
        begins[glyph.run] = min(begin, begins.get(glyph.run, begin))
    return sorted(line, key=lambda each: (begins[each[2].run], each[2].run, each[1]))


def _columns(
    lines: Iterable[Sequence[tuple[float, float, Glyph]]], along: tuple[float, float]
) -> frozenset[int]:
    """Where columns begin, to a point: runs of several lines begin there behind a gap."""
    begins: dict[int, int] = defaultdict(int)
    for line in lines:
        for (_, _, before), (_, begin, glyph) in itertools.pairwise(line):
            begins[round(begin)] += before.run != glyph.run and _apart(before, glyph, along)
    return frozenset(begin for begin, number in begins.items() if number >= _LINES_OF_A_COLUMN)


def _reaches(
    run: Sequence[tuple[float, Glyph]], glyph: Glyph, along: tuple[float, float], columns: frozenset[int]
) -> bool:
    """Whether a word reaches to where the next column begins with this glyph, or beyond."""
    before = run[-1][1]
    if before.run == glyph.run:
        return False
    over = _span(before, along)[1] - _span(glyph, along)[0] > _OVER * glyph.size
    return over or (len(run) > 1 and run[-2][1].run == before.run and round(_dot(glyph, along)) in columns)


def _dot(glyph: Glyph, direction: tuple[float, float]) -> float:
    return glyph.x * direction[0] + glyph.y * direction[1]


def _span(glyph: Glyph, along: tuple[float, float]) -> tuple[float, float]:
    """Where a glyph's box begins and ends along the direction of writing."""
    ends = [x * along[0] + y * along[1] for x in (glyph.left, glyph.right) for y in (glyph.bottom, glyph.top)]
    return min(ends), max(ends)


def _apart(before: Glyph, after: Glyph, along: tuple[float, float]) -> bool:
    size = max(min(before.size, after.size), 2.0)
    return _span(after, along)[0] - _span(before, along)[1] > _GAP * size


def _word(
    run: Sequence[tuple[float, Glyph]], along: tuple[float, float], up: tuple[float, float], base: float
) -> Word:
    glyphs = [glyph for _, glyph in run]
    text = "".join(glyph.text for glyph in glyphs).translate(_REPAIRS)
    return Word(
        text=text,
        left=min(glyph.left for glyph in glyphs),
        bottom=min(glyph.bottom for glyph in glyphs),
        right=max(glyph.right for glyph in glyphs),
        top=max(glyph.top for glyph in glyphs),
        along=along,
        up=up,
        begin=min(_span(glyph, along)[0] for glyph in glyphs),
        end=max(_span(glyph, along)[1] for glyph in glyphs),
        base=base,
        size=statistics.median(glyph.size for glyph in glyphs) or 8.0,
        run=glyphs[0].run,
    )


class TextLine(Struct, frozen=True, kw_only=True):
    """Words on one line of writing, from left to right."""

    page: int
    words: tuple[Word, ...]

    @property
    def text(self) -> str:
        """The words with one space between them."""
        return " ".join(word.text for word in self.words)

    @property
    def base(self) -> float:
        """How far up the line of writing is."""
        return self.words[0].base


def lines_of(words: Iterable[Word], page: int) -> list[TextLine]:
    """Level words as lines from top to bottom."""
    lines: list[list[Word]] = []
    for word in sorted((word for word in words if word.level), key=lambda word: (-word.base, word.begin)):
        if lines and lines[-1][0].base - word.base <= 0.35 * max(min(word.size, lines[-1][0].size), 2.0):
            lines[-1].append(word)
        else:
            lines.append([word])
    return [TextLine(page=page, words=tuple(sorted(line, key=lambda word: word.begin))) for line in lines]


def aligned(lines: Sequence[TextLine]) -> list[str]:
    """Lines as text in which columns stand under one another, as on a typewriter."""
    widths = [
        (word.right - word.left) / len(word.text) for line in lines for word in line.words if len(word.text) > 2
    ]
    pitch = max(statistics.median(widths), 1.0) if widths else 5.0
    origin = min((line.words[0].left for line in lines), default=0.0)
    written = []
    for line in lines:
        row, before = "", None
        for word in line.words:
            at = round((word.left - origin) / pitch)
            if before is None:
                row = " " * at + word.text
            elif word.left - before.right > 0.9 * word.size:
                row = row.ljust(max(at, len(row) + 2)) + word.text
            else:
                row = f"{row} {word.text}"
            before = word
        written.append(row)
    return written


def repaired(text: str) -> str:
    """A text with the ohm signs that its font lost.

    >>> repaired("R1 10ky 1%"), repaired("47 W"), repaired("4.7kW"), repaired("Ray")
    ('R1 10kΩ 1%', '47 W', '4.7kΩ', 'Ray')
    """
    return _LOST_OMEGA.sub(_with_omega, text)


def _with_omega(found: re.Match[str]) -> str:
    sign = found[0][-1]
    if sign == "W" and not found[2]:
        return found[0]  # watts
    return f"{found[1]}{found[2]}Ω"

"""What a page of a PDF holds, as frozen values: glyphs in their places, drawn lines, how much is picture. Pure.

Lengths are points (1/72 inch), y upwards, as the page is seen: its own rotation is taken off.
"""

from __future__ import annotations

from msgspec import Struct


class Glyph(Struct, frozen=True, array_like=True):
    """One sign on a page."""

    text: str
    x: float
    """Where it stands on its line of writing."""
    y: float
    left: float
    bottom: float
    right: float
    top: float
    along: tuple[float, float]
    """The direction of writing, of length 1."""
    up: tuple[float, float]
    """The direction in which the sign stands up, of length 1; mirrored text has it the other way round."""
    size: float
    """The size of the font as it is seen."""
    run: int = 0
    """Signs that were set in one go have one number."""


class Rule(Struct, frozen=True, array_like=True):
    """One straight line, level or upright."""

    x0: float
    y0: float
    x1: float
    y1: float


class Page(Struct, frozen=True, kw_only=True):
    """One page."""

    number: int
    """From 1."""
    width: float
    height: float
    glyphs: tuple[Glyph, ...] = ()
    rules: tuple[Rule, ...] = ()
    shapes: tuple[tuple[float, float, float, float], ...] = ()
    """Left, bottom, right, top of what is drawn, path by path; the smallest are left out."""
    strokes: int = 0
    """Paths that are drawn on it."""
    pictures: int = 0


class Extract(Struct, frozen=True, kw_only=True):
    """What was taken out of a PDF."""

    pages: tuple[Page, ...] = ()
    number: int = 0
    """Pages of the whole file; more than `pages` where it was cut short."""
    error: str = ""
    """Why nothing could be taken out: `password`, `damaged`, `missing`."""

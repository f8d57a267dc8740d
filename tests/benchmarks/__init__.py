"""Measurements with seeds: what the program promises in figures, each printed beside its goal."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from msgspec import Struct


class Figure(Struct, frozen=True, kw_only=True):
    """One measured figure."""

    what: str
    """What was measured, with its unit."""
    value: float
    goal: str
    """What it should be, in words: `>= 0.95`."""
    met: bool
    detail: str = ""
    """How many cases, which seed, what was missed."""


Benchmark = Callable[[int, bool], Iterable[Figure]]
"""Takes a seed and whether a quick run is wanted."""

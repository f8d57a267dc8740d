"""Bars of characters, for what people would rather look at than read; pure."""

from __future__ import annotations

FULL, REST = "━", "┄"


def bar_text(share: float, width: int) -> tuple[str, str]:
    """The full and the empty part of a bar of `width` cells; full only when all of it is, empty only at 0.

    >>> bar_text(0.5, 4), bar_text(0.99, 4), bar_text(0.01, 4), bar_text(0, 4)
    (('━━', '┄┄'), ('━━━', '┄'), ('━', '┄┄┄'), ('', '┄┄┄┄'))
    """
    full = width if share >= 1 else min(width - 1, max(int(share > 0), round(share * width)))
    return FULL * full, REST * (width - full)

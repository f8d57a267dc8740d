"""Drawn rows as text, and the looks that their cells may have."""

from __future__ import annotations

from bench.ui.bands import BAND_LOOKS, StyledRow

LOOKS = {"plain", "way", *BAND_LOOKS}


def text_of(row: StyledRow) -> str:
    return "".join(text for text, _ in row)

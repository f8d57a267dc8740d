"""Values of capacitors, and what the best reading of a marking says."""

from __future__ import annotations

from decimal import Decimal

from bench.parts.codes import read_marking

PICO, NANO, MICRO = Decimal("1E-12"), Decimal("1E-9"), Decimal("1E-6")


def best(text: str) -> str:
    return read_marking(text)[0].text

"""The bands of a resistor as a drawing in mm, with their names; pure."""

from __future__ import annotations

from bench.parts.band_codes import Band, band_codes
from bench.parts.palette import COLOURS
from bench.writeup.sheets.sheet_model import Strip, Stripe

LEAD, SLOT, WIDTH, WIDER = 2.0, 10.5, 5.0, 2.5
"""mm: each lead; room for a band and its name in 9 pt; a band; more before the tolerance."""
LETTER = 1.9
"""mm for each character of what stands under a band in bold."""


def strips_of(value: str, tolerance: str) -> tuple[Strip, ...]:
    """Each code that value and tolerance leave open; none for what bears no bands.

    >>> [stripe.name for stripe in strips_of("4k7", "5 %")[0].stripes]
    ['yellow', 'violet', 'red', 'gold']
    """
    return tuple(_strip(condition, bands) for condition, bands in band_codes(value, tolerance))


def _strip(condition: str, bands: list[Band]) -> Strip:
    stripes = []
    at = LEAD
    for band in bands:
        room = max(SLOT, LETTER * len(band.label))
        middle = at + room / 2 + (WIDER if band.apart else 0)
        fill = "#{:02x}{:02x}{:02x}".format(*COLOURS[band.name].srgb)
        stripes.append(
            Stripe(middle=round(middle, 2), width=WIDTH, fill=fill, name=band.name, label=band.label)
        )
        at = middle + room / 2
    return Strip(condition=condition, stripes=tuple(stripes), length=round(at + LEAD, 2))

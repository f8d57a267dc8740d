"""Which band colours people take for one another, under a bench lamp and with colour-blind eyes.

The table was worked out with published formulas, which stand in `tests/support/colour_science.py` and are held
against it there: a pair is alike below a CIEDE2000 difference of 14, to usual eyes or with a deficiency at its
fullest. That limit is our own choice, not a published one: bands are a millimetre wide, lacquered, worn and
lit from one side, so far more is needed than the difference of about 1 that is just seen on large fields side
by side.
"""

from __future__ import annotations

from functools import cache

from bench.parts.palette import COLOURS, colour_named

_ON_BANDS = "are easily confused when bands are small or discoloured"
"""Pairs that builders mix up: common practice, no source."""
_PAIRS = {
    _ON_BANDS: (
        "brown red", "red orange", "brown orange", "violet grey", "grey black", "violet black", "blue green",
        "blue violet", "brown black", "brown gold", "orange gold", "yellow gold", "grey silver", "white grey",
    ),
    "are close in hue and brightness": ("silver white",),
    "look much the same to protan eyes": ("pink grey", "gold green", "orange green"),
    "look much the same to deutan eyes": ("brown green", "red green"),
    "look much the same to tritan eyes": ("pink gold", "pink orange", "pink yellow", "brown violet"),
    "look much the same to protan and deutan eyes": ("pink silver",),
}  # fmt: skip
"""Why a pair is taken for one another -> such pairs."""
_WHY = {frozenset(pair.split()): why for why, pairs in _PAIRS.items() for pair in pairs}


def confusable(colour_a: str, colour_b: str) -> str | None:
    """Say why two band colours are taken for one another; None when they are told apart well.

    Raises ColourError for a word that is no band colour.

    >>> confusable("brown", "red")
    'brown and red are easily confused when bands are small or discoloured'
    >>> confusable("black", "white") is None
    True
    """
    first, second = colour_named(colour_a).name, colour_named(colour_b).name
    why = _WHY.get(frozenset((first, second)))
    return f"{first} and {second} {why}" if why else None


@cache
def mistaken_for(colour: str) -> tuple[str, ...]:
    """List the band colours that people take for this one, in the order of the table.

    >>> "red" in mistaken_for("brown")
    True
    """
    return tuple(other for other in COLOURS if confusable(colour, other))

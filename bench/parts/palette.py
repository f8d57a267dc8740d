"""The colours of resistor bands: what each stands for in IEC 60062:2016, its names, and how to draw it.

Which colours people take for one another, under a bench lamp and with colour-blind eyes, was worked out with
published formulas, which stand in `tests/support/colour_science.py` and are held against the table there: a
pair is alike below a CIEDE2000 difference of 14, to usual eyes or with a deficiency at its fullest. That limit
is our own choice: bands are a millimetre wide, lacquered, worn and lit from one side, so far more is needed
than the difference of about 1 that is just seen on large fields side by side.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

from msgspec import Struct

from bench.errors import SoldersideError


class ColourError(SoldersideError):
    """A word that is no band colour, or a value that bands cannot show."""


class Colour(Struct, frozen=True, kw_only=True):
    """What one band colour stands for in each place, and how to draw it."""

    name: str
    digit: int | None
    """The figure it stands for, None for metals and pink."""
    exponent: int
    """As a multiplier: the power of ten."""
    tolerance_percent: Decimal | None
    """±, as of 2016."""
    tolerance_letter: str
    tempco_ppm: int | None
    """±, in ppm/K."""
    code: str
    """Two letters, IEC 60757."""
    srgb: tuple[int, int, int]
    """An approximation for drawing, our own choice: 0 to 255 in sRGB. Paint differs from maker to maker."""


def _colour(
    name: str, code: str, digit: int | None, exponent: int, tolerance: str, tempco: str, rgb: int
) -> Colour:
    """A row of the table; the tolerance is number and letter with a space between."""
    percent, _, tolerance_letter = tolerance.partition(" ")
    return Colour(
        name=name,
        code=code,
        digit=digit,
        exponent=exponent,
        tolerance_percent=Decimal(percent) if percent else None,
        tolerance_letter=tolerance_letter,
        tempco_ppm=int(tempco) if tempco else None,
        srgb=(rgb >> 16, rgb >> 8 & 255, rgb & 255),
    )


COLOURS: dict[str, Colour] = {
    colour.name: colour
    for colour in (
        _colour("pink", "PK", None, -3, "", "", 0xF096AF),
        _colour("silver", "SR", None, -2, "10 K", "", 0xB9BBBE),
        _colour("gold", "GD", None, -1, "5 J", "", 0xBE963C),
        _colour("black", "BK", 0, 0, "", "250", 0x1A1A1A),
        _colour("brown", "BN", 1, 1, "1 F", "100", 0x76421E),
        _colour("red", "RD", 2, 2, "2 G", "50", 0xCD2026),
        _colour("orange", "OG", 3, 3, "0.05 W", "15", 0xF07819),
        _colour("yellow", "YE", 4, 4, "0.02 P", "25", 0xFAD21E),
        _colour("green", "GN", 5, 5, "0.5 D", "20", 0x288C3C),
        _colour("blue", "BU", 6, 6, "0.25 C", "10", 0x2355B4),
        _colour("violet", "VT", 7, 7, "0.1 B", "5", 0x7D3C96),
        _colour("grey", "GY", 8, 8, "0.01 L", "1", 0x808080),
        _colour("white", "WH", 9, 9, "", "", 0xF5F5F5),
    )
}
"""IEC 60062:2016, by name, in the order of the multiplier."""

DIGITS: tuple[str, ...] = tuple(colour.name for colour in COLOURS.values() if colour.digit is not None)
"""Colour names by the figure they stand for, 0 to 9."""

NO_BAND_PERCENT = Decimal(20)
"""Tolerance of a code without a tolerance band, ±, in per cent."""

_NAMES = {
    "black": "blk schwarz noir negro nero zwart preto svart czarny",
    "brown": "brn br braun marron brun marrón castaño castano marrone bruin castanho marrom brązowy brazowy",
    "red": "rot rouge rojo rosso rood vermelho röd rød czerwony",
    "orange": "org orn ora naranja anaranjado arancio arancione oranje laranja pomarańczowy pomaranczowy",
    "yellow": "yel gelb jaune amarillo giallo geel amarelo gul żółty zolty ylw",
    "green": "grn grün gruen gruen grun vert verde groen grön grøn zielony",
    "blue": "blu blau bleu azul blu blauw blå niebieski",
    "violet": "purple vio vi violett lila violeta morado viola paars roxo fioletowy",
    "grey": "gray gry grau gris grigio grijs cinza cinzento grå szary",
    "white": "wht weiß weiss weis blanc blanco bianco wit branco vit hvid biały bialy",
    "gold": "gld oro doré dore dorado goud ouro guld złoty zloty",
    "silver": "slv sil silber argent argenté argente plata plateado argento zilver prata sølv srebrny",
    "pink": "pnk rosa roze",
}
"""What else each is called: by abbreviations, and in German, French, Spanish, Italian, Dutch, Portuguese,
Scandinavian and Polish."""
_OTHER_NAMES = {word: name for name, words in _NAMES.items() for word in words.split()}
_FRENCH = frozenset(("noir", "marron", "brun", "rouge", "jaune", "vert", "bleu", "gris", "blanc", "argent"))
_BY_CODE = {colour.code.lower(): name for name, colour in COLOURS.items()}
_KNOWN = {**{name: name for name in COLOURS}, **_OTHER_NAMES, **_BY_CODE}


def colour_named(word: str) -> Colour:
    """Find the colour a word means: a name, a trade abbreviation or a code of IEC 60757, in any case.

    Raises ColourError, with the nearest name, for any other word.

    >>> colour_named("Gray").name, colour_named("purple").name, colour_named("VT").name
    ('grey', 'violet', 'violet')
    """
    from difflib import get_close_matches  # slow to import, and needed for a hint only

    wanted = word.strip().casefold()
    name = _KNOWN.get(wanted)
    if name is None and len(wanted) >= 3:
        starts = [full for full in (*COLOURS, "gray", "purple") if full.startswith(wanted)]
        name = _KNOWN[starts[0]] if len(starts) == 1 else None
    if name is None:
        near = get_close_matches(wanted, (*COLOURS, "gray", "purple"), n=2, cutoff=0.5)
        hint = f"did you mean {' or '.join(near)}?" if near else f"the colours are {', '.join(COLOURS)}"
        raise ColourError(f"{word.strip()!r} is not a band colour", hint=hint)
    return COLOURS[name]


def parse_bands(text: str) -> tuple[str, ...]:
    """Parse colour names in one line: separated by spaces, commas or dashes, or two-letter codes run together.

    A trailing `none` (no tolerance band) is left out. Raises ColourError saying which words were
    understood and which were not.

    >>> parse_bands("brn blk-red, gold"), parse_bands("YEVTRDGD")
    (('brown', 'black', 'red', 'gold'), ('yellow', 'violet', 'red', 'gold'))
    """
    names: list[str] = []
    strange: list[ColourError] = []
    words = re.findall(r"[^\s,;/|+()–—-]+", text)
    french = not _FRENCH.isdisjoint(word.casefold() for word in words)
    for word in words:
        if french and word.casefold() == "or":
            names.append("gold")
            continue
        pairs = re.findall("..", word.casefold())
        if len(word) % 2 == 0 and word.casefold() not in _KNOWN and all(pair in _BY_CODE for pair in pairs):
            names += [_BY_CODE[pair] for pair in pairs]
            continue
        try:
            names.append(colour_named(word).name)
        except ColourError as error:
            if word.casefold() != "none":
                strange.append(error)
    if strange:
        understood = f" (understood: {', '.join(names)})" if names else ""
        raise ColourError("; ".join(error.what for error in strange) + understood, hint=strange[0].hint)
    if not names:
        raise ColourError("there is no colour here", hint="name the bands, such as: brown black red gold")
    return tuple(names)


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

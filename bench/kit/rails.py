"""Supply rails, nets and places: the voltages their names state, and what kills at them. Pure.

Limits, and where they come from:

- extra-low voltage ends at 50 V AC and 120 V ripple-free DC: IEC 61140 and IEC 60364-4-41, seen via the
  IEC's vocabulary (SELV, IEC 61558-1:2005, 3.7.16). A rail that does not say which of the two it is gets
  the lower one;
- no live measurement is proposed above 50 V whatever the kind: stricter than the 60 V DC of IEC 62368-1, ES1
  table 4 (2018, from memory), and of IEC 61010-1 (seen via In Compliance Magazine), so that one number holds
  for both kinds;
- mains voltages are the nominal ones of IEC 60038 and of older nets with about 10 % (from memory).

Words that give the mains away are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from bench.kit.kit import Rail

MAINS, HIGH_VOLTAGE = "mains", "high voltage"
MOST_AC = 50.0
MOST_DC = 120.0
"""Volts, the limits of extra-low voltage (module docstring)."""
MOST_LIVE = 50.0
"""Volts to 0 V above which no live measurement is proposed, alternating or not (module docstring)."""

NUMBER = r"[0-9]+(?:[.,][0-9]+)?"
_VOLTS = re.compile(
    rf"(?<![a-wyz0-9.,]){NUMBER}(?:\s*(?:/|:|-|\u2013|\.\.|\bto\b|\bbis\b)\s*[+\-\u2212~]?\s*{NUMBER})*"
    r"\s?(k?)(?:W?V(?:AC|DC|DCW|W|rms|olts?)?|AC)(?![a-z0-9])",
    re.IGNORECASE,
)
_BARE = re.compile(r"^\s*[+\-\u2212~]?\s*([0-9]{3})(?: [0-9.,]+ ?m?A)?\s*$")
"""A name that is a number and nothing else: `230`, `+250`."""
_BARE_RANGE = re.compile(r"^\s*(?:3 ?x ?)?([0-9]{3}) ?[-/] ?([0-9]{3})\s*$")
"""And a range: `110-240`, `3x230/400`."""
_TAPPED = re.compile(rf"({NUMBER})\s*-\s*0\s*-\s*({NUMBER})\s*V", re.IGNORECASE)
_TWICE = re.compile(rf"\b2 ?x ?({NUMBER}) ?V(?: ?AC|~)", re.IGNORECASE)
"""Two windings that may be joined end to end."""
IS_AC = re.compile(r"\bAC\b|VAC\b|V ?~|~ ?[0-9]|Vrms|\b[56]0 ?Hz\b|\balternating\b", re.IGNORECASE)
_IS_DC = re.compile(r"\bDC\b|VDC\b|\bB\+|\bHT\b|^\s*[+\-\u2212±]", re.IGNORECASE)
_MAINS_WORD = re.compile(
    r"\bmains\b|\bline (?:voltage|cord)\b|\bpower cord\b|\bIEC (?:60320|C ?1[0-9]|C ?[5-8]|(?:\w+ )?(?:inlet|"
    r"socket|plug|connector|lead|panel))|\bC(?:8|14|16|18|20) (?:inlet|socket)|"
    r"\b(?:wall|schuko) (?:plug|socket|outlet)\b|"
    r"^\s*(?:(?:AC )?(?:live|neut(?:ral)?)|AC (?:line|L))(?: ?(?:in|out|[0-9]))?\s*$|"
    r"\b(?:live|line|phase)\W+(?:and )?neutral\b|(?-i:\bL[123]?[ ,/&+-]+N\b)|"
    r"\b(?:H0[357]VV|H05RN|[23][ -]core (?:flex|mains))\b|\b(?:house|household) current\b|"
    r"\bNetz(?:spannung|schalter|kabel|trafo|stecker|buchse|eingang)|"
    r"\bKaltger\w+|\bSteckdose\b|\bsecteur\b|\btoma de red\b|^\s*Netz\s*$",
    re.IGNORECASE,
)
"""An underscore counts as a blank: `MAINS_L`."""
ADAPTER = re.compile(
    r"adapt[eo]r|wall[ -]?wart|plug[ -]?in (?:supply|power|transformer|psu)|plug ?pack|power (?:brick|bank)|"
    r"steckernetzteil|\b(?:phone|USB) (?:charger|plug|supply)\b",
    re.IGNORECASE,
)
"""A closed supply that stays closed: what it is plugged into is not in the kit."""
BOUGHT = re.compile(rf"{ADAPTER.pattern}|\bUSB\b|\bcharger\b", re.IGNORECASE)
"""The same, in the name of a rail: on a part these words may tell what the kit itself is."""
_NOT_MAINS = re.compile(
    r"\b(?:no|not|without|never|away) (?:from |to |on )?(?:the )?mains\b"
    r"(?![ -]?(?:switch|fuse|earth|plug|filter|lamp|lead|cable|wir|inlet|socket|isolat|selector|indicator))|"
    r"\bmains (?:charger|brick|plug pack)\b",
    re.IGNORECASE,
)
_HIGH_WORD = re.compile(
    r"\bhigh[ -]voltage\b|\bE?HT\b|\bHV\b|\b(?:plate|anode) supply\b|\bV ?(?:plate|anode)\b", re.IGNORECASE
)
_MAINS_VOLTS = ((100.0, 132.0), (200.0, 280.0), (380.0, 440.0))


def net_name(name: str) -> str:
    """The name of a net or rail as it is compared: `+12 V` and `+12V` are one."""
    return "".join(name.split()).casefold().replace("\u2212", "-")


@lru_cache(maxsize=512)
def rail_hazard(text: str) -> str:
    """The hazard of a supply rail, a net or a place that is called so; empty for none.

    >>> [rail_hazard(text) for text in ("230 V AC", "+300 V", "12 V AC adapter", "+48 V phantom", "mains")]
    ['mains', 'high voltage', '', '', 'mains']
    """
    text = text.replace("_", " ")
    bare = _BARE_RANGE.findall(text)
    volts = volts_in(text) or tuple(map(float, bare[0] if bare else _BARE.findall(text)))
    if BOUGHT.search(text):
        return HIGH_VOLTAGE if volts and min(volts) > MOST_DC else ""
    if says_mains(text):
        return MAINS
    most = max((*volts, *tapped(text)), default=0.0)
    if not _IS_DC.search(text) and any(is_mains(each) for each in volts):
        return MAINS
    return HIGH_VOLTAGE if most > most_of(text) or (not volts and _HIGH_WORD.search(text)) else ""


@lru_cache(maxsize=512)
def high_rail(rail: Rail) -> bool:
    """Whether nothing is to be measured or tried at this rail while it is live, but what its maker asks for.

    >>> [high_rail(Rail(name=name, current="")) for name in ("+12 V", "230 VAC", "0.25 kV", "mains", "+60 V")]
    [False, True, True, True, True]
    """
    text = f"{rail.name} {rail.current}"
    adapter = BOUGHT.search(text)
    volts = volts_in(text)
    most = (min if adapter else max)(volts, default=0.0)
    return bool(rail_hazard(text)) or most > MOST_LIVE


@lru_cache(maxsize=2048)
def volts_in(text: str) -> tuple[float, ...]:
    """All voltages that a text states, without signs, in the order written; not what insulation stands.

    >>> volts_in("115/230 V to 2 x 12 V, 5 VA, tested with 4 kV insulation")
    (115.0, 230.0, 12.0)
    """
    found: list[float] = []
    for match in _VOLTS.finditer(text):
        if re.search(r"(?:insulat\w*|isolat\w*|test\w*)(?: with| of| voltage)*\s*$", text[: match.start()]) or (
            re.match(r"\s*(?:AC|DC|rms)?\s*(?:insulat|isolat|test)", text[match.end() :])
        ):
            continue
        scale = 1000.0 if match[1] else 1.0
        found += [float(number.replace(",", ".")) * scale for number in re.findall(NUMBER, match[0])]
    return tuple(found)


def tapped(text: str) -> Iterator[float]:
    """From end to end of windings with a tap in the middle, `35-0-35 V`, and of two alike, `2 x 35 V AC`."""
    for match in _TAPPED.finditer(text):
        yield float(match[1].replace(",", ".")) + float(match[2].replace(",", "."))
    for match in _TWICE.finditer(text):
        yield 2 * float(match[1].replace(",", "."))


def most_of(text: str) -> float:
    """The limit of extra-low voltage: the lower one where the text does not say that it is DC."""
    return MOST_DC if _IS_DC.search(text) and not IS_AC.search(text) else MOST_AC


def is_mains(volts: float) -> bool:
    """Whether so many volts are those of a mains net."""
    return any(least <= volts <= most for least, most in _MAINS_VOLTS)


def says_mains(text: str) -> bool:
    """Whether a text speaks of the mains, and not of a closed adapter or of having none.

    >>> [says_mains(text) for text in ("MAINS_L", "no mains switch", "no mains inside", "L, N, PE", "adapter")]
    [True, True, False, True, False]
    """
    text = _NOT_MAINS.sub(" ", text.replace("_", " "))
    return bool(_MAINS_WORD.search(text)) and not ADAPTER.search(text)

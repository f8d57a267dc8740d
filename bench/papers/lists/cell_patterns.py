"""What a cell looks like, from a glance: cheap tests that decide the role of a column.

`quantity.read_value` has the last word on a value; these patterns only weigh thousands of cells quickly.
"""

from __future__ import annotations

import re
from functools import lru_cache

_GLANCE = 250
"""Characters of a cell that are looked at; what is longer is no value anyway."""
_NUMBER = r"[0-9]{1,6}(?:[.,'][0-9]{1,6}){0,2}|[.,][0-9]{1,4}"
_UNIT = r"ohms?|Ohms?|OHMS?|Ω|Ω|[Ff]|Hz|HZ|hz|[Hh]y?|[Vv]|VDC|[Aa]|[Ww]|%"
_PREFIX = r"Meg|MEG|meg|mega|kilo|mfd|MFD|p|n|u|µ|μ|m|k|K|M|G|R|r|E|P|N|U|к|К|М|н|мк"
_WORTH = re.compile(
    rf"""[~≈<>±]?\s?(?:[ABCDWabc]\s?)?(?:
        (?:{_NUMBER})(?:(?:{_PREFIX})[0-9]{{0,3}}|\s(?:{_PREFIX})(?![0-9]))?(?:\s?(?:{_UNIT}))?(?:[ABCFGJKM]|lin|log|LIN|LOG)?
      | [RrkKMpnuµμ][0-9]{{1,4}}(?:{_UNIT})?
    )(?:[ABC])?""",
    re.VERBOSE,
)
_BESIDE = re.compile(
    rf"""\s*(?:[/,;@+|]|±|\+/?-|-|–|to\b|or\b)?\s*(?:
        (?:{_NUMBER})(?:(?:{_PREFIX})[0-9]{{0,3}}|\s(?:{_PREFIX}))?\s?(?:{_UNIT})
      | 1/[0-9]{{1,2}}\s?W?(?:att)?\b | [(\[][^()\[\]]{{0,60}}[)\]] | (?:{_NUMBER})\s?(?:{_PREFIX})[0-9]{{0,3}}
      | (?:lin(?:ear)?|log(?:arithmic)?|audio|rev(?:erse)?\ log|taper|X7R|X5R|C0G|COG|NP0|NPO|Y5V|Z5U
          |watts?|volts?|ohms?|[kM]?Ω|[munpµμ]?[FH]|Hz|[kM]Hz|VDC|V|W|DNP|omit|ppm)\b | %
    )""",
    re.VERBOSE | re.IGNORECASE,
)
_ANYWHERE = re.compile(
    rf"(?<![\w.,-])(?:{_NUMBER})\s?(?:(?:{_PREFIX})\s?(?:{_UNIT})?|{_UNIT})[0-9]{{0,2}}(?![\w])"
)
_BARE = re.compile(rf"(?:{_NUMBER})")
_TYPE = re.compile(
    r"(?:[0-9]{1,2}[A-Za-z]{1,4}[0-9]{2,5}|[A-Za-z]{1,6}-?[0-9]{2,}|[A-Za-z]{2,5}[0-9])[\w/.+-]{0,24}"
    r"|[0-9]{3,5}[A-Z]{0,3}"
)
_FOOTPRINT = re.compile(
    r"""\w+:\w\S*|.*(?:_P[0-9.]+mm|_[LWDH][0-9.]+mm|DIN[0-9]{4}|[RCL]_(?:Axial|Rect|Disc|Radial)|Horizontal|Vertical
      |\b(?:SO|SOIC|SOT|SOD|TO|DO|DIP|DIL|SIP|SIL|TSSOP|SSOP|QFN|QFP|MSOP|PDIP|HC|DPAK|SMA|SMB|CASE)-?[0-9]
      |(?<![0-9])(?:0402|0603|0805|1206|1210|1812|2512)(?![0-9]))[^\s]*(?:\s.*)?""",
    re.VERBOSE,
)
_SIZE_CODE = re.compile(r"0[1-9]0[0-9]|1206|1210|1812|2010|2512|0[2-9][0-9]{2}(?:/[0-9]+)?")
_LINK = re.compile(r"https?://|www\.|\.pdf\b|\.com/", re.IGNORECASE)
_PRICE = re.compile(r"[$€£¥]\s?[0-9]|[0-9][0-9.,]*\s?(?:[$€£]|EUR|USD|GBP|kr)(?!\w)|[0-9]+[.,][0-9]{2}(?=$)")
_WHOLE = re.compile(
    r"\s*(?:x|×)?\s*([0-9]{1,5})(?:[.,]0+)?\s*(?:x|×|pcs?\.?|pieces?|off|ea|stk\.?|st\.?|個|本|шт\.?)?\s*", re.I
)
_TURN = re.compile(r"S?M?R(?:0|45|90|135|180|225|270|315)(?:\.0+)?")
_RATING = re.compile(
    r"(?:\w[\w ]{0,20}\s)?"
    r"(?:[0-9][0-9.,]*\s?(?:v|volts?|vdc|vac|w|watts?|%|ppm)|[0-9]/[0-9]{1,2}\s?(?:w|watts?)?)"
    r"|(?:lin(?:ear)?|log(?:arithmic)?|[x×]\s?[0-9]{1,2}|[+±]\s?\S.{0,30})",
    re.IGNORECASE,
)
_LIMIT = re.compile(r"(?:[0-9][0-9.,]*|[0-9]/[0-9]{1,2})\s?(?:V|VDC|VAC|W|watts?|volts?|%)", re.IGNORECASE)
_LEADING_COUNT = re.compile(r"\s*([0-9]{1,5})(?![0-9.,])\s*(?:x|×|pcs?\.?|\()?", re.IGNORECASE)


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


OHMS = _words("R RV VR RN RP RA P POT TM TRIM RT TH LDR VDR NTC RL RF RG RS RI RO RIN POTI TRIMMER")
FARADS = _words("C CT TC CV VC CX CIN CS CF CE CP CN CA CB CC")
HENRIES = _words("L FB E LX")
TYPES = _words("D Q U IC T TR V VT ZD CR DZ OK OPTO VD BR REG")
"""Class letters of parts measured in ohms, farads and henries, and of parts that go by type numbers."""


@lru_cache(maxsize=16384)
def worth(cell: str) -> float:
    """How much a cell looks like a quantity with what may stand beside it, 0 to 1.

    >>> worth("47uF 6,3V"), worth("100Ω resistor"), worth("see note")
    (1.0, 0.7, 0.0)
    """
    cell = cell[:_GLANCE]
    found = _WORTH.match(cell)
    if found and found.end() and any(sign.isdigit() for sign in found[0]):
        at, last = found.end(), -1
        while at < len(cell) and at != last:
            last = at
            beside = _BESIDE.match(cell, at)
            at = beside.end() if beside else at
        rest = cell[at:].strip()
        if not rest:
            return 0.8 if _BARE.fullmatch(cell) else 1.0
        if not cell[at].isalnum() and not _BARE.fullmatch(found[0].strip()):
            return 0.7
    return 0.4 if _ANYWHERE.search(cell[:300]) else 0.0


def worth_end(text: str) -> int:
    """Where the quantity at the beginning of a text ends, with ratings and brackets beside it; 0 for none.

    >>> worth_end("10uF 25V electrolytic"), worth_end("red LED")
    (8, 0)
    """
    found = _WORTH.match(text)
    if not found or not any(sign.isdigit() for sign in found[0]):
        return 0
    at = found.end()
    if at < len(text) and (text[at].isalnum() or text[at] in "._"):
        return 0
    while beside := _BESIDE.match(text, at):
        end = beside.end()
        if end == at or (end < len(text) and text[end].isalnum() and text[end - 1].isalnum()):
            break
        at = end
    return at


def is_type(text: str) -> bool:
    """Whether a single word looks like a type number."""
    return bool(_TYPE.fullmatch(text))


def names_a_worth(value: str) -> bool:
    """Whether a value alone makes the name beside it one of a part: a quantity, or a type number first."""
    first, _, rest = value.partition(" ")
    return max(worth(value), worth(rest)) >= 0.7 or is_type(first)


@lru_cache(maxsize=16384)
def value_likeness(cell: str, letters: str) -> float:
    """How much a cell looks like the value of a part with these class letters, -1 to 1."""
    cell = cell[:_GLANCE]
    if _LINK.search(cell):
        return -1.0
    letters = letters.upper()
    if letters in OHMS or letters in FARADS or letters in HENRIES:
        if _PRICE.search(cell):
            return 0.0
        likeness = 0.2 if _LIMIT.fullmatch(cell) else worth(cell)
        coded = _SIZE_CODE.fullmatch(cell) or (likeness < 0.4 and _FOOTPRINT.fullmatch(cell))
        return likeness - 0.5 if coded else likeness
    if _FOOTPRINT.fullmatch(cell):
        return -0.3
    first = cell.split(" ", 1)[0]
    if is_type(first):
        return 0.8 if letters in TYPES else 0.4
    return 0.3 if len(cell) <= 40 else 0.1


def is_footprint(cell: str) -> bool:
    """Whether a cell looks like a package or a footprint."""
    return bool(_FOOTPRINT.fullmatch(cell[:_GLANCE]))


def is_link_or_price(cell: str) -> bool:
    """Whether a cell is of interest to a buyer only."""
    seen = cell[:_GLANCE]
    return bool(_LINK.search(seen) or _PRICE.search(seen))


def is_rating(text: str) -> bool:
    """Whether a text behind a value says how much a part stands, its taper, or what goes with it.

    >>> is_rating("250v"), is_rating("1/2 watt"), is_rating("Tantalum 25v"), is_rating("Orange")
    (True, True, True, False)
    """
    return bool(_RATING.fullmatch(text.strip()))


def is_turn(cell: str) -> bool:
    """Whether a cell says how far a part is turned, as drawing programs write it: `R90`, `MR180`."""
    return bool(_TURN.fullmatch(cell))


@lru_cache(maxsize=4096)
def whole_number(cell: str) -> int | None:
    """The count that a cell states and nothing else: `2`, `2.0`, `x4`, `3 pcs`; None otherwise."""
    found = _WHOLE.fullmatch(cell) if len(cell) < 20 else None
    return int(found[1]) if found else None


def leading_count(cell: str) -> int | None:
    """The count that a cell begins with: 2 in `2 (pairs)`; None when it begins with none."""
    found = _LEADING_COUNT.match(cell[:20])
    return int(found[1]) if found else None

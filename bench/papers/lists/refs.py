"""Designators in a cell of a maker's list: tolerant where a kit file is strict, and with a measure of trust."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from msgspec import Struct

from bench.papers.lists.vocabulary import is_hardware, is_plain_word
from bench.parts.designators import LONGEST_LIST, LONGEST_RANGE, DesignatorError, class_letters, parse_refs
from bench.parts.guessing import LETTERS

_MORE_CLASSES = """
    AE ANT B BL BZ BUZ CONN CCT DIP DISP DL FD FID FL GND HDR HL IN INT IR JMP K KN LSP M MCU MEM MH MOD
    MT NT OLED OPA OSC OUT P PAD PCB PL PLED PS PWR Q QZ RG RLY RN RS SB SENS SJ SK SKT SOL SP SPKR STC
    SWD TM TT UC US USB VD VU WP XL Z ZN TRAFO POTI TRIMMER CX CP RX QP S SL NTC RF CF CA CB CC CE CI CO
    CR CT RA RB RC RE RI RL RO RP RT RW RY RZ DA DS DZ LA LB
"""
_COLOURS = frozenset(["W", "R", "G", "B", "Y", "A"])
_JUMPERS = frozenset(["PJ", "SJ", "JP"])
KNOWN_CLASSES = frozenset(LETTERS) | frozenset(_MORE_CLASSES.split())
"""Letters that a designator usually begins with."""

_LONGEST_RANGE = 60
"""Characters of one range as written."""
_NEARBY = 30
"""How far a number after a space may be from the one before it to go on with its letters: `C1 2 3`."""
STRONG, FAIR, WEAK, FAINT = 1.0, 0.5, 0.2, 0.1
"""Trust: a class letter with a number; unknown letters with a number; a name; a name of several words."""

_NUMBERED = re.compile(r"([^\W\d_]{1,6}\$?)([0-9]{1,5})([A-Za-z]?)")
_FULL_NAME = re.compile(r"([^\W\d_]{1,6})(?:[0-9]*(?:_?[^\W_]+)*(?<=[0-9])|[0-9]{1,3}_[^\W\d_]+)")
_POLE = re.compile(r"([^\W\d_]{1,6}[0-9]{1,4})[+-]")
_LONG_NUMBERED = re.compile(r"([^\W\d_]{1,8})[_$-]?([0-9]{1,4})([A-Za-z]?)")
_PACKAGE = re.compile(
    r"(?:[RCLD]|LED|CAP|RES|IND)?(?:0201|0402|0603|0805|1206|1210|1812|2010|2512)[A-Z]?"
    r"|(?:SO|SOIC|TO|DO|DIP|DIL|SOT|SOD|SSOP|TSSOP|QFN|QFP|MSOP|PDIP|SIP|SIL|CDIP|TQFP|LQFP|PLCC|DPAK|SC|HC|USB"
    r"|EIA)\d+\w?",
    re.IGNORECASE,
)
_TYPE_LETTERS = """
    TL LM NE BC BD BF BS CD MC MCP MAX CA LF OP OPA AD UA TIP BAT BAV BAS BZX IRF IRL VN MPF PN HEF
    SN EL EF ECC PIC AT LD LP HT ICM TDA TBA RC KT OA AA AC AF AN BA BY UF FR SS MJ MJE MPS MPSA ZTX
    SB SR HC LS STM ESP CEM SSM AS PT FT M GL DS PC CNY MOC TLP ILD PJ X NP IEC BNC RCA XLR DIN TRS
    WQP A RD KM DG REF ICL XR SSI IR KA KIA S C D
"""
_TYPE_NUMBER = re.compile(rf"(?:{'|'.join(_TYPE_LETTERS.split())})[0-9]{{3,}}[A-Z]{{0,3}}")
_CORE = re.compile(r"F?T[0-9]{2,3}[A-D]?-[0-9]{1,2}[A-D]?|FB-?[0-9]{2,3}-[0-9]{2,4}", re.IGNORECASE)
_DASH = "-\u2010\u2011\u2012\u2013\u2014\u2015\u2212"
_TO = rf"\s*(?:\.{{2,3}}|…|~|～|〜|->|→|[{_DASH}]{{1,3}})\s*|\s+(?:to|thru|through|bis|à|a|al|t/m|tot|až|do)\s+"
_RANGE = re.compile(
    rf"([^\W\d_]{{1,6}}\$?)([0-9]{{1,5}})(?:{_TO})((?:[^\W\d_]{{1,6}}\$?)?)([0-9]{{1,5}})", re.IGNORECASE
)
_LETTERED = re.compile(
    rf"([^\W\d_]{{1,6}}\$?[0-9]{{1,5}})([A-Za-z])(?:{_TO})((?:[^\W\d_]{{1,6}}\$?[0-9]{{1,5}})?)([A-Za-z])"
)
_DASHED = re.compile(rf"(\S+?)[{_DASH}]([0-9]{{1,3}})(?:{_TO})(\S+?)[{_DASH}]([0-9]{{1,3}})")
_BRACKET = re.compile(r"\([^()]{0,80}\)|\[[^\[\]]{0,80}\]")
_DASH_BEFORE = re.compile(rf"[{_DASH}]\s+\S")
_ABBREVIATED = re.compile(r"[^\W\d_]{2,12} [^\W\d_]{2,5}\.")
_STAR = re.compile(r"[*†‡¹²³]+")
_COUNT = re.compile(
    r"(?<![,;/&+\s])\s+[x×]\s?[0-9]{1,3}$|(?<![,;/&+\s])\s+X\s[0-9]{1,3}$|^[0-9]{1,3}\s?[x×X]\s+"
)
_OUTER = re.compile(
    r"[,;\n、，；\t]+|(?<=\w)\.\s+(?=[^\W\d_]{1,6}[0-9])|(?:^|\s)&(?=\s)|\s(?:and|und|et|y|e|en|ja|och|og|i|or|oder|ou|o|of|nebo|lub|eller|или|и)\s"
)
_INNER = re.compile(r"(?<=[0-9A-Za-z])\s*[/+&|=]\s*(?=\w)")
_SPACED = re.compile(r"(?<!\w)([RCLDQTUJPX]|IC|VR|RV|TR|SW|LED) (?=[0-9]{1,3}(?!\w))")
"""The space in a designator written as `R 1`."""
_ALL_SPACED = re.compile(rf"{_SPACED.pattern}[0-9]+(?:(?:{_TO}|\W+){_SPACED.pattern}[0-9]+)*\W*")
_SPACES = re.compile(r"\s+")
_NAME = re.compile(r"(?:[^\W\d_]|[+-][^\W_])[\w$#.+'/&-]*")
_WRONG_RANGE = re.compile(rf"([^\W\d_]+[0-9]+)(?:{_TO})([^\W\d_]*)[0-9]+")
_CJK = re.compile("[\u3040-\u30ff\u3400-\u9fff\uac00-\ud7af]")
_PROSE = re.compile(r"[.:;!?=%Ω]|\b(?:the|see|for|and|with|der|die|das|not|are|is|of)\b", re.IGNORECASE)


class RefMatch(Struct, frozen=True, kw_only=True):
    """Designators read from a cell."""

    refs: tuple[str, ...] = ()
    trust: float = 0.0
    """Mean trust in the designators, 0 to 1."""
    more: bool = False
    """True when the cell ends in a comma: the list goes on in the next line."""
    left: str = ""
    """What in the cell is not a designator."""
    again: tuple[str, ...] = ()
    """Designators that the cell names more than once."""


_NOTHING = RefMatch()


@lru_cache(maxsize=16384)
def find_refs(cell: str) -> RefMatch:
    """Designators in a cell, with what is left over; nothing found when the cell is no list of them.

    >>> find_refs("R1, R2,").refs, find_refs("R1, R2,").more
    (('R1', 'R2'), True)
    >>> find_refs("C7/C8, R2+R14, V1,2").refs
    ('C7', 'C8', 'R2', 'R14', 'V1', 'V2')
    >>> find_refs("R 1 - R 3").refs, find_refs("D1 a D4").refs
    (('R1', 'R2', 'R3'), ('D1', 'D2', 'D3', 'D4'))
    >>> find_refs("T37-2").refs, find_refs("TL074-1 - TL074-2").refs
    ((), ('TL074-1', 'TL074-2'))
    """
    if not cell or len(cell) > 40_000 or cell.isspace():
        return _NOTHING
    plain = unicodedata.normalize("NFKC", cell) if not cell.isascii() else cell
    plain = _STAR.sub("", _COUNT.sub("", _BRACKET.sub(" ", plain).strip())).strip()
    if _ALL_SPACED.fullmatch(plain):
        plain = _SPACED.sub(r"\1", plain)
    more = plain.endswith((",", ";", "、"))
    refs: list[str] = []
    trusts: list[float] = []
    left: list[str] = []
    if _DASH_BEFORE.match(plain):
        plain = plain[2:].lstrip()
    pieces = [bare for piece in _OUTER.split(plain) if (bare := _bare(piece.strip()))]
    for bare in pieces:
        if _PACKAGE.fullmatch(bare) and _has_neighbour(bare, pieces):
            refs.append(bare)
            trusts.append(trust_of(bare))
        else:
            _take(bare, refs, trusts, left)
        if len(refs) > LONGEST_LIST:
            return _NOTHING
    if not refs:
        return RefMatch(left=plain)
    if left and len(left) >= len(refs):
        return RefMatch(left=plain)
    distinct = tuple(dict.fromkeys(refs))
    again = tuple(ref for ref in distinct if refs.count(ref) > 1) if len(distinct) < len(refs) else ()
    return RefMatch(refs=distinct, trust=sum(trusts) / len(trusts), more=more, left=" ".join(left), again=again)


def _bare(piece: str) -> str:
    """A piece without the signs behind it; the stop of an abbreviation such as `Offset Adj.` stays."""
    return piece if _ABBREVIATED.fullmatch(piece) else piece.rstrip(".:= ")


def names_a_size(cell: str) -> bool:
    """Whether a cell alone would name a package size although it may be a designator: `R1206`.

    >>> names_a_size("R1206"), names_a_size("R1207"), names_a_size("1206")
    (True, False, False)
    """
    bare = cell.strip()
    return bool(_PACKAGE.fullmatch(bare) and _NUMBERED.fullmatch(bare))


def beside(cell: str, others: Iterable[str]) -> RefMatch:
    """An `R1206` alone in its cell, when a designator such as `R1205` stands in another cell of its column.

    >>> beside("R1206", ["R1", "R1204"]).refs, beside("R0805", ["R1", "R2"]).refs
    (('R1206',), ())
    """
    bare = cell.strip()
    if names_a_size(bare) and _has_neighbour(bare, others):
        return RefMatch(refs=(bare,), trust=STRONG)
    return RefMatch(left=bare)


def runs_backwards(cell: str) -> bool:
    """Whether a range in a cell is written from its last designator to its first.

    >>> runs_backwards("R9-R1"), runs_backwards("R1-R9"), runs_backwards("R1, C9-C5")
    (True, False, True)
    """
    spans = (
        _RANGE.fullmatch(piece.strip()) for piece in _OUTER.split(cell[:2_000]) if len(piece) <= _LONGEST_RANGE
    )
    return any(span and span[3] and int(span[2]) > int(span[4]) for span in spans)


def _has_neighbour(bare: str, pieces: Iterable[str]) -> bool:
    """True for an `R1206` that stands beside an `R1205`: a designator there, although it names a size."""
    own = _NUMBERED.fullmatch(bare)
    if own is None:
        return False
    others = (_NUMBERED.fullmatch(piece) for piece in pieces if not _PACKAGE.fullmatch(piece))
    return any(other and other[1] == own[1] and abs(int(other[2]) - int(own[2])) <= 20 for other in others)


def _take(bare: str, refs: list[str], trusts: list[float], left: list[str]) -> None:
    """Add the designators of one piece between commas, or note it as left over."""
    found = _piece(bare, refs[-1] if refs and not left else "")
    if found is None:
        left.append(bare)
        return
    for ref, trust in found:
        refs.append(ref)
        trusts.append(trust)


def _piece(bare: str, before: str) -> list[tuple[str, float]] | None:
    """Designators that one piece between commas stands for; None when it is none."""
    if _NUMBERED.fullmatch(bare):
        first, space, last = before.rpartition(" ")
        if space and last[:1] == bare[:1]:  # `LED W1, W2`
            return [(f"{first} {bare}", FAIR)]
        return [(bare, trust_of(bare))] if not _PACKAGE.fullmatch(bare) else None
    if bare.isdecimal():
        return _number_alone(bare, before)
    if _CORE.fullmatch(bare):
        return None
    ranged = _ranged(bare)
    if ranged is not None:
        return [(ref, trust_of(ref)) for ref in ranged]
    parts = _INNER.split(bare)
    if len(parts) == 1:
        parts = _SPACES.split(bare)
    return _several(bare, parts, before) if 1 < len(parts) < 500 else _named(bare, before)


def _number_alone(bare: str, before: str) -> list[tuple[str, float]] | None:
    """A number that goes on with the letters before it, or may be a name."""
    letters = _NUMBERED.fullmatch(before)
    if letters and len(bare) <= 5 and bare[0] != "0" and int(bare) > int(letters[2]):
        return [(letters[1] + bare, trust_of(letters[1] + bare))]
    return [(bare, FAINT)] if not before and 3 <= len(bare) <= 5 else None


def _several(bare: str, parts: list[str], before: str) -> list[tuple[str, float]] | None:
    """Designators with signs or spaces between them, perhaps with words behind."""
    found: list[tuple[str, float]] = []
    for at, part in enumerate(parts):
        each = _strict(part, found[-1][0] if found else before)
        if each and found and found[-1][1] >= STRONG and _TYPE_NUMBER.fullmatch(part) and each[0][1] <= WEAK:
            each = None  # `Q1 BC547B` is Q1 with its type
        if each is None:
            while at and parts[at - 1].isdecimal():  # `L3 10 uH` is L3 alone
                at, found = at - 1, found[:-1]
            spaced = any(map(str.isspace, bare))
            return _with_words(found, parts[at:]) if found and spaced else _named(bare, before)
        found += each
    return found


def _with_words(found: list[tuple[str, float]], rest: list[str]) -> list[tuple[str, float]] | None:
    """Designators with words behind them (`R5 optional`); the words make them less certain."""
    if any(_strict(word, "") for word in rest) or len(rest) > 4 or is_hardware(" ".join(rest)):
        return None
    return [(ref, trust * 0.5) for ref, trust in found]


def _strict(part: str, before: str) -> list[tuple[str, float]] | None:
    """Designators of a piece that may stand beside others without a comma: numbered ones only."""
    if _NUMBERED.fullmatch(part):
        return [(part, trust_of(part))] if not _PACKAGE.fullmatch(part) else None
    if _CORE.fullmatch(part):
        return None
    ranged = _ranged(part)
    if ranged is not None:
        return [(ref, trust_of(ref)) for ref in ranged]
    letters = _NUMBERED.fullmatch(before)
    if part.isdecimal() and letters and part[0] != "0" and 0 < int(part) - int(letters[2]) < _NEARBY:
        return [(letters[1] + part, trust_of(letters[1] + part))]
    if _is_full_name(part):
        return [(part, 0.8)]
    parts = [piece for piece in _INNER.split(part) if piece]
    if len(parts) > 1 and all(_NUMBERED.fullmatch(piece) for piece in parts):
        return [(piece, trust_of(piece)) for piece in parts]
    return None


def _names_a_lamp(words: list[str]) -> bool:
    """Whether words name one LED by its colour: `LED W1`; an `LED D1` is D1."""
    return words[0] == "LED" and len(words) == 2 and class_letters(words[1]).upper() in _COLOURS


def _is_full_name(word: str) -> bool:
    """Whether a word is a designator with more than letters and a number: `C_IN_1`, `RV_GAIN1`, `PJ2COM1`.

    >>> _is_full_name("RV_GAIN1"), _is_full_name("PJ2COM1"), _is_full_name("BC547B2"), _is_full_name("R_0805")
    (True, True, False, False)
    """
    found = _FULL_NAME.fullmatch(word)
    if found is None or _PACKAGE.search(word) or found[1].upper() not in KNOWN_CLASSES | _JUMPERS:
        return False
    return "_" in word or (found[1].upper() in _JUMPERS and not _TYPE_NUMBER.fullmatch(word))


def other_names(text: str) -> bool:
    """Whether a line gives parts that are listed elsewhere other names: `C48 - C58 = CA1 - CA11`.

    >>> other_names("C48 - C58 = CA1 - CA11"), other_names("R1 = R2 = 10k"), other_names("Q1 = BC547")
    (True, False, False)
    """
    sides = text.split("=")
    found = [find_refs(side.strip()) for side in sides] if len(sides) == 2 else []
    return bool(found) and all(each.trust >= STRONG and not each.left for each in found)


def _ranged(bare: str) -> list[str] | None:
    """The designators of a range; None when the piece is none."""
    if len(bare) > _LONGEST_RANGE:
        return None
    span = _RANGE.fullmatch(bare)
    if span:
        letters, low, letters_again, high = span.groups()
        if letters_again and letters_again.upper() != letters.upper():
            return None
        if letters_again and 0 < int(low) - int(high) < LONGEST_RANGE:
            low, high = high, low
        if high[0] == "0" and low[0] != "0":
            return None  # an order number
        if int(low) < int(high) <= int(low) + LONGEST_RANGE - 1:
            try:
                return list(parse_refs(f"{letters}{low}-{letters}{high}"))
            except DesignatorError:
                return None
        return None
    lettered = _LETTERED.fullmatch(bare)
    if lettered and lettered[3] in ("", lettered[1]) and lettered[2] < lettered[4]:
        return [lettered[1] + chr(code) for code in range(ord(lettered[2]), ord(lettered[4]) + 1)][:60]
    dashed = _DASHED.fullmatch(bare)
    if dashed and dashed[1] == dashed[3] and 0 <= int(dashed[4]) - int(dashed[2]) < 100:
        return [f"{dashed[1]}-{number}" for number in range(int(dashed[2]), int(dashed[4]) + 1)]
    return None


def _named(bare: str, before: str) -> list[tuple[str, float]] | None:
    """A part with a name of its own."""
    if _is_no_name(bare):
        return None
    if len(bare) == 1 and before and before[-1:].isalpha() and before[-2:-1].isdigit():
        return [(before[:-1] + bare, FAIR)]
    if trust_of(bare) == 0.8 and not _NUMBERED.fullmatch(bare):
        return [(bare, 0.8)]
    if _NAME.fullmatch(bare) and any(sign.isalpha() for sign in bare):
        return [(bare, FAIR if _LONG_NUMBERED.fullmatch(bare) else WEAK)]
    return _of_words(bare)


def _is_no_name(bare: str) -> bool:
    """Whether a piece is a word, a size or a wrong range, which no part is called."""
    if (
        is_hardware(bare)
        or is_plain_word(bare)
        or _CJK.search(bare)
        or len(bare) > 32
        or _PACKAGE.fullmatch(bare)
    ):
        return True
    wrong = _WRONG_RANGE.fullmatch(bare)
    return bool(wrong and (wrong[2] or trust_of(wrong[1]) >= 0.8))


def _of_words(bare: str) -> list[tuple[str, float]] | None:
    """A name of two or three words."""
    words = _SPACES.split(bare)
    if len(words) > 3 or _PROSE.search(bare.removesuffix(".")) or not all(map(_NAME.fullmatch, words)):
        return None
    if (trust_of(words[-1]) >= 0.8 and not _names_a_lamp(words)) or is_plain_word(words[0]):
        return None
    return [(" ".join(words), FAIR if words[-1][-1].isdigit() and words[-1][0].isalpha() else FAINT)]


@lru_cache(maxsize=16384)
def trust_of(ref: str) -> float:
    """How surely a single word is a designator, 0 to 1.

    >>> trust_of("R1"), trust_of("TL072"), trust_of("GAIN")
    (1.0, 0.2, 0.2)
    """
    found = _NUMBERED.fullmatch(ref)
    if not found:
        pole = _POLE.fullmatch(ref)
        return 0.8 if _is_full_name(ref) or (pole and trust_of(pole[1]) >= 0.8) else WEAK
    letters = found[1].rstrip("$").upper()
    if _PACKAGE.fullmatch(ref):
        return 0.0
    if found[3] in ("k", "K", "M") and found[3]:
        return WEAK
    typed = len(letters) > 1 and len(found[2]) > 3 and _TYPE_NUMBER.fullmatch(ref)
    if typed or (letters == "BAT" and len(found[2]) > 1):  # CA3080, BAT42
        return WEAK
    if letters in KNOWN_CLASSES:
        return STRONG if len(found[2]) <= 4 else FAIR
    if _TYPE_NUMBER.fullmatch(ref):
        return WEAK
    return 0.8 if letters[0] in "RCLDQUJSTX" and len(letters) <= 4 and len(found[2]) <= 2 else FAIR

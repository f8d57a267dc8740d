"""Reference designators: the names on the board, singly, in lists and in ranges.

Class letters follow IEEE 315-1975 clause 22.4 and everyday practice. No public rule was found for the
wording of ranges; the forms read here are those seen in makers' lists (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from bench.errors import SoldersideError
from bench.parts.english import cut

LONGEST_RANGE = 2000
"""Most designators that one range may stand for; more is taken for a slip of the pen."""
LONGEST_LIST = 10_000
"""Most designators that one text may name."""

_LETTERS = r"[^\W\d_]"
_DASH = "[-\u2010\u2011\u2012\u2013\u2014\u2015\u2212]"
_NUMBERED = re.compile(rf"({_LETTERS}{{1,6}}\$?)([0-9]{{1,9}})({_LETTERS}?)")
_NAMED = re.compile(rf"[+-]?(?:(?<=[+-])[0-9]+)?{_LETTERS}(?:[\w$#.+'-]*[\w+-])?")
_CLASS = re.compile(rf"({_LETTERS}{{1,6}})\$?[0-9]")
_DIGITS = re.compile(r"([0-9]+)")
_MARK = "\x00"
_TO = re.compile(rf"(?<=\w) ?(?:\.{{2,3}}|…|~|～|{_DASH}| (?:to|TO|thru|through|bis) ) ?(?=\w)")
_AND = re.compile(r"(?<=\w),? (?:and|AND|und|et|y) (?=\w)")
_BETWEEN = re.compile(r"[ ,;/&|、，;]+|(?<=[0-9A-Za-z])\+(?=\w)")
_CORE_SIZE = (
    "12|16|20|23|25|27|30|37|44|50|51|60|68|72|80|82|87|94|106|114|130|140|157|184|200|225|240|300|400|520"
)
_CORE_MIX = "0|1|2|3|6|7|8|10|12|15|17|18|26|40|41|43|45|52|61|63|64|65|66|67|68|70|72|73|75|77"
_CORE = re.compile(rf"F?T(?:{_CORE_SIZE})[A-D]?-(?:{_CORE_MIX})[A-D]?", re.IGNORECASE)
"""Toroid cores by size and material, from memory: `T37-2` is one part, not thirty-six."""


class DesignatorError(SoldersideError):
    """A list of designators cannot be read."""


def _fault(what: str, hint: str = "write designators like 'R1-R4, R9'") -> DesignatorError:
    return DesignatorError(what, "", hint)


def _range(first: str, last: str, whole: str) -> Iterator[str]:
    low = _NUMBERED.fullmatch(first)
    high = _NUMBERED.fullmatch(low[1] + last if low and last.isdecimal() else last)
    if low is None or high is None:
        raise _fault(f"'{cut(whole)}' is not a range of designators")
    if low[1] != high[1]:
        raise _fault(
            f"the range '{whole}' begins with {low[1]} and ends with {high[1]}",
            "use the same letters at both ends, or name the parts one by one",
        )
    if low[3] or high[3]:
        raise _fault(f"the range '{whole}' has letters after its numbers", "name the parts one by one")
    begin, end = int(low[2]), int(high[2])
    if end < begin:
        raise _fault(f"the range '{whole}' runs backwards", "put the smaller number first")
    if end - begin >= LONGEST_RANGE:
        raise _fault(
            f"the range '{whole}' stands for {end - begin + 1} parts",
            f"a range may stand for {LONGEST_RANGE} at most; is a comma missing?",
        )
    width = len(low[2]) if low[2].startswith("0") else 0
    for number in range(begin, end + 1):
        yield f"{low[1]}{number:0{width}d}"


def _read_piece(piece: str, letters: str) -> Iterator[str]:
    whole = piece.replace(_MARK, "-")
    if _CORE.fullmatch(whole):
        raise _fault(
            f"'{whole}' is a toroid core, not a range of designators",
            "put it in the value; a range is written with letters at both ends, like 'T50-T52'",
        )
    first, *rest = piece.split(_MARK)
    if rest and _NUMBERED.fullmatch(first):
        if len(rest) > 1:
            raise _fault(f"'{cut(whole)}' has more than two ends", "write one range after the other")
        yield from _range(first, rest[0], whole)
    elif whole.isascii() and whole.isdecimal() and letters and len(whole) <= 9:
        yield letters + whole
    elif _NAMED.fullmatch(whole):
        yield whole
    elif whole.isdecimal():
        raise _fault(f"the number '{cut(whole)}' stands where a designator should be")
    else:
        raise _fault(f"'{cut(whole)}' is not a designator")


def parse_refs(text: str) -> tuple[str, ...]:
    """Parse the designators that a text names, in the order written, spelling and case kept.

    Reads lists (`R1, R2`, `R1 R2`, `C7/C8`, `R2+R14`), ranges (`R1-R4`, `R1..R4`, `D1 ~ D96`, `R1 to R4`),
    letters given once (`D1-48`, `V1,2,3`), suffix letters (`R17A`) and named parts (`GAIN`). A star
    behind a designator is a footnote mark and is dropped. Raises `DesignatorError`.

    >>> parse_refs("R1-R4, R9")
    ('R1', 'R2', 'R3', 'R4', 'R9')
    >>> parse_refs("V1,2,3 U$1 GAIN")
    ('V1', 'V2', 'V3', 'U$1', 'GAIN')
    """
    plain = " ".join(text.replace(_MARK, " ").replace("*", " ").split())
    plain = _TO.sub(_MARK, _AND.sub(", ", plain))
    refs: list[str] = []
    letters = ""
    for piece in _BETWEEN.split(plain):
        bare = piece.rstrip(".")
        if not bare:
            continue
        refs.extend(_read_piece(bare, letters))
        if len(refs) > LONGEST_LIST:
            raise _fault(f"'{cut(text)}' names more than {LONGEST_LIST} parts", "split the list")
        found = _NUMBERED.fullmatch(refs[-1])
        letters = found[1] if found else ""
    return tuple(refs)


@lru_cache(maxsize=8192)
def natural_key(ref: str) -> tuple[tuple[int, int, str], ...]:
    """Return a sort key that puts R2 before R10 and R10 before R10A.

    >>> sorted(["R10A", "R10", "R2", "C1"], key=natural_key)
    ['C1', 'R2', 'R10', 'R10A']
    """
    parts = []
    for part in _DIGITS.split(ref):
        if part[:1] in tuple("0123456789"):
            digits = part.lstrip("0")
            parts.append((0, len(digits), digits))
        elif part:
            parts.append((1, 0, part))
    return tuple(parts)


def class_letters(ref: str) -> str:
    """Return the class letters of a numbered designator; empty for a part with a name of its own.

    >>> class_letters("R12A"), class_letters("U$1"), class_letters("GAIN")
    ('R', 'U', '')
    """
    found = _CLASS.match(ref)
    return found[1] if found else ""


def _follows(ref: str, before: str) -> bool:
    this, that = _NUMBERED.fullmatch(ref), _NUMBERED.fullmatch(before)
    if this is None or that is None or this[3] or that[3] or this[1] != that[1]:
        return False
    width = len(that[2]) if that[2].startswith("0") else 0
    return f"{int(that[2]) + 1:0{width}d}" == this[2]


def shorten(refs: Sequence[str]) -> str:
    """Format designators as a short list in natural order; three in a row and more become a range.

    Each designator is named once, and `parse_refs` reads the same designators back.

    >>> shorten(("R7", "R1", "R2", "R3"))
    'R1-R3, R7'
    """
    runs: list[list[str]] = []
    for ref in sorted(set(refs), key=lambda ref: (natural_key(ref), ref)):
        if runs and len(runs[-1]) < LONGEST_RANGE and _follows(ref, runs[-1][-1]):
            runs[-1].append(ref)
        else:
            runs.append([ref])
    said: list[str] = []
    for run in runs:
        said += [f"{run[0]}-{run[-1]}"] if len(run) > 2 else run
    return ", ".join(said)

"""Runs of designators inside a line of text."""

from __future__ import annotations

import re

from msgspec import Struct

from bench.papers.lists.refs import trust_of

_ITEM = re.compile(r"(?<![\w.$/+-])([^\W\d_]{1,6}\$?)([0-9]{1,4})([A-Za-z]?)(?![\w$]|\.[0-9])\*?")
_SECOND = re.compile(r"([^\W\d_]{1,6}\$?)([0-9]{1,4})([A-Za-z]?)(?![\w$]|\.[0-9])\*?")
_NUMBER = re.compile(r"[0-9]{1,4}(?![\w.%]|\s?(?:[kKMR]|[munpµμ]?F|ohms?|Ω)(?!\w))")
_JOIN = re.compile(
    r"\s*(?:,\s?&|,\s?and\b|[,;/&+~=]|\.(?=\s)|\.{2,3}|…|[-–—−])\s*|\s+(?:to|thru|through|and|und|bis|à|a|al|t/m|tot|et|en|y|e|u\.)\s+|\s+",
    re.IGNORECASE,
)
_ALSO = frozenset([",", ";", "/", "&", "+", "and", "und", "et", "en", "y", "e", "u."])
"""Signs and words after which a run goes on with other letters."""
_BARE = frozenset([",", "/", "-", "–", "—", "−", "..", "...", "…", "~"])
"""Signs after which a number without letters goes on with the same letters."""
_NO_ITEM = re.compile(r"[XYZ][4-8][PRSTUV]|C0G|NP0|M[0-9]{1,2}|[A-Z][0-9]+[kKM]")
_CORE = re.compile(r"F?T[0-9]{2,3}-[0-9]")
_TIMES = re.compile(r"[xXv][0-9]{1,3}\W*")
"""A count or a version at the end of a line: `180k x2`, `parts list v2`."""
_MOST_RUNS = 40
"""Runs in one line; a line with more is no list."""


class RefRun(Struct, frozen=True, kw_only=True):
    """Designators that stand together in a line."""

    begin: int
    """Place of the first sign."""
    end: int
    text: str


def runs_of_refs(text: str) -> list[RefRun]:
    """The runs of designators in a line."""
    found: list[RefRun] = []
    at = 0
    while len(found) < _MOST_RUNS and (item := _ITEM.search(text, at)):
        at = item.end()
        if _TIMES.fullmatch(text, item.start()) and item.start() and (item[1] in "xv" or found):
            break
        if trust_of(item[1] + item[2]) < 0.8 or _NO_ITEM.fullmatch(item[0]) or _CORE.match(text, item.start()):
            continue
        end = _run(text, item)
        at = end
        sign = text[end : end + 1]
        if text[end + 1 : end + 2].isalnum() and ((item.start() and sign == "/") or (item[3] and sign == "-")):
            continue  # an order number such as XF1/4CC, DILB8P-223
        found.append(RefRun(begin=item.start(), end=end, text=text[item.start() : end]))
    return found


def _run(text: str, item: re.Match[str]) -> int:
    """Where the run of designators that begins with `item` ends."""
    end, letters = item.end(), item[1]
    number = int(item[2])
    while join := _JOIN.match(text, end):
        sign = join[0].strip()
        spaced = join[0] != sign
        following = _SECOND.match(text, join.end())
        if following and not _CORE.match(text, join.end()):
            same = following[1] == letters and (
                sign != "=" or text[following.end() : following.end() + 1].strip() == ""
            )
            known = trust_of(following[1] + following[2]) >= 0.8
            word = sign.casefold()
            if same or (known and (word in _ALSO or word.removeprefix(",").strip() in _ALSO)):
                end, letters, number = following.end(), following[1], int(following[2])
                continue
        digits = _NUMBER.match(text, join.end()) if sign in _BARE else None
        if digits and not spaced and number < int(digits[0]) < number + 30:
            end, number = digits.end(), int(digits[0])
            continue
        break
    return end

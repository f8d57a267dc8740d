"""What a builder types to settle a doubt, understood or refused with a hint."""

from __future__ import annotations

import difflib
import re

from bench.errors import SoldersideError
from bench.papers.lists.refs import find_refs
from bench.papers.lists.runs import runs_of_refs
from bench.parts.kinds import KINDS, kind_named

_COUNT = re.compile(r"([0-9]{1,4})\s*(?:[x×*]\s*|\s(?=[^\W\d_]))(\S.*)")
_LONGEST = 500


def typed_refs(text: str) -> tuple[str, ...]:
    """Designators; raises SoldersideError for anything else.

    >>> typed_refs("R1-R3, R7")
    ('R1', 'R2', 'R3', 'R7')
    """
    found = find_refs(text.strip()[:_LONGEST])
    if not found.refs or found.left:
        raise SoldersideError(f"{text.strip()[:40]!r} is not a designator", "", "type R3, or R1, R2, or R1-R4")
    return found.refs


def typed_value(text: str) -> str:
    """A value in one line; raises SoldersideError when there is none."""
    plain = " ".join(text.split())[:_LONGEST]
    if not plain:
        raise SoldersideError("there is no value in the line", "", "type a value such as 4k7 or TL072")
    return plain


def typed_part(text: str) -> tuple[tuple[str, ...], str, int]:
    """Designators, value and count of a part typed in one line; raises SoldersideError when it is none.

    >>> typed_part("R3, R4 = 10k"), typed_part("C7 100n 50 V"), typed_part("4 x M3x6 screw")
    ((('R3', 'R4'), '10k', 2), (('C7',), '100n 50 V', 1), ((), 'M3x6 screw', 4))
    """
    plain = " ".join(text.split())[:_LONGEST]
    for sign in ("=", ":"):
        before, found, after = plain.partition(sign)
        if found and after.strip():
            refs = typed_refs(before)
            return refs, after.strip(), len(refs)
    runs = runs_of_refs(plain)
    if runs and not plain[: runs[0].begin].strip():
        refs, value = typed_refs(runs[0].text), plain[runs[0].end :].strip(" ,;:=-")
        if value:
            return refs, value, len(refs)
        raise SoldersideError(f"{', '.join(refs)[:40]} has no value yet", "", "type R3 = 10k")
    counted = _COUNT.fullmatch(plain)
    if counted:
        return (), counted[2], int(counted[1])
    raise SoldersideError(
        f"{plain[:40]!r} is not a part" if plain else "there is nothing in the line yet",
        "",
        "type R3 = 10k, or 4 x M3 screw for parts without designators",
    )


def typed_kind(text: str) -> str:
    """The name of a kind; empty text leaves it to be guessed. Raises SoldersideError for an unknown one.

    >>> typed_kind("Zener"), typed_kind("")
    ('Zener diode', '')
    """
    if not text.strip():
        return ""
    found = kind_named(text)
    if found is not None:
        return found.name
    near = difflib.get_close_matches(text.casefold()[:40], [name.casefold() for name in KINDS], n=3, cutoff=0.5)
    hint = f"nearest: {', '.join(near)}" if near else f"such as {', '.join(list(KINDS)[:5])}"
    raise SoldersideError(f"no kind is called {text.strip()[:40]!r}", "", hint)


def typed_board(text: str) -> str:
    """The name of a board; raises SoldersideError when there is none."""
    plain = " ".join(text.split())[:60]
    if not plain:
        raise SoldersideError("the board has no name yet", "", "type a name such as main or control")
    return plain


def typed_count(text: str) -> int:
    """A number of parts; raises SoldersideError for anything else.

    >>> typed_count(" 4 ")
    4
    """
    plain = text.strip()
    if plain.isascii() and plain.isdigit() and 0 < int(plain[:6]) <= 2_000:
        return int(plain)
    raise SoldersideError(f"{plain[:20]!r} is not a number of parts", "", "type a whole number such as 4")

"""Designators that a typed text names and the kit does not have: asked about once, never refused."""

from __future__ import annotations

import re
import string
from collections.abc import Callable

from bench.kit.kit import Kit
from bench.ui.text import clean

_NAMED = re.compile(r"(?<![\w.,+-])([A-Za-z]{1,4})(\d{1,4})(?![\w.])")
_LETTERS = string.ascii_letters
_RUN_ON = re.compile(r"[A-Za-z]{1,4}\d+[A-Za-z]+\d+")


def designators_of(kit: Kit) -> frozenset[str]:
    """All designators of a kit, in capitals."""
    return frozenset(ref.upper() for board in kit.boards for line in board.parts for ref in line.refs)


def unknown_in(text: str, known: frozenset[str], *, names_only: bool = False) -> list[str]:
    """The designators in a text that are not known, as typed; `names_only`: it is nothing but designators.

    In a sentence a name counts where known ones begin with the same letters: `M3` is a screw.

    >>> known = frozenset(["R1", "R12", "C3"])
    >>> unknown_in("R21 looks dull, r1 and the M3 screw do not", known)
    ['R21']
    >>> unknown_in("D3d2", known, names_only=True)
    ['D3d2']
    """
    letters = {ref.rstrip("0123456789") for ref in known}
    found = [
        f"{name}{number}"
        for name, number in _NAMED.findall(text)
        if f"{name}{number}".upper() not in known and (names_only or (name.isupper() and name in letters))
    ]
    return found + (_RUN_ON.findall(text) if names_only else [])


def nearest(name: str, known: frozenset[str]) -> list[str]:
    """The known designators with the same letters whose numbers come nearest, three at most.

    >>> nearest("R21", frozenset(["R1", "R12", "R20", "R44", "C3"])), nearest("D3d2", frozenset(["D2", "D3"]))
    (['R20', 'R12', 'R1'], ['D3', 'D2'])
    """
    if _RUN_ON.fullmatch(name):
        return [each.upper() for each in re.findall(r"[A-Za-z]+\d+", name) if each.upper() in known]
    letters, number = name.rstrip("0123456789").upper(), int(name.lstrip(_LETTERS))
    same = [ref for ref in known if ref.rstrip("0123456789") == letters and ref != letters]
    return sorted(same, key=lambda ref: (abs(int(ref.lstrip(_LETTERS)) - number), ref))[:3]


def asks_again(kit: Kit, *, names_only: bool = False) -> Callable[[str], str]:
    """A check for `Question.wrong`: asks about an unknown designator once, and takes the same answer again."""
    known, asked = designators_of(kit), set[str]()

    def wrong(text: str) -> str:
        unknown = unknown_in(text, known, names_only=names_only) if known else []
        if not unknown or text.strip() in asked:
            return ""
        asked.add(text.strip())
        meant = " or ".join(nearest(unknown[0], known))
        did_you_mean = f": did you mean {meant}?" if meant else "."
        return clean(f"this kit has no {unknown[0]}{did_you_mean} The same answer again keeps it", 300)

    return wrong

"""What kind of part an entry of a list is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from bench.kit.part_lines import likely_kind
from bench.papers.lists.draft import ListPart
from bench.parts.designators import class_letters
from bench.parts.guessing import LETTERS, guess_kind
from bench.parts.kinds import KINDS, kind_named

_UNWRITABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffd-\uffff\ud800-\udfff]")
_CHIP = re.compile(r"(?:P?DI[LP]|SOIC|SO|T?SSOP|[TL]?QF[PN]|PLCC)-?(?:8|1[0-9]|[2-9][0-9])\b", re.IGNORECASE)
"""Packages that hold nothing but chips."""
_ABROAD = {name: re.compile(kind.abroad, re.IGNORECASE) for name, kind in KINDS.items() if kind.abroad}
"""Hardware in other languages than English."""


def writable(text: str) -> str:
    """A text in one line, without what a kit file cannot hold."""
    return " ".join(_UNWRITABLE.sub(" ", text).split())


@lru_cache(maxsize=16384)
def kind_of(part: ListPart, refs: tuple[str, ...] = (), value: str = "") -> tuple[str | None, bool]:
    """The kind, None when it cannot be told, and whether the loader of kit files would guess it too.

    `refs` and `value` are those of the kit file, where they differ from the list's.
    """
    refs, value = refs or part.refs, value or writable(part.value_text)
    package = writable(part.package)
    plain = likely_kind(refs, value, package, writable(part.note))
    if part.kind:
        return part.kind, part.kind == plain
    letters = class_letters(refs[0]) if refs else ""
    told = writable(f"{part.description} {part.value_text} {part.note}".replace("_", " "))[:80]
    named = kind_named(writable(part.description)) or (kind_named(part.section) if not plain else None)
    by_words = named.name if named and (not letters or plain is None) else None
    by_words = by_words or guess_kind(letters, f"{value} {told}", package)
    kind = by_words or plain or guess_kind(letters, value, package) or (guess_kind("", told) if told else None)
    kind = kind or (guess_kind(letters, part.understood, package) if part.understood else None)
    kind = kind or (_by_names(refs[0], package) if refs else _by_words_abroad(f"{value} {told}"))
    return kind, kind is not None and kind == plain


def _by_words_abroad(told: str) -> str | None:
    """The kind of hardware that words of other languages name."""
    return next((name for name, words in _ABROAD.items() if words.search(told)), None)


def _by_names(ref: str, package: str) -> str | None:
    """The kind that a part's own name says, or a word in the name of its footprint; None where neither does."""
    words = re.split(r"[\W_]+|(?<=[A-Za-z])(?=[0-9])", package)
    named = next((kind for word in (ref, *reversed(words)) if (kind := kind_named(word))), None)
    return named.name if named else "IC" if _CHIP.match(package) else None


def usual_kind(refs: Sequence[str]) -> str:
    """A kind for parts of which nothing but the class letter is known.

    TR stands for two kinds, so it tells none.

    >>> usual_kind(("C7",)), usual_kind(("U3",)), usual_kind(("TR1",)), usual_kind(())
    ('ceramic capacitor', 'IC', 'hardware', 'hardware')
    """
    letters = class_letters(refs[0]).upper() if refs else ""
    if letters == "C":
        return "ceramic capacitor"
    return LETTERS[letters].usual if letters in LETTERS and letters != "TR" else "hardware"

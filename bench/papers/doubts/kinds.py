"""What kind of part an entry of a list is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from bench.kit.part_lines import likely_kind
from bench.papers.lists.draft import ListPart
from bench.parts.designators import class_letters
from bench.parts.guessing import CLASSES
from bench.parts.kinds import KINDS, guess_kind, kind_named

_UNWRITABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffd-\uffff\ud800-\udfff]")
_ABROAD = {
    "screw": re.compile(r"schraube|\bvis\b|tornillo|schroe|ねじ|ネジ|螺丝", re.IGNORECASE),
    "nut": re.compile(r"\bmuttern?\b|écrou|tuerca|\bmoer|ナット|螺母", re.IGNORECASE),
    "washer": re.compile(r"scheibe|rondelle|arandela|ワッシャ", re.IGNORECASE),
    "spacer": re.compile(r"abstand|distanz|entretoise|separador|スペーサ|铜柱", re.IGNORECASE),
    "knob": re.compile(r"knopf|knöpfe|drehknopf|bouton|perilla|つまみ|旋钮", re.IGNORECASE),
    "IC socket": re.compile(r"ic-?sockel|dil-?fassung|icソケット", re.IGNORECASE),
    "cable": re.compile(r"\bkabel|câble|ケーブル", re.IGNORECASE),
    "panel": re.compile(r"frontplatte|face avant|パネル", re.IGNORECASE),
}
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
    plain = likely_kind(refs, value, package)
    if part.kind:
        return part.kind, part.kind == plain
    letters = class_letters(refs[0]) if refs else ""
    told = writable(f"{part.description} {part.value_text} {part.note}")[:80]
    named = kind_named(writable(part.description)) or (kind_named(part.section) if not plain else None)
    by_words = named.name if named and (not letters or plain is None) else None
    by_words = by_words or guess_kind(letters, f"{value} {told}", package)
    kind = by_words or plain or guess_kind(letters, value, package) or (guess_kind("", told) if told else None)
    if kind is None and not refs:
        kind = next((name for name, words in _ABROAD.items() if words.search(f"{value} {told}")), None)
    return kind, kind is not None and kind == plain


def usual_kind(refs: Sequence[str]) -> str:
    """A kind for parts of which nothing but the class letter is known.

    >>> usual_kind(("C7",)), usual_kind(("U3",)), usual_kind(())
    ('ceramic capacitor', 'IC', 'hardware')
    """
    letters = class_letters(refs[0]).upper() if refs else ""
    if letters == "C":
        return "ceramic capacitor"
    if letters in CLASSES and CLASSES[letters].usual in KINDS:
        return CLASSES[letters].usual
    return next((name for name, kind in KINDS.items() if letters and letters in kind.letters), "hardware")

"""The designators on a page, and what sort of page they make it: list, schematic, callouts or drawing. Pure."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from bench.papers.lists.cell_patterns import is_type
from bench.papers.lists.normalize_values import family_of, understand
from bench.papers.pdf.page import Page
from bench.papers.pdf.words import Word
from bench.parts.designators import class_letters

FEWEST = 4
"""Labels that a drawing has at least."""
DRAWING = ""
LIST, NOTHING = "a list, not a drawing", "no drawing with designators"
SCHEMATIC = "a schematic shows what is joined to what, not where it sits"
CALLOUTS = "its labels stand in rows beside the board, not at the parts"
"""Sorts of pages, in words that say why such a page shows no places."""
NEVER_ALL = {SCHEMATIC: "a schematic", CALLOUTS: "a drawing with labels beside the board"}
"""Sorts of pages that need not show each part, as people know them."""
_REF = re.compile(r"[A-Z]{1,4}[0-9]{1,4}[A-Z]?")
_SEARCHED = re.compile(r"CO([A-Z]{1,4}[0-9]{1,4}[A-Z]?)")
"""A hidden word by which a drawing program finds a component; its pads have words that begin with PA."""
_OF_PADS = re.compile(r"(?:PA|PI|NL)[A-Z0-9]+")
_HIDDEN = re.compile(f"{_SEARCHED.pattern}|{_OF_PADS.pattern}")
_VALUE = re.compile(r"[0-9]+(?:[.,][0-9]+)?(?:[pnuµmkKMRΩ][0-9]*[FHVΩ]?|ohm|V)")
_PIN = re.compile(r"[0-9]{1,2}")
_SCATTERED, _FEWEST_SCATTERED = 0.3, 6
"""Of the labels: so many stand in columns of their own on a schematic."""
_ALONE, _APART = 0.6, 0.6
"""Of the words of a schematic: so many have no other beside them, which is so far away in sizes of the font."""
_NEAR, _NEAR_IN_ROW, _NEXT = 1.6, 8.0, 1.5
"""Times the height of a label: its value is no further away, and any other label is this much further."""


def labels_of(words: Sequence[Word]) -> list[Word]:
    """The words that name parts; where a program hid words to search by, those in the middle of each part."""
    searched = [(word, found[1]) for word in words if (found := _SEARCHED.fullmatch(word.text))]
    if len(searched) >= FEWEST and any(_OF_PADS.fullmatch(word.text) for word in words):
        return [replace(word, text=ref) for word, ref in searched]
    labels = [word for word in words if _REF.fullmatch(word.text) and not _OF_PADS.fullmatch(word.text)]
    of_a = [word for word in labels if word.text.startswith("A")]
    return [word for word in labels if word not in of_a] if len(of_a) == 1 else labels  # the size of the paper


def are_hidden(words: Sequence[Word]) -> bool:
    """Whether a program hid words to search by in the middle of its parts."""
    return any(_SEARCHED.fullmatch(word.text) for word in words)


def sort_of(page: Page, words: Sequence[Word], labels: Sequence[Word]) -> str:
    """What a page with these labels is: one of the sorts above."""
    if len({word.text for word in labels}) < FEWEST or page.strokes < len(labels):
        return NOTHING
    if _is_schematic(page, words, labels):
        return SCHEMATIC
    if _has_callouts(page, labels):
        return CALLOUTS
    if _is_list(words, labels):
        return LIST
    columns = Counter(round(word.left) for word in labels)
    in_rows = sum(number for number in columns.values() if number >= 6) >= 0.7 * len(labels)
    return CALLOUTS if in_rows else DRAWING


def _is_list(words: Sequence[Word], labels: Sequence[Word]) -> bool:
    """Whether commas follow the designators, or other words stand on their lines, as in a table."""
    commas = sum(word.text.endswith(",") and bool(_REF.fullmatch(word.text[:-1])) for word in words)
    bases = {round(word.base) for word in words if word.level and not _REF.fullmatch(word.text)}
    beside = sum(
        word.level and not bases.isdisjoint(round(word.base) + at for at in (-1, 0, 1)) for word in labels
    )
    return commas >= 0.3 * len(labels) or beside >= 0.6 * len(labels)


def _is_schematic(page: Page, words: Sequence[Word], labels: Sequence[Word]) -> bool:
    """Whether values and numbers of pins stand all around, and the designators in no columns."""
    if any(word.text.startswith("PI") and _OF_PADS.fullmatch(word.text) for word in words):
        return True
    values = sum(bool(_VALUE.fullmatch(word.text)) for word in words)
    pins = sum(bool(_PIN.fullmatch(word.text)) for word in words)
    among = values >= 0.4 * len(labels) and pins >= 0.5 * len(labels) and len(words) >= 3 * len(labels)
    if among and not _is_list(words, labels):
        return True
    lone = sum(len(run) == 1 for run in _runs(words))
    drawn = page.strokes >= 2 * len(labels) and values >= 0.3 * len(labels)
    return drawn and lone >= _ALONE * len(words) and _is_scattered(labels)


def _is_scattered(labels: Sequence[Word]) -> bool:
    """Whether the labels stand in no columns, neither at their left edges nor in their middle."""
    firsts = [run[0] for run in _runs(labels)]
    lefts = {round(each.left / 3) for each in firsts}
    middles = {round(each.centre[0] / 3) for each in firsts}
    return min(len(lefts), len(middles)) >= max(_SCATTERED * len(firsts), _FEWEST_SCATTERED)


def _has_callouts(page: Page, labels: Sequence[Word]) -> bool:
    """Whether slanting lines, which are no edges of cells, lead away from most of the labels."""
    edges = {(round(rule.x0), round(rule.x1), round(rule.y0)) for rule in page.rules}
    slanting = [box for box in page.shapes if (round(box[0]), round(box[2]), round(box[1])) not in edges]
    corners = [(x, y) for left, bottom, right, top in slanting for x in (left, right) for y in (bottom, top)]
    led = 0
    for word in labels:
        near = 1.2 * _height(word)
        led += any(
            min(abs(x - word.left), abs(x - word.right)) < near and abs(y - word.centre[1]) < near
            for x, y in corners
        ) and not any(
            box[0] <= word.left and word.right <= box[2] and box[1] <= word.bottom and word.top <= box[3]
            for box in slanting
        )
    columns = Counter(round(edge) for word in labels for edge in {word.left, word.right})
    return led >= 0.6 * len(labels) and sum(sorted(columns.values())[-4:]) >= 0.7 * len(labels)


def _runs(words: Sequence[Word]) -> list[list[Word]]:
    """Words that follow each other on one line of writing."""
    runs: list[list[Word]] = []
    for word in sorted(words, key=lambda word: (word.along, word.up, -round(word.base), word.begin)):
        last = runs[-1][-1] if runs else None
        follows = (
            last is not None
            and (last.along, last.up) == (word.along, word.up)
            and abs(last.base - word.base) <= 1
            and -0.2 * word.size < word.begin - last.end < _APART * word.size
        )
        if follows:
            runs[-1].append(word)
        else:
            runs.append([word])
    return runs


def values_beside(words: Sequence[Word], labels: Sequence[Word], *, rows: bool) -> Iterator[tuple[str, str]]:
    """Each designator with the value that stands at it and at no other; empty where none surely does.

    With `rows` a value stands on the line of its designator.
    """
    named = {word.text for word in labels}
    found: dict[str, set[str]] = {ref: set() for ref in named}
    for run in _runs([word for word in words if not _HIDDEN.fullmatch(word.text)]):
        text = " ".join(word.text for word in run)
        at = [label for label in labels if not rows or abs(label.base - run[0].base) <= 2]
        if named.isdisjoint(word.text for word in run) and (ref := _owner(text, run, at, rows)):
            found[ref].add(text)
    return ((ref, next(iter(said)) if len(said) == 1 else "") for ref, said in found.items())


def _owner(text: str, run: Sequence[Word], labels: Sequence[Word], rows: bool) -> str:
    """The designator that a value stands at, much nearer than at any other; empty for none."""
    gaps = sorted(
        (min(_gap(label, word) for word in run) / _height(label), label.text)
        for label in labels
        if _fits(label.text, text)
    )
    if not gaps or gaps[0][0] >= (_NEAR_IN_ROW if rows else _NEAR):
        return ""
    first, ref = gaps[0]
    others = [gap for gap, other in gaps if other != ref]
    return "" if others and others[0] <= max(_NEXT * first, 0.5) else ref


def _fits(ref: str, text: str) -> bool:
    """Whether a text can be the value of a part with this designator."""
    family = family_of(class_letters(ref).upper())
    if _PIN.fullmatch(text):
        return False
    return understand(text, family, "") is not None if family else is_type(text.split()[0])


def _height(word: Word) -> float:
    """How high the writing is, whichever way it runs."""
    return min(word.right - word.left, word.top - word.bottom)


def _gap(one: Word, other: Word) -> float:
    """How far two words are from each other, in points; 0 where they touch."""
    across = max(other.left - one.right, one.left - other.right, 0.0)
    return max(across, other.bottom - one.top, one.bottom - other.top)

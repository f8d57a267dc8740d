"""Marks at a value, and the footnotes that they lead to."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from bench.papers.lists.draft import ListPart, Skipped

MARKED = re.compile(r"(.*[\w%Ω)])\s?(\*{1,4}|[†‡§]{1,3})")
"""A value with a mark behind it."""
FOOTNOTE = re.compile(r"(\*{1,4}|[†‡§]{1,3})\)?[\s:]*(?![*†‡§])(\S.*)")


def footnotes(skipped: Sequence[Skipped]) -> dict[str, str]:
    """What the footnotes say, by their mark; a mark at two lines says nothing."""
    found = [note for each in skipped if (note := FOOTNOTE.fullmatch(each.text))]
    marks = [note[1] for note in found]
    return {note[1]: note[2] for note in found if marks.count(note[1]) == 1}


def refers(part: ListPart, mark: str) -> bool:
    """Whether the value of a part carried this mark of a footnote."""
    return part.note.split(", ")[-1] == f"see {mark}"


def with_footnote(part: ListPart, notes: Mapping[str, str]) -> ListPart:
    """The part with what the footnote says in place of its mark; `notes` is mark -> text."""
    for mark, text in notes.items():
        if refers(part, mark):
            return replace(part, note=part.note.removesuffix(f"see {mark}") + text)
    return part

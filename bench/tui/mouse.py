"""What taps and the wheel do: keys of the foot line, lines of a list, stages of the rail."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.app import App
from textual.keys import _character_to_key

from bench.session.view import StageLine
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean

WHEEL_ROWS = 3
"""Rows that one notch of the wheel moves."""
_SHORTEST = 8
"""Characters of a stage's name that a row has at least, where the name is broken or cut."""


def press(app: App[None], key: str) -> None:
    """Do what a key does: it goes the way of all keys, as if it had been pressed."""
    if not key:
        return
    if len(key) == 1:
        app.post_message(events.Key(_character_to_key(key), key))
    else:
        app.post_message(events.Key(key, {"space": " ", "enter": "\r"}.get(key)))


def key_at(row: StyledRow, x: int) -> str:
    """The key whose name or label stands at a cell of a foot line; empty where none does.

    Of two keys under one label, `up down lines`, it is the one tapped, and the first for the label.

    >>> key_at((("space", "key"), (" done  ", "plain"), ("u", "key"), (" undo", "plain")), 8)
    'space'
    """
    at, key = 0, ""
    for text, look in row:
        end = at + cells(text)
        if look in ("key", "here"):
            key = _word_at(text, x - at) if at <= x < end else text.split()[0]
        if at <= x < end:
            return key
        at = end
    return ""


def _word_at(text: str, x: int) -> str:
    """The word of a text that covers a cell, else the first."""
    at = 0
    for word in text.split(" "):
        at += len(word) + 1
        if x < at and word:
            return word
    return text.split()[0]


def row_of(rows: Sequence[StyledRow], at: int) -> StyledRow:
    """A row by its number; an empty one outside of the text."""
    return rows[at] if 0 <= at < len(rows) else ()


def stage_at(rows: Sequence[StyledRow], at: int, stages: Sequence[StageLine]) -> int | None:
    """Which stage stands in a row of the rail, or in the row whose name goes on in it; None for none.

    Stages of one name are told apart by their board, named in the row itself or in a heading above it.
    """
    texts = [" ".join("".join(text for text, _ in row).split()) for row in rows]
    for number in range(min(at, len(texts) - 1), max(-1, at - 3), -1):
        if not texts[number]:
            return None
        named = [each for each, stage in enumerate(stages) if _begins(stage.name) in texts[number]]
        if len(named) < 2:
            if named:
                return named[0]
            continue
        for text in reversed(texts[: number + 1]):
            for each in named:
                if stages[each].board and clean(stages[each].board, 12) in text:
                    return each
        return named[0]
    return None


def _begins(name: str) -> str:
    """The first words of a name, as many as stand in one row in any case."""
    words, begun = clean(name, 100).split(), ""
    for word in words:
        if len(begun) >= _SHORTEST:
            break
        begun = f"{begun} {word}".strip()
    return begun

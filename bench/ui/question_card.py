"""Questions in the place of the card: what they are about, what is asked in large type, the keys; pure."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from bench.log.unit_names import unit_words
from bench.parts.designators import shorten
from bench.session.view import StepView
from bench.ui.big_type import draw
from bench.ui.card_blocks import StyledRow, large_lines, lines
from bench.ui.text import cells, clean, cut

LINES_MOST = 3
"""Lines of large type for one question."""
LARGE_MOST = 40
"""Characters of it: more is read faster in plain type."""
LOW = 15
"""Rows below which nothing is drawn large and no row is left empty."""


class Field(Struct, frozen=True, kw_only=True):
    """One of the questions of a form."""

    ask: str
    answer: str = ""
    state: str = "ahead"
    """`done`, `now` or `ahead`."""


def about_step(view: StepView) -> str:
    """The step that a question belongs to, in one line: unit, value, designators, stage and board."""
    unit = unit_words(view.unit) if view.units else ""
    if view.step is None:
        return clean(unit)
    step = view.step
    named = f"{step.named} {shorten(view.refs_left or step.refs)}".strip()
    return clean(" · ".join(filter(None, (unit, named, step.stage, step.board))), 200)


def window_title(view: StepView) -> str:
    """Kit and step, for the title of the terminal."""
    if view.step is None:
        return view.kit
    step = f"{view.step.named} {shorten(view.refs_left or view.step.refs)}".strip()
    return f"{step} - {view.kit}"


def heading(about: str, title: str, width: int) -> list[StyledRow]:
    """What the question is about, and its name."""
    rows: list[StyledRow] = [((cut(about, width), "faint"),)] if about else []
    return rows + (lines(title, "head", width) if title else [])


def asked_rows(ask: str, width: int, room: int, large: str = "", label: str = "") -> list[StyledRow]:
    """What is asked, in large type where it has room; with `large` that stands there, under its label."""
    plain = lines(sentence(ask), "value", width)
    if room < LOW:
        return plain
    drawn = large_rows(clean(large, 60) or sentence(ask), width, room)
    if drawn and large:
        return [*plain, (), *([((label, "faint"),)] if label else []), *drawn]
    return drawn or plain


def large_rows(text: str, width: int, room: int) -> list[StyledRow]:
    """A text in large type, in at most `LINES_MOST` lines and half of the room; none where it does not fit."""
    lines_of_it = large_lines(text, width, LINES_MOST) if cells(text) <= LARGE_MOST else []
    drawn = [draw(line) for line in lines_of_it]
    rows: list[StyledRow] = []
    for number, each in enumerate(drawn):
        rows += [()] * bool(number) + [((row, "value"),) for row in each]
    return rows if len(rows) <= room // 2 else []


def field_rows(fields: Sequence[Field], width: int, room: int) -> list[StyledRow]:
    """The questions of a form and their answers so far; those that have room, the one asked now among them."""
    if len(fields) < 2:
        return []
    rows: list[StyledRow] = []
    for each in fields:
        mark = {"done": "✓", "now": "▸"}.get(each.state, " ")
        ask, answer = sentence(each.ask), clean(each.answer, 200)
        look = "head" if each.state == "now" else "faint"
        spans = [(cut(f"{mark} {ask}", width), look)]
        if each.state == "done":
            left = width - cells(spans[0][0]) - 2
            said = answer.strip() or "nothing"
            spans += [("  ", "plain"), (cut(said, left), "plain")] if left > 3 else []
        rows.append(tuple(spans))
    return rows if len(rows) <= room else []


def choice_rows(choices: Sequence[tuple[str, str]], width: int, room: int) -> list[StyledRow]:
    """The answers, each behind its key: below one another, or in two columns where the room is low."""
    beside = 2 if len(choices) > room else 1
    wide = width // beside
    cells_of_key = max((cells(key) for key, _ in choices), default=1) + 2
    full = sum(len(_wrapped(text, wide - cells_of_key - 2)) for _, text in choices) <= room
    rows: list[StyledRow] = []
    for at in range(0, len(choices), beside):
        spans: list[tuple[str, str]] = []
        for key, text in choices[at : at + beside]:
            within = wide - cells_of_key - 2
            first, *more = _wrapped(text, within) if beside == 1 and full else [cut(text, within - beside + 1)]
            word = f"  {first}"
            spans += [(f"{key:^{cells_of_key}}", "here"), (word, "plain")]
            if beside > 1:
                spans.append((" " * max(1, wide - cells_of_key - cells(word)), "plain"))
                continue
            rows.append(tuple(spans))
            rows += [((" " * (cells_of_key + 2) + line, "plain"),) for line in more]
            spans = []
        if spans:
            rows.append(tuple(spans))
    return rows


def _wrapped(text: str, width: int) -> list[str]:
    return [row[0][0] for row in lines(text, "plain", width)] or [""]


def key_rows(keys: Sequence[tuple[str, str]], width: int) -> list[StyledRow]:
    """Keys with what they do here, in as many rows as they take."""
    rows: list[list[tuple[str, str]]] = [[(" ", "plain")]]
    used = 1
    for key, does in keys:
        room = cells(f"{key} {does}")
        if used > 1 and used + room > width:
            rows.append([(" ", "plain")])
            used = 1
        rows[-1] += [(key, "key"), (f" {does}  ", "plain")]
        used += room + 2
    return [tuple(row) for row in rows if len(row) > 1]


def sentence(ask: str) -> str:
    """What is asked, with a capital letter.

    >>> sentence("how many minutes?")
    'How many minutes?'
    """
    return f"{ask[:1].upper()}{ask[1:]}"

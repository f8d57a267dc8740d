"""A maker's list as lines for the screen: what was read, questions, parts, what was skipped. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from msgspec import Struct

from bench.papers.doubts.decisions import DecisionEntry, Ruling
from bench.papers.doubts.kinds import kind_of
from bench.papers.doubts.options import answers, as_it_is
from bench.papers.doubts.settle import ResolvedList
from bench.papers.lists.draft import Doubt, ListReading, Skipped
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.ui.text import clean

Spans = list[tuple[str, str]]
_AROUND = 4
"""Lines of the list shown before and after the one in question."""


class ListRow(Struct, frozen=True, kw_only=True):
    """One line of the screen, and what it is about."""

    section: str
    """`read`, `doubts`, `settled`, `parts`, `skipped`."""
    text: str
    look: str = "plain"
    line: int = 0
    """Line of the list, 0 for all of it."""
    doubt: Doubt | None = None
    entry: DecisionEntry | None = None
    skipped: Skipped | None = None
    ruling: Ruling | None = None


def list_lines(
    settled: ResolvedList,
    rulings: Sequence[Ruling],
    note: str,
    warnings: Sequence[str] = (),
    papers: Sequence[str] = (),
) -> tuple[ListRow, ...]:
    """All lines, section by section."""
    reading = settled.reading
    return (
        ListRow(section="read", text=f"read     {told(settled)}", look="head"),
        *([ListRow(section="read", text=f"columns  {clean(note, 300)}", look="way")] if note else []),
        *(ListRow(section="read", text=f"warning  {clean(each, 500)}", look="caution") for each in warnings),
        *(ListRow(section="read", text=f"paper    {clean(each, 300)}", look="way") for each in papers),
        *(_doubt(doubt) for doubt in settled.questions),
        *_settled(settled, rulings),
        *_parts(settled),
        *(_passed(each) for each in reading.skipped if each.text),
    )


def told(settled: ResolvedList) -> str:
    """What was read, in a few words."""
    reading = settled.reading
    boards = f" on {len(reading.boards)} boards" if len(reading.boards) > 1 else ""
    lines = counted(len(reading.parts), "line")
    if reading.shopping_list:
        number = counted(sum(part.quantity for part in reading.parts), "part")
        return f"a shopping list: {number} in {lines}; {reading.form}"
    return f"{counted(settled.designators, 'designator')} in {lines}{boards}; {reading.form}"


def ruling_told(ruling: Ruling) -> str:
    """What was just decided, as a sentence: an answer, or a change that no question asked for."""
    return _sentence(ruling.said if ruling.doubt is None else f"answered: {ruling.said}")


def _tag(word: str, line: int) -> str:
    """What a row is and which line of the list it is about."""
    return f"{word:<9}{line or '':>4}  "


def _doubt(doubt: Doubt) -> ListRow:
    text = f"{_tag('question', doubt.line)}{clean(doubt.what, 400)}"
    return ListRow(section="doubts", text=text, look="caution", line=doubt.line, doubt=doubt)


def _settled(settled: ResolvedList, rulings: Sequence[Ruling]) -> Iterator[ListRow]:
    for ruling in rulings:
        idle = ruling in settled.idle
        tag = _tag("no match" if idle else "answered", ruling.line)
        text = f"{tag}{clean(ruling.said, 400)}"
        yield ListRow(section="settled", text=text, look="faint", line=ruling.line, ruling=ruling)


def _parts(settled: ResolvedList) -> Iterator[ListRow]:
    boards = len(settled.reading.boards) > 1
    board = None
    for entry in settled.entries:
        part = entry.part
        if boards and part.board != board:
            board = part.board
            yield ListRow(
                section="parts", text=f"{_tag('board', 0)}{clean(board or 'no name', 100)}", look="head"
            )
        yield _part(entry)


@lru_cache(maxsize=4096)
def _part(entry: DecisionEntry) -> ListRow:
    """The line of a part; most are as they were before the last key."""
    part = entry.part
    refs = clean(shorten(part.refs), 200) if part.refs else "-"
    words = [f"{part.quantity:>3} x {clean(part.value_text, 100) or '?':<14} {refs}"]
    words += [kind_of(part)[0] or "?", clean(part.description, 100)]
    words += [] if part.fitted else ["(not fitted)"]
    text = f"{_tag('part', part.line)}{'  '.join(filter(None, words))}"
    return ListRow(
        section="parts", text=text, look="refs" if part.fitted else "faint", line=part.line, entry=entry
    )


def _passed(skipped: Skipped) -> ListRow:
    tag = _tag("skipped", skipped.line)
    text = f"{tag}{clean(skipped.text, 100)}  ({clean(skipped.why, 60)})"
    return ListRow(section="skipped", text=text, look="plain", line=skipped.line, skipped=skipped)


def about(line: ListRow, settled: ResolvedList, keys: dict[str, str]) -> Spans:
    """What can be done about a line, for the pane under the list; `keys` names the key of each command."""
    reading = settled.reading
    spans: Spans = []
    if line.doubt is not None:
        spans.append((_sentence(line.doubt.what), "head"))
        spans += _source(reading, line)
        spans += _offers(settled, line.doubt, keys)
        return spans
    if line.entry is not None:
        spans += _source(reading, line)
        spans.append((_entry(line.entry), "refs"))
        spans.append((f"{keys['change']}: change it. {keys['leave_out']}: take it out.", "way"))
    elif line.skipped is not None:
        spans += _source(reading, line)
        spans.append((clean(f"Skipped: {line.skipped.why}.", 300), "plain"))
        spans.append((f"{keys['add_part']}: it is a part.", "way"))
    elif line.ruling is not None:
        spans.append((_sentence(line.ruling.said), "head"))
        spans += _source(reading, line)
        if line.ruling in settled.idle:
            spans.append(("This answer no longer matches any line of the list.", "caution"))
        spans.append((f"{keys['undo']}: undo the last answer.", "way"))
    elif line.look == "caution":
        spans.append((line.text, "caution"))
    else:
        spans.append((_sentence(reading.why), "plain"))
        spans.append((f"{keys['columns']}: columns. {keys['make_kit']}: write the kit.", "way"))
    return spans


def _offers(settled: ResolvedList, doubt: Doubt, keys: dict[str, str]) -> Spans:
    spans: Spans = [
        (clean(f"{keys[f'answer_{number}']} {answer.text}", 200), "plain")
        for number, answer in enumerate(answers(settled, doubt), 1)
    ]
    return [*spans, (f"{keys['as_it_is']} {as_it_is(doubt)}", "plain")]


def _sentence(text: str) -> str:
    said = clean(text, 600)
    return said[:1].upper() + said[1:] + ("" if said.endswith((".", "?", "!")) else ".")


def _source(reading: ListReading, line: ListRow) -> Spans:
    text = original(reading, line.line)
    return [(f"line {line.line}: {text}", "way")] if text else []


def original(reading: ListReading, line: int) -> str:
    """A line of the list as it stands there."""
    return clean(reading.source[line - 1].strip(), 300) if 0 < line <= len(reading.source) else ""


def _entry(entry: DecisionEntry) -> str:
    part = entry.part
    kind = kind_of(part)[0] or "not known"
    fields = [
        ("designators", ", ".join(part.refs)), ("value", part.value_text), ("read as", part.understood),
        ("count", f"{part.quantity}"), ("kind", kind if part.kind else f"{kind} (guessed)"),
        ("package", part.package), ("board", part.board), ("section", part.section),
        ("says", part.description), ("note", part.note), ("tolerance", part.tolerance),
        ("voltage", part.voltage), ("marking", part.marking),
    ]  # fmt: skip
    return clean("; ".join(f"{name} {text}" for name, text in fields if text), 900)


def in_full(line: ListRow, settled: ResolvedList, keys: dict[str, str]) -> Spans:
    """A line in full, with the surrounding source lines."""
    reading = settled.reading
    spans = [*about(line, settled, keys), ("", "plain")]
    if line.line:
        first, last = max(1, line.line - _AROUND), min(len(reading.source), line.line + _AROUND)
        spans.append((f"{clean(reading.name, 200)}, lines {first} to {last}", "head"))
        for at in range(first, last + 1):
            here = at == line.line
            spans.append(
                (f"{'>' if here else ' '} {at:>5}  {original(reading, at)}", "value" if here else "plain")
            )
        return spans
    spans.append(("Columns", "head"))
    for column in reading.table:
        samples = ", ".join(column.samples)
        spans.append((clean(f"{column.heading}: {column.role or 'nothing'} ({samples})", 300), "plain"))
    if not reading.table:
        spans.append(("This list has no columns: each line was read by itself.", "plain"))
    return spans

"""The sections of a Markdown write-up: each is a list of blocks, empty when there is nothing to say.

Every text of kit, procedure and builder passes through `commonmark.inert`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from bench.parts.designators import shorten
from bench.retro import words
from bench.retro.commonmark import bullets, inert, numbered, table
from bench.retro.model import (
    ADVICE_SOURCES,
    Advice,
    CountRow,
    HoldRow,
    LeftRow,
    ReadingRow,
    Row,
    SnagRow,
    StageRow,
    Story,
)

_GROUPS = {
    "tip": "Tips",
    "kit's erratum": "Errata from the maker",
    "erratum found": "Errata found while building",
    "substitution": "Other parts than the list says",
    "snag": "From the snags",
    "miscount": "From the joint counts",
}


def time_spent(story: Story) -> list[str]:
    """Where the hours went, and what is not counted."""
    rows = [row for row in story.stages if row.seconds > 0 or row.parts or row.joints]
    blocks = []
    if len(rows) > 1 and story.seconds > 0:
        longest = max(rows, key=lambda row: row.seconds)
        blocks.append(
            f"The largest share of the {words.hours(story.minutes)} went to {place_of(story, longest)}: "
            f"{words.hours(longest.minutes)}."
        )
        blocks.append(_time_table(story, rows))
    elif story.seconds > 0:
        blocks.append(f"All of the {words.hours(story.minutes)} went to {place_of(story, rows[0])}.")
    return blocks + _pauses(story)


def _time_table(story: Story, rows: Sequence[StageRow]) -> str:
    boards = _several_boards(story)
    head = ["Stage", *(["Board"] if boards else []), "Parts", "Joints", "Time"]
    cells = []
    for row in rows:
        where = [inert(row.stage) or words.place("", "")]
        where += [inert(row.board) or "whole module"] if boards else []
        cells.append([*where, _digits(row.parts), _digits(row.joints), words.hours(row.minutes)])
    total = ["**All**", *([""] if boards else []), str(sum(row.parts for row in rows))]
    cells.append([*total, str(sum(row.joints for row in rows)), f"**{words.hours(story.minutes)}**"])
    return table(head, cells, right=("Parts", "Joints", "Time"))


def _pauses(story: Story) -> list[str]:
    said = []
    if story.breaks:
        said.append(f"{words.counted(story.breaks, 'break')} {_lasted(story.breaks, story.break_seconds)}")
    if story.gaps:
        pauses = f"{words.counted(story.gaps, 'pause')} {_lasted(story.gaps, story.gap_seconds)}"
        said.append(f"{pauses} that nobody has settled as work or break")
    return [f"Not counted: {words.join(said)}."] if said else []


def _lasted(amount: int, seconds: float) -> str:
    return f"of {words.hours(round(seconds / 60))}{' in all' if amount > 1 else ''}"


def parts_placed(story: Story) -> list[str]:
    """What was soldered, inserted and fitted, and how the counts of joints came out."""
    kinds = sorted((row for row in story.kinds if row.placed), key=lambda row: -row.placed)
    blocks = []
    if kinds:
        single = [row.kind for row in kinds if row.placed == 1]
        several = [inert(words.count(row.placed, row.kind)) for row in kinds if row.placed > 1]
        if len(single) > 3:
            last = f"one each of {inert(words.join(single))}"
            amounts = f"{', '.join(several)}, and {last}" if several else last
        else:
            amounts = words.join(several + [inert(words.count(1, kind)) for kind in single])
        blocks.append(f"In went {amounts}: {words.count(story.parts_placed, 'part')} in all.")
    if story.finished:
        blocks += optional(story, "Optional, and left out")
    if story.parts_unplanned:
        more = f"{words.capital(words.number(story.parts_unplanned))} more"
        have = "part is" if story.parts_unplanned == 1 else "parts are"
        blocks.append(f"{more} {have} in that the kit's list, as it now stands, does not have.")
    return blocks + _counts(story)


def _counts(story: Story) -> list[str]:
    by_place: dict[str, list[CountRow]] = {}
    for row in story.counts:
        by_place.setdefault(place_of(story, row), []).append(row)
    if not by_place:
        return []
    off = {place: rows for place, rows in by_place.items() if rows[0].counted != rows[0].expected}
    stages = words.counted(len(by_place), "stage")
    said = f"The joints of {stages} were counted without knowing how many there should be"
    if not off:
        return [f"{said}: {'the count' if len(by_place) == 1 else 'all counts'} agreed."]
    agreed = len(by_place) - len(off)
    how = (
        f"{words.number(agreed)} agreed at once, {words.number(len(off))} did not"
        if agreed
        else "none agreed at once"
    )
    tellings = [f"{place}: {'; then '.join(map(_count, rows))}." for place, rows in off.items()]
    return [f"{said}; {how}:", bullets(tellings)]


def _count(row: CountRow) -> str:
    if row.counted == row.expected:
        return f"{row.counted}, as expected"
    off = words.number(abs(row.counted - row.expected))
    how = "too many" if row.counted > row.expected else "short"
    return f"counted {row.counted} where {row.expected} were expected, {off} {how}"


def snags(story: Story) -> list[str]:
    """The snags in order."""
    return [numbered([_snag(story, snag) for snag in story.snags])] if story.snags else []


def _snag(story: Story, snag: SnagRow) -> str:
    part = inert(snag.part)
    said = [f"**{place_of(story, snag)}{f' ({part})' if part else ''}:**"]
    said.append(inert(words.sentence(snag.what)) or "(no words)")
    if snag.minutes:
        said.append(f"Time lost: {words.lost(snag.minutes)}.")
    said.append("**Still open.**" if snag.open else f"Fix: {inert(words.sentence(snag.fix))}")
    return " ".join(said)


def held(story: Story) -> list[str]:
    """What was left for later, why, and when it was taken up."""
    items = []
    for row in story.held:
        said = f"{_step(row.value, row.refs)}, in {place_of(story, row)}"
        reasons = [inert(words.sentence(reason)) for reason in row.reasons if words.one_line(reason)]
        said += f": {' '.join(reasons)}" if reasons else "."
        left = "Left out." if story.finished else "**Still held back.**"
        items.append(f"{said} {f'Taken up on {words.day(row.taken_up.day)}.' if row.taken_up else left}")
    return [bullets(items)] if items else []


def bag(story: Story) -> list[str]:
    """The bag check: what was missing, and what was measured before it went in."""
    blocks = []
    if story.bag:
        short = [row for row in story.bag if row.found < row.expected]
        verb = "was" if len(story.bag) == 1 else "were"
        counted = f"{words.capital(words.counted(len(story.bag), 'sort'))} of part {verb}"
        if short:
            told = [
                f"{_step(row.value, row.refs, row.kind)}: {row.found} of {row.expected} there" for row in short
            ]
            blocks += [f"{counted} counted before the first joint. Missing from the bag:", bullets(told)]
        else:
            blocks.append(f"{counted} counted before the first joint, and nothing was missing.")
    if story.measured_ahead:
        rows = [[inert(row.value), inert(row.read), inert(row.said)] for row in story.measured_ahead]
        blocks.append(table(["Part", "Read", "Which says"], rows))
    return blocks


def measured(story: Story) -> list[str]:
    """Hold points, readings and adjustments."""
    blocks = []
    holds = [row for row in story.holds if row.done]
    if holds:
        blocks.append(_checks(story, holds))
    if story.passed:
        reasons = [
            f"{inert(row.hold) or 'no name'}{', ' + inert(row.point) if row.point else ''}: "
            f"{inert(words.sentence(row.reason)) or 'no reason given.'}"
            for row in story.passed
        ]
        blocks += ["Passed although a check was not met, and why:", bullets(reasons)]
    if story.readings:
        blocks.append(_readings_table(story))
    return blocks + _trims(story)


def _checks(story: Story, holds: Sequence[HoldRow]) -> str:
    if all(row.done == row.checks for row in holds):
        told = [f"{_named(story, row.name, row.board)} ({row.checks})" for row in holds]
        return f"Every check was carried out: {words.join(told)}."
    told = [f"{_named(story, row.name, row.board)} ({row.done} of {row.checks})" for row in holds]
    return f"Checks carried out: {words.join(told)}."


def _trims(story: Story) -> list[str]:
    """Adjustments; the target of one that was read stands in the table of readings already."""
    read = {(row.point, row.expect) for row in story.readings}
    told, any_target = [], False
    for trim in story.trims:
        said = _named(story, trim.name, trim.board)
        said += f" ({inert(trim.trimmer)})" if words.one_line(trim.trimmer) else ""
        if words.one_line(trim.target) and (trim.name, trim.target) not in read:
            said, any_target = f"{said}: {inert(trim.target)}", True
        told.append(said)
    if any_target:
        return ["Adjusted:", bullets(told)]
    return [f"Adjusted: {words.join(told)}."] if told else []


def _readings_table(story: Story) -> str:
    def same(row: ReadingRow) -> tuple[str, str, str, str]:
        return row.stage, row.board, row.point, row.expect

    expected = any(words.one_line(row.expect) for row in story.readings)
    judged = any(row.verdict for row in story.readings)
    verdict = ["Verdict"] if judged else []
    head = ["Where", *(["Expected"] if expected else []), "Read", *verdict, "During"]
    cells = []
    for (_, _, point, expect), rows in groupby(story.readings, same):
        told = list(rows)
        read = ", then ".join(inert(row.read) for row in told)
        said = [", then ".join(row.verdict or "not judged" for row in told)] if judged else []
        cells.append(
            [inert(point), *([inert(expect)] if expected else []), read, *said, place_of(story, told[0])]
        )
    return table(head, cells)


def notes_taken(story: Story) -> list[str]:
    """Notes in order, under stage and board; tips and marks stand elsewhere."""
    notes = [row for row in story.notes if row.mark not in ("tip", "show") and words.one_line(row.text)]
    blocks = []
    for _, rows in groupby(notes, lambda row: (row.stage, row.board)):
        told = list(rows)
        blocks += [
            f"**{words.capital(place_of(story, told[0]))}**",
            bullets([inert(row.text) for row in told]),
        ]
    return blocks


def shown(story: Story) -> list[str]:
    """What the builder marked as worth showing, with the moment."""
    items = []
    for row in story.notes:
        if row.mark == "show":
            said = f"{words.day(row.when.day)}, {row.when.time} ({place_of(story, row)})"
            items.append(f"{said}: {inert(row.text)}" if words.one_line(row.text) else said)
    return [bullets(items)] if items else []


def advice(story: Story) -> list[str]:
    """What the next builder should know, under what it is drawn from."""
    blocks = []
    for source in ADVICE_SOURCES:
        pieces = [piece for piece in story.advice if piece.drawn_from == source]
        if pieces and source == "snag":
            blocks += [f"### {_GROUPS[source]}", _look_twice(story)]
        elif pieces:
            blocks += [f"### {_GROUPS[source]}", bullets([_piece(story, piece) for piece in pieces])]
    return blocks


def _piece(story: Story, piece: Advice) -> str:
    where = place_of(story, piece) if piece.stage or piece.board else ""
    if piece.drawn_from == "miscount":
        return f"{where}: {inert(words.sentence(piece.text))}"
    return inert(piece.text) + (f" ({where})" if where else "")


def _look_twice(story: Story) -> str:
    """The snags are told in full further up: here only where to look."""
    where = [
        f"{inert(snag.part)} ({place_of(story, snag)})" if words.one_line(snag.part) else place_of(story, snag)
        for snag in story.snags
        if not snag.open
    ]
    return f"Look twice at {words.join(list(dict.fromkeys(where)))}: the snags above tell why."


def optional(story: Story, title: str) -> list[str]:
    """Optional parts that are held back."""
    if not story.left_out:
        return []
    return [f"{title}: {words.join([_step(row.value, row.refs, row.kind) for row in story.left_out])}."]


# -- words -------------------------------------------------------------------------------------------
def _several_boards(story: Story) -> bool:
    return len({row.board for row in story.stages if row.board}) > 1


def _named(story: Story, name_of_it: str, board: str) -> str:
    """A stage, hold point or trim with its board, where the kit has several boards."""
    return inert(words.place(name_of_it, board if _several_boards(story) else ""))


def place_of(story: Story, row: Row | StageRow | LeftRow | Advice) -> str:
    """Stage and board as Markdown; the board only where the kit has several."""
    return _named(story, row.stage, row.board)


def _step(value: str, refs: Sequence[str], kind: str = "") -> str:
    called = words.one_line(value) or words.one_line(kind) or "a part"
    return inert(f"{shorten(refs)} ({called})" if refs else called)


def _digits(amount: int) -> str:
    return str(amount) if amount else ""

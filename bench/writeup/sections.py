"""The sections of an article: each is a list of blocks, empty when there is nothing to say. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.parts.designators import shorten
from bench.writeup import words
from bench.writeup.blocks import Block, Grid, Run, Strong, grid, listing, paragraph, subheading
from bench.writeup.story_model import (
    Advice,
    CountRow,
    EventRow,
    LeftRow,
    StageRow,
    Story,
)

WORTH_TELLING = 5
"""Minutes with the program closed that are told."""
_GROUPS = {
    "tip": "Tips",
    "kit's erratum": "Known mistakes in the guide",
    "erratum found": "Mistakes found in the guide",
    "substitution": "Substitutes",
}


def time_spent(story: Story) -> list[Block]:
    """Where the hours went: what is not counted, and every stage with its parts, joints, forecast and time."""
    rows = [row for row in story.stages if row.seconds > 0 or row.parts or row.joints]
    table = [_time_table(story, rows)] if len(rows) > 1 and story.seconds > 0 else []
    return [*([paragraph(*said)] if (said := _pauses(story)) else []), *table]


def minutes_by_stage(story: Story) -> list[tuple[str, int]]:
    """Whole minutes by name of stage, all boards together, the longest first."""
    names: dict[str, int] = {}
    for row in story.stages:
        name = words.one_line(row.stage) or words.place("", "")
        names[name] = names.get(name, 0) + row.minutes
    return sorted(names.items(), key=lambda each: -each[1])


def _time_table(story: Story, rows: Sequence[StageRow]) -> Grid:
    forecast = any(row.forecast is not None for row in rows)
    head = ["Stage", "Parts", "Joints", *(["Forecast"] if forecast else []), "Time"]
    cells: list[list[Run]] = []
    for row in rows:
        expected = [] if not forecast else ["" if row.forecast is None else words.hours(round(row.forecast))]
        cells.append(
            [place_of(story, row), _digits(row.parts), _digits(row.joints), *expected, words.hours(row.minutes)]
        )
    parts, joints = str(sum(row.parts for row in rows)), str(sum(row.joints for row in rows))
    total: list[Run] = [Strong("All"), parts, joints, *([_forecast_of_all(rows)] if forecast else [])]
    caption = "Time at the bench by stage, without breaks."
    return grid(caption, head, cells, right=head[1:], total=[*total, Strong(words.hours(story.minutes))])


def _forecast_of_all(rows: Sequence[StageRow]) -> str:
    """The sum of the forecasts where every stage has one, since only then it stands beside the sum of times."""
    told = [row.forecast for row in rows if row.forecast is not None]
    return words.hours(round(sum(told))) if len(told) == len(rows) else ""


def _pauses(story: Story) -> list[str]:
    """Where the rest of the clock's time went; as a list of pauses where a clock was set."""
    account = story.account
    if account is not None:
        told = [f"breaks took another {words.hours(account.breaks)}"] if account.breaks else []
        if account.unsettled:
            told.append(f"for {words.hours(account.unsettled)} nobody noted whether it was work or rest")
        if account.closed >= WORTH_TELLING and not story.beside:
            told.append(f"for {words.hours(account.closed)} the program was closed")
        return [f"{words.capital(', and '.join(told))}."] if told else []
    said = []
    if story.breaks:
        said.append(f"{words.spelt(story.breaks, 'break')} {_lasted(story.breaks, story.break_seconds)}")
    if story.gaps:
        pauses = f"{words.spelt(story.gaps, 'pause')} {_lasted(story.gaps, story.gap_seconds)}"
        said.append(f"{pauses} (work or break, not recorded)")
    return [f"Not counted: {words.join(said)}."] if said else []


def _lasted(amount: int, seconds: float) -> str:
    return f"of {words.hours(round(seconds / 60))}{' in all' if amount > 1 else ''}"


def parts_placed(story: Story) -> list[Block]:
    """What was soldered, inserted and fitted, and counts of joints that came out wrong."""
    kinds = sorted((row for row in story.kinds if row.placed), key=lambda row: -row.placed)
    blocks: list[Block] = []
    if kinds:
        of_kit = f" The kit has {story.kit_count}." if story.kit_count else ""
        rows = [[words.capital(row.kind), str(row.placed)] for row in kinds]
        total: list[Run] = [Strong("All"), Strong(str(story.parts_placed))]
        blocks.append(
            grid(f"Parts that went in.{of_kit}", ["Kind", "Parts"], rows, right=["Parts"], total=total)
        )
    if story.parts_unplanned:
        more = f"{words.capital(words.number(story.parts_unplanned))} more"
        have = "part is" if story.parts_unplanned == 1 else "parts are"
        blocks.append(paragraph(f"{more} {have} fitted that the parts list no longer has."))
    return blocks + _counts(story)


def _counts(story: Story) -> list[Block]:
    """Where a count of joints did not come out at once, all counts there."""
    by_place: dict[str, list[CountRow]] = {}
    for row in story.counts:
        by_place.setdefault(place_of(story, row), []).append(row)
    told = [
        f"{place}: {'; then '.join(map(_count, rows))}."
        for place, rows in by_place.items()
        if any(row.counted != row.expected for row in rows)
    ]
    return [listing(told)] if told else []


def _count(row: CountRow) -> str:
    if row.counted == row.expected:
        return f"{row.counted} joints counted, as expected"
    return f"{row.counted} joints counted, {row.expected} expected"


def bag(story: Story) -> list[Block]:
    """What was missing from the bag, and what was measured before it went in."""
    blocks: list[Block] = []
    for title, rows in (
        ("Missing from the bag.", [row for row in story.bag if row.found < row.expected]),
        ("More in the bag than needed.", [row for row in story.bag if row.found > row.expected]),
    ):
        cells = [[_step(row.value, row.refs, row.kind), str(row.expected), str(row.found)] for row in rows]
        head = ["Part", "Needed", "In the bag"]
        blocks += [grid(title, head, cells, right=head[1:])] if cells else []
    wrong = [words.one_line(row.value) for row in story.measured_ahead if row.said.startswith("NOT ")]
    if wrong:
        blocks.append(
            paragraph(f"By the meter another part was in the bag for {words.join(list(dict.fromkeys(wrong)))}.")
        )
    if story.measured_ahead:
        read = [[row.value, row.read, row.said] for row in story.measured_ahead]
        blocks.append(grid("Parts measured before fitting.", ["Part", "Reading", "Verdict"], read))
    return blocks


def changed(story: Story) -> list[Block]:
    """What is not as the kit's papers say: mistakes found in them, substitutes, optional parts left out."""
    left = optional(story, "Optional, left out") if story.finished else []
    return [*_advice(story, "erratum found", "substitution"), *left]


def advice(story: Story) -> list[Block]:
    """What the next builder should know; snags are told in the story."""
    return _advice(story, "tip", "kit's erratum")


def _advice(story: Story, *sources: str) -> list[Block]:
    blocks: list[Block] = []
    for source in sources:
        pieces = [
            words.capital(words.one_line(each.text)) for each in story.advice if each.drawn_from == source
        ]
        if pieces:
            blocks += [subheading(_GROUPS[source]), listing(pieces)]
    return blocks


def optional(story: Story, title: str) -> list[Block]:
    """Optional parts that are held back."""
    if not story.left_out:
        return []
    left = words.join([_step(row.value, row.refs, row.kind) for row in story.left_out])
    return [paragraph(f"{title}: {left}.")]


# -- words -------------------------------------------------------------------------------------------
def _several_boards(story: Story) -> bool:
    return len({row.board for row in story.stages if row.board}) > 1


def named(story: Story, name_of_it: str, board: str) -> str:
    """A stage, hold point or trim with its board, where the kit has several boards."""
    return words.place(name_of_it, board if _several_boards(story) else "")


def place_of(story: Story, row: EventRow | StageRow | LeftRow | Advice) -> str:
    """Stage and board; the board only where the kit has several."""
    return named(story, row.stage, row.board)


def _step(value: str, refs: Sequence[str], kind: str = "") -> str:
    called = words.one_line(value) or words.one_line(kind) or "a part"
    return f"{shorten(refs)} ({called})" if refs else called


def _digits(amount: int) -> str:
    return str(amount) if amount else ""

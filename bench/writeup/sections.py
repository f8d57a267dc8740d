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
    KindRow,
    LeftRow,
    StageRow,
    Story,
)

NEAR, WORTH_TELLING = 5, 5
"""Per cent within which a forecast was close; minutes with the program closed that are told."""
_GROUPS = {
    "tip": "Tips",
    "kit's erratum": "Known mistakes in the guide",
    "erratum found": "Mistakes found in the guide",
    "substitution": "Substitutes",
}


def time_spent(story: Story) -> list[Block]:
    """Where the hours went, and what is not counted."""
    rows = [row for row in story.stages if row.seconds > 0]
    if story.seconds <= 0:
        return [paragraph(*said)] if (said := _pauses(story)) else []
    most = [(name, minutes) for name, minutes in minutes_by_stage(story) if minutes][:3]
    told = words.join([f"{words.hours(minutes)} into ‘{name}’" for name, minutes in most])
    where = f", in {place_of(story, rows[0])}" if rows else ""
    total = f"{words.capital(words.hours(story.minutes))} at the bench{where}."
    if len(rows) > 1 and len(most) > 1:
        total = f"Of the {words.hours(story.minutes)} at the bench, {told.replace(' into', ' went into', 1)}."
    return [paragraph(total, *_against_forecast(rows), *_pauses(story))]


def minutes_by_stage(story: Story) -> list[tuple[str, int]]:
    """Whole minutes by name of stage, all boards together, the longest first."""
    names: dict[str, int] = {}
    for row in story.stages:
        name = words.one_line(row.stage) or words.place("", "")
        names[name] = names.get(name, 0) + row.minutes
    return sorted(names.items(), key=lambda each: -each[1])


def time_table(story: Story) -> list[Block]:
    """Every stage with its parts, joints, forecast and time."""
    rows = [row for row in story.stages if row.seconds > 0 or row.parts or row.joints]
    return [_time_table(story, rows)] if len(rows) > 1 and story.seconds > 0 else []


def _against_forecast(rows: Sequence[StageRow]) -> list[str]:
    """What the stages that are done took against what was expected of them."""
    told = [row for row in rows if row.forecast is not None and row.steps and row.steps_done == row.steps]
    expected = sum(row.forecast or 0.0 for row in told)
    if not told or expected <= 0:
        return []
    done = "" if len(told) == len(rows) else " for the finished stages"
    said = f"The forecast{done} was {words.hours(round(expected))}"
    off = round(100 * (sum(row.minutes for row in told) - expected) / expected)
    if abs(off) < NEAR:
        return [f"{said}, which was close."]
    return [f"{said}; it went {abs(off)} % {'slower' if off > 0 else 'faster'}."]


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
        if account.closed >= WORTH_TELLING:
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
    """What was soldered, inserted and fitted, and how the counts of joints came out."""
    kinds = sorted((row for row in story.kinds if row.placed), key=lambda row: -row.placed)
    blocks: list[Block] = [paragraph(_went_in(story, kinds))] if kinds else []
    if blocks and story.kit_count:
        blocks.append(paragraph(f"The kit has {story.kit_count}."))
    if story.parts_unplanned:
        more = f"{words.capital(words.number(story.parts_unplanned))} more"
        have = "part is" if story.parts_unplanned == 1 else "parts are"
        blocks.append(paragraph(f"{more} {have} fitted that the parts list no longer has."))
    return blocks + _counts(story)


def _went_in(story: Story, kinds: Sequence[KindRow]) -> str:
    """How many parts of which kinds, the most first; kinds of which there is one come last, together."""
    several = [words.counted(row.placed, row.kind) for row in kinds if row.placed > 1]
    single = [row.kind for row in kinds if row.placed == 1]
    if len(single) > 3:
        last = f"one each of {words.join(single)}"
        amounts = f"{', '.join(several)}, and {last}" if several else last
    else:
        amounts = words.join(several + [words.counted(1, kind) for kind in single])
    if len(kinds) == 1:
        return f"{amounts} went in."
    return f"{words.counted(story.parts_placed, 'part')} went in: {amounts}."


def _counts(story: Story) -> list[Block]:
    by_place: dict[str, list[CountRow]] = {}
    for row in story.counts:
        by_place.setdefault(place_of(story, row), []).append(row)
    if not by_place:
        return []
    off = {place: rows for place, rows in by_place.items() if rows[0].counted != rows[0].expected}
    stages = words.spelt(len(by_place), "stage")
    said = f"The joints of {stages} were counted blind"
    if not off:
        return [paragraph(f"{said}: {'the count' if len(by_place) == 1 else 'every count'} was right at once.")]
    agreed = len(by_place) - len(off)
    how = (
        f"{words.spelt(agreed, 'count')} {'was' if agreed == 1 else 'were'} right at once, "
        f"{words.number(len(off))} {'was' if len(off) == 1 else 'were'} not"
        if agreed
        else "no count was right at once"
    )
    tellings = [f"{place}: {'; then '.join(map(_count, rows))}." for place, rows in off.items()]
    return [paragraph(f"{said}; {how}:"), listing(tellings)]


def _count(row: CountRow) -> str:
    if row.counted == row.expected:
        return f"{row.counted}, as expected"
    off = words.number(abs(row.counted - row.expected))
    how = "too many" if row.counted > row.expected else "short"
    return f"{row.counted} counted, {row.expected} expected, {off} {how}"


def held(story: Story) -> list[Block]:
    """What was left for later, why, and when it was taken up."""
    items: list[list[Run]] = []
    for row in story.held:
        said = f"{_step(row.value, row.refs)}, in {place_of(story, row)}"
        reasons = [words.sentence(reason) for reason in row.reasons if words.one_line(reason)]
        said += f": {' '.join(reasons)}" if reasons else "."
        left: Run = "Left out." if story.finished else Strong("Still held back.")
        items.append([said, f"Resumed on {words.day(row.taken_up.day)}." if row.taken_up else left])
    return [listing(items)] if items else []


def bag(story: Story) -> list[Block]:
    """The bag check: what was missing, and what was measured before it went in."""
    blocks: list[Block] = []
    if story.bag:
        short = [row for row in story.bag if row.found < row.expected]
        lines = words.capital(words.spelt(len(story.bag), "line"))
        verb = "was" if len(story.bag) == 1 else "were"
        counted = f"{lines} of the parts list {verb} checked against the bag"
        if short:
            told = [f"{_step(row.value, row.refs, row.kind)}: {row.found} of {row.expected}" for row in short]
            said = f"{counted}. Missing:"
            blocks += [paragraph(said), listing(told)]
        else:
            more = [_step(row.value, row.refs, row.kind) for row in story.bag if row.found > row.expected]
            besides = f", and there was more than needed of {words.join(more)}" if more else ""
            blocks.append(paragraph(f"{counted}; nothing was missing{besides}."))
    wrong = [words.one_line(row.value) for row in story.measured_ahead if row.said.startswith("NOT ")]
    if wrong:
        blocks.append(
            paragraph(f"By the meter another part was in the bag for {words.join(list(dict.fromkeys(wrong)))}.")
        )
    if story.measured_ahead:
        rows = [[row.value, row.read, row.said] for row in story.measured_ahead]
        blocks.append(grid("Parts measured before fitting.", ["Part", "Reading", "Verdict"], rows))
    return blocks


def changed(story: Story) -> list[Block]:
    """What is not as the kit's papers say: mistakes found in them, substitutes, optional parts left out."""
    left = optional(story, "Optional, left out") if story.finished else []
    return [*_advice(story, "erratum found", "substitution"), *left]


def advice(story: Story) -> list[Block]:
    """What the next builder should know; snags in short, since they are told in full further up."""
    twice = dict.fromkeys(
        words.one_line(snag.part) or words.one_line(snag.what).rstrip(".")
        for snag in story.snags
        if not snag.open
    )
    twice.pop("", None)
    look = [paragraph(f"Worth a second look: {words.join(list(twice))}.")] if twice else []
    return [*_advice(story, "tip", "kit's erratum"), *look]


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

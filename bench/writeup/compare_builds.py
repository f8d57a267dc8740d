"""Several builds side by side: what each took, how the pace changed, what went wrong where. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from bench.writeup import words
from bench.writeup.blocks import Article, Block, Section, Strong, callout, grid, listing, paragraph, subheading
from bench.writeup.snag_kinds import KINDS
from bench.writeup.story_model import StageRow, Story

FEWEST_PARTS = 3
"""A stage with fewer parts tells nothing about speed: its time is mostly getting ready."""
LEAST_CHANGE = 5.0
"""Per cent; less than this is called the same."""
MOST_TOLD = 12


class BuildPace(Struct, frozen=True, kw_only=True):
    """Seconds for each part in stages of one name, build by build."""

    stage: str
    seconds: tuple[float | None, ...]
    """In the order in which the builds were begun; None where the stage has too few parts or is not done."""

    @property
    def change(self) -> float:
        """Per cent from the first build to the last; below zero is faster."""
        told = [each for each in self.seconds if each]
        return 100 * (told[-1] - told[0]) / told[0]


class Side(Struct, frozen=True, kw_only=True):
    """One build among several."""

    name: str
    """What the column is called: the kit's title, numbered in the order of building where several are alike."""
    story: Story


def sides_of(stories: Sequence[tuple[str, Story]]) -> tuple[Side, ...]:
    """Builds (name, story) in the order in which they were begun; those not begun come last."""
    ordered = sorted(
        stories, key=lambda each: (each[1].first is None, each[1].first.at if each[1].first else "")
    )
    titles = [words.one_line(story.title) or words.one_line(name) or "a build" for name, story in ordered]
    names = [
        title if titles.count(title) == 1 else f"{title}, no. {titles[: at + 1].count(title)}"
        for at, title in enumerate(titles)
    ]
    return tuple(Side(name=name, story=story) for name, (_, story) in zip(names, ordered, strict=True))


def _warnings(sides: Sequence[Side]) -> tuple[Block, ...]:
    """What can kill, once for each kit."""
    told = {side.story.kit: side.story.warning for side in sides if side.story.warning}
    return tuple(callout(Strong(f"{words.one_line(title)}. {warning}")) for title, warning in told.items())


def paces(sides: Sequence[Side]) -> tuple[BuildPace, ...]:
    """Stages that at least two builds have been through, those that got faster most first."""
    names = dict.fromkeys(row.stage for side in sides for row in side.story.stages if row.planned)
    found = [BuildPace(stage=name, seconds=tuple(_pace(side.story, name) for side in sides)) for name in names]
    told = [pace for pace in found if sum(each is not None for each in pace.seconds) > 1]
    return tuple(sorted(told, key=lambda pace: pace.change))


def _pace(story: Story, stage: str) -> float | None:
    rows = [row for row in story.stages if row.stage == stage and _through(row)]
    parts = sum(row.parts for row in rows)
    return sum(row.seconds for row in rows) / parts if parts >= FEWEST_PARTS else None


def _through(row: StageRow) -> bool:
    return row.seconds > 0 and row.steps > 0 and row.steps_done == row.steps


Record = Sequence[tuple[str, Sequence[str]]]
"""What the builder's record says: headings, and the lines under each."""


def together(stories: Sequence[tuple[str, Story]], record: Record = ()) -> Article:
    """An article about several builds (name, story); `record` is what the builder's record says."""
    sides = sides_of(stories)
    outline = (
        ("Side by side", "side by side", _facts(sides)),
        ("Time by stage", "time", _stages(sides)),
        ("Pace, build by build", "faster", _faster(sides)),
        ("Snags", "snags", _snags(sides)),
        ("The builder's record", "record", _record(record)),
        ("For the next builder", "next builder", _tips(sides)),
    )
    told = [
        Section(title=title, place=place, blocks=tuple(blocks)) for title, place, blocks in outline if blocks
    ]
    return Article(
        title=f"{words.capital(words.spelt(len(sides), 'build'))} side by side",
        opening=(*_warnings(sides), *([paragraph(*again)] if (again := _again(sides)) else [])),
        sections=tuple(told),
        about="",
    )


_ORDINALS = ("first", "second", "third", "fourth", "fifth")


def _again(sides: Sequence[Side]) -> list[str]:
    """What each finished build of one kit took, for kits that were built more than once."""
    groups = _alike(sides)
    told = []
    for alike in groups:
        named = f"{words.one_line(alike[0].story.name)}: " if len(groups) > 1 else ""
        took = [
            f"{words.hours(side.story.minutes)} the {which} time"
            for side, which in zip(alike, _ORDINALS, strict=False)
        ]
        told.append(words.sentence(words.capital(named + words.join(took))))
    return told


def _facts(sides: Sequence[Side]) -> list[Block]:
    tellings: tuple[tuple[str, Callable[[Story], str]], ...] = (
        ("Begun", lambda story: words.day(story.first.day) if story.first else "not yet"),
        ("State", lambda story: "finished" if story.finished else f"{_share(story)} % of the parts fitted"),
        ("At the bench", lambda story: words.hours(story.minutes)),
        ("Sittings", lambda story: str(len(story.sittings))),
        ("Parts", lambda story: str(story.parts_placed)),
        ("Solder joints", lambda story: str(story.joints)),
        ("Seconds per joint where joints are made, snags apart", _per_joint),
        ("Snags", lambda story: str(len(story.snags))),
        ("Lost in snags", lambda story: words.lost(story.snag_minutes) if story.snag_minutes else ""),
        ("Joint counts right at once", _agreed),
    )
    rows = [[what, *(tell(side.story) for side in sides)] for what, tell in tellings]
    head = ["What", *(side.name for side in sides)]
    return [grid("What each build came to.", head, rows, right=head[1:])]


def _record(record: Record) -> list[Block]:
    told = [block for title, lines in record for block in (subheading(title), listing(lines))]
    scope = "Of all builds in this builder's data, not only of those on this page."
    return [paragraph(scope), *told] if told else []


def _share(story: Story) -> int:
    return 100 * story.parts_placed // story.parts_planned if story.parts_planned else 0


def _per_joint(story: Story) -> str:
    """Seconds for a joint in the finished stages that have joints, snags apart; empty when there are none."""
    rows = [row for row in story.stages if row.joints and _through(row)]
    joints = sum(row.joints for row in rows)
    places = {(row.stage, row.board) for row in rows}
    lost = 60 * sum(snag.minutes for snag in story.snags if (snag.stage, snag.board) in places)
    return str(round(max(0.0, sum(row.seconds for row in rows) - lost) / joints)) if joints else ""


def _agreed(story: Story) -> str:
    first: dict[tuple[str, str], bool] = {}
    for row in story.counts:
        first.setdefault((row.stage, row.board), row.counted == row.expected)
    return f"{sum(first.values())} of {len(first)}" if first else ""


def _stages(sides: Sequence[Side]) -> list[Block]:
    names = dict.fromkeys(row.stage for side in sides for row in side.story.stages if row.seconds > 0)
    if not names:
        return []
    rows = []
    for name in names:
        cells = []
        for side in sides:
            took = [row for row in side.story.stages if row.stage == name and row.seconds > 0]
            cells.append(words.hours(sum(row.minutes for row in took)) if took else "")
        rows.append([words.one_line(name) or words.place("", ""), *cells])
    head = ["Stage", *(side.name for side in sides)]
    total = ["All", *(words.hours(side.story.minutes) for side in sides)]
    return [grid("Time at the bench, without breaks.", head, rows, right=head[1:], total=total)]


def _alike(sides: Sequence[Side]) -> list[list[Side]]:
    """Finished builds of one kit, one after the other, where there are several: like is told beside like."""
    kits: dict[str, list[Side]] = {}
    for side in sides:
        if side.story.finished and not side.story.beside:
            kits.setdefault(words.one_line(side.story.name), []).append(side)
    return [alike for alike in kits.values() if len(alike) > 1]


def _faster(sides: Sequence[Side]) -> list[Block]:
    groups = _alike(sides)
    blocks: list[Block] = []
    for alike in groups:
        told = _faster_of_one_kit(alike)
        name = words.one_line(alike[0].story.name)
        blocks += [subheading(name), *told] if told and len(groups) > 1 else told
    return blocks


def _faster_of_one_kit(sides: Sequence[Side]) -> list[Block]:
    told = paces(sides)
    if not told:
        return []
    head = ["Stage", *(side.name for side in sides), "Change"]
    rows = [
        [words.one_line(pace.stage), *("" if each is None else f"{round(each)} s" for each in pace.seconds),
         _changed(pace.change)]
        for pace in told[:MOST_TOLD]
    ]  # fmt: skip
    caption = "Seconds per part, in stages that at least two builds have finished."
    return [grid(caption, head, rows, right=head[1:])]


def _changed(change: float) -> str:
    if abs(change) < LEAST_CHANGE:
        return "the same"
    if change >= 100:
        return f"{1 + change / 100:.1f} times as long"
    return f"{abs(round(change))} % {'faster' if change < 0 else 'slower'}"


def _snags(sides: Sequence[Side]) -> list[Block]:
    kinds = [kind for kind in KINDS if any(row.kind == kind for side in sides for row in side.story.snags)]
    if not kinds:
        return []
    rows = [
        [words.capital(kind), *(_digits(sum(row.kind == kind for row in side.story.snags)) for side in sides)]
        for kind in kinds
    ]
    head = ["Kind", *(side.name for side in sides)]
    return [grid("Snags by kind.", head, rows, right=head[1:])]


def _digits(amount: int) -> str:
    return str(amount) if amount else ""


def _tips(sides: Sequence[Side]) -> list[Block]:
    """Each tip once, with the builds it comes from unless that is all of them."""
    tips: dict[str, dict[str, None]] = {}
    for side in sides:
        for note in side.story.notes:
            if note.mark == "tip" and words.one_line(note.text):
                tips.setdefault(words.one_line(note.text), {})[side.name] = None
    told = [
        text if len(names) == len(sides) else f"{text} ({words.join(list(names))})"
        for text, names in tips.items()
    ]
    return [listing(told)] if told else []

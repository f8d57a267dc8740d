"""A story as an article: its sections in order, each in blocks of plain words. Pure.

First what somebody reads who was not there, then the tables of record, folded where a form can fold.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from bench.log.afterwords import AFTERWORDS
from bench.writeup import chronology as timeline
from bench.writeup import sections, snags, words
from bench.writeup.blocks import Article, Block, FillIn, Run, Section, Strong, callout, listing, paragraph
from bench.writeup.filmed import filmed
from bench.writeup.lookalikes_met import alikes_met
from bench.writeup.measured import measured, readings
from bench.writeup.photo_choice import spread
from bench.writeup.pictures import lead_of, photo_list, picture_of
from bench.writeup.story_model import LeftRow, Story
from bench.writeup.story_told import story_told
from bench.writeup.summary import with_article


def article_of(story: Story, shown: Collection[str] | None = None) -> Article:
    """The article; a section with nothing to say is left out.

    `shown` names the files of the photos that stand in it; left out, those are the ones that `choice.spread`
    takes. The rest is listed.
    """
    chosen = frozenset(spread(story) if shown is None else shown)
    lead = lead_of(story, chosen)
    in_story = chosen - {lead.file} if lead else chosen
    outline: tuple[tuple[str, str, Callable[[Story], list[Block]]], ...] = (
        ("Still to do", "still to do", _still_to_do),
        ("What I learned", "learned", _learned),
        ("The story", "how it went", lambda told: story_told(told, in_story)),
        ("What was measured", "measurements", measured),
        ("Not as in the guide", "changed", sections.changed),
        ("For the next builder", "next builder", sections.advice),
        ("Where the time went", "time", sections.time_spent),
        ("About this build", "about", _about_it),
    )
    record: tuple[tuple[str, str, Callable[[Story], list[Block]]], ...] = (
        ("Minute by minute", "minute by minute", timeline.told),
        ("Time by stage", "stages", sections.time_table),
        ("Snags by kind", "snags", snags.told),
        ("Every reading", "readings", readings),
        ("What went in", "parts", sections.parts_placed),
        ("The bag", "bag", sections.bag),
        ("Held back", "held back", sections.held),
        ("Look-alikes", "look alikes", alikes_met),
        ("Photos not shown", "photos", lambda told: photo_list(told, chosen)),
        ("On film", "on film", filmed),
    )
    told = [Section(title=title, place=place, blocks=tuple(tell(story))) for title, place, tell in outline]
    told += [
        Section(title=title, place=place, blocks=tuple(tell(story)), folded=True)
        for title, place, tell in record
    ]
    return Article(
        title=words.one_line(f"Building {with_article(story.name)}"),
        opening=(*_opening(story), *([picture_of(story, lead)] if lead else []), *_how_it_went(story)),
        sections=tuple(section for section in told if section.blocks),
        about=words.one_line(_about_figures(story)),
    )


# -- the top -----------------------------------------------------------------------------------------
def _opening(story: Story) -> list[Block]:
    """What can kill, how far it is, what it is and for whom."""
    blocks: list[Block] = []
    if story.warning:
        whose = words.one_line(story.answers_for_it).rstrip(".")
        blocks.append(callout(Strong(story.warning), f"Responsible: {whose}." if whose else ""))
    if not story.finished:
        as_of = f" as of {words.day(story.told_at.day)}" if story.told_at and story.told_at.day else ""
        stands = "still in progress" if story.first else "not started yet"
        blocks.append(callout(Strong(f"This build is {stands}{as_of}."), _what_is_left(story)))
    if words.one_line(story.about):
        blocks.append(paragraph(words.sentence(story.about)))
    if words.one_line(story.scenario):
        blocks.append(paragraph(Strong("What it is for:"), words.sentence(story.scenario)))
    return blocks


def _how_it_went(story: Story) -> list[Block]:
    """In a few sentences how it went, and the verdict."""
    blocks: list[Block] = [paragraph(" ".join(story.summary))]
    if story.beside:
        blocks.append(paragraph(words.sentence(story.beside)))
    verdict = words.one_line(story.afterwords.get("verdict", ""))
    if verdict:
        blocks.append(paragraph(Strong("The verdict:"), words.sentence(verdict)))
    elif story.finished:
        blocks.append(_to_fill_in("verdict"))
    return blocks


def _to_fill_in(*marks: str) -> FillIn:
    return FillIn(what=words.join([AFTERWORDS[mark] for mark in marks]))


def _what_is_left(story: Story) -> str:
    if not story.left:
        return "The plan has no steps."
    steps = sum(row.steps for row in story.left)
    parts, joints = sum(row.parts for row in story.left), sum(row.joints for row in story.left)
    amounts = [words.counted(steps, "step")]
    amounts += [words.counted(parts, "part")] if parts else []
    amounts += [words.counted(joints, "solder joint")] if joints else []
    said = f"{words.join(amounts)} {_is_are(steps + parts + joints)} left"
    said += "; the soldering is done" if story.joints and not joints else ""
    held = sum(row.taken_up is None for row in story.held)
    return said + (f"; {words.spelt(held, 'step')} {_is_are(held)} held back." if held else ".")


def _still_to_do(story: Story) -> list[Block]:
    if story.finished or not story.left:
        return []
    left = listing([f"{sections.place_of(story, row)}: {_amount(row)}" for row in story.left])
    return [left, *sections.optional(story, "Optional, not fitted so far")]


def _amount(row: LeftRow) -> str:
    said = words.counted(row.steps, "step")
    inside = [words.counted(row.parts, "part")] if row.parts else []
    inside += [words.counted(row.joints, "joint")] if row.joints else []
    return f"{said} ({', '.join(inside)})" if inside else said


# -- what only the builder can say ---------------------------------------------------------------------
def _learned(story: Story) -> list[Block]:
    """What was learned and would be done differently; a place for it until that is said."""
    learned, differently = (
        words.one_line(story.afterwords.get(mark, "")) for mark in ("learned", "differently")
    )
    blocks: list[Block] = []
    if learned:
        blocks.append(paragraph(words.sentence(words.capital(learned))))
    if differently:
        blocks.append(paragraph(Strong("Next time:"), words.sentence(differently)))
    missing = [mark for mark in ("learned", "differently") if not story.afterwords.get(mark, "").strip()]
    return [*blocks, *([_to_fill_in(*missing)] if missing and story.finished else [])]


_LABELS = {
    "who": "Built by", "tools": "Tools and meter", "cost": "What it cost", "links": "Links",
    "thanks": "Thanks to",
}  # fmt: skip


def _about_it(story: Story) -> list[Block]:
    said: list[list[Run]] = [
        [Strong(f"{label}:"), words.sentence(story.afterwords[mark])]
        for mark, label in _LABELS.items()
        if story.afterwords.get(mark, "").strip()
    ]
    missing = [mark for mark in _LABELS if not story.afterwords.get(mark, "").strip()]
    blocks: list[Block] = [listing(said)] if said else []
    return [*blocks, *([_to_fill_in(*missing)] if missing and story.finished else [])]


def _about_figures(story: Story) -> str:
    said = ["The figures come from the log kept at the bench."]
    if story.minutes and len(story.stages) > 1:
        said.append("Times are rounded to the minute and add up.")
    if story.first or story.told_at:
        said.append(f"Days and times are in {story.zone}.")
    if story.revisions:
        said.append(f"The kit file or the procedure changed {_times(story.revisions)} on the way.")
    return " ".join(said)


def _is_are(amount: int) -> str:
    return "is" if amount == 1 else "are"


def _times(amount: int) -> str:
    return {1: "once", 2: "twice"}.get(amount, f"{words.number(amount)} times")

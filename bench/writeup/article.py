"""A story as an article: its sections in order, each in blocks of plain words. Pure.

First what somebody reads who was not there, then the tables of record, folded where a form can fold.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from bench.log.afterwords import AFTERWORDS
from bench.writeup import chronology as timeline
from bench.writeup import sections, snags, words
from bench.writeup.blocks import (
    WEB,
    Article,
    Block,
    FillIn,
    Link,
    Run,
    Section,
    Strong,
    callout,
    listing,
    paragraph,
)
from bench.writeup.filmed import filmed
from bench.writeup.lookalikes_met import alikes_met
from bench.writeup.measured import measured, readings
from bench.writeup.photo_choice import spread
from bench.writeup.pictures import lead_of, photo_list, picture_of
from bench.writeup.story_model import LeftRow, Story
from bench.writeup.story_told import story_told
from bench.writeup.summary import byline, figures, title_of


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
        ("Lessons learned", "learned", _learned),
        ("The story", "how it went", lambda told: _story(told, in_story)),
        ("What was measured", "measurements", measured),
        ("Not as in the guide", "changed", sections.changed),
        ("For the next builder", "next builder", sections.advice),
        ("About this build", "about", _about_it),
        ("Where the time went", "time", sections.time_spent),
    )
    record: tuple[tuple[str, str, Callable[[Story], list[Block]]], ...] = (
        (f"Minute by minute, times in {story.zone}", "minute by minute", timeline.told),
        ("Snags by kind", "snags", snags.told),
        ("Every reading", "readings", readings),
        ("What went in", "parts", sections.parts_placed),
        ("The bag", "bag", sections.bag),
        ("Mixed up", "look alikes", alikes_met),
        ("Photos not shown", "photos", lambda told: photo_list(told, chosen)),
        ("On film", "on film", filmed),
    )
    told = [Section(title=title, place=place, blocks=tuple(tell(story))) for title, place, tell in outline]
    told += [
        Section(title=title, place=place, blocks=tuple(tell(story)), folded=True)
        for title, place, tell in record
    ]
    return Article(
        title=title_of(story),
        byline=byline(story),
        figures=figures(story),
        opening=(*_opening(story), *([picture_of(story, lead)] if lead else []), *_how_it_went(story)),
        sections=tuple(section for section in told if section.blocks),
        about=_revised(story),
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
    blocks += [
        paragraph(words.sentence(text)) for text in (story.about, story.scenario) if words.one_line(text)
    ]
    return blocks


def _how_it_went(story: Story) -> list[Block]:
    """In a sentence how it went, where the log knows it, and the verdict."""
    blocks: list[Block] = [paragraph(*story.summary)] if story.summary else []
    verdict = words.one_line(story.afterwords.get("verdict", ""))
    if verdict:
        blocks.append(paragraph(Strong("The verdict:"), words.sentence(verdict)))
    elif story.finished:
        blocks.append(_to_fill_in("verdict"))
    return blocks


def _story(story: Story, shown: Collection[str]) -> list[Block]:
    told = story_told(story, shown)
    return told or ([FillIn(what="the story, in your own words")] if story.finished else [])


def _to_fill_in(*marks: str) -> FillIn:
    return FillIn(what=words.join([AFTERWORDS[mark] for mark in marks]))


def _what_is_left(story: Story) -> str:
    if not story.left:
        return "The plan has no steps."
    parts, joints = sum(row.parts for row in story.left), sum(row.joints for row in story.left)
    amounts = [words.counted(parts, "part")] if parts else []
    amounts += [words.counted(joints, "solder joint")] if joints else []
    if not amounts:
        return f"{words.counted(sum(row.steps for row in story.left), 'step')} to go; every part is in."
    if story.first is None:
        return f"It will have {words.join(amounts)}."
    return "" if joints else "The soldering is done."


def _still_to_do(story: Story) -> list[Block]:
    """Stages with parts, joints or checks before the next one that are left; where there are none, all."""
    if story.finished or not story.left:
        return []
    holds = {(row.name, row.board) for row in story.holds}
    told = [(row, _amount(row, hold=(row.stage, row.board) in holds)) for row in story.left]
    told = [each for each in told if each[1]] or told
    left = [": ".join(filter(None, (sections.place_of(story, row), amount))) for row, amount in told]
    return [listing(left), *sections.optional(story, "Optional, not fitted so far")]


def _amount(row: LeftRow, *, hold: bool) -> str:
    amounts = [words.counted(row.parts, "part")] if row.parts else []
    amounts += [words.counted(row.joints, "joint")] if row.joints else []
    return ", ".join([*amounts, *([words.counted(row.steps, "check")] if hold else [])])


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
    "tools": "Tools and meter", "cost": "What it cost", "links": "Links",
    "thanks": "Thanks to",
}  # fmt: skip


def _about_it(story: Story) -> list[Block]:
    said: list[list[Run]] = [
        [Strong(f"{label}:"), *(_links(story.afterwords[mark]) or [words.sentence(story.afterwords[mark])])]
        for mark, label in _LABELS.items()
        if story.afterwords.get(mark, "").strip()
    ]
    missing = [mark for mark in ("who", *_LABELS) if not story.afterwords.get(mark, "").strip()]
    blocks: list[Block] = [listing(said)] if said else []
    return [*blocks, *([_to_fill_in(*missing)] if missing and story.finished else [])]


def _links(text: str) -> list[Run]:
    """The words of a text that has addresses on the web in it, those as links; else nothing."""
    told = [(word, word.rstrip(".,;")) for word in words.one_line(text).split(" ")]
    runs: list[Run] = [Link(bare) if WEB.fullmatch(bare) else word for word, bare in told]
    return runs if any(isinstance(run, Link) for run in runs) else []


def _revised(story: Story) -> str:
    many = _times(story.revisions)
    return f"The kit file or the procedure changed {many} on the way." if story.revisions else ""


def _times(amount: int) -> str:
    return {1: "once", 2: "twice"}.get(amount, f"{words.number(amount)} times")

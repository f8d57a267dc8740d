"""A story as an article: its sections in order, each in blocks of plain words. Pure."""

from __future__ import annotations

from collections.abc import Callable

from bench.writeup import chronology as timeline
from bench.writeup import sections, snags, words
from bench.writeup.alikes import alikes_met
from bench.writeup.blocks import Article, Block, Section, Strong, callout, listing, paragraph
from bench.writeup.fault_search import looking
from bench.writeup.filmed import filmed
from bench.writeup.measured import measured
from bench.writeup.pictures import photos
from bench.writeup.story_model import LeftRow, Story
from bench.writeup.summary import with_article
from bench.writeup.tracking import tracking


def article_of(story: Story) -> Article:
    """The article; a section with nothing to say is left out."""
    outline: tuple[tuple[str, str, Callable[[Story], list[Block]]], ...] = (
        ("Still to do", "still to do", _still_to_do),
        ("How it went", "how it went", timeline.told),
        ("Snags", "snags", snags.told),
        ("Looking for faults", "looking for faults", looking),
        ("Photos", "photos", photos),
        ("Worth showing", "worth showing", sections.shown),
        ("Notes along the way", "notes", sections.notes_taken),
        ("Time at the bench", "time", sections.time_spent),
        ("The bag", "bag", sections.bag),
        ("What went in", "parts", sections.parts_placed),
        ("Held back", "held back", sections.held),
        ("Measured and adjusted", "measurements", measured),
        ("Tracking", "tracking", tracking),
        ("On film", "on film", filmed),
        ("Look-alikes", "look alikes", alikes_met),
        ("For the next builder", "next builder", sections.advice),
    )
    told = [Section(title=title, place=place, blocks=tuple(tell(story))) for title, place, tell in outline]
    return Article(
        title=words.one_line(f"Building {with_article(story.name)}"),
        opening=tuple(_opening(story)),
        sections=tuple(section for section in told if section.blocks),
        about=words.one_line(_about_figures(story)),
    )


# -- the top -----------------------------------------------------------------------------------------
def _opening(story: Story) -> list[Block]:
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
    blocks.append(paragraph(" ".join(story.summary)))
    if words.one_line(story.scenario):
        blocks.append(paragraph(f"Where it will be used: {words.sentence(story.scenario)}"))
    return blocks


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

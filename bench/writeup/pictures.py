"""Photos in an article: under their stages, with captions and words for those who cannot see them. Pure."""

from __future__ import annotations

from collections.abc import Collection
from itertools import groupby

from bench.writeup import words
from bench.writeup.blocks import Block, Picture, listing, subheading
from bench.writeup.sections import place_of
from bench.writeup.story_model import PhotoRow, Story

MOST_LISTED = 12
"""Photos of one stage listed by name; the rest is counted."""


def photos_by_stage(story: Story) -> tuple[tuple[tuple[str, str], tuple[PhotoRow, ...]], ...]:
    """Photos of each stage and board in the order of the plan, then those of no stage; in order of time."""
    order = {(row.stage, row.board): number for number, row in enumerate(story.stages)}

    def where(row: PhotoRow) -> tuple[int, tuple[str, str]]:
        place = (row.stage, row.board)
        return order.get(place, len(order)), place

    rows = sorted(story.photos, key=lambda row: (where(row), row.when.at))
    return tuple((place, tuple(told)) for (_, place), told in groupby(rows, where))


def caption_of(story: Story, row: PhotoRow) -> str:
    """The caption, else what it was taken at or during, else where it was; plain text, never empty."""
    said = words.one_line(row.caption) or words.capital(words.one_line(row.about or row.during))
    return said or f"{words.capital(place_of(story, row))}, {row.when.time}"


def described(story: Story, row: PhotoRow) -> str:
    """What to say in place of the picture; plain text, never empty.

    The builder's caption where there is one: nobody else has seen what is in it.
    """
    several = len({stage.board for stage in story.stages if stage.board}) > 1
    where = words.place(row.stage, row.board if several else "")
    said = words.one_line(row.caption) or words.one_line(row.about or row.during)
    return f"{said} ({where})" if said else f"Photo taken during: {where}, {row.when.time}"


def picture_of(story: Story, row: PhotoRow) -> Picture:
    """A photo as a block."""
    return Picture(
        file=row.file,
        alt=words.one_line(described(story, row)),
        caption=words.one_line(caption_of(story, row)),
        width=row.width,
        height=row.height,
    )


def lead_of(story: Story, shown: Collection[str]) -> PhotoRow | None:
    """The picture over the article: the latest that is shown, one with the builder's words before others."""
    rows = [row for row in story.photos if row.file in shown]
    return max(rows, key=lambda row: (bool(row.caption.strip()), row.when.at), default=None)


def photo_list(story: Story, shown: Collection[str]) -> list[Block]:
    """Photos that are not shown, by stage, and marks of photos for which there is none."""
    blocks: list[Block] = []
    for _, rows in photos_by_stage(story):
        rest = [row for row in rows if row.file not in shown]
        if rest:
            where = words.capital(place_of(story, rest[0]))
            told = [f"{words.one_line(row.original)}: {caption_of(story, row)}" for row in rest[:MOST_LISTED]]
            told += [f"and {len(rest) - MOST_LISTED} more"] if len(rest) > MOST_LISTED else []
            blocks += [subheading(f"{where} ({words.counted(len(rest), 'photo')})"), listing(told)]
    if story.photo_marks:
        marks = [
            f"{words.day(row.when.day)}, {row.when.time} ({place_of(story, row)})"
            + (f": {row.caption}" if row.caption else "")
            for row in story.photo_marks
        ]
        blocks += [subheading("Photo to add"), listing(marks)]
    return blocks

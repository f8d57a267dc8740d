"""The section about film: each clip with its chapters. Pure."""

from __future__ import annotations

from bench.writeup import words
from bench.writeup.blocks import Block, Strong, listing, paragraph
from bench.writeup.story_model import Story


def filmed(story: Story) -> list[Block]:
    """Each clip with its chapters; those that cannot be placed are left out."""
    blocks: list[Block] = []
    for clip in story.clips:
        if clip.begins is None or not clip.chapters:
            continue
        lasts = f", {words.clock_text(clip.seconds)} long" if clip.length_known else ""
        begins = f"(from {words.day(clip.begins.day)}, {clip.begins.time}{lasts})"
        blocks.append(paragraph(Strong(words.one_line(clip.name) or "A clip"), begins))
        blocks.append(listing([f"{words.clock_text(each.seconds)} {each.title}" for each in clip.chapters]))
    return blocks

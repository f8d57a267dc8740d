"""Claps and clips in a story, and the section that tells of them. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.log.clock import stamp_text
from bench.log.progress import Progress
from bench.writeup import story_model as model
from bench.writeup import words
from bench.writeup.blocks import Block, Strong, listing, paragraph
from bench.writeup.collect import Calendar
from bench.writeup.film.chapter_files import clock_text
from bench.writeup.film.clock_map import how_found
from bench.writeup.film.footage import Filmed


def clap_rows(progress: Progress, calendar: Calendar) -> tuple[model.ClapRow, ...]:
    """The claps that stand, in order."""
    return tuple(
        model.ClapRow(
            n=clap.n,
            when=calendar.when(clap.at),
            stage=clap.stage,
            board=clap.board,
            number=clap.number,
            label=clap.label,
        )
        for clap in progress.claps
    )


def clip_rows(clips: Sequence[Filmed], calendar: Calendar) -> tuple[model.ClipRow, ...]:
    """The clips, as a story tells them."""
    return tuple(
        model.ClipRow(
            name=each.clip.name,
            begins=calendar.when(stamp_text(each.clip.begins)) if each.clip.map else None,
            seconds=each.clip.length,
            length_known=each.clip.length_known,
            how=how_found(each.clip.map) if each.clip.map else "",
            doubts=each.clip.doubts,
            chapters=tuple(
                model.ChapterRow(seconds=chapter.start, title=chapter.title, kind=chapter.kind)
                for chapter in each.chapters.chapters
            ),
        )
        for each in clips
    )


def filmed(story: model.Story) -> list[Block]:
    """Each clip with its chapters; those that cannot be placed are left out."""
    blocks: list[Block] = []
    for clip in story.clips:
        if clip.begins is None or not clip.chapters:
            continue
        lasts = f", {clock_text(clip.seconds)} long" if clip.length_known else ""
        begins = f"(from {words.day(clip.begins.day)}, {clip.begins.time}{lasts})"
        blocks.append(paragraph(Strong(words.one_line(clip.name) or "A clip"), begins))
        blocks.append(listing([f"{clock_text(each.seconds)} {each.title}" for each in clip.chapters]))
    return blocks

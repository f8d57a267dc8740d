"""What happened when: a build's sittings with their stages, breaks, snags, readings and pictures. Pure."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import groupby

from msgspec import Struct

from bench.log.clock import spell
from bench.writeup import words
from bench.writeup.blocks import Block, Run, Strong, listing, subheading
from bench.writeup.moments import PauseRow
from bench.writeup.readings import with_unit
from bench.writeup.sections import place_of
from bench.writeup.sittings import turn
from bench.writeup.story_model import EventTime, Sitting, SnagRow, Story
from bench.writeup.summary import overridden

MOST_READINGS = 6
"""Readings told in one line; the rest is counted."""


class ChronologyEntry(Struct, frozen=True, kw_only=True, gc=False):
    """One thing that happened."""

    when: EventTime
    until: EventTime | None
    """When it was over, for what lasts; None for a moment."""
    what: str
    """One of `ORDER`."""
    text: str
    """In words, without a full stop."""


ORDER = (
    "stage",
    "break",
    "unsettled pause",
    "snag",
    "reading",
    "hold point overridden",
    "worth showing",
    "photo",
)
"""What can happen; at one moment in this order."""


CLOCK_WRONG = "date doubtful: the computer's clock was wrong"


class Day(Struct, frozen=True, kw_only=True):
    """One sitting and what happened in it."""

    sitting: Sitting
    entries: tuple[ChronologyEntry, ...]

    @property
    def title(self) -> str:
        """Day and times."""
        began, ended = self.sitting.began, self.sitting.ended
        if not began.time:
            return words.day("")
        until = ended.time if ended.day == began.day else f"{words.day(ended.day)}, {ended.time}"
        times = f", {began.time} to {until}" if (ended.day, ended.time) != (began.day, began.time) else ""
        doubts = filter(None, (CLOCK_WRONG if self.sitting.doubtful else "", self.sitting.clocks_set))
        return f"{words.day(began.day)}{times or f', {began.time}'}" + "".join(f" ({each})" for each in doubts)


def days_of(story: Story) -> tuple[Day, ...]:
    """The sittings in order, each with its entries in order; what came in between belongs to the one before."""
    if not story.sittings:
        return ()
    starts = [sitting.began.at for sitting in story.sittings]
    entries: list[list[ChronologyEntry]] = [[] for _ in starts]
    for entry in sorted(_entries(story), key=lambda each: (each.when.at, ORDER.index(each.what))):
        entries[max(0, bisect_right(starts, entry.when.at) - 1)].append(entry)
    return tuple(
        Day(sitting=sitting, entries=tuple(told)) for sitting, told in zip(story.sittings, entries, strict=True)
    )


def _entries(story: Story) -> Iterable[ChronologyEntry]:
    yield from (
        _moment(move.when, "stage", turn(place_of(story, move), move.again, move.held)) for move in story.moves
    )
    yield from map(_pause, story.pauses)
    yield from (_moment(snag.when, "snag", _snag(snag)) for snag in story.snags)
    yield from _readings(story)
    yield from _overridden(story)
    for note in story.notes:
        if note.mark == "show":
            said = words.one_line(note.text)
            yield _moment(note.when, "worth showing", f"Worth showing: {said}" if said else "Worth showing")
    yield from _photos(story)


def _pause(pause: PauseRow) -> ChronologyEntry:
    what, said = ("break", "Break") if pause.settled else ("unsettled pause", "Break or work, not recorded")
    return ChronologyEntry(
        when=pause.began, until=pause.ended, what=what, text=f"{said}, {spell(pause.seconds)}"
    )


def _snag(snag: SnagRow) -> str:
    cost = f" ({words.lost(snag.minutes)} lost)" if snag.minutes else ""
    return f"Snag: {words.with_part(snag.what, snag.part) or 'no words'}{cost}"


def _readings(story: Story) -> Iterable[ChronologyEntry]:
    """Readings of one stage within an hour in one line; a value with its unit."""
    for _, rows in groupby(story.readings, lambda row: (row.stage, row.board, row.when.day, row.when.time[:2])):
        read = list(rows)
        told = [
            f"{words.one_line(row.point)}: {with_unit(row.read, row.expect)}".strip(": ")
            for row in read[:MOST_READINGS]
        ]
        more = f"; and {len(read) - MOST_READINGS} more" if len(read) > MOST_READINGS else ""
        noun = "Measured" if len(read) == 1 else f"{len(read)} readings"
        yield _moment(read[0].when, "reading", f"{noun}: {'; '.join(told)}{more}")


def _overridden(story: Story) -> Iterable[ChronologyEntry]:
    for hold, rows in groupby(overridden(story), lambda row: (row.hold, row.when.day)):
        past = list(rows)
        where = words.one_line(hold[0]) or "a hold point"
        why = words.one_line(past[0].reason).rstrip(".") or "no reason given"
        if len(past) > 1:
            why = f"{words.number(len(past))} checks not met (reasons below)"
        yield _moment(past[0].when, "hold point overridden", f"{words.capital(where)} overridden: {why}")


def _photos(story: Story) -> Iterable[ChronologyEntry]:
    """Photos with a caption of the builder's, each caption once; others stand under their stages."""
    told: set[str] = set()
    for photo in story.photos:
        caption = words.one_line(photo.caption)
        if caption and photo.when.time and caption not in told:
            told.add(caption)
            yield _moment(photo.when, "photo", f"Photo: {caption}")


def _moment(when: EventTime, what: str, text: str) -> ChronologyEntry:
    return ChronologyEntry(when=when, until=None, what=what, text=text)


def told(story: Story) -> list[Block]:
    """Each sitting with what happened in it but readings, which have a table; nothing for one thing only."""
    days = days_of(story)
    if sum(len(day.entries) for day in days) < 2:
        return []
    blocks: list[Block] = []
    for day in days:
        lines = [_line(entry) for entry in day.entries if entry.what != "reading"]
        blocks += [subheading(day.title), listing(lines)] if lines else []
    return blocks


def _line(entry: ChronologyEntry) -> list[Run]:
    said: Run = Strong(entry.text) if entry.what == "stage" else f"{entry.text}."
    return [entry.when.time, said]

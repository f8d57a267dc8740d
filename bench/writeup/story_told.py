"""The story of a build, sitting by sitting: what went in, what went wrong and how, with the photos. Pure."""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from msgspec import Struct
from msgspec.structs import replace

from bench.log.afterwords import AFTERWORDS
from bench.parts.designators import shorten
from bench.writeup import words
from bench.writeup.blocks import Block, Strong, paragraph, subheading
from bench.writeup.chronology import CLOCK_WRONG
from bench.writeup.fault_search import search_sentences
from bench.writeup.moments import EventTime, Sitting
from bench.writeup.pictures import picture_of
from bench.writeup.readings import what_it_read, with_signs, with_unit
from bench.writeup.sections import named
from bench.writeup.story_model import EventRow, PhotoRow, ReadingRow, SnagRow, Story
from bench.writeup.summary import overridden

ELSEWHERE = ("tip", *AFTERWORDS)
"""Marks of notes that have a section of their own; what bears any other is told here."""

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
MOST_NAMED = 3
"""Lines of the bag named in one sentence; more are counted."""
LONG = 10
"""Minutes from which it is told what a snag cost; `Minute by minute` has all."""
_SENTENCE = re.compile(r";|[.!?…:] |[!?…]$")
"""What ends a clause: words that hold it stand by themselves."""


class Told(Struct, frozen=True, kw_only=True):
    """One thing told of a sitting: some sentences, or a photo."""

    n: int
    """Number of the event it begins with."""
    when: EventTime
    place: tuple[str, str]
    text: str = ""
    photo: PhotoRow | None = None


def story_told(story: Story, shown: Collection[str]) -> list[Block]:
    """Each sitting under a heading of its own, with the photos (by file) that are shown."""
    if not story.sittings:
        return []
    starts = [sitting.began.at for sitting in story.sittings]
    told: list[list[Told]] = [[] for _ in starts]
    for each in sorted(
        _things(story, shown), key=lambda thing: (thing.when.at, thing.photo is not None, thing.n)
    ):
        told[max(0, bisect_right(starts, each.when.at) - 1)].append(each)
    seen = {words.one_line(note.text).casefold() for note in story.notes}
    blocks: list[Block] = []
    for at, things in enumerate(told):
        said = [*_intro(story, at), *_paragraphs(story, things, seen)]
        blocks += [subheading(_title(story, at)), *said] if said and len(told) > 1 else said
    return blocks


def _paragraphs(story: Story, things: Sequence[Told], seen: set[str]) -> list[Block]:
    """What happened, a paragraph for each stretch in one stage, its photos after it.

    A caption that was `seen` before, in the text or under another photo, is left out.
    """
    blocks: list[Block] = []
    for (stage, board), here in groupby(things, lambda thing: thing.place):
        told = list(here)
        texts = [each.text for each in told if each.text]
        if texts:
            where = words.capital(named(story, stage, board)) if stage or board else ""
            blocks.append(paragraph(Strong(f"{where}.") if where else "", *texts))
        for picture in (picture_of(story, each.photo) for each in told if each.photo is not None):
            caption = picture.caption.casefold()
            blocks.append(replace(picture, caption="") if caption in seen else picture)
            seen.add(caption)
    return blocks


# -- headings and what a sitting came to ---------------------------------------------------------------
def _title(story: Story, at: int) -> str:
    """Which sitting it was, when, how many parts; by the part of the day where all were at the same."""
    which = _ORDINALS[at] if at < len(_ORDINALS) else f"{at + 1}th"
    parts = set(map(part_of_day, story.sittings))
    what = next(iter(parts)) if len(parts) == 1 else "sitting"
    went_in = story.works[at].parts if at < len(story.works) else 0
    came_to = f": {went_in} of {words.counted(story.parts_planned, 'part')}" if went_in else ""
    return f"The {which} {what}, {words.day(story.sittings[at].began.day)}{came_to}"


def part_of_day(sitting: Sitting) -> str:
    """Morning, afternoon, evening or night, by the hour at which a sitting began."""
    hour = int(sitting.began.time[:2]) if sitting.began.time else 18
    return "night" if hour < 5 else "morning" if hour < 12 else "afternoon" if hour < 17 else "evening"


def _intro(story: Story, at: int) -> list[Block]:
    """What was missing from the bag; what is wrong with the times."""
    sitting = story.sittings[at]
    said = _bag(story) if at == 0 else []
    doubts = [CLOCK_WRONG] if sitting.doubtful else []
    doubts += [f"{sitting.clocks_set} on the way"] if sitting.clocks_set else []
    said += [words.sentence(words.capital(each)) for each in doubts]
    return [paragraph(" ".join(said))] if said else []


def _bag(story: Story) -> list[str]:
    """What was missing, but for what is told of where it was to go in."""
    held = {ref for row in story.held for ref in row.refs}
    replaced = {ref for row in story.substitutions for ref in re.findall(r"\w+", row.part)}
    short = [row for row in story.bag if row.found < row.expected and not {*row.refs} & (held | replaced)]
    if len(short) > MOST_NAMED:
        return [f"{words.capital(words.spelt(len(short), 'line'))} of the parts list were short in the bag."]
    gone = [f"{words.number(row.expected - row.found)} {row.value or row.kind}" for row in short]
    were = "was" if sum(row.expected - row.found for row in short) == 1 else "were"
    return [f"{words.capital(words.join(gone))} {were} missing from the bag."] if short else []


# -- what happened -------------------------------------------------------------------------------------
def _things(story: Story, shown: Collection[str]) -> Iterable[Told]:
    for snag in story.snags:
        yield _told(snag, snag_sentence(snag))
    for note in story.notes:
        text = words.one_line(note.text)
        if note.mark not in ELSEWHERE and text and text.casefold() != "worth showing":
            yield _told(note, words.sentence(words.capital(text)))
    yield from _held(story)
    yield from search_things(story)
    yield from _overridden(story)
    yield from _out(story)
    yield from _miscounted(story)
    for photo in story.photos:
        if photo.file in shown:
            yield replace(_told(photo, ""), photo=photo)


def _told(row: EventRow, text: str) -> Told:
    return Told(n=row.n, when=row.when, place=(row.stage, row.board), text=text)


def snag_sentence(snag: SnagRow) -> str:
    """A snag and how it was fixed, as the builder wrote it down, with what gave it away and what it cost."""
    fix = words.one_line(snag.fix)
    part = "" if fix and words.with_part(fix, snag.part) == fix else snag.part
    what = words.capital(words.with_part(snag.what, part)).rstrip(".") or "Something went wrong here"
    fix = fix.rstrip(".") or "still open"
    cost = f" ({words.lost(snag.minutes)})" if snag.minutes >= LONG else ""
    apart = _SENTENCE.search(what) or _SENTENCE.search(fix)
    said = f"{words.sentence(what)} {words.capital(fix)}{cost}" if apart else f"{what}; {fix}{cost}"
    return words.sentence(f"{words.sentence(words.capital(snag.clue))} {said}".strip())


def search_things(story: Story) -> Iterable[Told]:
    """Searches for a fault, each told where it began."""
    for rows, text in search_sentences(story):
        yield _told(rows[0], text)


def _held(story: Story) -> Iterable[Told]:
    """What was left for later, by what became of it; what went in the same day only with a reason."""
    for row in story.held:
        why = "; then ".join(
            words.one_line(reason).rstrip(".") for reason in row.reasons if words.one_line(reason)
        )
        refs = words.join(shorten(row.refs).split(", "))
        what = words.one_line(row.value) or "a part"
        what = words.capital(f"{refs} ({what})" if refs else what)
        several = len(row.refs) > 1
        if row.taken_up is None and (why or not story.finished):
            waits = "left out" if story.finished else "still to go in" if refs else "still to do"
            said = f"{what} {'are' if several else 'is'} {waits}"
        elif row.taken_up and row.taken_up.day != row.when.day:
            said = f"{what} had to wait until {words.day(row.taken_up.day)}"
        elif why:
            said = f"{what} {'were' if several else 'was'} left for later"
        else:
            continue
        yield _told(row, f"{said}{why and f': {why}'}.")


def _overridden(story: Story) -> Iterable[Told]:
    before = ""
    for row in overridden(story):
        why, point, hold = map(words.one_line, (row.reason, row.point, row.hold))
        why = why.rstrip(".")
        because = (
            ", for the same reason" if why and why == before else f": {why}" if why else ", without a reason"
        )
        before = why
        read = [each for each in story.readings if each.point == row.point and each.n < row.n]
        if read and read[-1].verdict == "out":
            last = what_it_read(read[-1].point, read[-1].read, read[-1].expect)
            what = f"{words.capital(last)}; the check"
        else:
            what = f"The check ‘{point}’ was not met and" if point else f"‘{hold}’" if hold else "A hold point"
        yield _told(row, f"{what} was overridden{because}.")


def _out(story: Story) -> Iterable[Told]:
    """Readings that were out, with what came after; not where a snag or an override tells of them."""
    clues = {snag.clue for snag in story.snags}
    told = {row.point for row in overridden(story)}
    by_point: dict[str, list[ReadingRow]] = {}
    for row in story.readings:
        if row.point not in told:
            by_point.setdefault(row.point, []).append(row)
    for rows in by_point.values():
        first = next((row for row in rows if row.verdict == "out"), None)
        if first is None:
            continue
        said = what_it_read(first.point, first.read, first.expect)
        if said in clues:
            continue
        work = (
            row.n for row in (*story.snags, *story.suspicions) if row.n > first.n and row.stage == first.stage
        )
        until = min(work, default=math.inf)
        after = [with_unit(row.read, row.expect) for row in rows if first.n < row.n < until]
        if after:
            read = ", then ".join([with_unit(first.read, first.expect), *after])
            wanted = with_signs(first.expect)
            said = f"{words.one_line(first.point)} first read {read}{wanted and f' ({wanted} expected)'}"
        yield _told(first, words.capital(f"{said}."))


def _miscounted(story: Story) -> Iterable[Told]:
    for row in story.counts:
        if row.counted != row.expected:
            off = words.number(abs(row.counted - row.expected))
            how = f"{off} too many" if row.counted > row.expected else f"{off} short"
            text = f"The count of joints came out {how}."
            yield _told(row, text)

"""The story of a build, sitting by sitting: what went in, what went wrong and how, with the photos. Pure."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from msgspec import Struct

from bench.log.afterwords import AFTERWORDS
from bench.parts.designators import shorten
from bench.writeup import words
from bench.writeup.blocks import Block, Strong, paragraph, subheading
from bench.writeup.chronology import CLOCK_WRONG
from bench.writeup.fault_search import search_sentences
from bench.writeup.moments import EventTime, Sitting
from bench.writeup.pictures import picture_of
from bench.writeup.readings import with_unit
from bench.writeup.sections import named
from bench.writeup.snag_told import snag_sentences
from bench.writeup.story_model import HeldRow, PhotoRow, ReadingRow, SittingWork, Story
from bench.writeup.summary import subject

ELSEWHERE = ("tip", *AFTERWORDS)
"""Marks of notes that have a section of their own; what bears any other is told here."""

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
MOST_NAMED = 3
"""Hold points or trims named in one sentence; more are counted."""


class Told(Struct, frozen=True, kw_only=True):
    """One thing told of a sitting: some sentences, or a photo."""

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
    for each in sorted(_things(story, shown), key=lambda thing: (thing.when.at, thing.photo is not None)):
        told[max(0, bisect_right(starts, each.when.at) - 1)].append(each)
    blocks: list[Block] = []
    for at, things in enumerate(told):
        if len(story.sittings) > 1:
            blocks.append(subheading(_title(story, at)))
        intro = paragraph(_intro(story, at))
        blocks += [intro] if intro.words else []
        blocks += _paragraphs(story, things)
    return blocks


def _paragraphs(story: Story, things: Sequence[Told]) -> list[Block]:
    """What happened, a paragraph for each stretch in one stage, its photos after it."""
    blocks: list[Block] = []
    for (stage, board), here in groupby(things, lambda thing: thing.place):
        told = list(here)
        texts = [each.text for each in told if each.text]
        if texts:
            where = words.capital(named(story, stage, board)) if stage or board else ""
            blocks.append(paragraph(Strong(f"{where}.") if where else "", *texts))
        blocks += [picture_of(story, each.photo) for each in told if each.photo is not None]
    return blocks


# -- headings and what a sitting came to ---------------------------------------------------------------
def _title(story: Story, at: int) -> str:
    """Which sitting it was, when; by the part of the day where all were at the same."""
    sitting = story.sittings[at]
    began, ended = sitting.began, sitting.ended
    which = _ORDINALS[at] if at < len(_ORDINALS) else f"{at + 1}th"
    parts = set(map(part_of_day, story.sittings))
    what = next(iter(parts)) if len(parts) == 1 else "sitting"
    if not began.time:
        return f"The {which} sitting, {words.day(began.day)}"
    until = "" if began.at[:16] == ended.at[:16] or not ended.time else f" to {ended.time}"
    return f"The {which} {what}, {words.day(began.day)}, {began.time}{until}"


def part_of_day(sitting: Sitting) -> str:
    """Morning, afternoon, evening or night, by the hour at which a sitting began."""
    hour = int(sitting.began.time[:2]) if sitting.began.time else 18
    return "night" if hour < 5 else "morning" if hour < 12 else "afternoon" if hour < 17 else "evening"


def _intro(story: Story, at: int) -> str:
    sitting, work = story.sittings[at], story.works[at] if at < len(story.works) else None
    said = _bag(story) if at == 0 else []
    if work is not None:
        said += [*_went_in(story, work, at), *_passed(story, sitting, work), *_trimmed(story, work)]
    doubts = [CLOCK_WRONG] if sitting.doubtful else []
    doubts += [f"{sitting.clocks_set} on the way"] if sitting.clocks_set else []
    said += [words.sentence(words.capital(each)) for each in doubts]
    return " ".join(filter(None, said))


def _bag(story: Story) -> list[str]:
    short = [row for row in story.bag if row.found < row.expected]
    if not short:
        return ["The bag was complete."] if story.bag else []
    gone = [f"{words.number(row.expected - row.found)} {row.value or row.kind}" for row in short]
    few = sum(row.expected - row.found for row in short)
    return [f"{words.capital(words.join(gone))} {'was' if few == 1 else 'were'} missing from the bag."]


def _went_in(story: Story, work: SittingWork, at: int) -> list[str]:
    """What of parts is in since then, or of joints made where no part went in."""
    parts, all_of_them = work.parts, story.parts_planned
    if not parts:
        return [f"{words.capital(words.spelt(work.joints, 'joint'))} got soldered."] if work.joints else []
    if work.parts_so_far < all_of_them:
        if parts == work.parts_so_far:
            return [f"{parts} of the {words.counted(all_of_them, 'part')} went in."]
        left = words.number(all_of_them - work.parts_so_far)
        return [f"Another {words.spelt(parts, 'part')} went in; {left} to go."]
    if parts < work.parts_so_far:
        return [f"The last {words.spelt(parts, 'part')} went in." if parts > 1 else "The last part went in."]
    began, ended = story.sittings[at].began, story.sittings[at].ended
    if len(story.sittings) > 1 or not began.time or not ended.time or began.day != ended.day:
        return [f"All {words.counted(all_of_them, 'part')} went in."]
    return [f"Between {began.time} and {ended.time} all {words.counted(all_of_them, 'part')} went in."]


def _passed(story: Story, sitting: Sitting, work: SittingWork) -> list[str]:
    """Hold points that were met; what was overridden is told where it happened."""
    overridden = {row.hold for row in story.passed if not row.close}
    holds = [words.one_line(name) for name in work.holds if name not in overridden]
    if not holds:
        return []
    if len(holds) > MOST_NAMED:
        return [f"It passed all {words.number(len(holds))} hold points."]
    return [f"It passed {words.join([f'‘{name}’' for name in holds])}."]


def _trimmed(story: Story, work: SittingWork) -> list[str]:
    names = list(dict.fromkeys(words.one_line(name) for name in work.trims))
    if not names:
        return []
    what = words.join(names) if len(names) <= MOST_NAMED else f"the {words.spelt(len(names), 'trimmer')}"
    return [f"After that {subject(story)} set {what}."]


# -- what happened -------------------------------------------------------------------------------------
def _things(story: Story, shown: Collection[str]) -> Iterable[Told]:
    for turn, snag in enumerate(story.snags):
        yield Told(when=snag.when, place=(snag.stage, snag.board), text=snag_sentences(story, snag, turn))
    for note in story.notes:
        text = words.one_line(note.text)
        if note.mark not in ELSEWHERE and text and text.casefold() != "worth showing":
            yield Told(when=note.when, place=(note.stage, note.board), text=words.sentence(words.capital(text)))
    yield from _held(story)
    yield from search_things(story)
    yield from _overridden(story)
    yield from _out(story)
    yield from _miscounted(story)
    for photo in story.photos:
        if photo.file in shown:
            yield Told(when=photo.when, place=(photo.stage, photo.board), photo=photo)


def search_things(story: Story) -> Iterable[Told]:
    """Searches for a fault, each told where it began."""
    for rows, text in search_sentences(story):
        yield Told(when=rows[0].when, place=(rows[0].stage, rows[0].board), text=text)


def _held(story: Story) -> Iterable[Told]:
    for row in story.held:
        reasons = [words.one_line(reason).rstrip(".") for reason in row.reasons if words.one_line(reason)]
        why = f": {'; then '.join(reasons)}" if reasons else ""
        what = _what(row)
        left = f"{words.capital(what)} {'were' if len(row.refs) > 1 else 'was'} left for later{why}."
        yield Told(when=row.when, place=(row.stage, row.board), text=left)
        later = row.taken_up is not None and row.taken_up.day != row.when.day
        if later and row.taken_up is not None:
            text = f"{words.capital(what)}, which had been waiting, went in after all."
            yield Told(when=row.taken_up, place=(row.stage, row.board), text=text)


def _what(row: HeldRow) -> str:
    called = words.one_line(row.value) or "a part"
    refs = words.join(shorten(row.refs).split(", "))
    return f"{refs} ({called})" if row.refs else called


def _overridden(story: Story) -> Iterable[Told]:
    before = ""
    for row in story.passed:
        if not row.close:
            why = words.one_line(row.reason).rstrip(".")
            because = (
                ", for the same reason"
                if why and why == before
                else f": {why}"
                if why
                else ", without a reason"
            )
            before = why
            point, hold = words.one_line(row.point), words.one_line(row.hold)
            what = f"The check ‘{point}’ was not met and" if point else f"‘{hold}’" if hold else "A hold point"
            yield Told(when=row.when, place=(row.stage, row.board), text=f"{what} was overridden{because}.")


def _out(story: Story) -> Iterable[Told]:
    """Readings that were out, with what came after at the same place, but for those that led to a snag."""
    clues = {snag.clue for snag in story.snags}
    by_point: dict[str, list[ReadingRow]] = {}
    for row in story.readings:
        by_point.setdefault(row.point, []).append(row)
    for rows in by_point.values():
        first = next((row for row in rows if row.verdict == "out"), None)
        if first is None:
            continue
        read = with_unit(first.read, first.expect)
        point = words.one_line(first.point)
        if f"{first.point} read {read}" in clues:
            continue
        after = [with_unit(row.read, row.expect) for row in rows[rows.index(first) + 1 :]]
        later = f"; measured again, {', then '.join(after)}" if after else ""
        wanted = f", with {words.one_line(first.expect)} expected" if words.one_line(first.expect) else ""
        text = f"{words.capital(point)} read {read}{wanted}{later}."
        yield Told(when=first.when, place=(first.stage, first.board), text=text)


def _miscounted(story: Story) -> Iterable[Told]:
    for row in story.counts:
        if row.counted != row.expected and not any(
            snag.clue.startswith("the count") and snag.when.at >= row.when.at for snag in story.snags
        ):
            off = words.number(abs(row.counted - row.expected))
            how = f"{off} too many" if row.counted > row.expected else f"{off} short"
            text = f"The count of joints came out {how}."
            yield Told(when=row.when, place=(row.stage, row.board), text=text)

"""The story of a build, sitting by sitting: what went in, what went wrong and how, with the photos. Pure."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from msgspec import Struct

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
        blocks.append(paragraph(_intro(story, at)))
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
        said += [*_went_in(story, work, at), *_passed(work), *_trimmed(work)]
    said += _pauses(story, sitting)
    if story.finished and at == len(story.sittings) - 1 and sitting.ended.time and at:
        said.append(f"At {sitting.ended.time} it was finished.")
    doubts = [CLOCK_WRONG] if sitting.doubtful else []
    doubts += [f"{sitting.clocks_set} on the way"] if sitting.clocks_set else []
    said += [words.sentence(words.capital(each)) for each in doubts]
    return " ".join(filter(None, said))


def _bag(story: Story) -> list[str]:
    if not story.bag:
        return []
    short = [row for row in story.bag if row.found < row.expected]
    if not short:
        return ["The bag was counted first, and nothing was missing."]
    gone = [f"{words.number(row.expected - row.found)} {row.value or row.kind}" for row in short]
    few = sum(row.expected - row.found for row in short)
    return [f"The bag was counted first; {words.join(gone)} {'was' if few == 1 else 'were'} missing."]


def _went_in(story: Story, work: SittingWork, at: int) -> list[str]:
    """What of parts and joints is made since then."""
    parts, joints = work.parts, work.joints
    if not parts and not joints:
        return []
    made = f" and {words.counted(joints, 'joint')} made" if joints else ""
    if work.parts_so_far >= story.parts_planned and work.joints_so_far >= story.joints_planned:
        if parts == work.parts_so_far:
            return [f"{_between(story)}ll {story.parts_planned} parts went in, with {_joints(joints)}."]
        last = f", and the last of {story.joints_planned} joints {'were' if joints > 1 else 'was'} made"
        went = f"The last {words.counted(parts, 'part')}" if parts > 1 else "The last part"
        return [f"{went} went in{last if joints else ''}."]
    if parts == work.parts_so_far:
        are = "was" if parts == 1 else "were"
        return [f"By the end {parts} of {words.counted(story.parts_planned, 'part')} {are} in{made}."]
    if not parts:
        return [f"{words.capital(words.spelt(joints, 'joint'))} {'were' if joints > 1 else 'was'} made."]
    more = words.capital(words.number(parts))
    with_joints = f", with {words.counted(joints, 'joint')}" if joints else ""
    return [
        f"{more} more {'part' if parts == 1 else 'parts'} went in"
        f"{with_joints}; "
        f"by then {work.parts_so_far} of {story.parts_planned} were in."
    ]


def _joints(amount: int) -> str:
    return words.counted(amount, "joint")


def _between(story: Story) -> str:
    """The times of a build that was one sitting, up to the first letter of `all`."""
    began, ended = story.sittings[0].began, story.sittings[0].ended
    if len(story.sittings) > 1 or not began.time or not ended.time or began.day != ended.day:
        return "A"
    return f"Between {began.time} and {ended.time} a"


def _passed(work: SittingWork) -> list[str]:
    if not work.holds:
        return []
    if len(work.holds) > MOST_NAMED:
        return [f"It got past all {words.number(len(work.holds))} hold points."]
    return [f"It got past {words.join([f'‘{words.one_line(name)}’' for name in work.holds])}."]


def _trimmed(work: SittingWork) -> list[str]:
    names = list(dict.fromkeys(words.one_line(name) for name in work.trims))
    if not names:
        return []
    if len(names) > MOST_NAMED:
        return [f"Then {words.spelt(len(names), 'trimmer')} were set."]
    return [f"Then {words.join(names)} {'was' if len(names) == 1 else 'were'} trimmed."]


def _pauses(story: Story, sitting: Sitting) -> list[str]:
    """Breaks in a sitting, and time that nobody settled."""
    inside = [p for p in story.pauses if sitting.began.at <= p.began.at and p.ended.at <= sitting.ended.at]
    breaks = [words.in_prose(round(p.seconds / 60)) for p in inside if p.settled]
    unknown = sum(p.seconds for p in inside if not p.settled)
    said = []
    if len(breaks) == 1:
        said.append(f"A break of {breaks[0]} is not counted.")
    elif breaks:
        many = words.capital(words.number(len(breaks)))
        said.append(f"{many} breaks ({words.join(breaks)}) are not counted.")
    if unknown:
        amount = words.in_prose(round(unknown / 60))
        said.append(f"What became of {amount} in between, nobody wrote down.")
    return said


# -- what happened -------------------------------------------------------------------------------------
def _things(story: Story, shown: Collection[str]) -> Iterable[Told]:
    for turn, snag in enumerate(story.snags):
        yield Told(when=snag.when, place=(snag.stage, snag.board), text=snag_sentences(story, snag, turn))
    for note in story.notes:
        text = words.one_line(note.text)
        if note.mark in ("note", "show") and text and text.casefold() != "worth showing":
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
        yield Told(when=row.when, place=(row.stage, row.board), text=f"{words.capital(what)} had to wait{why}.")
        later = row.taken_up is not None and row.taken_up.day != row.when.day
        if later and row.taken_up is not None:
            text = f"{words.capital(what)}, which had been waiting, went in after all."
            yield Told(when=row.taken_up, place=(row.stage, row.board), text=text)


def _what(row: HeldRow) -> str:
    called = words.one_line(row.value) or "a part"
    return f"{shorten(row.refs)} ({called})" if row.refs else called


def _overridden(story: Story) -> Iterable[Told]:
    for row in story.passed:
        if not row.close:
            what = words.one_line(row.point) or words.one_line(row.hold) or "a hold point"
            why = words.one_line(row.reason).rstrip(".")
            said = f"The check ‘{what}’ was overridden{f': {why}' if why else ', without a reason'}."
            yield Told(when=row.when, place=(row.stage, row.board), text=said)


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
            text = f"Counting the joints gave {row.counted} where there should be {row.expected}, {how}."
            yield Told(when=row.when, place=(row.stage, row.board), text=text)

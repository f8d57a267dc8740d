"""Captions from the log: what is being placed while it is placed, and what happens when it happens. Pure.

Two lines of at most 42 characters, about 15 characters a second and never more than 20, some six seconds:
common practice for captions (no source). Where there is no time to read all of a step, less of it is said. No
caption is cut short: which way round a part goes is never half said.
"""

from __future__ import annotations

import textwrap
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.progress import Progress
from bench.log.timeline import ClockTimeline
from bench.parts.designators import shorten
from bench.plan.plan import Plan, Step
from bench.session.stand_in import in_hand
from bench.writeup.film.clips import Clip
from bench.writeup.film.cut_list import ClipPart, FilmMap
from bench.writeup.film.stretches import Stretch
from bench.writeup.readings import with_unit
from bench.writeup.words import capital, one_line, with_part

WIDEST = 42
"""Characters of a line."""
LINES = 2
_A_SECOND, FASTEST = 15.0, 20.0
"""Characters a second that are read, with ease and at most."""
_SHORTEST = 3.0
"""Seconds for which a moment stands at least."""
STANDS = 6.0
"""Seconds for which a step stands, unless it takes longer to read."""
BRIEFEST = 0.8
"""A caption on screen for less than this, in seconds, is left out."""
_VERDICTS = {
    "in": "within limits",
    "out": "OUT of limits",
    "too close to call": "too close to call for this meter",
}


class Said(Struct, frozen=True, kw_only=True):
    """A caption on the bench's time line."""

    begins: float
    ends: float
    """Greater than `begins`."""
    texts: tuple[str, ...]
    """Each on one line, the fullest first; the first that there is time to read is said."""
    yields: bool = False
    """It is left out where others crowd it: a reading within its limits."""


class Caption(Struct, frozen=True, kw_only=True):
    """A caption of a film or clip."""

    start: float
    end: float
    """Seconds; greater than `start`. No two captions overlap."""
    lines: tuple[str, ...]
    """At least one; none is empty."""


class Spoken(Struct, frozen=True, kw_only=True):
    """What there is to say of a build."""

    steps: tuple[Said, ...]
    """What is at work, by its beginning; no two overlap."""
    moments: tuple[Said, ...]
    """Snags, fixes, readings, tips, by their beginning: they stand in place of the step for a while."""
    caution: str = ""
    """What a film about this kit says first; empty where nothing in it can kill."""


def spoken_of(
    kit: Kit,
    plan: Plan,
    events: Sequence[ev.AnyEvent],
    progress: Progress,
    timeline: ClockTimeline,
    stretches: Sequence[Stretch],
) -> Spoken:
    """Everything that captions can say. `events` are those that stand, corrections applied."""
    steps = {step.key: step for step in plan.steps}
    placed = [event for event in events if event.n in timeline.seconds]
    return Spoken(
        steps=tuple(_steps(placed, steps, progress, timeline, stretches)),
        moments=tuple(_moments(placed, timeline)),
        caution=danger_of(kit).warning,
    )


_BEGINS_ANEW = ev.HeldBack | ev.JointsCounted | ev.BagCounted | ev.Opened | ev.Resumed
"""What comes between two steps: the next one is at work from there."""


def _steps(
    events: Sequence[ev.AnyEvent],
    steps: Mapping[str, Step],
    progress: Progress,
    timeline: ClockTimeline,
    stretches: Sequence[Stretch],
) -> Iterator[Said]:
    """Each step from when the one before it was done until it is done; not while nobody was there."""
    here = [each for each in stretches if each.doing not in ("away", "waiting")]
    since: dict[str, float] = {}
    for event in events:
        now = timeline.seconds[event.n]
        began = since.setdefault(event.run, now)
        if isinstance(event, ev.Done):
            texts = step_words(event, steps.get(event.step), progress)
            yield from (Said(begins=a, ends=b, texts=texts) for a, b in _within(here, began, now) if texts)
        if isinstance(event, ev.Done | _BEGINS_ANEW):
            since[event.run] = now


def _within(here: Sequence[Stretch], begins: float, ends: float) -> list[tuple[float, float]]:
    """The time between two moments in which somebody was at work; what joins up is one."""
    spans: list[tuple[float, float]] = []
    for stretch in here[bisect_right(here, begins, key=lambda each: each.ends) :]:
        if stretch.begins >= ends:
            break
        low, high = max(stretch.begins, begins), min(stretch.ends, ends)
        if spans and spans[-1][1] >= low:
            spans[-1] = spans[-1][0], high
        else:
            spans.append((low, high))
    return spans


def step_words(done: ev.Done, step: Step | None, progress: Progress) -> tuple[str, ...]:
    """A step as it was done, at length and more and more briefly: value, designators, kind, way round.

    Where plan and log no longer agree on the part, nothing is said of its way round.
    """
    short = head = f"{shorten(done.refs)}: {one_line(done.value)}" if done.refs else one_line(done.value)
    if step is None or step.value != done.value:
        return _levels(head)
    if step.action not in ("solder", "place", "insert", "fit"):
        return _levels(f"{head} ({one_line(step.expect)})" if step.expect else head, head)
    if step.kind.casefold() not in done.value.casefold():
        head = f"{head} {step.kind}"
    ways: tuple[str, ...] = (step.orientation,)
    hand = in_hand(step, progress, (), ())
    if hand is not None:
        ways = hand.ways
        items = set(done.items)
        swapped = [each for each in progress.substitutions if not items.isdisjoint(each.items)]
        instead = [one_line(each.instead) for each in swapped]
        short = head = ", replaced by ".join(filter(None, [head, "; ".join(instead)]))
    return _levels(". ".join([head, *(capital(one_line(way)).rstrip(".") for way in ways if way)]), head, short)


def _levels(*texts: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(filter(None, texts)))


def _moments(events: Iterable[ev.AnyEvent], timeline: ClockTimeline) -> Iterator[Said]:
    for event in events:
        text = moment_words(event)
        if text:
            at = timeline.seconds[event.n]
            lasts = max(_SHORTEST, len(text) / _A_SECOND)
            yields = isinstance(event, ev.ReadingTaken) and event.verdict == "in"
            yield Said(begins=at, ends=at + lasts, texts=(text,), yields=yields)


def moment_words(event: ev.AnyEvent) -> str:
    """What a caption says of a snag, a fix, a reading, a tip, a substitute or an error in the documents."""
    match event:
        case ev.Snagged():
            fix = f" Fixed: {one_line(event.fix)}" if event.fix else ""
            return f"Snag: {with_part(event.what, event.part)}{fix}"
        case ev.Mended():
            return f"Fixed: {one_line(event.fix)}"
        case ev.ReadingTaken():
            verdict = _VERDICTS.get(event.verdict, "")
            read = f"{one_line(event.point)}: {with_unit(event.text, event.expect)}".strip(": ")
            return f"{read}, {verdict}" if verdict else read
        case ev.Noted(mark="tip"):
            return f"Tip: {one_line(event.text)}"
        case ev.Noted(mark="show"):
            return one_line(event.text)
        case ev.Substituted():
            return f"{one_line(event.instead)} in place of {one_line(event.part)}"
        case ev.ErratumFound():
            return f"The documents are wrong: {one_line(event.text)}"
        case _:
            return ""


# -- on film -----------------------------------------------------------------------------------------
_CAUTION_SECONDS = 8.0
_Cue = tuple[float, float, tuple[str, ...]]
"""From, until, what can be said."""
_LATEST = 5.0
"""A reading within its limits is left out rather than told later than this, in seconds."""


def captions_in(spoken: Spoken, parts: Sequence[ClipPart], clips: Mapping[str, Clip]) -> tuple[Caption, ...]:
    """The captions of a film. A moment stands for as long as it is read, whatever the film's speed there."""
    film = FilmMap(parts, clips)
    steps = [
        (seen.start, min(seen.end, seen.start + max(STANDS, len(said.texts[0]) / _A_SECOND)), said.texts)
        for said in spoken.steps
        for seen in film.seen(said.begins, said.ends)
    ]
    moments = _moments_in(spoken, film)
    said_anyway = {texts for _, _, texts in moments}
    return tuple(
        caption
        for start, end, texts in _layered(moments, sorted(steps))
        if end - start >= BRIEFEST
        for caption in _read_in(start, end, texts, anyway=texts in said_anyway)
    )


def _read_in(start: float, end: float, texts: Sequence[str], *, anyway: bool) -> Iterator[Caption]:
    """The fullest text that can be read in the time, two lines after two; without one, none unless `anyway`."""
    for text in texts:
        lines = broken(text)
        blocks = [lines[at : at + LINES] for at in range(0, len(lines), LINES)]
        needs = [max(BRIEFEST, sum(map(len, block)) / FASTEST) for block in blocks]
        if sum(needs) <= end - start + 1e-9 or (anyway and text == texts[-1]):
            pace, at = (end - start) / sum(needs), start
            for block, need in zip(blocks, needs, strict=True):
                yield Caption(start=at, end=at + need * pace, lines=block)
                at += need * pace
            return


def _moments_in(spoken: Spoken, film: FilmMap) -> list[_Cue]:
    """The moments of a film one after the other, and before them its caution."""
    length = film.length
    cues: list[_Cue] = []
    if spoken.caution:
        text = f"Caution: {spoken.caution}"
        cues.append((0.0, min(max(_CAUTION_SECONDS, len(text) / _A_SECOND), length), (text,)))
    told = [(seen[0].start, said) for said in spoken.moments if (seen := film.seen(said.begins, said.ends))]
    for at, said in sorted(told, key=lambda each: each[0]):
        start = max(at, cues[-1][1] if cues else 0.0)
        if not said.yields or start - at <= _LATEST:
            cues.append((start, min(start + said.ends - said.begins, length), said.texts))
    return cues


def _layered(above: Sequence[_Cue], below: Sequence[_Cue]) -> list[_Cue]:
    """Both as one row without overlaps: what lies above hides what lies below."""
    found: list[_Cue] = []
    for start, until, text in above:
        start = max(start, found[-1][1] if found else 0.0)
        found += [(start, until, text)] if until > start else []
    hidden = list(found)
    for at, until, text in below:
        for covers, clears, _ in hidden:
            if clears > at and covers < until:
                found += [(at, covers, text)] if covers > at else []
                at = clears
        found += [(at, until, text)] if until > at else []
    return sorted(found)


def broken(text: str) -> tuple[str, ...]:
    """A text in lines of at most `WIDEST` characters; a longer word stays whole.

    >>> broken("C1, C2: 47u, 25 V. The stripe on the can is minus, the long leg goes to the +")
    ('C1, C2: 47u, 25 V. The stripe on the can', 'is minus, the long leg goes to the +')
    """
    return tuple(textwrap.wrap(one_line(text), WIDEST, break_long_words=False, break_on_hyphens=False))

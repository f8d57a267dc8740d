"""What a viewer may want to jump to, on the bench's time line: stages, snags, first sound, marks worth showing.

Pure. A mark is where something is in the log; `chapters` and `cut_list` say where that is on film.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence, Set

from msgspec import Struct

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.event_text import highlight
from bench.log.timeline import ClockTimeline
from bench.plan.plan import Plan
from bench.writeup import words
from bench.writeup.film.stretches import Stretch
from bench.writeup.readings import too_close
from bench.writeup.sittings import stage_starts, turn

RANK = {"works": 4, "snag": 3, "show": 2, "stage": 1, "break": 1, "tip": 0, "mended": 0}
"""Kinds of mark; where two fall together the higher one keeps its title."""
_LEADS = {"snag": "", "mended": "Fixed: ", "show": "", "tip": "Tip: "}
_BARE = {"snag": "Snag: ", "show": "Worth showing: "}
"""What stands before the place where the builder said no words."""
CHAPTER_KINDS = ("works", "snag", "show", "stage")
MOMENT_KINDS = ("works", "snag", "mended", "show", "tip")
LONGEST_TITLE = 100
_FUNCTION = re.compile(r"\bfunction\b|\bworks?\b", re.IGNORECASE)
_SOUND = re.compile(
    r"\bfirst (sound|tone|note|light|tick|beep|sign of life)\b|^(and )?(it|this) works\b", re.IGNORECASE
)


class FilmMark(Struct, frozen=True, kw_only=True):
    """One thing on the time line."""

    at: float
    """Bench time, seconds since 1970."""
    kind: str
    """One of `RANK`."""
    title: str
    """On one line, without characters that show nothing; never empty."""
    n: int
    """Number of the event."""
    began: float = 0.0
    """Seconds before `at` that it began, for a snag that was recorded after it was mended."""
    lasted: float = 0.0
    """Seconds that it went on after `at`: a snag until it was mended."""
    inside: bool = False
    """True for what mended a snag that lasts until then: the snag shows it."""

    @property
    def begins(self) -> float:
        """Bench time at which what it tells of began."""
        return self.at - self.began

    @property
    def ends(self) -> float:
        """Bench time at which it was over."""
        return self.at + self.lasted

    @property
    def worth_showing(self) -> bool:
        """Whether it is a moment of its own."""
        return self.kind in MOMENT_KINDS and not self.inside


def marks_of(
    kit: Kit,
    plan: Plan,
    events: Sequence[ev.AnyEvent],
    timeline: ClockTimeline,
    stretches: Sequence[Stretch] = (),
) -> tuple[FilmMark, ...]:
    """All marks in order of time. `events` are those that stand, corrections applied."""
    boards = len({stage.board for stage in plan.stages if stage.board}) > 1
    placed = [event for event in events if event.n in timeline.seconds]
    stages = _stages(placed, timeline, boards=boards)
    found = [*stages, *_words(placed, timeline, boards=boards), *_breaks(stretches, stages)]
    works = _first_sound(kit, plan, placed, timeline)
    return tuple(sorted([*found, *([works] if works else [])], key=lambda mark: (mark.at, mark.n)))


def shortened(text: str, most: int = LONGEST_TITLE) -> str:
    """A title on one line of at most `most` characters, cut at a word where that can be."""
    text = words.one_line(text)
    if len(text) <= most:
        return text
    head = text[: most - 1]
    return (head.rpartition(" ")[0] or head).rstrip(" ,;:") + "…"


# -- stages ------------------------------------------------------------------------------------------
def _stages(events: Sequence[ev.AnyEvent], timeline: ClockTimeline, *, boards: bool) -> list[FilmMark]:
    """Where each stage begins: when the one before it was finished, or when the program was opened."""
    found = []
    for start in stage_starts(events):
        stage, board = start.place
        title = shortened(turn(words.place(stage, board if boards else ""), start.again, start.held))
        found.append(FilmMark(at=timeline.seconds[start.since], kind="stage", title=title, n=start.n))
    return found


# -- breaks ------------------------------------------------------------------------------------------
def _breaks(stretches: Sequence[Stretch], stages: Sequence[FilmMark]) -> Iterator[FilmMark]:
    """Where each break begins, and where the stage before it goes on."""
    spans: list[tuple[float, float]] = []
    for each in stretches:
        if each.doing == "away":
            joined = bool(spans) and spans[-1][1] == each.begins
            spans[-1:] = [(spans[-1][0], each.ends)] if joined else [*spans[-1:], (each.begins, each.ends)]
    for begins, ends in spans:
        yield FilmMark(at=begins, kind="break", title="Break", n=0, lasted=ends - begins)
        before = [mark for mark in stages if mark.at <= ends]
        if before and before[-1].at < ends:
            title = turn(before[-1].title.removesuffix(" (continued)"), again=True)
            yield FilmMark(at=ends, kind="break", title=title, n=0)


# -- words -------------------------------------------------------------------------------------------
def _words(events: Sequence[ev.AnyEvent], timeline: ClockTimeline, *, boards: bool) -> list[FilmMark]:
    found: list[FilmMark] = []
    mended = _mended_at_once(events)
    within = {each.n for each in mended.values()}
    for event in events:
        seen = highlight(event)
        if seen is None or seen.kind not in RANK:
            continue
        said = (
            words.with_part(seen.text, event.part)
            if isinstance(event, ev.Snagged)
            else words.one_line(seen.text)
        )
        lead = _LEADS[seen.kind]
        if not said or said.casefold() == "worth showing":
            said, lead = words.place(event.stage, event.board if boards else ""), lead or _BARE[seen.kind]
        title = shortened(words.capital(f"{lead}{said}"))
        at, end = timeline.seconds[event.n], mended.get(event.n)
        found.append(
            FilmMark(
                at=at, kind=seen.kind, title=title, n=event.n, began=_began(event, events, timeline),
                lasted=max(0.0, timeline.seconds[end.n] - at) if end else 0.0, inside=event.n in within,
            )
        )  # fmt: skip
    return found


def _mended_at_once(events: Sequence[ev.AnyEvent]) -> dict[int, ev.Mended]:
    """Snags with what mended them, where nothing else was done and the program stayed open in between."""
    open_snags: dict[int, ev.Snagged] = {}
    found: dict[int, ev.Mended] = {}
    for event in events:
        if isinstance(event, ev.Snagged) and not event.fix:
            open_snags[event.n] = event
        elif isinstance(event, ev.Mended):
            snag = open_snags.pop(event.of, None)
            if snag is not None and snag.run == event.run:
                found[snag.n] = event
        elif isinstance(event, ev.Done):
            open_snags.clear()
    return found


def _began(event: ev.AnyEvent, events: Sequence[ev.AnyEvent], timeline: ClockTimeline) -> float:
    """Seconds before its entry that a snag, recorded with its fix, was noticed; not before the last step."""
    if not isinstance(event, ev.Snagged) or not event.fix or event.minutes <= 0:
        return 0.0
    at = timeline.seconds[event.n]
    before = [
        timeline.seconds[each.n]
        for each in events
        if each.run == event.run and each.n < event.n and isinstance(each, ev.Done | ev.Opened | ev.BreakEnded)
    ]
    return max(0.0, min(event.minutes * 60.0, at - max(before, default=at)))


# -- it works ----------------------------------------------------------------------------------------
def _first_sound(
    kit: Kit, plan: Plan, events: Sequence[ev.AnyEvent], timeline: ClockTimeline
) -> FilmMark | None:
    """The first check of function that was passed, or note that says it works, after which it stayed so.

    A later snag in the same stage, or in a check of function, says that it did not work yet.
    """
    checks = _function_checks(kit, plan)
    readings = [event for event in events if isinstance(event, ev.ReadingTaken)]
    overridden = (event for event in events if isinstance(event, ev.HoldOverridden))
    given_up = {event.step for event in overridden if not too_close(event, readings)}
    found: tuple[ev.AnyEvent, str] | None = None
    for event in events:
        if isinstance(event, ev.Snagged):
            again = found is not None and (event.stage, event.board) == (found[0].stage, found[0].board)
            found = None if again or _FUNCTION.search(event.stage) else found
        elif found is None and (said := _says_it_works(event, checks, given_up)):
            found = event, said
    if found is None:
        return None
    event, said = found
    title = shortened(f"It works: {said}")
    return FilmMark(at=timeline.seconds[event.n], kind="works", title=title, n=event.n)


def _says_it_works(event: ev.AnyEvent, checks: Mapping[str, str], given_up: Set[str]) -> str:
    """The headline of a check of function that was passed, or a note that says it works; else empty."""
    if isinstance(event, ev.Done) and event.step not in given_up:
        return words.one_line(next((checks[item] for item in event.items if item in checks), ""))
    if isinstance(event, ev.Noted) and _SOUND.search(words.one_line(event.text)):
        return words.one_line(event.text)
    return ""


def _function_checks(kit: Kit, plan: Plan) -> dict[str, str]:
    """Items of the checks that say it works, with their headlines: those of the hold point for function."""
    own = {check.where for point in kit.hold_points if _FUNCTION.search(point.name) for check in point.checks}
    return {
        item: step.value
        for stage in plan.stages
        if stage.hold
        for step in stage.steps
        if _FUNCTION.search(stage.name) or step.value in own
        for item in step.items
    }

"""What a viewer may want to jump to, on the bench's time line: stages, snags, first sound, marks worth showing.

Pure. A mark is where something is in the log; `chapters` and `cut_list` say where that is on film.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.timeline import ClockTimeline
from bench.plan.plan import Plan
from bench.writeup import words

RANK = {"works": 4, "snag": 3, "show": 2, "stage": 1, "tip": 0, "mended": 0}
"""Kinds of mark; where two fall together the higher one keeps its title."""
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


def marks_of(
    kit: Kit, plan: Plan, events: Sequence[ev.AnyEvent], timeline: ClockTimeline
) -> tuple[FilmMark, ...]:
    """All marks in order of time. `events` are those that stand, corrections applied."""
    boards = len({stage.board for stage in plan.stages if stage.board}) > 1
    placed = [event for event in events if event.n in timeline.seconds]
    found = [*_stages(placed, timeline, boards=boards), *_words(placed, timeline, boards=boards)]
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
_AT_WORK = (
    ev.Done,
    ev.Opened,
    ev.Closed,
    ev.BreakBegan,
    ev.BreakEnded,
    ev.HoldPassed,
    ev.HeldBack,
    ev.IdleResolved,
)
"""Events that carry the stage at work; a note or a reading may be about another one."""


def _stages(events: Sequence[ev.AnyEvent], timeline: ClockTimeline, *, boards: bool) -> list[FilmMark]:
    """Where each stage begins: when the one before it was finished, or when the program was opened."""
    opened: dict[str, float] = {}
    found: list[FilmMark] = []
    seen: set[tuple[str, str]] = set()
    now: tuple[str, str] = ("", "")
    since: tuple[float, str] | None = None
    """End of what was done last in the stage at work, and its run."""
    for event in events:
        place = (event.stage, event.board)
        at = timeline.seconds[event.n]
        opened.setdefault(event.run, at)
        if isinstance(event, ev.JointsCounted) and place == now:
            since = at, event.run
        if not isinstance(event, _AT_WORK) or not event.stage:
            continue
        if place != now:
            begun = since[0] if since and since[1] == event.run else opened[event.run]
            title = words.place(event.stage, event.board if boards else "")
            again = " (again)" if place in seen else ""
            found.append(FilmMark(at=begun, kind="stage", title=shortened(title) + again, n=event.n))
            seen.add(place)
            now, since = place, None
        if isinstance(event, ev.Done) or since is None:
            since = at, event.run
    return found


# -- words -------------------------------------------------------------------------------------------
def _words(events: Sequence[ev.AnyEvent], timeline: ClockTimeline, *, boards: bool) -> list[FilmMark]:
    found: list[FilmMark] = []
    for event in events:
        kind, text = _said(event)
        if not kind:
            continue
        where = words.place(event.stage, event.board if boards else "")
        lead = {"snag": "Snag", "mended": "Mended", "show": "Worth showing", "tip": "Tip"}[kind]
        said = shortened(text)
        plain = not said or said.casefold() == "worth showing"
        title = f"{lead}: {where if plain else said}"
        found.append(FilmMark(at=timeline.seconds[event.n], kind=kind, title=shortened(title), n=event.n))
    return found


def _said(event: ev.AnyEvent) -> tuple[str, str]:
    """Kind and text of a mark made in words; empty for any other event."""
    match event:
        case ev.Snagged():
            part = words.one_line(event.part)
            return "snag", f"{event.what} ({part})" if part else event.what
        case ev.Mended():
            return "mended", event.fix
        case ev.Noted(mark="tip" | "show"):
            return event.mark, event.text
        case _:
            return "", ""


# -- it works ----------------------------------------------------------------------------------------
def _first_sound(
    kit: Kit, plan: Plan, events: Sequence[ev.AnyEvent], timeline: ClockTimeline
) -> FilmMark | None:
    """The first check of function that was passed, or the first note that says it works."""
    checks = _function_checks(kit, plan)
    given_up = {
        event.step for event in events if isinstance(event, ev.HoldPassed) and event.about != "too close"
    }
    for event in events:
        said = ""
        if isinstance(event, ev.Done) and event.step not in given_up:
            said = next((checks[item] for item in event.items if item in checks), "")
        elif isinstance(event, ev.Noted) and _SOUND.search(words.one_line(event.text)):
            said = event.text
        if words.one_line(said):
            title = shortened(f"It works: {words.one_line(said)}")
            return FilmMark(at=timeline.seconds[event.n], kind="works", title=title, n=event.n)
    return None


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

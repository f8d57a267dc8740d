"""Events in words: the only place that puts one into a sentence or a title. Pure.

`describe` is one line for a list, a message or an undo key. `highlight` is what a reader or viewer may want to
jump to at that moment: its kind and the bare text, so that a page or a chapter list sets its own label before
it (`Snag: `) or none, and picks the kinds that it shows:

    found = highlight(event)
    if found and found.kind in ("snag", "show"):
        ...  # found.text
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal, NamedTuple, cast

from bench.log import events as ev
from bench.log.unit_names import unit_words

HighlightKind = Literal["photo", "snag", "mended", "reading", "substitute", "erratum", "show", "tip"]


class Highlight(NamedTuple):
    """What is worth seeing at the moment of an event."""

    kind: HighlightKind
    text: str
    """In the builder's words, without its kind; empty for a photo or a note without words."""


_SEEN: Mapping[type[ev.Event], tuple[HighlightKind, str]] = {
    ev.PhotoTaken: ("photo", "{0.caption}"),
    ev.Snagged: ("snag", "{0.what}"),
    ev.Mended: ("mended", "{0.fix}"),
    ev.ReadingTaken: ("reading", "{0.point}: {0.text}"),
    ev.Substituted: ("substitute", "{0.instead} instead of {0.part}"),
    ev.ErratumFound: ("erratum", "{0.text}"),
}


def highlight(event: ev.AnyEvent) -> Highlight | None:
    """What a photo, a film or a page may show of this event; None where there is nothing to see."""
    if isinstance(event, ev.Noted):
        return Highlight(cast(HighlightKind, event.mark), event.text) if event.mark in ("show", "tip") else None
    kind, words = _SEEN.get(type(event), (None, ""))
    return Highlight(kind, words.format(event)) if kind else None


def wait_words(wait: ev.WaitBegan) -> str:
    """A wait by its length.

    >>> wait_words(ev.WaitBegan(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a", seconds=60))
    'wait of 1 minute'
    """
    return f"wait of {_many(wait.seconds / 60, 'minute')}"


def _gap_words(event: ev.IdleResolved) -> str:
    worked = event.seconds_worked
    if 0 < worked < event.seconds:
        whole = _many(round(event.seconds / 60), "minute")
        return f"{worked / 60:.3g} of {whole} at the bench, the rest a break"
    return "at the bench" if worked else "a break"


def _renamed(event: ev.Renamed) -> str:
    return "renamed: " + ", ".join(f"{old} is now {new}" for old, new in (*event.boards, *event.items))


def _with(head: str, words: str) -> str:
    return f"{head}: {words}" if words else head


def _many(count: float, word: str) -> str:
    return f"{count:g} {word}{'' if count == 1 else 's'}"


_OVERRIDDEN = {"too close": "accepted"}
_WORDS: Mapping[type[ev.Event], str | Callable[[Any], str]] = {
    ev.Done: lambda event: " ".join(["done:", event.value, *event.refs]),
    ev.HeldBack: lambda event: " ".join(["held back:", event.value, *event.refs]),
    ev.Resumed: lambda event: f"resumed: {_many(len(event.items), 'part')}",
    ev.HoldOverridden: lambda event: (
        f"{_OVERRIDDEN.get(event.about, 'hold point overridden')}: {event.hold} ({event.reason})"
    ),
    ev.JointsCounted: "joints counted: {0.counted} of {0.expected}",
    ev.KitChanged: lambda event: f"the kit changed: {'; '.join(event.told) or 'nothing that was done'}",
    ev.Confirmed: lambda event: f"right as it is: {event.told or event.value}",
    ev.Noted: "{0.mark}: {0.text}",
    ev.PhotoTaken: lambda event: _with("photo taken", event.caption),
    ev.PhotosMatched: lambda event: f"photos matched: {len(event.photos)} from {event.folder}",
    ev.PhotoCaptioned: "caption of {0.file}: {0.caption}",
    ev.Snagged: "snag: {0.what}",
    ev.Mended: "fixed: {0.fix}",
    ev.Substituted: "substitute: {0.instead} for {0.part}",
    ev.ErratumFound: "erratum: {0.text}",
    ev.BagCounted: lambda event: f"in the bag: {event.found} of {len(event.items)} {event.value}",
    ev.PartMeasured: "measured: {0.value} = {0.text}",
    ev.ReadingTaken: "reading: {0.point} = {0.text}",
    ev.PassMeasured: lambda event: f"tracking pass: {event.trim}, {_many(len(event.points), 'point')}",
    ev.SuspicionSettled: lambda event: f"{'found' if event.found else 'all right'}: {event.suspicion}",
    ev.HazardAcknowledged: "hazard acknowledged: {0.text}",
    ev.SyncMarked: lambda event: _with(f"clap {event.number}", event.label),
    ev.ClipNamed: "clip named: {0.clip}",
    ev.ClockTold: lambda event: (
        f"clock corrected: it was {event.right}" if event.right else "clock confirmed as right"
    ),
    ev.WaitBegan: lambda event: _with(wait_words(event), event.about),
    ev.BreakBegan: "break began",
    ev.BreakEnded: "break ended",
    ev.IdleResolved: lambda event: f"gap settled: {_gap_words(event)}",
    ev.Completed: "every step is done",
    ev.Started: "build started: {0.kit}",
    ev.Opened: "opened",
    ev.Closed: "closed",
    ev.Revised: "kit file or procedure changed",
    ev.Renamed: _renamed,
    ev.UnitNamed: lambda event: f"this is {unit_words(event.name)}",
    ev.SideBySide: lambda event: (
        "goes on alone" if event.alone else f"one of {len(event.folders)} units side by side"
    ),
    ev.SetAside: lambda event: _with("set aside" if event.aside else "called back", event.why),
    ev.Undone: "undone: event {0.of}",
    ev.Corrected: "corrected: {0.field} of event {0.of}: {0.to}",
}
"""Each kind of event: its words, with fields of the event in braces, or what finds them."""


def describe(event: ev.AnyEvent) -> str:
    """An event in a few words, for a message or a list.

    >>> describe(ev.WaitBegan(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a", seconds=60))
    'wait of 1 minute'
    """
    words = _WORDS[type(event)]
    return words.format(event) if isinstance(words, str) else words(event)

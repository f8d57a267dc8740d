"""Events in words: the only place that puts one into a sentence or a title. Pure.

`describe` is one line for a list, a message or an undo key. `highlight` is what a reader or viewer may want to
jump to at that moment: its kind and the bare text, so that a page or a chapter list sets its own label before
it (`Snag: `) or none, and picks the kinds that it shows:

    found = highlight(event)
    if found and found.kind in ("snag", "show"):
        ...  # found.text

Each `match` ends in `assert_never`: an event that is new in `events` fails the type check until it has words.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, assert_never

from bench.log import events as ev
from bench.log.unit_names import unit_words

HighlightKind = Literal["photo", "snag", "mended", "reading", "substitute", "erratum", "show", "tip"]


class Highlight(NamedTuple):
    """What is worth seeing at the moment of an event."""

    kind: HighlightKind
    text: str
    """In the builder's words, without its kind; empty for a photo or a note without words."""


def highlight(event: ev.AnyEvent) -> Highlight | None:
    """What a photo, a film or a page may show of this event; None where there is nothing to see."""
    match event:
        case ev.PhotoTaken():
            return Highlight("photo", event.caption)
        case ev.Snagged():
            return Highlight("snag", event.what)
        case ev.Mended():
            return Highlight("mended", event.fix)
        case ev.ReadingTaken():
            return Highlight("reading", f"{event.point}: {event.text}")
        case ev.Substituted():
            return Highlight("substitute", f"{event.instead} instead of {event.part}")
        case ev.ErratumFound():
            return Highlight("erratum", event.text)
        case ev.Noted(mark="show"):
            return Highlight("show", event.text)
        case ev.Noted(mark="tip"):
            return Highlight("tip", event.text)
        case (
            ev.Noted() | ev.PhotosMatched() | ev.PhotoCaptioned() | ev.Done() | ev.HeldBack() | ev.Resumed()
            | ev.HoldOverridden() | ev.JointsCounted() | ev.KitChanged() | ev.Confirmed() | ev.BagCounted()
            | ev.PartMeasured() | ev.PassMeasured() | ev.SuspicionSettled() | ev.HazardAcknowledged()
            | ev.SyncMarked() | ev.ClipNamed() | ev.ClockTold() | ev.WaitBegan() | ev.BreakBegan()
            | ev.BreakEnded() | ev.IdleResolved() | ev.Completed() | ev.Started() | ev.Opened() | ev.Closed()
            | ev.Revised() | ev.Renamed() | ev.UnitNamed() | ev.SideBySide() | ev.SetAside() | ev.Undone()
            | ev.Corrected()
        ):  # fmt: skip
            return None
        case _:
            assert_never(event)


def describe(event: ev.AnyEvent) -> str:
    """An event in a few words, for a message or a list.

    >>> describe(ev.WaitBegan(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a", seconds=60))
    'wait of 1 minute'
    """
    if isinstance(event, ev.StepEvent):
        return _step_words(event)
    if isinstance(event, ev.RemarkEvent):
        return _remark_words(event)
    if isinstance(event, ev.MeasurementEvent):
        return _measurement_words(event)
    if isinstance(event, ev.TimeEvent):
        return _time_words(event)
    return _log_words(event)


def _step_words(event: ev.StepEvent) -> str:
    match event:
        case ev.Done():
            return " ".join(["done:", event.value, *event.refs])
        case ev.HeldBack():
            return " ".join(["held back:", event.value, *event.refs])
        case ev.Resumed():
            return f"resumed: {_many(len(event.items), 'part')}"
        case ev.HoldOverridden():
            word = "accepted" if event.about == "too close" else "hold point overridden"
            return f"{word}: {event.hold} ({event.reason})"
        case ev.JointsCounted():
            return f"joints counted: {event.counted} of {event.expected}"
        case ev.KitChanged():
            return f"the kit changed: {'; '.join(event.told) or 'nothing that was done'}"
        case ev.Confirmed():
            return f"right as it is: {event.told or event.value}"
        case _:
            assert_never(event)


def _remark_words(event: ev.RemarkEvent) -> str:
    match event:
        case ev.Noted():
            return f"{event.mark}: {event.text}"
        case ev.PhotoTaken():
            return _with("photo taken", event.caption)
        case ev.PhotosMatched():
            return f"photos matched: {len(event.photos)} from {event.folder}"
        case ev.PhotoCaptioned():
            return f"caption of {event.file}: {event.caption}"
        case ev.Snagged():
            return f"snag: {event.what}"
        case ev.Mended():
            return f"fixed: {event.fix}"
        case ev.Substituted():
            return f"substitute: {event.instead} for {event.part}"
        case ev.ErratumFound():
            return f"erratum: {event.text}"
        case _:
            assert_never(event)


def _measurement_words(event: ev.MeasurementEvent) -> str:
    match event:
        case ev.BagCounted():
            return f"in the bag: {event.found} of {len(event.items)} {event.value}"
        case ev.PartMeasured():
            return f"measured: {event.value} = {event.text}"
        case ev.ReadingTaken():
            return f"reading: {event.point} = {event.text}"
        case ev.PassMeasured():
            return f"tracking pass: {event.trim}, {_many(len(event.points), 'point')}"
        case ev.SuspicionSettled():
            return f"{'found' if event.found else 'all right'}: {event.suspicion}"
        case ev.HazardAcknowledged():
            return f"hazard acknowledged: {event.text}"
        case _:
            assert_never(event)


def _time_words(event: ev.TimeEvent) -> str:
    match event:
        case ev.SyncMarked():
            return _with(f"clap {event.number}", event.label)
        case ev.ClipNamed():
            return f"clip named: {event.clip}"
        case ev.ClockTold():
            return f"clock corrected: it was {event.right}" if event.right else "clock confirmed as right"
        case ev.WaitBegan():
            return _with(wait_words(event), event.about)
        case ev.BreakBegan():
            return "break began"
        case ev.BreakEnded():
            return "break ended"
        case ev.IdleResolved():
            return f"gap settled: {_gap_words(event)}"
        case ev.Completed():
            return "every step is done"
        case _:
            assert_never(event)


def wait_words(wait: ev.WaitBegan) -> str:
    """A wait by its length.

    >>> wait_words(ev.WaitBegan(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a", seconds=60))
    'wait of 1 minute'
    """
    return f"wait of {_many(wait.seconds / 60, 'minute')}"


def _gap_words(event: ev.IdleResolved) -> str:
    worked = event.seconds_worked
    if 0 < worked < event.seconds:
        return (
            f"{worked / 60:.3g} of {_many(round(event.seconds / 60), 'minute')} at the bench, the rest a break"
        )
    return "at the bench" if worked else "a break"


def _log_words(event: ev.LogEvent) -> str:
    match event:
        case ev.Started():
            return f"build started: {event.kit}"
        case ev.Opened():
            return "opened"
        case ev.Closed():
            return "closed"
        case ev.Revised():
            return "kit file or procedure changed"
        case ev.Renamed():
            return "renamed: " + ", ".join(f"{old} is now {new}" for old, new in (*event.boards, *event.items))
        case ev.UnitNamed():
            return f"this is {unit_words(event.name)}"
        case ev.SideBySide(alone=True):
            return "goes on alone"
        case ev.SideBySide():
            return f"one of {len(event.folders)} units side by side"
        case ev.SetAside():
            return _with("set aside" if event.aside else "called back", event.why)
        case ev.Undone():
            return f"undone: event {event.of}"
        case ev.Corrected():
            return f"corrected: {event.field} of event {event.of}: {event.to}"
        case _:
            assert_never(event)


def _with(head: str, words: str) -> str:
    return f"{head}: {words}" if words else head


def _many(count: float, word: str) -> str:
    return f"{count:g} {word}{'' if count == 1 else 's'}"

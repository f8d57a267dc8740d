"""Where the builder was when an event was recorded: at work, at the bench, or elsewhere. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from bench.log import events as ev

Presence = Literal["work", "bench", "program", "desk"]
"""`work` on the module makes a sitting. `bench`: done while sitting there; alone, months later, it makes none.
`program`: the program was open, whatever the builder did; its opening and closing bound a sitting in which
something was done. `desk`: at any time, anywhere."""
_WHERE: Mapping[Presence, tuple[type[ev.Event], ...]] = {
    "work": (
        ev.Done, ev.HeldBack, ev.Resumed, ev.HoldOverridden, ev.JointsCounted, ev.Snagged, ev.Mended,
        ev.BagCounted, ev.PartMeasured, ev.ReadingTaken, ev.PassMeasured, ev.SuspicionSettled, ev.SetAside,
    ),
    "bench": (
        ev.Noted, ev.PhotoTaken, ev.Substituted, ev.ErratumFound, ev.SyncMarked, ev.HazardAcknowledged,
        ev.WaitBegan, ev.BreakBegan, ev.BreakEnded, ev.IdleResolved,
    ),
    "program": (
        ev.Started, ev.Opened, ev.Closed, ev.Revised, ev.KitChanged, ev.Confirmed, ev.Renamed, ev.UnitNamed,
        ev.SideBySide, ev.Undone, ev.ClockTold, ev.Completed,
    ),
    "desk": (ev.Corrected, ev.ClipNamed, ev.PhotosMatched, ev.PhotoCaptioned),
}  # fmt: skip
_BY_KIND: Mapping[type[ev.Event], Presence] = {kind: where for where, kinds in _WHERE.items() for kind in kinds}


def presence(event: ev.AnyEvent) -> Presence:
    """What an event says of where its builder was."""
    return _BY_KIND[type(event)]


def tells_stage_at_work(event: ev.AnyEvent) -> bool:
    """Whether the stage that an event names is the one at work; a note or a reading may be about another."""
    return isinstance(
        event, ev.Done | ev.HeldBack | ev.HoldOverridden | ev.Closed | ev.BreakBegan | ev.IdleResolved
    )

"""Where the builder was when an event was recorded: at work, at the bench, or elsewhere. Pure.

Each `match` ends in `assert_never`: an event that is new in `log.events` fails the type check until it is here.
"""

from __future__ import annotations

from typing import Literal, assert_never

from bench.log import events as ev

Presence = Literal["work", "bench", "program", "desk"]
"""`work` on the module makes a sitting. `bench`: done while sitting there; alone, months later, it makes none.
`program`: the program was open, whatever the builder did; its opening and closing bound a sitting in which
something was done. `desk`: at any time, anywhere."""


def presence(event: ev.AnyEvent) -> Presence:
    """What an event says of where its builder was."""
    match event:
        case (
            ev.Done() | ev.HeldBack() | ev.Resumed() | ev.HoldOverridden() | ev.JointsCounted() | ev.Snagged()
            | ev.Mended() | ev.BagCounted() | ev.PartMeasured() | ev.ReadingTaken() | ev.PassMeasured()
            | ev.SuspicionSettled() | ev.SetAside()
        ):  # fmt: skip
            return "work"
        case (
            ev.Noted() | ev.PhotoTaken() | ev.Substituted() | ev.ErratumFound() | ev.SyncMarked()
            | ev.HazardAcknowledged() | ev.WaitBegan() | ev.BreakBegan() | ev.BreakEnded() | ev.IdleResolved()
        ):  # fmt: skip
            return "bench"
        case (
            ev.Started() | ev.Opened() | ev.Closed() | ev.Revised() | ev.KitChanged() | ev.Confirmed()
            | ev.Renamed() | ev.UnitNamed() | ev.SideBySide() | ev.Undone() | ev.ClockTold() | ev.Completed()
        ):  # fmt: skip
            return "program"
        case ev.Corrected() | ev.ClipNamed() | ev.PhotosMatched() | ev.PhotoCaptioned():
            return "desk"
        case _:
            assert_never(event)


def tells_stage_at_work(event: ev.AnyEvent) -> bool:
    """Whether the stage that an event names is the one at work; a note or a reading may be about another."""
    match event:
        case (
            ev.Done() | ev.HeldBack() | ev.HoldOverridden() | ev.Closed() | ev.BreakBegan() | ev.IdleResolved()
        ):  # fmt: skip
            return True
        case (
            ev.Opened() | ev.BreakEnded() | ev.Resumed() | ev.JointsCounted() | ev.KitChanged()
            | ev.Confirmed() | ev.Noted() | ev.PhotoTaken()
            | ev.PhotosMatched() | ev.PhotoCaptioned() | ev.Snagged() | ev.Mended() | ev.Substituted()
            | ev.ErratumFound() | ev.BagCounted() | ev.PartMeasured() | ev.ReadingTaken() | ev.PassMeasured()
            | ev.SuspicionSettled() | ev.HazardAcknowledged() | ev.SyncMarked() | ev.ClipNamed()
            | ev.ClockTold() | ev.WaitBegan() | ev.Started() | ev.Revised() | ev.Renamed() | ev.UnitNamed()
            | ev.SideBySide() | ev.SetAside() | ev.Undone() | ev.Corrected() | ev.Completed()
        ):  # fmt: skip
            return False
        case _:
            assert_never(event)

"""Events in words, for messages and lists."""

from __future__ import annotations

from bench.log import events as ev


def describe(event: ev.AnyEvent) -> str:
    """An event in a few words, for a message or a list."""
    match event:
        case ev.Done():
            return f"done: {event.value}" + (f" {' '.join(event.refs)}" if event.refs else "")
        case ev.HeldBack():
            return f"held back: {event.value}" + (f" {' '.join(event.refs)}" if event.refs else "")
        case ev.Noted():
            return f"{event.mark}: {event.text}"
        case ev.PhotoTaken():
            return "photo taken" + (f": {event.caption}" if event.caption else "")
        case ev.PhotosMatched():
            return f"photos matched: {len(event.photos)} from {event.folder}"
        case ev.PhotoCaptioned():
            return f"caption of {event.file}: {event.caption}"
        case ev.Snagged():
            return f"snag: {event.what}"
        case ev.Mended():
            return f"mended: {event.fix}"
        case ev.Substituted():
            return f"substitute: {event.instead} for {event.part}"
        case ev.BagCounted():
            return f"in the bag: {event.found} of {len(event.items)} {event.value}"
        case ev.PartMeasured():
            return f"measured: {event.value} = {event.text}"
        case ev.ErratumFound():
            return f"erratum: {event.text}"
        case ev.JointsCounted():
            return f"joints counted: {event.counted} of {event.expected}"
        case ev.ReadingTaken():
            return f"reading: {event.point} = {event.text}"
        case ev.HazardAcknowledged():
            return f"danger owned: {event.text}"
        case ev.PassMeasured():
            return f"tracking pass: {event.trim}, {len(event.points)} points"
        case ev.SuspicionSettled():
            return ("found: " if event.found else "all right: ") + event.suspicion
        case ev.SyncMarked():
            return f"clap {event.number}" + (f": {event.label}" if event.label else "")
        case ev.ClipNamed():
            return f"clip named: {event.clip}"
        case ev.HoldPassed():
            word = "accepted" if event.about == "too close" else "hold point overridden"
            return f"{word}: {event.hold} ({event.reason})"
        case ev.ClockTold():
            return f"the clock: it was {event.right}" if event.right else "the clock was right"
        case ev.WaitBegan():
            return f"wait of {event.seconds / 60:g} minutes" + (f": {event.about}" if event.about else "")
        case ev.IdleResolved():
            return "gap settled: " + ("at the bench" if event.worked else "a break")
        case ev.Undone():
            return f"undone: event {event.of}"
        case ev.Corrected():
            return f"corrected: {event.field} of event {event.of}: {event.to}"
        case ev.Started():
            return f"build started: {event.kit}"
        case ev.KitChanged():
            return f"the kit changed: {'; '.join(event.told) or 'nothing that was done'}"
        case ev.Confirmed():
            return f"right as it is: {event.told or event.value}"
        case ev.Renamed():
            names = (*event.boards, *event.items)
            return "renamed: " + ", ".join(f"{old} is now {new}" for old, new in names)
        case ev.Revised():
            return "kit file or procedure changed"
        case _:
            return ev.tag_of(event)

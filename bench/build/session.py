"""A build at the bench: every action becomes an event, is on the disk, and only then is shown."""

from __future__ import annotations

import math
import os
import time
from typing import Any

from bench.build.view import BenchView, Outline, bench_view, held_items, joints_of, refs_of, stage_joints
from bench.errors import Refused
from bench.kit.model import Kit
from bench.log import events as ev
from bench.log.amend import last_undoable
from bench.log.clock import GAP_SECONDS, Clock, Moment, elapsed, stamp_text
from bench.log.file import LogFile
from bench.log.progress import Folder, Progress
from bench.plan.model import Plan, Step

LONGEST_TEXT = 20_000
"""Characters kept of one typed text; the rest is refused with a word."""


class SystemClock:
    """The machine's own clocks."""

    def now(self) -> Moment:
        """UTC and monotonic time, read together."""
        return Moment(at=stamp_text(time.time()), mono=round(time.monotonic(), 3))


class Build:
    """One module being built. Reads are cheap; each action appends one event and waits for the disk.

    An action raises LogError when the event could not be written, and Refused when it makes no sense
    now; in both cases nothing has changed.
    """

    def __init__(
        self, kit: Kit, plan: Plan, log: LogFile, clock: Clock, gap_seconds: float = GAP_SECONDS
    ) -> None:
        self.kit, self.plan, self.log, self.clock = kit, plan, log, clock
        self.outline = Outline(plan)
        self.run = f"{os.getpid():x}-{time.time_ns() & 0xFFFFFF:06x}"
        self._folder = Folder(gap_seconds)
        self._folder.extend(log.events)
        self.progress: Progress = self._folder.progress()

    # -- what there is to see -------------------------------------------------------------------
    @property
    def name(self) -> str:
        """The build's name: that of its folder."""
        return self.log.folder.name

    @property
    def current(self) -> int | None:
        """Position of the step at work in the plan, None when nothing is left that is not held back."""
        return self.outline.current(self.progress)

    @property
    def next_step(self) -> Step | None:
        """The step at work."""
        position = self.current
        return None if position is None else self.outline.steps[position]

    def view(self, looking_at: int | None = None) -> BenchView:
        """The bench as it stands; see `view.bench_view`."""
        undoable = last_undoable(self._folder.events) if self._folder.events else None
        return bench_view(
            self.outline,
            self.progress,
            looking_at=looking_at,
            read_only=self.log.read_only,
            why_read_only=self.log.why_read_only,
            can_undo=describe(undoable) if undoable else "",
        )

    def bench_seconds(self) -> float:
        """Bench time up to this moment, in seconds, breaks apart."""
        return self.progress.bench_seconds + self._running()[0]

    def stage_seconds(self, place: tuple[str, str]) -> float:
        """Bench time of one stage up to this moment, in seconds."""
        done = self.progress.stage_seconds.get(place, 0.0)
        here = self.next_step
        running = self._running()[0] if here and (here.stage, here.board) == place else 0.0
        return done + running

    def gap(self) -> float:
        """Seconds since the last event when that is long enough to ask about, else 0."""
        if self.progress.on_break or self.log.read_only:
            return 0.0
        awake, asleep = self._running()
        longest = max(awake, asleep)
        return awake + asleep if longest > self._folder.gap_seconds else 0.0

    def _running(self) -> tuple[float, float]:
        if self.progress.last is None or self.progress.last_run != self.run or self.progress.on_break:
            return 0.0, 0.0
        return elapsed(self.progress.last, self.clock.now())

    # -- events ---------------------------------------------------------------------------------
    def apply(self, event: ev.AnyEvent) -> Progress:
        """Append an event that is ready made, wait for the disk, and fold it."""
        self.log.append(event)
        self._folder.add(event)
        self.progress = self._folder.progress()
        return self.progress

    def _record(self, kind: type[ev.AnyEvent], step: Step | None, **fields: Any) -> Progress:
        moment = self.clock.now()
        return self.apply(
            kind(
                n=self.progress.events + 1,
                at=moment.at,
                mono=moment.mono,
                run=self.run,
                stage=step.stage if step else "",
                board=step.board if step else "",
                step=step.key if step else "",
                **fields,
            )
        )

    def opened(self) -> Progress:
        """The bench is on screen: bench time may pass."""
        return self._record(ev.Opened, self.next_step)

    def close(self) -> None:
        """Close in good order; a build that cannot be written is closed all the same."""
        if not self.log.read_only:
            try:
                self._record(ev.Closed, self.next_step)
            finally:
                self.log.close()
        self.log.close()

    # -- the step at work -----------------------------------------------------------------------
    def _at_work(self) -> Step:
        step = self.next_step
        if step is None:
            raise Refused("there is no step left to do", "", "take up what is held back, if anything is")
        if self.progress.on_break:
            raise Refused("you are on a break", "", "end the break first")
        return step

    def done(self, count: int | None = None) -> Progress:
        """The step at work is done, or the next `count` of its parts.

        Refused at a hold point while parts are held back that belong before it.
        """
        step = self._at_work()
        if self.view().held_up_by:
            raise Refused(
                "this hold point waits for what is held back", "", "take it up, or go on with a reason"
            )
        held = held_items(self.progress)
        left = [item for item in step.items if item not in self.progress.done and item not in held]
        items = tuple(left if count is None else left[:count])
        return self._record(
            ev.Done,
            step,
            items=items,
            value=step.value,
            refs=refs_of(step, items),
            joints=_joints_now(step, items, self.progress),
        )

    def hold_back(self, reason: str = "") -> Progress:
        """Leave what is left of the step for later; a check of a hold point cannot be left."""
        step = self._at_work()
        if self.outline.stage_at(self.outline.index[step.key]).hold:
            raise Refused("a hold point cannot be left for later", "", "do the check, or mend what fails")
        held = held_items(self.progress)
        items = tuple(item for item in step.items if item not in self.progress.done and item not in held)
        return self._record(
            ev.HeldBack,
            step,
            items=items,
            value=step.value,
            refs=refs_of(step, items),
            reason=_text(reason),
        )

    def take_up(self, which: int = -1) -> Progress:
        """Put something held back on the bench again: the event number, or the latest."""
        held = self.progress.held
        if not held:
            raise Refused("nothing is held back", "", "")
        chosen = held[-1] if which < 0 else next((each for each in held if each.n == which), None)
        if chosen is None:
            raise Refused("that is not held back", "", "choose from the list")
        step = next((each for each in self.outline.steps if set(each.items) & set(chosen.items)), None)
        return self._record(ev.TakenUp, step, items=chosen.items)

    def pass_hold(self, reason: str) -> Progress:
        """Go on past the hold point at work although something is not as it should be."""
        step = self._at_work()
        stage = self.outline.stage_at(self.outline.index[step.key])
        if not stage.hold:
            raise Refused("this is no hold point", "", "")
        if not reason.strip():
            raise Refused("going on takes a reason", "", "type why")
        return self._record(ev.HoldPassed, step, hold=stage.name, reason=_text(reason))

    def count_joints(self, counted: int) -> tuple[int, Progress]:
        """Record the joints counted for the stage just finished; also returns how many there should be."""
        place = self.view().count_for
        if place is None:
            raise Refused("no stage waits for its joints to be counted", "", "")
        stage = next(each for each in self.plan.stages if each.key == place)
        expected = stage_joints(stage, self.progress)
        return expected, self._record(ev.JointsCounted, stage.steps[-1], counted=counted, expected=expected)

    # -- at any time ----------------------------------------------------------------------------
    def note(self, text: str, mark: str = "note", step: Step | None = None) -> Progress:
        """Write something down; `mark` is `note`, `tip` or `show`."""
        return self._record(ev.Noted, step or self.next_step, text=_required(text), mark=mark)

    def snag(
        self, what: str, part: str = "", minutes: float = 0.0, fix: str = "", step: Step | None = None
    ) -> Progress:
        """Record a problem; `minutes` is the time lost."""
        if not math.isfinite(minutes) or not 0 <= minutes <= 10_000:
            raise Refused("that is not a number of minutes", "", "type a number such as 12")
        return self._record(
            ev.Snagged,
            step or self.next_step,
            what=_required(what),
            part=_text(part),
            minutes=minutes,
            fix=_text(fix),
        )

    def mend(self, of: int, fix: str, minutes: float = 0.0) -> Progress:
        """Say how an open snag was mended."""
        if not any(snag.n == of for snag in self.progress.snags):
            raise Refused("there is no such snag", "", "")
        return self._record(ev.Mended, self.next_step, of=of, fix=_required(fix), minutes=minutes)

    def substitute(self, part: str, instead: str, why: str = "") -> Progress:
        """Another part goes in than the list says."""
        return self._record(
            ev.Substituted, self.next_step, part=_required(part), instead=_required(instead), why=_text(why)
        )

    def erratum(self, text: str) -> Progress:
        """The kit's documents are wrong somewhere."""
        return self._record(ev.ErratumFound, self.next_step, text=_required(text))

    def reading(self, text: str) -> Progress:
        """Record a value measured at the step at work."""
        step = self._at_work()
        return self._record(ev.ReadingTaken, step, point=step.value, text=_required(text), expect=step.expect)

    def break_begin(self) -> Progress:
        """Leave the bench."""
        if self.progress.on_break:
            raise Refused("the break has begun already", "", "")
        return self._record(ev.BreakBegan, self.next_step)

    def break_end(self) -> Progress:
        """Come back to the bench."""
        if not self.progress.on_break:
            raise Refused("there is no break to end", "", "")
        return self._record(ev.BreakEnded, self.next_step)

    def settle_gap(self, *, worked: bool) -> Progress:
        """Say what the long time without a key was."""
        return self._record(ev.GapSettled, self.next_step, seconds=self.gap(), worked=worked)

    # -- taking back ----------------------------------------------------------------------------
    def undo(self) -> str:
        """Take back the latest action that still stands; returns what it was, in words."""
        event = last_undoable(self._folder.events)
        if event is None:
            raise Refused("there is nothing to undo", "", "")
        self._record(ev.Undone, self.next_step, of=event.n)
        return describe(event)

    def undo_event(self, n: int) -> Progress:
        """Take back one event by its number; taking back an `undone` brings the event back."""
        event = next((each for each in self._folder.events if each.n == n), None)
        if event is None or ev.tag_of(event) in set(ev.BOOKKEEPING) - {"undone"}:
            raise Refused("that cannot be taken back", "", "")
        return self._record(ev.Undone, self.next_step, of=n)

    def correct(self, n: int, field: str, to: str) -> Progress:
        """Give a field of an earlier event another text; the old one stays in the log."""
        event = next((each for each in self._folder.events if each.n == n), None)
        if event is None or field not in ev.CORRECTABLE.get(ev.tag_of(event), ()):
            raise Refused("that cannot be corrected", "", "")
        if not isinstance(getattr(event, field), str):
            try:
                if not math.isfinite(float(to)) or float(to) < 0:
                    raise ValueError
            except ValueError:
                raise Refused(f"{field} needs a number", "", "type a number such as 12") from None
        return self._record(ev.Corrected, self.next_step, of=n, field=field, to=_text(to))

    @property
    def events(self) -> tuple[ev.AnyEvent, ...]:
        """All events, oldest first."""
        return tuple(self._folder.events)


def _joints_now(step: Step, items: tuple[str, ...], progress: Progress) -> int:
    before = [item for item in step.items if item in progress.done]
    return joints_of(step, [*before, *items]) - joints_of(step, before)


def _text(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise Refused(f"that is longer than {LONGEST_TEXT} characters", "", "shorten it")
    return text.strip().encode("utf-8", "replace").decode("utf-8")


def _required(text: str) -> str:
    kept = _text(text)
    if not kept:
        raise Refused("there is nothing in it", "", "type something, or press Escape")
    return kept


def describe(event: ev.AnyEvent) -> str:
    """An event in a few words, for a message or a list."""
    match event:
        case ev.Done():
            return f"done: {event.value}" + (f" {' '.join(event.refs)}" if event.refs else "")
        case ev.HeldBack():
            return f"held back: {event.value}" + (f" {' '.join(event.refs)}" if event.refs else "")
        case ev.Noted():
            return f"{event.mark}: {event.text}"
        case ev.Snagged():
            return f"snag: {event.what}"
        case ev.Mended():
            return f"mended: {event.fix}"
        case ev.Substituted():
            return f"substitute: {event.instead} for {event.part}"
        case ev.ErratumFound():
            return f"erratum: {event.text}"
        case ev.JointsCounted():
            return f"joints counted: {event.counted} of {event.expected}"
        case ev.ReadingTaken():
            return f"reading: {event.point} = {event.text}"
        case ev.HoldPassed():
            return f"hold passed: {event.hold} ({event.reason})"
        case ev.GapSettled():
            return "gap settled: " + ("at the bench" if event.worked else "a break")
        case ev.Undone():
            return f"undone: event {event.of}"
        case ev.Corrected():
            return f"corrected: {event.field} of event {event.of}: {event.to}"
        case ev.Started():
            return f"build started: {event.kit}"
        case ev.Revised():
            return "kit file or procedure changed"
        case _:
            return ev.tag_of(event)

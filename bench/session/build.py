"""A build at the bench: every action becomes an event, is on the disk, and only then is shown."""

from __future__ import annotations

import math
import operator
from typing import TYPE_CHECKING

from bench.errors import Refused
from bench.log import events as ev
from bench.log.amend import last_undoable
from bench.log.clock import doubt_of
from bench.log.clock_correction import doubtful, put_right
from bench.log.event_text import describe
from bench.log.fold import fold
from bench.log.photos import MatchedPhoto, PhotoBatch
from bench.log.progress import Progress
from bench.plan.plan import Step
from bench.session.agreeing import KitWatch
from bench.session.verdicts import verdict_on
from bench.session.view import joints_of, refs_of, stage_joints
from bench.session.warned import held_items

if TYPE_CHECKING:
    from collections.abc import Mapping

    from bench.measure.identify.ahead import PartVerdict
    from bench.measure.verdict.verdict import Verdict
    from bench.plan.bag import BagLine

MOST_IN_A_BAG = 100_000
LONGEST_WAIT = 1440
"""Minutes: a day."""
LONGEST_TEXT = 20_000
"""Characters kept of one typed text; the rest is refused with a word."""


class Build(KitWatch):
    """One module being built. Reads are cheap; each action appends one event and waits for the disk.

    An action raises LogError when the event could not be written, and Refused when it makes no sense
    now; in both cases nothing has changed.
    """

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
        self._gate(step)
        held = held_items(self.progress)
        left = [item for item in step.items if item not in self.progress.done and item not in held]
        items = tuple(left if count is None else left[:count])
        changed = not self.progress.late.isdisjoint(items) or not self.progress.reopened.keys().isdisjoint(
            items
        )
        self._record(
            ev.Done,
            step,
            items=items,
            value=step.value,
            refs=refs_of(step, items),
            joints=_joints_now(step, items, self.progress),
            facts=self._facts(step, items),
        )
        if changed:
            self._check_again(step, items)
        return self.progress

    def _gate(self, step: Step) -> None:
        """Refuse to go on at a hold point while something is not settled."""
        if not self.outline.stage_at(self.outline.index[step.key]).hold:
            return
        view = self.view()
        if view.danger:
            raise Refused("this kit can kill, and nobody has answered for it yet", "", "read what it asks for")
        if view.held_up_by:
            raise Refused(
                "this hold point waits for what is held back", "", "take it up, or go on with a reason"
            )
        if view.limit_fault:
            raise Refused(
                "this check has no limit that can be used", "", "measure if you can, then go on with a reason"
            )
        if view.wants_reading:
            raise Refused(
                "this check waits for a reading within its limits", "", "measure again, or go on with a reason"
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
        return self._record(ev.Resumed, step, items=chosen.items)

    def pass_hold(self, reason: str) -> Progress:
        """Override the hold point at work: something is not as it should be."""
        step = self._at_work()
        stage = self.outline.stage_at(self.outline.index[step.key])
        if not stage.hold:
            raise Refused("this is no hold point", "", "")
        if not reason.strip():
            raise Refused("going on takes a reason", "", "type why")
        about = "held back" if self.view().held_up_by else "check"
        return self._record(ev.HoldPassed, step, hold=stage.name, reason=_text(reason), about=about)

    def accept_close(self) -> Progress:
        """Take the last reading of the hold point at work although it is too close to call for this meter."""
        step, view = self._at_work(), self.view()
        if not view.too_close:
            raise Refused("no reading here is too close to call", "", "measure, then decide")
        stage = self.outline.stage_at(self.outline.index[step.key])
        reason = f"{view.readings[-1].text}: accepted as too close to call"
        return self._record(ev.HoldPassed, step, hold=stage.name, reason=reason, about="too close")

    def judge_again(self, meter: Mapping[str, object]) -> Verdict | PartVerdict | None:
        """From now on this meter is in use; the last reading at the step at work is judged by it."""
        readings = self.view().readings
        if not readings:
            raise Refused("nothing was read here yet", "", "measure first")
        self.meter = meter
        return self.reading(readings[-1].text)

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

    def photo_taken(self, caption: str = "", step: Step | None = None) -> Progress:
        """Mark that a photo was taken now."""
        return self._record(ev.PhotoTaken, step or self.next_step, caption=_text(caption))

    def photos_matched(
        self,
        folder: str,
        photos: tuple[MatchedPhoto, ...],
        batches: tuple[PhotoBatch, ...] = (),
        zone: str = "",
        without: tuple[str, ...] = (),
    ) -> Progress:
        """Record which photos of a folder go with the build, and how the cameras' clocks were read."""
        return self._record(
            ev.PhotosMatched, None, folder=folder, photos=photos, batches=batches, zone=zone, without=without
        )

    def caption_photo(self, file: str, caption: str) -> Progress:
        """Give a photo a caption; an empty one takes it away."""
        return self._record(ev.PhotoCaptioned, None, file=file, caption=_text(caption))

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

    def substitute(self, part: str, instead: str, why: str = "", items: tuple[str, ...] = ()) -> Progress:
        """Another part goes in than the list says; `items` are the parts it concerns, where that is known."""
        return self._record(
            ev.Substituted,
            self.next_step,
            part=_required(part),
            instead=_required(instead),
            why=_text(why),
            items=items,
        )

    def count_bag(self, line: BagLine, found: int) -> Progress:
        """Record how many parts of a sort are in the bag."""
        if not 0 <= found <= MOST_IN_A_BAG:
            raise Refused("that is no number of parts", "", f"type a number from 0 to {MOST_IN_A_BAG}")
        return self._record(
            ev.BagCounted,
            self.next_step,
            items=line.items,
            kind=line.kind,
            value=line.value,
            refs=line.refs,
            found=found,
        )

    def measured(self, line: BagLine, text: str, said: str = "") -> Progress:
        """Record a part measured ahead; the reading stays with its sort."""
        return self._record(
            ev.PartMeasured,
            self.next_step,
            items=line.items,
            value=line.value,
            text=_required(text),
            said=_text(said),
        )

    def erratum(self, text: str) -> Progress:
        """The kit's documents are wrong somewhere."""
        return self._record(ev.ErratumFound, self.next_step, text=_required(text))

    def reading(self, text: str) -> Verdict | PartVerdict | None:
        """Record a value measured at the step at work; the verdict, where the kit says what it should be.

        At a part's own step it is judged against that part.

        Raises SoldersideError, which says what was understood, when the reading cannot be read against that.
        """
        return self.reading_at(self._at_work(), text)

    def reading_at(self, step: Step, text: str) -> Verdict | PartVerdict | None:
        """Record a value measured at any check or adjustment; see `reading`."""
        kept = _required(text)
        verdict = self.verdict_at(step, kept)
        expect = getattr(verdict, "expect", step.expect)
        said, meter = (verdict.answer, verdict.guard_words) if verdict else (self._trim_answer(step, kept), "")
        self._record(
            ev.ReadingTaken, step, point=step.value, text=kept, expect=expect, verdict=said, meter=meter
        )
        return verdict

    def _trim_answer(self, step: Step, text: str) -> str:
        """What a reading of a trim without limits is judged as, as on its screen; empty where it is not."""
        trim = next((each for each in self.kit.trims if each.name == step.value), None)
        if step.action != "adjust" or trim is None:
            return ""
        from bench.session.adjusting import judge_reading

        return judge_reading(trim, text, self.meter).answer

    def verdict_at(self, step: Step, text: str) -> Verdict | PartVerdict | None:
        """What a reading at a step would be judged as; nothing is recorded. Raises as `reading`."""
        from bench.session.stand_in import with_substitutes

        return verdict_on(step, text, self.meter, with_substitutes(self.kit, step, self.progress))

    def own_danger(self, text: str, *, shown: bool = False) -> Progress:
        """Say who answers for power on something that can kill; `shown` lets the write-up say it too."""
        return self._record(
            ev.HazardAcknowledged, self.next_step, text=_required(text), shown=shown, kills=self._kills()
        )

    def tracking_pass(
        self, trim: str, points: tuple[tuple[float, float], ...], turned: tuple[tuple[str, float], ...] = ()
    ) -> Progress:
        """Record one pass of volts per octave: (volts, hertz), and (trimmer, turns) turned before it."""
        if len(points) < 2:
            raise Refused("one point tells nothing about a slope", "", "give two at least")
        return self._record(ev.PassMeasured, self.next_step, trim=trim, points=points, turned=turned)

    def settle_suspicion(self, suspicion: str, *, found: bool, said: str = "", symptom: str = "") -> Progress:
        """Record what became of one suspicion while looking for the cause of a symptom."""
        return self._record(
            ev.SuspicionSettled,
            self.next_step,
            suspicion=_required(suspicion),
            found=found,
            said=_text(said),
            symptom=_text(symptom),
        )

    def wait(self, minutes: float, about: str = "") -> Progress:
        """Something takes its time, in minutes, from now on; a wait that runs already is replaced."""
        if not math.isfinite(minutes) or not 0 < minutes <= LONGEST_WAIT:
            raise Refused("that is no time to wait", "", f"type minutes, from 0.1 to {LONGEST_WAIT}")
        return self._record(ev.WaitBegan, self.next_step, seconds=round(60 * minutes, 1), about=_text(about))

    def clap(self, label: str = "") -> ev.SyncMarked:
        """Put a mark into the log that the camera sees too; returns it with its number."""
        made = (event.number for event in self.events if isinstance(event, ev.SyncMarked))  # taken back or not
        self._record(ev.SyncMarked, self.next_step, number=max(made, default=0) + 1, label=_text(label))
        return self.progress.claps[-1]

    def name_clip(
        self,
        clip: str,
        starts: str = "",
        claps: tuple[tuple[int, float], ...] = (),
        shows: tuple[tuple[str, float], ...] = (),
        length: float = 0.0,
    ) -> Progress:
        """Name a clip with what is known of its clock; see `events.ClipNamed`. A clap must stand in the log."""
        known = {clap.number for clap in self.progress.claps}
        missing = [number for number, _ in claps if number not in known]
        if missing:
            made = ", ".join(map(str, sorted(known))) or "none"
            raise Refused(f"there is no clap {missing[0]} in the log", "", f"claps made: {made}")
        return self._record(
            ev.ClipNamed, self.next_step, clip=_required(clip), starts=starts, claps=claps, shows=shows,
            length=length,
        )  # fmt: skip

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
        return self._record(ev.IdleResolved, self.next_step, seconds=self.gap(), worked=worked)

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
        """All events, oldest first, with the stamps that a right clock would have given them."""
        return put_right(self._folder.events)

    def put_right(self) -> tuple[tuple[ev.AnyEvent, ...], Progress]:
        """All events with the stamps that a right clock would have given them, and what follows from them."""
        events = self.events
        right = all(map(operator.is_, events, self._folder.events))
        return events, self.progress if right else fold(events, self._folder.gap_seconds)

    def clock_doubt(self) -> str:
        """Why the machine's clock is not to be believed now, in words; empty when it is, or was vouched for."""
        earlier = [each for each in self._folder.events if each.run != self.run]
        told = self._folder.events[len(earlier) :]
        if self.log.read_only or any(type(each) is ev.ClockTold for each in told):
            return ""
        doubted = doubtful(earlier)
        sure = [each for each in put_right(earlier) if each.n not in doubted]
        return doubt_of(self.clock.now().at, sure[-1].at if sure else "")

    def tell_clock(self, right: str) -> Progress:
        """The builder's word on the clock: the right UTC stamp of now, empty when it is right."""
        return self._record(ev.ClockTold, self.next_step, right=right)


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

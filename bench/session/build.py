"""A build at the bench: each action appends one event, fsyncs it, then updates the view."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from functools import cache, partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from bench import __version__
from bench.errors import LogError, Refused
from bench.files import home_path
from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.amend import last_undoable
from bench.log.clock import GAP_SECONDS, Clock
from bench.log.clock_correction import put_right
from bench.log.event_text import describe
from bench.log.file import LogFile
from bench.log.progress import Progress
from bench.log.stamps import Edition
from bench.log.unit_names import titled, unit_words
from bench.plan.plan import Plan, Stage, Step
from bench.session.done_as import Change
from bench.session.event_writer import BenchTimer, Equipment, EventWriter
from bench.session.kit_watch import KitWatch
from bench.session.press import undo_press
from bench.session.typed_text import require_number, required, text_kept
from bench.session.verdicts import meaning_of, verdict_on
from bench.session.view import Outline, StepView, bench_view, joints_added, refs_of
from bench.session.warned import held_items
from bench.session.writing_down import WritingDown

if TYPE_CHECKING:
    from bench.measure.identify.ahead import PartVerdict
    from bench.measure.verdict.verdict import Verdict
    from bench.session.side_by_side import SideBySide


def _kills_of(kit: Kit) -> tuple[str, ...]:
    """What in a kit somebody has to answer for before power."""
    from bench.kit.danger import danger_of

    return danger_of(kit).kills


class Build(WritingDown):
    """One module being built. Reads are cheap; each action appends one event and waits for the disk.

    An action raises LogError when the event could not be written, and Refused when it makes no sense
    now; in both cases nothing has changed.
    """

    def __init__(
        self,
        kit: Kit,
        plan: Plan,
        log: LogFile,
        clock: Clock,
        gap_seconds: float = GAP_SECONDS,
        meter: Mapping[str, object] | None = None,
    ) -> None:
        self.kit, self.plan, self.log, self.clock = kit, plan, log, clock
        self.equipment = Equipment(meter or {})
        self.outline = Outline(plan)
        self.writer = EventWriter(log, clock, gap_seconds)
        self._stamp = self.writer.stamp
        self.timer = BenchTimer(self.writer)
        self.kit_watch = KitWatch(kit, self.outline, self.writer)
        self._told_odd = ("", 0)
        self._kills = cache(partial(_kills_of, kit))
        self.beside: SideBySide | None = None
        """The units that it is built side by side with, itself among them."""

    # -- queries --------------------------------------------------------------------------------
    @property
    def name(self) -> str:
        """The build's name: that of its folder."""
        return self.log.folder.name

    @property
    def title(self) -> str:
        """What to call the build on screen and on paper: its kit, and the unit where it has a name."""
        return titled(self.kit.title, self.progress.unit)

    @property
    def unit(self) -> str:
        """Its name or number among units of its kit; empty for a build without one."""
        return self.progress.unit

    @property
    def group(self) -> str:
        """What the units side by side have in common; empty for a build alone."""
        beside = self.progress.beside
        return beside.group if beside and not beside.alone else ""

    @property
    def at_work(self) -> Build:
        """The unit whose turn it is; this one, where it is alone."""
        return self.beside.at_work if self.beside else self

    @property
    def units(self) -> list[Build]:
        """The units on the bench, in their order: this one alone, or those side by side with it."""
        return self.beside.builds if self.beside else [self]

    def _writable(self) -> Iterator[Build]:
        return (each for each in self.units if not each.log.read_only)

    @property
    def others(self) -> list[tuple[Plan, Progress, str]]:
        """Plan, progress and name of the units side by side with it."""
        return [(each.plan, each.progress, each.name) for each in self.units if each is not self]

    @property
    def kit_changes(self) -> list[tuple[Build, Change]]:
        """What is done and no longer agrees with the kit, with its unit: this one's, then those beside it."""
        units = [self, *(each for each in self.units if each is not self)]
        return [(each, change) for each in units for change in each.kit_watch.changes()]

    @property
    def entries(self) -> int:
        """How many entries there are, over all units."""
        return self.beside.shared.turn if self.beside else self.progress.events

    @property
    def current(self) -> int | None:
        """Position of the step at work in the plan, None when nothing is left that is not held back."""
        return self.outline.current(self.progress)

    @property
    def next_step(self) -> Step | None:
        """The step at work."""
        return self.outline.step_at_work(self.progress)

    def view(self, looking_at: int | None = None) -> StepView:
        """The bench as it is now; see `view.bench_view`."""
        view = bench_view(
            self.outline,
            self.progress,
            looking_at=looking_at,
            kills=self._kills,
            reminders=self.equipment.reminders,
        )
        if view.step is not None and view.readings and view.readings[-1].verdict not in ("", "in"):
            view = replace(
                view, verdict=meaning_of(view.readings[-1].text, partial(self.verdict_at, view.step))
            )
        view = replace(view, read_only=self.log.read_only, why_read_only=self.log.why_read_only)
        return replace(view, unit=self.unit, units=self.beside.marks(view.step)) if self.beside else view

    # -- beginning and end ----------------------------------------------------------------------
    def _edition(self, procedure: str, digest: str) -> Edition:
        """The kit as it is now and the procedure of this name and SHA-256."""
        file = home_path(self.kit.file).absolute()
        return {
            "kit": self.kit.title,
            "name": self.kit.name,
            "maker": self.kit.maker,
            "revision": self.kit.revision,
            "kit_file": "" if file.parent == self.log.folder.absolute() else str(file),
            "kit_digest": self.kit.digest,
            "procedure": procedure,
            "procedure_digest": digest,
        }

    def started(self, procedure: str, digest: str, log: int = ev.ALONE) -> Progress:
        """The build begins, by the procedure of this name and SHA-256; `log` is the number of its log."""
        edition = self._edition(procedure, digest)
        return self._record(ev.Started(**self._stamp(), **edition, log=log, program=__version__))

    def revised(self, procedure: str, digest: str) -> Progress:
        """From here on the kit file as it is now and this procedure are in use."""
        return self._record(ev.Revised(**self._stamp(), **self._edition(procedure, digest)))

    def opened(self) -> None:
        """The bench is on screen, with all units: bench time may pass."""
        for each in self._writable():
            each.record_opened()

    def record_opened(self) -> Progress:
        """This unit is on the bench."""
        return self._record(ev.Opened(**self._here()))

    def tell_clock(self, right: str) -> None:
        """The builder's word on the clock, in each log: the right UTC stamp of now, empty when it is right."""
        for each in self._writable():
            each._record(ev.ClockTold(**each._here(), right=right))

    def record_beside(self, group: str, folders: tuple[str, ...], *, alone: bool = False) -> Progress:
        """From here on it is one of these units side by side, or goes on alone."""
        return self._record(ev.SideBySide(**self._stamp(), group=group, folders=folders, alone=alone))

    def set_aside(self, why: str = "", *, back: bool = False) -> Progress:
        """Pass this unit over among those side by side, or call it back."""
        if self.beside is None:
            raise Refused("this unit is alone on the bench", "", "")
        return self._record(ev.SetAside(**self._here(), aside=not back, why=text_kept(why)))

    def close(self) -> None:
        """Close the build and the units side by side with it."""
        for each in self.units:
            each.close_alone()

    def close_alone(self) -> None:
        """Close this build in good order; one that cannot be written is closed all the same."""
        if not self.log.read_only:
            with contextlib.suppress(LogError):
                self._record(ev.Closed(**self._here()))
        self.log.close()

    # -- the step at work -----------------------------------------------------------------------
    def _at_work(self) -> Step:
        step = self.next_step
        if step is None:
            raise Refused("there is no step left to do", "", "take up what is held back, if anything is")
        if self.progress.on_break:
            raise Refused("you are on a break", "", "end the break first")
        return step

    def _stage_of(self, step: Step) -> Stage:
        return self.outline.stage_at(self.outline.index[step.key])

    def _left(self, step: Step) -> tuple[str, ...]:
        """Items of a step that are neither done nor held back."""
        held = held_items(self.progress)
        return tuple(item for item in step.items if item not in self.progress.done and item not in held)

    def done(self, count: int | None = None) -> Progress:
        """The step at work is done, or the next `count` of its parts.

        Refused at a hold point while parts are held back that belong before it.
        """
        return self.tick(self._at_work(), count)

    def tick(self, step: Step, count: int | None = None, pressed_with: int = 0) -> Progress:
        """Record that what is left of a step is done; `pressed_with` as in the event."""
        self._gate(step)
        items = self._left(step)[:count]
        changed = not (self.progress.late | self.progress.reopened.keys()).isdisjoint(items)
        self._record(
            ev.Done(
                **self._stamp(step),
                items=items,
                value=step.value,
                refs=refs_of(step, items),
                joints=joints_added(step, items, self.progress),
                facts=self.kit_watch.facts(step, items),
                pressed_with=pressed_with,
            )
        )
        if changed:
            self.kit_watch.check_again(step, items)
        return self.progress

    def odd_reading(self) -> str:
        """What speaks against going on from the step at work, see `adjusting.odd`; once for each reading."""
        step, view = self.next_step, self.view()
        if step is None or self._stage_of(step).hold or not (view.readings or step.action == "adjust"):
            return ""
        from bench.session.adjusting import odd

        told = (step.key, view.readings[-1].n if view.readings else 0)
        word = "" if told == self._told_odd else odd(self.kit, step, view.readings)
        self._told_odd = told
        return word

    def _gate(self, step: Step) -> None:
        """Refuse to go on at a hold point while something is not settled."""
        if not self._stage_of(step).hold:
            return
        view = self.view()
        for stops, what, hint in (
            (view.danger, "this kit can kill, and nobody has answered for it yet", "read what it asks for"),
            (view.held_up_by, "this hold point waits for what is held back", "take it up, or override it"),
            (view.limit_fault, "this check has no limit that can be used", "measure, then override it"),
            (view.wants_reading, "this check waits for a reading within limits", "measure, or override it"),
        ):  # fmt: skip
            if stops:
                raise Refused(what, "", hint)

    def hold_back(self, reason: str = "") -> Progress:
        """Leave what is left of the step for later; a check of a hold point cannot be left."""
        step = self._at_work()
        if self._stage_of(step).hold:
            raise Refused("a hold point cannot be left for later", "", "do the check, or mend what fails")
        items = self._left(step)
        return self._record(
            ev.HeldBack(
                **self._stamp(step),
                items=items,
                value=step.value,
                refs=refs_of(step, items),
                reason=text_kept(reason),
            )
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
        return self._record(ev.Resumed(**self._stamp(step), items=chosen.items))

    def override_hold(self, reason: str) -> Progress:
        """Override the hold point at work: something is not as it should be."""
        step = self._at_work()
        stage = self._stage_of(step)
        if not stage.hold:
            raise Refused("this is no hold point", "", "")
        if not reason.strip():
            raise Refused("going on takes a reason", "", "type why")
        about = "held back" if self.view().held_up_by else "check"
        return self._record(
            ev.HoldOverridden(**self._stamp(step), hold=stage.name, reason=text_kept(reason), about=about)
        )

    def accept_close(self) -> Progress:
        """Take the last reading of the hold point at work although it is too close to call for this meter."""
        step, view = self._at_work(), self.view()
        if not view.too_close:
            raise Refused("no reading here is too close to call", "", "measure, then decide")
        stage, reason = self._stage_of(step), f"{view.readings[-1].text}: accepted as too close to call"
        return self._record(
            ev.HoldOverridden(**self._stamp(step), hold=stage.name, reason=reason, about="too close")
        )

    def judge_again(self, meter: Mapping[str, object]) -> Verdict | PartVerdict | None:
        """From now on this meter is in use; the last reading at the step at work is judged by it."""
        readings = self.view().readings
        if not readings:
            raise Refused("nothing was read here yet", "", "measure first")
        self.equipment.meter = meter
        return self.reading(readings[-1].text)

    # -- at any time ----------------------------------------------------------------------------
    def reading(self, text: str) -> Verdict | PartVerdict | None:
        """Record a value measured at the step at work; the verdict, where the kit says what it should be.

        At a part's own step it is judged against that part.

        Raises SoldersideError, which says what was understood, when the reading cannot be read against that.
        """
        return self.reading_at(self._at_work(), text)

    def reading_at(self, step: Step, text: str) -> Verdict | PartVerdict | None:
        """Record a value measured at any check or adjustment; see `reading`."""
        kept = required(text)
        verdict = self.verdict_at(step, kept)
        from bench.session.adjusting import trim_judged

        expect = getattr(verdict, "expect", step.expect)
        judged = None if verdict else trim_judged(self.kit, step, kept, self.equipment.meter)
        said = verdict.answer if verdict else judged.answer if judged else ""
        meter = verdict.guard_words if verdict else ""
        self._record(
            ev.ReadingTaken(
                **self._stamp(step), point=step.value, text=kept, expect=expect, verdict=said, meter=meter
            )
        )
        return verdict

    def verdict_at(self, step: Step, text: str) -> Verdict | PartVerdict | None:
        """What a reading at a step would be judged as; nothing is recorded. Raises as `reading`."""
        from bench.session.stand_in import with_substitutes

        return verdict_on(step, text, self.equipment.meter, with_substitutes(self.kit, step, self.progress))

    def own_danger(self, text: str, *, shown: bool = False) -> Progress:
        """Say who answers for power on something that can kill; `shown` lets the article say it too."""
        return self._record(
            ev.HazardAcknowledged(**self._here(), text=required(text), shown=shown, kills=self._kills())
        )

    # -- taking back ----------------------------------------------------------------------------
    def _last_entries(self) -> list[tuple[Build, ev.AnyEvent]]:
        if self.beside is not None:
            return self.beside.last_entries()
        event = last_undoable(self.writer.events)
        return [(self, event)] if event else []

    def undo(self) -> str:
        """Take back the latest action of all units that still stands; returns what it was, in words."""
        entries = self._last_entries()
        if not entries:
            raise Refused("there is nothing to undo", "", "")
        taken = [undo_press(build, event) for build, event in entries]
        what = describe(entries[0][1]).removeprefix("done: ")
        if (more := taken[0] - 1) > 0:
            what += f" and {more} more"
        if self.beside is None:
            return what
        return f"{', '.join(unit_words(build.unit) for build, _ in entries)}, {what}"

    def correct(self, n: int, field: str, to: str) -> Progress:
        """Give a field of an earlier event another text; the old one stays in the log."""
        event = next((each for each in self.writer.events if each.n == n), None)
        if event is None or field not in ev.CORRECTABLE.get(ev.tag_of(event), ()):
            raise Refused("that cannot be corrected", "", "")
        if not isinstance(getattr(event, field), str):
            require_number(to, field.replace("_", " "))
        if isinstance(event, ev.IdleResolved) and not 60 * float(to) <= event.seconds + 60:
            raise Refused(f"the gap had only {event.seconds / 60:.0f} minutes", "", "type how many were work")
        return self._record(ev.Corrected(**self._here(), of=n, field=field, to=text_kept(to)))

    @property
    def events(self) -> tuple[ev.AnyEvent, ...]:
        """All events, oldest first, with the stamps that a right clock would have given them."""
        return put_right(self.writer.events)

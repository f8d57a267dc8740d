"""What a builder has written down at any time: words, times, photos, the bag, joints as they are counted."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from bench.errors import Refused
from bench.log import events as ev
from bench.log.photos import MatchedPhoto, PhotoBatch
from bench.log.progress import Progress, StageKey
from bench.log.stamps import Stamp
from bench.plan.plan import Stage, Step
from bench.session.event_writer import BenchTimer, EventWriter
from bench.session.typed_text import required, text_kept
from bench.session.view import Outline, stage_joints, to_count

if TYPE_CHECKING:
    from bench.plan.bag import BagLine
    from bench.session.side_by_side import SideBySide

LONGEST_WAIT = 1440
"""Minutes: a day."""
MOST_IN_A_BAG = 100_000


class WritingDown:
    """The part of a build that records what can be said at any step; see `Build`."""

    writer: EventWriter
    outline: Outline
    timer: BenchTimer
    beside: SideBySide | None

    @property
    def progress(self) -> Progress:
        """Where the build stands after the events so far."""
        return self.writer.progress

    def _here(self, step: Step | None = None) -> Stamp:
        """The stamp of an event about this step, or else about the step at work."""
        return self.writer.stamp(step or self.outline.step_at_work(self.progress))

    def _record(self, event: ev.AnyEvent) -> Progress:
        """Record an event; where nothing is left to do after it, the clock ends, and that is recorded too."""
        progress = self.writer.record(event)
        nothing_left = self.outline.items and not progress.held and self.outline.items <= progress.done
        if nothing_left and not progress.completed:
            return self.writer.record(ev.Completed(**self.writer.stamp(), total=len(progress.done)))
        return progress

    def undo_event(self, n: int) -> Progress:
        """Take back one event by its number; taking back an `undone` brings the event back."""
        event = next((each for each in self.writer.events if each.n == n), None)
        if event is None or ev.tag_of(event) in set(ev.BOOKKEEPING) - {"undone"}:
            raise Refused("that cannot be taken back", "", "")
        return self._record(ev.Undone(**self._here(), of=n))

    # -- in words ---------------------------------------------------------------------------------
    def note(self, text: str, mark: str = "note", step: Step | None = None) -> Progress:
        """Write something down; `mark` is `note`, `tip` or `show`."""
        return self._record(ev.Noted(**self._here(step), text=required(text), mark=mark))

    def snag(
        self, what: str, part: str = "", minutes: float = 0.0, fix: str = "", step: Step | None = None
    ) -> Progress:
        """Record a problem; `minutes` is the time lost."""
        if not math.isfinite(minutes) or not 0 <= minutes <= 10_000:
            raise Refused("that is not a number of minutes", "", "type a number such as 12")
        return self._record(
            ev.Snagged(
                **self._here(step),
                what=required(what),
                part=text_kept(part),
                minutes=minutes,
                fix=text_kept(fix),
            )
        )

    def mend(self, of: int, fix: str, minutes: float = 0.0) -> Progress:
        """Say how an open snag was mended."""
        if not any(snag.n == of for snag in self.progress.snags):
            raise Refused("there is no such snag", "", "")
        return self._record(ev.Mended(**self._here(), of=of, fix=required(fix), minutes=minutes))

    def substitute(self, part: str, instead: str, why: str = "", items: tuple[str, ...] = ()) -> Progress:
        """Another part goes in than the list says; `items` are the parts it concerns, where that is known."""
        return self._record(
            ev.Substituted(
                **self._here(), part=required(part), instead=required(instead), why=text_kept(why), items=items
            )
        )

    def erratum(self, text: str) -> Progress:
        """The kit's documents are wrong somewhere."""
        return self._record(ev.ErratumFound(**self._here(), text=required(text)))

    def tracking_pass(
        self, trim: str, points: tuple[tuple[float, float], ...], turned: tuple[tuple[str, float], ...] = ()
    ) -> Progress:
        """Record one pass of volts per octave: (volts, hertz), and (trimmer, turns) turned before it."""
        if len(points) < 2:
            raise Refused("one point tells nothing about a slope", "", "give two at least")
        return self._record(ev.PassMeasured(**self._here(), trim=trim, points=points, turned=turned))

    def settle_suspicion(self, suspicion: str, *, found: bool, said: str = "", symptom: str = "") -> Progress:
        """Record what became of one suspicion while looking for the cause of a symptom."""
        return self._record(
            ev.SuspicionSettled(
                **self._here(),
                suspicion=required(suspicion),
                found=found,
                said=text_kept(said),
                symptom=text_kept(symptom),
            )
        )

    # -- times, clocks, pictures --------------------------------------------------------------------
    def wait(self, minutes: float, about: str = "") -> Progress:
        """Something takes its time, in minutes, from now on; several waits may run at once."""
        if not math.isfinite(minutes) or not 0 < minutes <= LONGEST_WAIT:
            raise Refused("that is no time to wait", "", f"type minutes, from 0.1 to {LONGEST_WAIT}")
        return self._record(
            ev.WaitBegan(**self._here(), seconds=round(60 * minutes, 1), about=text_kept(about))
        )

    def break_begin(self) -> Progress:
        """Leave the bench."""
        if self.progress.on_break:
            raise Refused("the break has begun already", "", "")
        return self._record(ev.BreakBegan(**self._here()))

    def break_end(self) -> Progress:
        """Come back to the bench."""
        if not self.progress.on_break:
            raise Refused("there is no break to end", "", "")
        return self._record(ev.BreakEnded(**self._here()))

    def settle_gap(self, *, worked: bool) -> Progress:
        """Say what the long time without a key was."""
        return self._record(ev.IdleResolved(**self._here(), seconds=self.timer.gap(), worked=worked))

    def clap(self, label: str = "") -> ev.SyncMarked:
        """Put a mark into the log that the camera sees too; returns it with its number, never given twice."""
        made = (event.number for event in self.writer.events if isinstance(event, ev.SyncMarked))
        self._record(ev.SyncMarked(**self._here(), number=max(made, default=0) + 1, label=text_kept(label)))
        return self.progress.claps[-1]

    def name_clip(
        self,
        clip: str,
        starts: str = "",
        claps: tuple[tuple[int, float], ...] = (),
        shows: tuple[tuple[str, float], ...] = (),
        length: float = 0.0,
        timecode: str = "",
    ) -> Progress:
        """Name a clip with what is known of its clock; see `events.ClipNamed`. A clap must stand in the log."""
        known = {clap.number for clap in self.progress.claps}
        missing = [number for number, _ in claps if number not in known]
        if missing:
            made = ", ".join(map(str, sorted(known))) or "none"
            raise Refused(f"there is no clap {missing[0]} in the log", "", f"claps made: {made}")
        return self._record(
            ev.ClipNamed(
                **self._here(),
                clip=required(clip),
                starts=starts,
                claps=claps,
                shows=shows,
                length=length,
                timecode=timecode,
            )
        )

    def photo_taken(self, caption: str = "", step: Step | None = None) -> Progress:
        """Mark that a photo was taken now."""
        return self._record(ev.PhotoTaken(**self._here(step), caption=text_kept(caption)))

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
            ev.PhotosMatched(
                **self.writer.stamp(), folder=folder, photos=photos, batches=batches, zone=zone, without=without
            )
        )

    def caption_photo(self, file: str, caption: str) -> Progress:
        """Give a photo a caption; an empty one takes it away."""
        return self._record(ev.PhotoCaptioned(**self.writer.stamp(), file=file, caption=text_kept(caption)))

    # -- the bag ----------------------------------------------------------------------------------
    @property
    def bags(self) -> int:
        """How many bags are counted together: one for each unit on the bench."""
        return len(self.beside.builds) if self.beside else 1

    @property
    def bag_counts(self) -> dict[tuple[str, ...], int]:
        """Items of a sort -> how many were found in all those bags, for sorts counted in each."""
        bag = self.beside.with_bags(self.progress).bag if self.beside else self.progress.bag
        return {count.items: count.found for count in bag}

    def count_bag(self, line: BagLine, found: int) -> None:
        """Record how many parts of a sort are in the bag, or in those of all units together."""
        if not 0 <= found <= MOST_IN_A_BAG:
            raise Refused("that is no number of parts", "", f"type a number from 0 to {MOST_IN_A_BAG}")
        if self.beside is not None:
            self.beside.count_bag(line, found)
        else:
            self.record_bag(line, found)

    def record_bag(self, line: BagLine, found: int) -> Progress:
        """Record how many parts of a sort are in this unit's own bag."""
        return self.writer.record(
            ev.BagCounted(
                **self._here(), items=line.items, kind=line.kind, value=line.value, refs=line.refs, found=found
            )
        )

    def measured(self, line: BagLine, text: str, said: str = "") -> Progress:
        """Record a part measured ahead; the reading stays with its sort."""
        return self.writer.record(
            ev.PartMeasured(
                **self._here(), items=line.items, value=line.value, text=required(text), said=text_kept(said)
            )
        )

    # -- joints -----------------------------------------------------------------------------------
    @property
    def count_for(self) -> StageKey | None:
        """The stage just finished, where joints are still to be counted."""
        return to_count(self.outline, self.progress)

    @property
    def miscounted(self) -> StageKey | None:
        """The stage after which joints were just counted, where there should be more or fewer of them."""
        last, done = self.progress.counts[-1:], self.progress.last_done
        wrong = bool(last) and last[0].counted != last[0].expected
        return last[0].place if wrong and done and (done.stage, done.board) == last[0].place else None

    @property
    def counting(self) -> str:
        """The stages whose joints are to be counted now, or were just miscounted, in words."""
        place = self.count_for or self.miscounted
        stages = self._counted_at(place)
        boards = dict.fromkeys(stage.board for stage in stages if stage.board)
        return ", ".join(dict.fromkeys([*(stage.name for stage in stages), *boards]))

    @property
    def joints_waiting(self) -> int:
        """Joints to be counted now; 0 where none are."""
        return sum(stage_joints(stage, self.progress) for stage in self._counted_at(self.count_for))

    def _counted_at(self, place: StageKey | None) -> list[Stage]:
        """The stages to count after this one, but for those counted alone."""
        stages = self.outline.counted_at.get(place, ()) if place else ()
        alone = {count.place for count in self.progress.counts}
        return [stage for stage in stages if stage.key == place or stage.key not in alone]

    def count_joints(self, counted: int) -> tuple[int, Progress]:
        """Record the joints counted, in place of a wrong count just made; also how many there should be."""
        if self.count_for is None and self.miscounted is not None:
            self.undo_event(self.progress.counts[-1].n)
        place, expected = self.count_for, self.joints_waiting
        if place is None:
            raise Refused("no stage waits for its joints to be counted", "", "")
        step = self.outline.counted_at[place][-1].steps[-1]
        event = ev.JointsCounted(**self._here(step), counted=counted, expected=expected)
        return expected, self.writer.record(event)

"""What a build records of its joints as they are counted."""

from __future__ import annotations

from bench.errors import Refused
from bench.log import events as ev
from bench.log.progress import Progress, StageKey
from bench.plan.plan import Stage
from bench.session.event_writer import EventWriter
from bench.session.recording import Recording
from bench.session.view import Outline, stage_joints, to_count


class Counting(Recording):
    """The part of a build that has joints counted; see `Build`."""

    writer: EventWriter
    outline: Outline

    def undo_event(self, n: int) -> Progress:
        """Take back one event by its number."""
        raise NotImplementedError

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

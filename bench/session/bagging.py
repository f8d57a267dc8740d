"""What a build records of its bag of parts, or of the bags of all units side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench.errors import Refused
from bench.log import events as ev
from bench.log.progress import Progress
from bench.session.event_writer import EventWriter
from bench.session.recording import Recording
from bench.session.typed_text import required, text_kept

if TYPE_CHECKING:
    from bench.plan.bag import BagLine
    from bench.session.side_by_side import SideBySide

MOST_IN_A_BAG = 100_000


class Bagging(Recording):
    """The part of a build that counts and measures what is in the bag; see `Build`."""

    writer: EventWriter
    beside: SideBySide | None

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

"""The batch as it is looked at and put in order: kept at each change, with undo."""

from __future__ import annotations

from pathlib import Path

from msgspec.structs import replace

from bench.batch.gather import Gathered, Member, gather
from bench.batch.order import ORDERS, Order, moved
from bench.batch.store import Batch, load_batch, save_batch, take_out
from bench.errors import SoldersideError
from bench.settings import Settings


class BatchAtWork:
    """The batch of a data folder. Every change raises SoldersideError where it cannot be kept."""

    def __init__(self, data: Path, settings: Settings) -> None:
        self._data, self._settings = data, settings
        self._batch, self._before = Batch(), list[Batch]()
        self.gathered = Gathered(members=())
        """What is known of each kit; with the faults that keep the batch from being read."""

    def read(self) -> None:
        """Read it anew."""
        try:
            self._batch = load_batch(self._data)
            self.gathered = gather(self._data, self._batch.kits, self._settings)
        except SoldersideError as error:
            self.gathered = Gathered(members=(), faults=error.faults)

    def ordered(self) -> tuple[Order, tuple[Member, ...]]:
        """The order and its reasons, and the kits in it."""
        return self.gathered.ordered(self._batch.order, self._batch.pins)

    def _keep(self, batch: Batch) -> None:
        save_batch(self._data, batch)
        self._before.append(self._batch)
        self._batch = batch

    def move(self, key: str, by: int) -> None:
        """A kit some places later, or earlier where `by` is negative; it stays there."""
        self._keep(replace(self._batch, pins=moved(self.ordered()[0], self._batch.pins, key, by)))

    def let_go(self, key: str) -> None:
        """Let the order decide where a kit stands."""
        self._keep(
            replace(self._batch, pins={each: at for each, at in self._batch.pins.items() if each != key})
        )

    def other_order(self) -> None:
        """The next order."""
        following = ORDERS[(ORDERS.index(self._batch.order) + 1) % len(ORDERS)]
        self._keep(replace(self._batch, order=following))

    def take_out(self, key: str) -> None:
        """Take a kit out; its build is kept."""
        self._keep(take_out(self._batch, key))
        self.read()

    def undo(self) -> None:
        """Take back what was last changed here."""
        if not self._before:
            raise SoldersideError("there is nothing to undo here", "", "")
        save_batch(self._data, self._before[-1])
        self._before.pop()
        self.read()

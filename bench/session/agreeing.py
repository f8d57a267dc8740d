"""A build and a kit that is edited under it: what was done is compared on opening, and settled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bench.errors import Refused
from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.log.facts import Facts
from bench.log.progress import Progress
from bench.plan.plan import PART_ACTIONS, Step
from bench.session.done_as import BOARD, CHANGED, Change, Position, all_agree, as_done, facts_of, positions_of
from bench.session.event_writer import Recorder
from bench.session.view import refs_of


class KitWatch(Recorder):
    """A build that knows what the kit said of its parts when they were done."""

    _places: dict[str, Position] | None = None
    _known: frozenset[str] | None = None
    _compared: tuple[tuple[int, frozenset[str] | None], tuple[Change, ...]] | None = None

    def _facts(self, step: Step, items: Sequence[str]) -> Facts:
        if self._places is None:
            self._places = positions_of(self.kit)
        return facts_of(step, items, self._places)

    def kit_changes(self, known: frozenset[str] | None = None) -> tuple[Change, ...]:
        """All that is done, no longer agrees with the kit and is not settled; `known` as for `compare`."""
        known = self._known if known is None else known
        key = (len(self._folder.events), known)
        if self._compared is None or self._compared[0] != key:
            self._compared = (key, self._changes(known))
        return self._compared[1]

    def _changes(self, known: frozenset[str] | None) -> tuple[Change, ...]:
        if self._places is None:
            self._places = positions_of(self.kit)
        progress = self.progress
        if not progress.done and not progress.reopened:
            return ()
        gone = undone(self._folder.events)
        done = as_done(with_corrections(self._folder.events, gone), gone)
        if all_agree(self.plan, self._places, progress, done):
            return ()
        from bench.session.agreement import changes

        return changes(self.plan, self._places, progress, done, known)

    def compare(self, known: frozenset[str] | None = None) -> tuple[Change, ...]:
        """Hold what is done against the kit: what it touches is open again. `known`: items of the kit before.

        Nothing is written where nothing changed, or where the log cannot be written: then it is only shown so.
        """
        self._known = known
        found = self.kit_changes()
        opens = [
            item for each in found if each.sort == CHANGED for item in each.items if item in self.progress.done
        ]
        why = {item: each.words for each in found for item in each.items}
        again: tuple[str, ...] = ()
        if self.progress.reopened:
            from bench.session.agreement import agree_again

            again = agree_again(found, self.progress, self.plan)
        added = self._late(known)
        if opens or added:
            told = [each.words for each in found]
            told += [f"{', '.join(_refs(added))} new in the kit"] if added else []
            self._note(
                ev.KitChanged,
                opens=tuple(opens),
                why=tuple(why[item] for item in opens),
                added=added,
                told=tuple(told),
                joints=self._joints_of(opens),
            )
        for step in self.plan.steps if again else ():
            if items := tuple(item for item in step.items if item in again):
                self._confirm(step, items, "the kit says again what it said")
        return found

    def _late(self, known: frozenset[str] | None) -> tuple[str, ...]:
        """Parts new in the kit that go in before a check that is done already."""
        if known is None or not self.progress.done:
            return ()
        last = max((at for at, step in self._done_checks()), default=-1)
        return tuple(
            item
            for step in self.plan.steps[:last]
            if step.action in PART_ACTIONS
            for item in step.items
            if item not in known and item not in self.progress.done and item not in self.progress.late
        )

    def _done_checks(self) -> Iterable[tuple[int, Step]]:
        """Checks of hold points that were done, with their positions."""
        was_done = self.progress.done | self.progress.reopened.keys()
        for at, step in enumerate(self.outline.steps):
            if step.action == "check" and self.outline.stage_at(at).hold and step.items[0] in was_done:
                yield at, step

    def _check_again(self, step: Step, items: Sequence[str]) -> None:
        """A part that changed went in after a check that comes after it: the check is open again."""
        here = self.outline.index[step.key]
        checks = [check.items[0] for at, check in self._done_checks() if at > here]
        if checks:
            told = f"{step.named} {' '.join(refs_of(step, items))} went in after this was checked".replace(
                "  ", " "
            )
            why = (told,) * len(checks)
            self._note(ev.KitChanged, opens=tuple(checks), why=why, check_again=True, told=(told,))

    # -- the builder's answers ------------------------------------------------------------------
    def right_as_it_is(self, change: Change) -> Progress:
        """The builder says that this is right as it is; for another name: that these are the same parts."""
        if change.becomes:
            what = "boards" if change.sort == BOARD else "items"
            self._record(ev.Renamed, self.next_step, **{what: change.becomes})
            self.compare(self._known)
            return self.progress
        for step in self.plan.steps:
            if items := tuple(item for item in step.items if item in change.items):
                self._confirm(step, items, change.words)
        left = tuple(item for item in change.items if item not in self.outline.items)
        if left:
            self._record(ev.Confirmed, self.next_step, items=left, told=change.words)
        return self.progress

    def another_part(self, change: Change) -> Progress:
        """The builder says that a part of another name is another part: the old one is gone."""
        if not change.becomes:
            raise Refused("this is open again: do it at the bench", "", "or say that it is right as it is")
        return self._record(
            ev.Confirmed, self.next_step, items=change.items, told=f"{change.words}: another part"
        )

    def _confirm(self, step: Step, items: tuple[str, ...], told: str) -> None:
        back = tuple(item for item in items if item not in self.progress.done)
        self._note(
            ev.Confirmed,
            step,
            items=items,
            value=step.value,
            facts=self._facts(step, items),
            told=told,
            joints=step.joints * len(back) // max(1, len(step.items)),
        )

    def _note(self, event: type[ev.AnyEvent], step: Step | None = None, /, **fields: object) -> None:
        """Record an event, or only show what follows from it where nothing can be recorded."""
        if not self.log.read_only:
            self._record(event, step, **fields)
            return
        last = self._folder.events[-1]
        self._folder.add(event(n=last.n + 1, at=last.at, mono=last.mono, run=last.run, **fields))  # type: ignore[arg-type]
        self.progress = self._folder.progress()

    def _joints_of(self, items: Iterable[str]) -> int:
        """Joints that were made with these items, by the events that did them."""
        by_number = {event.n: event for event in self._folder.events}
        shares: dict[int, int] = {}
        for item in items:
            n = self.progress.done_at[item]
            shares[n] = shares.get(n, 0) + 1
        found = ((by_number.get(n), count) for n, count in shares.items())
        return sum(
            event.joints * count // max(1, len(event.items))
            for event, count in found
            if isinstance(event, ev.Done | ev.Confirmed)
        )


def _refs(items: Iterable[str]) -> list[str]:
    found = (item.partition("/")[2].partition("#")[0] for item in items)
    return list(
        dict.fromkeys(ref.lstrip("~").rpartition("~")[0] if ref.startswith("~") else ref for ref in found)
    )

"""A kit that is edited while it is built: what was done is compared on opening, told, and settled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from bench.errors import Refused
from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.log.facts import Facts
from bench.log.progress import Progress
from bench.log.stamps import Stamp
from bench.plan.plan import PART_ACTIONS, Step
from bench.session.done_as import BOARD, CHANGED, Change, Position, all_agree, as_done, facts_of, positions_of
from bench.session.event_writer import EventWriter
from bench.session.view import Outline, refs_of


class KitWatch:
    """Knows what the kit said of parts when they were done, and what of that no longer agrees with it."""

    def __init__(self, kit: Kit, outline: Outline, writer: EventWriter) -> None:
        self._kit, self._plan, self._outline, self._writer = kit, outline.plan, outline, writer
        self._known: frozenset[str] | None = None
        self._compared: tuple[tuple[int, frozenset[str] | None], tuple[Change, ...]] | None = None

    @cached_property
    def _places(self) -> dict[str, Position]:
        return positions_of(self._kit)

    @property
    def _progress(self) -> Progress:
        return self._writer.progress

    def facts(self, step: Step, items: Sequence[str]) -> Facts:
        """What the kit says of these items of a step."""
        return facts_of(step, items, self._places)

    def changes(self, known: frozenset[str] | None = None) -> tuple[Change, ...]:
        """All that is done, no longer agrees with the kit and is not settled; `known` as for `compare`."""
        known = self._known if known is None else known
        key = (len(self._writer.events), known)
        if self._compared is None or self._compared[0] != key:
            self._compared = (key, self._find_changes(known))
        return self._compared[1]

    def _find_changes(self, known: frozenset[str] | None) -> tuple[Change, ...]:
        progress = self._progress
        if not progress.done and not progress.reopened:
            return ()
        gone = undone(self._writer.events)
        done = as_done(with_corrections(self._writer.events, gone), gone)
        if all_agree(self._plan, self._places, progress, done):
            return ()
        from bench.session.kit_changes import changes

        return changes(self._plan, self._places, progress, done, known)

    def compare(self, known: frozenset[str] | None = None) -> tuple[Change, ...]:
        """Hold what is done against the kit: what it touches is open again. `known`: items of the kit before.

        Nothing is written where nothing changed, or where the log cannot be written: then it is only shown so.
        """
        self._known = known
        found = self.changes()
        opens = [
            item for each in found if each.sort == CHANGED for item in each.items if item in self._progress.done
        ]
        why = {item: each.words for each in found for item in each.items}
        again: tuple[str, ...] = ()
        if self._progress.reopened:
            from bench.session.kit_changes import agree_again

            again = agree_again(found, self._progress, self._plan)
        added = self._late(known)
        if opens or added:
            told = [each.words for each in found]
            told += [f"{', '.join(_refs(added))} new in the kit"] if added else []
            self._writer.record_or_show(
                ev.KitChanged(
                    **self._writer.stamp(),
                    opens=tuple(opens),
                    why=tuple(why[item] for item in opens),
                    added=added,
                    told=tuple(told),
                    joints=self._joints_of(opens),
                )
            )
        for step in self._plan.steps if again else ():
            if items := tuple(item for item in step.items if item in again):
                self._confirm(step, items, "the kit says again what it said")
        return found

    def _late(self, known: frozenset[str] | None) -> tuple[str, ...]:
        """Parts new in the kit that go in before a check that is done already."""
        if known is None or not self._progress.done:
            return ()
        last = max((at for at, step in self._done_checks()), default=-1)
        return tuple(
            item
            for step in self._plan.steps[:last]
            if step.action in PART_ACTIONS
            for item in step.items
            if item not in known and item not in self._progress.done and item not in self._progress.late
        )

    def _done_checks(self) -> Iterable[tuple[int, Step]]:
        """Checks of hold points that were done, with their positions."""
        was_done = self._progress.done | self._progress.reopened.keys()
        for at, step in enumerate(self._outline.steps):
            if step.action == "check" and self._outline.stage_at(at).hold and step.items[0] in was_done:
                yield at, step

    def check_again(self, step: Step, items: Sequence[str]) -> None:
        """A part that changed went in after a check that comes after it: the check is open again."""
        here = self._outline.index[step.key]
        checks = [check.items[0] for at, check in self._done_checks() if at > here]
        if checks:
            told = f"{step.named} {' '.join(refs_of(step, items))} went in after this was checked".replace(
                "  ", " "
            )
            why = (told,) * len(checks)
            self._writer.record_or_show(
                ev.KitChanged(
                    **self._writer.stamp(), opens=tuple(checks), why=why, check_again=True, told=(told,)
                )
            )

    # -- the builder's answers ------------------------------------------------------------------
    def _here(self) -> Stamp:
        return self._writer.stamp(self._outline.step_at_work(self._progress))

    def right_as_it_is(self, change: Change) -> Progress:
        """The builder says that this is right as it is; for another name: that these are the same parts."""
        if change.becomes:
            by_board = change.sort == BOARD
            self._writer.record(
                ev.Renamed(
                    **self._here(),
                    boards=change.becomes if by_board else (),
                    items=() if by_board else change.becomes,
                )
            )
            self.compare(self._known)
            return self._progress
        for step in self._plan.steps:
            if items := tuple(item for item in step.items if item in change.items):
                self._confirm(step, items, change.words)
        left = tuple(item for item in change.items if item not in self._outline.items)
        if left:
            self._writer.record(ev.Confirmed(**self._here(), items=left, told=change.words))
        return self._progress

    def another_part(self, change: Change) -> Progress:
        """The builder says that a part of another name is another part: the old one is gone."""
        if not change.becomes:
            raise Refused("this is open again: do it at the bench", "", "or say that it is right as it is")
        told = f"{change.words}: another part"
        return self._writer.record(ev.Confirmed(**self._here(), items=change.items, told=told))

    def _confirm(self, step: Step, items: tuple[str, ...], told: str) -> None:
        back = tuple(item for item in items if item not in self._progress.done)
        self._writer.record_or_show(
            ev.Confirmed(
                **self._writer.stamp(step),
                items=items,
                value=step.value,
                facts=self.facts(step, items),
                told=told,
                joints=step.joints * len(back) // max(1, len(step.items)),
            )
        )

    def _joints_of(self, items: Iterable[str]) -> int:
        """Joints that were made with these items, by the events that did them."""
        by_number = {event.n: event for event in self._writer.events}
        shares: dict[int, int] = {}
        for item in items:
            n = self._progress.done_at[item]
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

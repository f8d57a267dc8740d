"""Several units of one kit on one bench: whose turn it is, and what goes for all of them.

Each unit is a build of its own, with its own log, hold points and readings. They share one clock, which gives
its time to the unit that the next entry is made for, and one undo.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from bench.errors import Refused, SoldersideError
from bench.log.amend import last_undoable
from bench.log.events import BagCounted
from bench.log.unit_names import plain_name
from bench.session.event_writer import SharedBench
from bench.session.view import UnitMark, near_power

if TYPE_CHECKING:
    from bench.log import events as ev
    from bench.log.progress import Progress
    from bench.plan.bag import BagLine
    from bench.plan.plan import Step
    from bench.session.build import Build

MOST_UNITS = 9
"""As many as one key each can name."""
LONGEST_NAME = 12
BY_VALUE, BY_STAGE = "value", "stage"


def unit_names(given: str) -> tuple[str, ...]:
    """Names of units from a count or from names with commas; raises SoldersideError.

    >>> unit_names("3"), unit_names("left, right")
    (('A', 'B', 'C'), ('left', 'right'))
    """
    text = given.strip()
    if text.isascii() and text.isdigit() and len(text) < 4:
        count = int(text)
        names = [chr(ord("A") + number) for number in range(count)] if 2 <= count <= MOST_UNITS else []
    else:
        names = [plain_name(each) for each in text.split(",")]
    wrong = (
        f"from 2 to {MOST_UNITS} units can be built side by side" if not 2 <= len(names) <= MOST_UNITS else
        "two units have the same name" if len({each.casefold() for each in names}) < len(names) else
        "" if all(re.fullmatch(rf"[^\W_][\w +-]{{0,{LONGEST_NAME - 1}}}", each) for each in names) else
        f"a unit's name has 1 to {LONGEST_NAME} letters or digits"
    )  # fmt: skip
    if wrong:
        raise SoldersideError(wrong, f"--units {given}", "give a number, or names such as left,right")
    return tuple(names)


def with_bags(progress: Progress, progresses: Sequence[Progress]) -> Progress:
    """One unit's progress with the bags of all units as one: of the sorts counted in each, counts added up."""
    counts: dict[tuple[str, ...], list[BagCounted]] = {}
    for progress in progresses:
        for count in progress.bag:
            counts.setdefault(count.items, []).append(count)
    many = len(progresses)
    bag = (
        replace(each[0], found=sum(count.found for count in each), bags=many)
        for each in counts.values()
        if len(each) == many
    )
    return replace(progress, bag=tuple(bag))


class SideBySide:
    """The units on the bench, in their order."""

    def __init__(self, builds: Sequence[Build], by: str = BY_VALUE) -> None:
        self.builds = list(builds)
        self.by = by
        """`value`: each step on all units before the next one; `stage`: each stage."""
        self.shared = SharedBench(
            max((each.turn for build in builds for each in build.writer.events), default=0)
        )
        self._chosen: tuple[Build, int | None] | None = None
        self._places: dict[str, tuple[Progress, int | None]] = {}
        for build in self.builds:
            build.beside = self
            build.equipment = self.builds[0].equipment
            build.writer.shared = self.shared
            self.shared.writers.append(build.writer)
            build.writer.run = self.builds[0].writer.run

    # -- whose turn it is -------------------------------------------------------------------------
    def _place(self, build: Build) -> int | None:
        """Position of a unit's step at work, reckoned anew only after an entry of its own."""
        progress = build.progress
        known = self._places.get(build.name)
        if known is None or known[0] is not progress:
            known = self._places[build.name] = (progress, build.outline.current(progress))
        return known[1]

    def _in_line(self, build: Build) -> bool:
        """Whether a unit has something to do and is not passed over."""
        return not (build.progress.aside or build.log.read_only) and self._place(build) is not None

    def _rank(self, number: int) -> tuple[int, int, int]:
        build = self.builds[number]
        place = self._place(build)
        assert place is not None
        stage = build.outline.stage_of[place]
        together = self.by == BY_VALUE and not near_power(build.plan.stages[stage])
        return stage, place if together else 0, number

    @property
    def at_work(self) -> Build:
        """The unit whose turn it is: the one furthest behind, in their order.

        Near power a unit does its whole stage before the next one comes, whatever the order of work.
        """
        resting = next((each for each in self.builds if each.progress.on_break), None)
        if resting is not None:
            return resting
        if self._chosen is not None:
            build, place = self._chosen
            if self._in_line(build) and self._place(build) == place:
                return build
            self._chosen = None
        line = [number for number, build in enumerate(self.builds) if self._in_line(build)]
        if line:
            return self.builds[min(line, key=self._rank)]
        last = self.shared.writer
        return next((each for each in self.builds if each.writer is last), self.builds[0])

    def choose(self, build: Build) -> None:
        """Go on with this unit's step at work; one that was set aside is called back."""
        if build.log.read_only:
            raise Refused(f"unit {build.unit} cannot be written: {build.log.why_read_only}", "", "")
        if build.progress.aside:
            build.set_aside(back=True)
        self._chosen = build, self._place(build)

    def marks(self, step: Step | None) -> tuple[UnitMark, ...]:
        """Each unit at a step."""
        marks: list[UnitMark] = []
        if len(self.builds) < 2:
            return ()
        for build in self.builds:
            placed = step is None or all(item in build.progress.done for item in step.items)
            state = "done" if placed else "aside" if build.progress.aside else "open"
            marks.append(UnitMark(name=build.unit, state=state))
        return tuple(marks)

    # -- what goes for all ------------------------------------------------------------------------
    def last_entries(self) -> list[tuple[Build, ev.AnyEvent]]:
        """What the last key recorded that can be taken back, each with its unit: mostly one entry."""
        found = [(build, event) for build in self.builds if (event := last_undoable(build.writer.events))]
        if not found:
            return []
        last = max((event for _, event in found), key=lambda event: (event.turn, event.at))
        return [each for each in found if each[1] is last or (last.turn and each[1].turn == last.turn)]

    def with_bags(self, progress: Progress) -> Progress:
        """See `with_bags`, for the units on the bench."""
        return with_bags(progress, [each.progress for each in self.builds])

    def count_bag(self, line: BagLine, found: int) -> None:
        """Deal out what is in the bags of all units together: full bags first, what is over to the last."""
        left = found
        try:
            for build in self.builds:
                share = left if build is self.builds[-1] else min(left, len(line.items))
                build.record_bag(line, share)
                left -= share
                self.shared.of_one_key = True
        finally:
            self.shared.of_one_key = False

    def leave(self, build: Build) -> Build:
        """Take a unit out of the line: it goes on alone another time. Returns the unit whose turn it is then.

        Raises Refused where it is the only one left.
        """
        if len(self.builds) == 1:
            raise Refused("it is the only unit on the bench", "", "")
        group = build.group
        for each in (build, *self.builds) if len(self.builds) == 2 else (build,):
            folders = each.progress.beside.folders if each.progress.beside else ()
            each.record_beside(group, folders, alone=True)
        self.builds.remove(build)
        build.close_alone()
        if len(self.builds) > 1:
            self.tell_units(group)
        return self.at_work

    def tell_units(self, group: str) -> None:
        """Write into each log which units there are."""
        folders = tuple(each.name for each in self.builds)
        for build in self.builds:
            if not build.log.read_only:
                build.record_beside(group, folders)

"""A batch of kits with what is known of each: plan, progress, hours, what is held, currents read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench import cache
from bench.batch.difficulty import Difficulty, difficulty_of
from bench.batch.order import KitCandidate, Order, order_batch
from bench.batch.rack import Module
from bench.batch.store import Batch, load_batch, put_in, save_batch, take_out
from bench.errors import Fault, SoldersideError
from bench.estimate.forecast import NOTHING, Interval
from bench.estimate.history import Unbuilt, hours_of_each, learned
from bench.kit.case import rail_key
from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.kit.load import load_kit
from bench.log.progress import Progress
from bench.plan.plan import Plan
from bench.plan.procedure import find_procedure, load_procedure
from bench.session.build import Build
from bench.session.folders import builds_of, kit_path, planned, read_back, resolve
from bench.session.together import read_units
from bench.settings import Settings, cache_folder


class Member(Module, frozen=True, kw_only=True):
    """One kit of a batch, built already in part or not begun; its key is how the batch names it."""

    difficulty: Difficulty
    build: str = ""
    """Name of its build; empty before the first one."""
    items_done: int = 0
    items: int
    """Parts and tasks in all."""
    seconds_spent: float = 0.0
    left: Interval = NOTHING
    """Bench time still to come; nothing for what is finished."""
    stage: str = ""
    """The stage at work."""
    at_hold: str = ""
    """The hold point that it stands at."""
    holds_left: int = 0
    """Hold points still ahead, that one included."""
    held_back: tuple[str, ...] = ()
    """What was left for later, in words."""
    short: tuple[tuple[str, str, int], ...] = ()
    """Kind, value and number of what was not in the bag."""
    hazards: tuple[str, ...] = ()
    """Deadly ones."""
    finished: bool = False

    @property
    def percent(self) -> int:
        """Share of parts and tasks done, in whole per cent."""
        return 100 * self.items_done // self.items if self.items else 0

    @property
    def held_words(self) -> str:
        """What holds it, in words; empty when nothing does."""
        waits = f"waiting at {self.at_hold}" if self.at_hold else ""
        back = f"held back: {', '.join(self.held_back)}" if self.held_back else ""
        return "; ".join(filter(None, (waits, back)))

    @property
    def candidate(self) -> KitCandidate:
        """The member as the order sees it."""
        return KitCandidate(
            key=self.key, title=self.title, difficulty=self.difficulty, seconds=self.left.likely,
            gives=self.kit.gives, needs=self.kit.needs, finished=self.finished,
        )  # fmt: skip


class Gathered(Struct, frozen=True, kw_only=True):
    """A batch, read."""

    members: tuple[Member, ...]
    """In the order in which they were put in."""
    faults: tuple[Fault, ...] = ()
    """What could not be read."""
    left: Interval = NOTHING
    """Bench time still to come for all of them together."""
    hours_from: str = ""
    """What the hours to come rest on, in words."""

    def ordered(self, by: str, pins: Mapping[str, int] | None = None) -> tuple[Order, tuple[Member, ...]]:
        """The order with its reasons, and the members in it."""
        order = order_batch([member.candidate for member in self.members], by, pins)
        by_key = {member.key: member for member in self.members}
        return order, tuple(by_key[each.key] for each in order.placed)


def gather(data: Path, named: Sequence[str], settings: Settings) -> Gathered:
    """Read every kit or build that is named; what cannot be read is left out, and its faults are kept.

    A kit file stands for the build of it last worked on that is not in the batch already, or for one not
    begun: the same kit twice means that it is built twice. The hours to come are from the builder's own pace.
    """
    members: list[Member] = []
    faults: list[Fault] = []
    work: list[Unbuilt] = []
    taken = {folder for name in named if (folder := resolve(data, name)) is not None}
    counted: set[Path] = set()
    for name in named:
        try:
            member, unbuilt = _member(data, name, settings, taken, counted)
        except SoldersideError as error:
            faults += error.faults
        else:
            members.append(member)
            work.append(unbuilt)
    if not members:
        return Gathered(members=(), faults=tuple(faults))
    known = learned(data, settings)
    each, total = hours_of_each(work, known.pace)
    timed = [
        member if member.finished else replace(member, left=left)
        for member, left in zip(members, each, strict=True)
    ]
    return Gathered(members=_told_apart(timed), faults=tuple(faults), left=total, hours_from=known.resting_on)


def _told_apart(members: Sequence[Member]) -> tuple[Member, ...]:
    """The members, each with a key and a title of its own."""
    keys = _each_once([member.key for member in members])
    titles = _each_once([member.title for member in members])
    return tuple(
        replace(member, key=key, title=title) for member, key, title in zip(members, keys, titles, strict=True)
    )


def _each_once(names: Sequence[str]) -> list[str]:
    """The names, numbered from the second time on that they come.

    >>> _each_once(["a", "b", "a"])
    ['a', 'b', 'a (2)']
    """
    times = [names[: at + 1].count(name) for at, name in enumerate(names)]
    return [name if many == 1 else f"{name} ({many})" for name, many in zip(names, times, strict=True)]


def _member(
    data: Path, name: str, settings: Settings, taken: set[Path], counted: set[Path]
) -> tuple[Member, Unbuilt]:
    """A kit or build; to a unit's shortages come those of its group that are not in the batch themselves."""
    folder = resolve(data, name)
    if folder is None:
        kit = load_kit(kit_path(data, name), cache_folder(data))
        folder = next((each for each in builds_of(data, kit) if each not in taken), None)
        if folder is None:
            procedure = load_procedure(find_procedure(settings.procedure), cache_folder(data))
            plan = planned(data, kit, procedure, settings)
            return _not_begun(data, name, kit, plan), (plan, None, "")
    taken.add(folder)
    _, _, build = read_back(data, folder, settings)
    build.log.close()
    group = [(each, unit) for each, unit in read_units(data, build, settings) if isinstance(unit, Build)]
    bags = [unit for each, unit in group if each not in counted and (each == folder or each not in taken)]
    counted |= {unit.log.folder for unit in bags}
    return _under_way(data, name, folder.name, build, _short(bags)), (build.plan, build.progress, folder.name)


def _not_begun(data: Path, name: str, kit: Kit, plan: Plan) -> Member:
    return Member(
        key=name,
        title=kit.title,
        kit=kit,
        difficulty=_difficulty(data, kit),
        items=sum(len(step.items) for step in plan.steps),
        holds_left=sum(stage.hold for stage in plan.stages),
        hazards=danger_of(kit).kills,
    )


def _short(builds: Sequence[Build]) -> tuple[tuple[str, str, int], ...]:
    """Kind, value and number of what was not in the bags."""
    return tuple(
        (each.kind, each.value, len(each.items) - each.found)
        for build in builds
        for each in build.progress.bag
        if each.found < len(each.items)
    )


def _under_way(
    data: Path, name: str, folder: str, build: Build, short: tuple[tuple[str, str, int], ...]
) -> Member:
    view, progress = build.view(), build.progress
    stage = view.stage
    ahead = [each for each in view.stages if each.hold and each.state != "done"]
    return Member(
        key=name,
        title=build.kit.title,
        kit=build.kit,
        difficulty=_difficulty(data, build.kit),
        build=folder,
        items_done=view.parts_done,
        items=view.parts,
        seconds_spent=progress.bench_seconds,
        stage=stage.name if stage else "",
        at_hold=stage.name if stage and stage.hold and not view.finished else "",
        holds_left=len(ahead),
        held_back=tuple(
            " ".join((each.value, *each.refs)) + (f" ({each.reason})" if each.reason else "")
            for each in progress.held
        ),
        short=short,
        hazards=danger_of(build.kit).kills,
        measured=supply_currents(build.kit, progress),
        finished=view.finished,
    )


def _difficulty(data: Path, kit: Kit) -> Difficulty:
    """The difficulty of a kit, from the cache when it was worked out before: look-alikes take their time."""
    found = cache.fetch(cache_folder(data), kit.digest, Difficulty)
    if found is None:
        found = difficulty_of(kit)
        cache.keep(cache_folder(data), kit.digest, found)
    return found


def supply_currents(kit: Kit, progress: Progress) -> dict[str, Decimal]:
    """Amperes read at the checks of each rail's current with everything in, by rail; the latest counts.

    Such a check is called `current from +12 V`, as in the procedures that ship; one with words behind the rail
    (`sockets empty`) is another check.
    """
    from bench.measure.verdict.meter_input import read_against
    from bench.parts.expectation import parse_expectation

    found: dict[str, Decimal] = {}
    rails = {rail_key(rail.name): rail.name for rail in kit.supply}
    for reading in progress.readings:
        words = reading.point.partition("current from ")
        rail = rails.get(rail_key(words[2])) if not words[0].strip() and words[1] else None
        if rail is None or not reading.expect:
            continue
        try:
            wanted = parse_expectation(reading.expect)
            read = read_against(reading.text, wanted)
        except SoldersideError:
            continue
        if wanted.unit == "ampere" and read.amount is not None:
            found[rail] = abs(read.amount)
    return found


class Shelved:
    """Which lines of the shelf belong to the batch."""

    def __init__(self, data: Path, batch: Batch, titles: Mapping[str, str], trouble: str = "") -> None:
        self._data, self._batch, self._titles, self._trouble = data, batch, titles, trouble

    @classmethod
    def of(cls, data: Path) -> Shelved:
        """The batch kept in `data`; one that cannot be read is said, not raised, so that the shelf opens."""
        try:
            batch = load_batch(data)
        except SoldersideError as error:
            return cls(data, Batch(), {}, f"{error.what} ({error.where}): {error.hint}")
        return cls(data, batch, {entry: _title(data, entry) for entry in batch.kits})

    @property
    def words(self) -> str:
        """A word for the top of the shelf; empty without a batch."""
        if self._trouble or not self._batch.kits:
            return self._trouble
        many = len(self._batch.kits)
        return f"{many} in the batch, marked +. {'v shows them' if many > 1 else 'v shows it'}."

    def entry(self, name: str, title: str = "") -> str:
        """The batch's own name for a build or kit file, empty when it does not belong."""
        if name in self._batch.kits:
            return name
        return next((entry for entry, found in self._titles.items() if title and found == title), "")

    def mark(self, name: str, title: str = "") -> str:
        """`+ ` for what belongs to the batch; nothing at all while there is no batch."""
        if not self._batch.kits:
            return ""
        return "+ " if self.entry(name, title) else "  "

    def toggle(self, name: str, title: str = "") -> None:
        """Put it in, or take it out; raises SoldersideError when that cannot be kept."""
        if self._trouble:
            raise SoldersideError(self._trouble)
        entry = self.entry(name, title)
        save_batch(self._data, take_out(self._batch, entry) if entry else put_in(self._batch, name))


def _title(data: Path, entry: str) -> str:
    """The title of a kit file of the batch; empty for a build, or for a file that cannot be read."""
    try:
        return "" if resolve(data, entry) else load_kit(kit_path(data, entry), cache_folder(data)).title
    except SoldersideError:
        return ""

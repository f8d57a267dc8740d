"""What is done against the kit as it is now: what no longer agrees, part by part; pure, one pass.

A part that is done is held against what the log says the kit said of it then. What a change of value, place or
limit touches is open again; what is gone from the kit, and what may only have another name, is asked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set

from bench.log.facts import Facts
from bench.log.progress import Progress
from bench.parts.designators import natural_key, shorten
from bench.parts.kinds import KINDS
from bench.parts.quantity import read_value
from bench.plan.plan import Plan, Step, part_of
from bench.session.done_as import BOARD, CHANGED, GONE, RENAMED, Change, Position, Said, facts_of

_MOVED_MM = 1.0
"""A position that is off by less is the same place."""
_LEAST_ALIKE = 0.5
"""Share of a board's parts that one of another name must have to be taken for the same board."""


def changes(
    plan: Plan, places: Mapping[str, Position], progress: Progress, done: Mapping[str, Said],
    known: frozenset[str] | None = None,
) -> tuple[Change, ...]:  # fmt: skip
    """All that no longer agrees, in the order of the plan; `known`: items of the kit before, where known."""
    step_of = {item: step for step in plan.steps for item in step.items}
    was_done = [
        item
        for item in (*progress.done_at, *progress.reopened)
        if item not in progress.settled or item in step_of
    ]
    alike: dict[tuple[str, str], list[str]] = defaultdict(list)
    for item in was_done:
        step, said = step_of.get(item), done.get(item)
        if step is not None and said is not None:
            words = difference(said, step, places.get(part_of(item)))
            if words:
                alike[step.board or item.partition("/")[0], words].append(item)
    order = {item: at for at, item in enumerate(step_of)}
    found = [
        Change(sort=CHANGED, words=f"{_named(items, several=_several(plan))}: {words}", items=tuple(items))
        for (_, words), items in alike.items()
    ]
    found.sort(key=lambda change: order[change.items[0]])
    missing = [item for item in was_done if item not in step_of]
    return (*found, *_gone(plan, missing, progress, done, step_of, known)) if missing else tuple(found)


def agree_again(changed: Iterable[Change], progress: Progress, plan: Plan) -> tuple[str, ...]:
    """Items that were open again and about which kit and log are of one mind now."""
    still = {item for change in changed for item in change.items}
    there = {item for step in plan.steps for item in step.items}
    return tuple(
        item
        for item, opened in progress.reopened.items()
        if item in there and item not in still and not opened.check_again
    )


def difference(then: Said, step: Step, place: Position | None) -> str:
    """What is not as it was when an item was done, in words; empty where nothing that matters is."""
    now, was = facts_of(step, (), {}), then.facts
    if step.action not in ("do", "check", "adjust"):
        return ", ".join(_of_part(then, step, now, place))
    if was is None or not now.expect or _plain(was.expect) == _plain(now.expect):
        return ""
    return f"{_or_none(was.expect)} is now {now.expect}"


def _of_part(then: Said, step: Step, now: Facts, place: Position | None) -> Iterator[str]:
    was = then.facts
    if was and was.kind and was.kind != now.kind:
        yield f"was a {was.kind}, is now a {now.kind}"
    if then.value and not same_worth(then.value, step.value, now.kind):
        yield f"{then.value} is now {step.value}"
    if was is not None:
        yield from _of_facts(was, now)
        if place and then.place and _moved(place, then.place):
            yield f"moved from {_mm(then.place)} to {_mm(place)} mm"


def _of_facts(was: Facts, now: Facts) -> Iterator[str]:
    """What the kit says otherwise; what it said nothing of before counts for tolerance and voltage alone."""
    for what, before, after, even_new in (
        ("tolerance", was.tolerance, now.tolerance, True),
        ("voltage", was.voltage, now.voltage, True),
        ("package", was.package, now.package, False),
        ("marking", was.marking, now.marking, False),
    ):
        if after and (before or even_new) and _plain(before) != _plain(after):
            yield f"{what} {_or_none(before)} is now {after}"
    if now.side and now.side != (was.side or "front"):
        yield f"goes on the {now.side} now"
    if was.seat != now.seat:
        yield "goes into a socket now" if now.seat else "has no socket any more"


def _moved(one: Position, other: Position) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) > _MOVED_MM


def same_worth(one: str, other: str, kind: str) -> bool:
    """Whether two values say the same: `4k7` and `4.7 kohm` do.

    >>> same_worth("4k7", "4.7 kohm", "resistor"), same_worth("47R", "470R", "resistor")
    (True, False)
    """
    if _plain(one) == _plain(other):
        return True
    unit = KINDS[kind].unit if kind in KINDS else ""
    a, b = read_value(one, unit), read_value(other, unit)
    if a.main is None or b.main is None:
        return False
    return (a.main, a.ratings, a.tolerance_percent, a.taper, _plain(a.remark)) == (
        b.main, b.ratings, b.tolerance_percent, b.taper, _plain(b.remark)
    )  # fmt: skip


# -- what is no longer in the kit -----------------------------------------------------------------------
def _gone(
    plan: Plan,
    missing: Sequence[str],
    progress: Progress,
    done: Mapping[str, Said],
    step_of: Mapping[str, Step],
    known: frozenset[str] | None,
) -> Iterator[Change]:
    """Items done that the kit has no longer: under another name, it seems, or not at all."""
    new, left = _new(progress, step_of, known or frozenset()), list(missing)
    for old, name in _boards(left, new, known or frozenset(done)):
        mine = [item for item in left if _board_of(item) == old]
        left = [item for item in left if _board_of(item) != old]
        new = [item for item in new if _board_of(item) != name]
        words = f"board {old} is not in the kit any more, and {name} has the same parts"
        yield Change(sort=BOARD, words=words, items=tuple(mine), becomes=((old, name),))
    left = [item for item in left if not _is_task(item)]
    several = _several(plan)
    for old, name in _parts(left, new, done, step_of):
        mine = [item for item in left if part_of(item) == old]
        words = f"{_named([old], several=several)} is not in the kit any more, and {_ref(name)} has its value"
        if mine[0] in done and (value := done[mine[0]].value):
            words += f", {value}"
        yield Change(sort=RENAMED, words=words, items=tuple(mine), becomes=((old, name),))
        left = [item for item in left if part_of(item) != old]
    yield from _taken_away(left, done, set(map(_board_of, step_of)), several=several)


def _taken_away(
    left: Sequence[str], done: Mapping[str, Said], boards: Set[str], *, several: bool
) -> Iterator[Change]:
    """Items that have no other name in the kit either: one change for each value on each board."""
    alike: dict[tuple[str, str], list[str]] = defaultdict(list)
    for item in left:
        alike[_board_of(item), done[item].value if item in done else ""].append(item)
    for (board, value), items in alike.items():
        where = "" if board in boards else f" on board {board}"
        words = f"{_named(items, several=several)}{f', {value},' if value and '~' not in items[0] else ''}"
        yield Change(sort=GONE, words=f"{words}{where} is not in the kit any more", items=tuple(items))


def _new(progress: Progress, step_of: Mapping[str, Step], known: frozenset[str]) -> list[str]:
    """Items of the kit that nothing was done with yet, and that were not in it before."""
    held = {item for each in progress.held for item in each.items}
    met = held | progress.done | progress.reopened.keys() | known
    return [item for item in step_of if item not in met]


def _board_of(item: str) -> str:
    return item.partition("/")[0]


def _boards(missing: Sequence[str], new: Sequence[str], known: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Old and new names of boards that have most of their parts in common."""
    before: dict[str, set[str]] = defaultdict(set)
    after: dict[str, set[str]] = defaultdict(set)
    for names, items in ((before, missing), (after, new)):
        for item in items:
            board, _, rest = item.partition("/")
            if board and not _is_task(item):
                names[board].add(rest)
    known_boards = {item.partition("/")[0] for item in known}
    for old, parts in before.items():
        fitting = [(len(parts & there), name) for name, there in after.items() if name not in known_boards]
        most, name = max(fitting, default=(0, ""))
        if most >= _LEAST_ALIKE * len(parts) and most:
            del after[name]
            yield old, name


def _parts(
    missing: Sequence[str], new: Sequence[str], done: Mapping[str, Said], step_of: Mapping[str, Step]
) -> Iterator[tuple[str, str]]:
    """Old and new names of parts of the same kind and value on the same board, in natural order."""
    free = sorted({part_of(item) for item in new if "/~" not in item and not _is_task(item)}, key=natural_key)
    for old in sorted({part_of(item) for item in missing if "/~" not in item}, key=natural_key):
        said = done.get(old) or done.get(f"{old}#placed")
        for name in free:
            step = step_of.get(name) or step_of.get(f"{name}#placed")
            if (
                said is not None and step is not None
                and old.partition("/")[0] == name.partition("/")[0]
                and (said.facts is None or said.facts.kind in ("", step.kind))
                and same_worth(said.value, step.value, step.kind)
            ):  # fmt: skip
                free.remove(name)
                yield old, name
                break


# -- words ------------------------------------------------------------------------------------------------
def _named(items: Sequence[str], *, several: bool) -> str:
    """What items are called, with their board where there are several: `R5, R7 on main`, `3 x M3 screw`."""
    first = items[0]
    board = first.partition("/")[0]
    if _is_task(first):
        return ", ".join(item.rpartition("!")[2] for item in items)
    if "/~" in first:
        names = list(dict.fromkeys(item.partition("~")[2].rpartition("~")[0] for item in items))
        counts = [sum(item.partition("~")[2].rpartition("~")[0] == name for item in items) for name in names]
        said = ", ".join(f"{count} x {name}" for count, name in zip(counts, names, strict=True))
    else:
        sockets = all(item.endswith("#socket") for item in items)
        said = shorten(sorted({_ref(item) for item in items}, key=natural_key))
        said = f"socket of {said}" if sockets else said
    return f"{said} on {board}" if several and board else said


def _several(plan: Plan) -> bool:
    return len({item.partition("/")[0] for step in plan.steps for item in step.items[:1]} - {""}) > 1


def _ref(item: str) -> str:
    return part_of(item).partition("/")[2]


def _is_task(item: str) -> bool:
    return item.partition("/")[2].startswith("!")


def _plain(text: str) -> str:
    return "".join(text.split()).casefold().replace("ω", "ohm").replace("µ", "u").replace("μ", "u")


def _or_none(text: str) -> str:
    return text or "(none)"


def _mm(place: Position) -> str:
    return f"{place[0]:g}, {place[1]:g}"

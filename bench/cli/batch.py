"""The sub-command about a batch: which kit first, how long, and whether all of them fit the case."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from bench.cli.common import (
    FAULTY,
    FINE,
    data_of,
    fault_data,
    print_faults,
    print_json,
    refuse_idle,
    say,
    settings_of,
)
from bench.errors import FileFaults, SoldersideError

if TYPE_CHECKING:
    from bench.batch.gather import Gathered, Member
    from bench.batch.order import Order
    from bench.batch.rack import RackCheck
    from bench.kit.case import Case
    from bench.settings import Settings


def _batch(args: argparse.Namespace) -> int:
    from bench.batch.gather import gather
    from bench.batch.rack import check_rack
    from bench.batch.store import load_batch

    refuse_idle(args, "belongs to --shopping", "--stock", when=not args.shopping)
    data, settings = data_of(args), settings_of(args)
    kept = load_batch(data)
    named = args.kit or kept.kits
    if not named:
        hint = "name kits, or add kits to the batch on the shelf"
        raise SoldersideError("there is no batch", "", hint)
    case = _case(args, settings)
    gathered = gather(data, named, settings)
    all_built = gathered.members and all(member.build for member in gathered.members)
    why = "each of these is being built and has a procedure of its own; leave it out"
    refuse_idle(args, why, "--procedure", when=all_built)
    if gathered.faults and not args.json:
        print_faults(FileFaults(gathered.faults))
    if args.shopping:
        return _shop(args, gathered)
    pins = _pins(args.pin, gathered) if args.kit else {**kept.pins, **_pins(args.pin, gathered)}
    order, members = gathered.ordered(args.order or (kept.order if not args.kit else "easiest"), pins)
    check = check_rack(members, case)
    if args.json:
        print_json(_data(order, members, check, gathered))
    elif members:
        _tell(order, members, gathered)
        _tell_rack(check)
    return FAULTY if gathered.faults else FINE


def _shop(args: argparse.Namespace, gathered: Gathered) -> int:
    """Print the shopping list of the batch."""
    from pathlib import Path

    from bench.batch.shopping import as_csv, shopping_list, stock_from
    from bench.files import MEGABYTE, read_text_file

    stock = {}
    if args.stock:
        stock = stock_from(read_text_file(Path(args.stock), 10 * MEGABYTE, "stock file"), args.stock)
    for line in as_csv(shopping_list(gathered.members, stock)).splitlines():
        say(line)
    return FAULTY if gathered.faults else FINE


def _case(args: argparse.Namespace, settings: Settings) -> Case:
    """The case of the settings, with what the command line says in its place."""
    from msgspec.structs import replace

    from bench.kit.case import CaseError, case_from, parse_case, parse_rail

    case = case_from(settings.case)
    if args.case:
        said = parse_case(args.case)
        case = replace(said, rails=case.rails, headroom_percent=case.headroom_percent)
    if args.rail:
        case = replace(case, rails=tuple(parse_rail(rail) for rail in args.rail))
    if args.headroom is not None:
        if not 0 <= args.headroom < 100:
            raise CaseError(f"a headroom of {args.headroom} %", "--headroom", "give a number from 0 to 99")
        case = replace(case, headroom_percent=args.headroom)
    return case


def _pins(given: Sequence[str], gathered: Gathered) -> dict[str, int]:
    """Places by key, from `KIT=1`; a kit is named as on the command line, by its title or by its build."""
    count = len(gathered.members)
    pins: dict[str, int] = {}
    for text in given:
        name, equals, place = text.rpartition("=")
        if not equals or not place.strip().isdecimal() or not 1 <= int(place[:9]) <= count:
            hint = f"write KIT=PLACE with a place from 1 to {count}"
            raise SoldersideError(f"{text!r} names no place", "--pin", hint)
        found = [member for member in gathered.members if name.strip() in _names(member)]
        if not found:
            names = ", ".join(member.key for member in gathered.members)
            raise SoldersideError(
                f"no kit of this batch is called {name.strip()!r}", "--pin", f"there are: {names}"
            )
        if int(place) in pins.values():
            raise SoldersideError(f"two kits are put in place {int(place)}", "--pin", "give each its own")
        pins[found[0].key] = int(place)
    return pins


def _names(member: Member) -> tuple[str, ...]:
    stem = member.key.replace("\\", "/").rpartition("/")[2]
    return (
        member.key, stem, stem.rpartition(".")[0] or stem, member.title, member.kit.name, member.build or stem
    )  # fmt: skip


# -- as text --------------------------------------------------------------------------------------
_HEADS = {
    "easiest": "easiest first: single boards, then boards to join, then what has to track",
    "shortest": "shortest first",
    "needs": "what others need for their tests first",
}


def _tell(order: Order, members: Sequence[Member], gathered: Gathered) -> None:
    from bench.estimate.hours import in_full
    from bench.log.clock import spell

    say(f"A batch of {len(members)}, {_HEADS[order.by]}:")
    for placed, member in zip(order.placed, members, strict=True):
        say()
        say(f"{placed.place:>2}. {member.title}{'  (pinned)' if placed.pinned else ''}")
        say(f"    {placed.why}")
        state = "built" if member.finished else f"{member.percent} % done" if member.build else "not begun"
        spent = f", {spell(member.seconds_spent)} spent" if member.build else ""
        say(f"    {state}{spent}{_left(member)}")
        if member.held_words:
            say(f"    ! {member.held_words}")
        for hazard in member.hazards:
            say(f"    ! {hazard.upper()}: it can kill; local rules and licensed practice come first")
        shares = [f"{each.what} {member.difficulty.share(each)} %" for each in member.difficulty.reasons]
        say(f"    difficulty {member.difficulty.points}: {', '.join(shares)}")
    say()
    total = sum(member.seconds_spent for member in members)
    more = f", {in_full(gathered.left)} left. {gathered.hours_from}"
    say(f"Bench time: {spell(total)} spent{more if gathered.left.likely else ''}.")
    for remark in order.remarks:
        say(f"! {remark}")


def _left(member: Member) -> str:
    from bench.estimate.hours import in_words

    if member.finished:
        return ""
    holds = f", {member.holds_left} hold points ahead" if member.holds_left > 1 else ""
    return f", {in_words(member.left)} left{holds}"


def _tell_rack(check: RackCheck) -> None:
    from bench.batch.rack_text import rack_lines

    say()
    for text, look in rack_lines(check):
        say(f"! {text}" if look == "caution" else text)


# -- as data --------------------------------------------------------------------------------------
def _data(order: Order, members: Sequence[Member], check: RackCheck, gathered: Gathered) -> dict[str, Any]:
    from bench.kit.danger import danger_of

    return {
        "order": order.by,
        "kits": [
            {
                "place": placed.place,
                "kit": member.key,
                "title": member.title,
                "pinned": placed.pinned,
                "why": placed.why,
                "class": member.difficulty.level_words,
                "difficulty": member.difficulty.points,
                "reasons": [
                    {"what": each.what, "points": each.points, "percent": member.difficulty.share(each)}
                    for each in member.difficulty.reasons
                ],
                "build": member.build or None,
                "done_percent": member.percent,
                "finished": member.finished,
                "hours_spent": round(member.seconds_spent / 3600, 3),
                "hours_left": _hours(member.left.likely),
                "hours_left_range": [_hours(member.left.low), _hours(member.left.high)],
                "at_hold": member.at_hold or None,
                "holds_left": member.holds_left,
                "held_back": member.held_back,
                "hazards": danger_of(member.kit).hazards,
                "gives": member.kit.gives,
                "needs": member.kit.needs,
            }
            for placed, member in zip(order.placed, members, strict=True)
        ],
        "hours_left": _hours(gathered.left.likely),
        "hours_left_range": [_hours(gathered.left.low), _hours(gathered.left.high)],
        "hours_from": gathered.hours_from,
        "remarks": order.remarks,
        "rack": _rack_data(check),
        "faults": [fault_data(fault) for fault in gathered.faults],
    }


def _hours(seconds: float) -> float:
    return round(seconds / 3600, 3)


def _rack_data(check: RackCheck) -> dict[str, Any]:
    def milliamperes(amperes: Any) -> float | None:
        return None if amperes is None else float(amperes * 1000)

    return {
        "fits": check.fits,
        "hp": check.hp,
        "rows": [{"hp": row.hp, "used": row.used, "free": row.free, "kits": row.titles} for row in check.rows],
        "rails": [
            {
                "rail": rail.name,
                "milliamperes": milliamperes(rail.amperes),
                "rating": milliamperes(rail.rating),
                "usable": milliamperes(rail.usable),
                "shares": [
                    {
                        "kit": share.title,
                        "milliamperes": milliamperes(share.amperes),
                        "measured": share.measured,
                        "stated": milliamperes(share.stated),
                    }
                    for share in rail.shares
                ],
            }
            for rail in check.rails
        ],
        "misfits": [{"kit_or_rail": each.title, "what": each.what} for each in check.misfits],
        "connections": check.connections,
        "own_case": check.outside,
        "remarks": check.remarks,
    }

"""The shortage list: what was not in the bag, as a text to send to the maker. Pure."""

from __future__ import annotations

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.events import BagCounted
from bench.log.progress import Progress
from bench.parts.designators import shorten


def missing(progress: Progress) -> tuple[BagCounted, ...]:
    """Counts of the sorts of which there were too few."""
    return tuple(count for count in progress.bag if count.found < wanted_of(count))


def shortage_text(kit: Kit, progress: Progress) -> str:
    """The letter: module, revision, and a line for each sort with too few or other parts."""
    lines = [f"Kit: {kit.title}" + (f", {kit.maker}" if kit.maker else ""), ""]
    if warning := danger_of(kit).warning:
        lines += [f"DANGER: {warning}", ""]
    if said := in_short(progress):
        lines += [said, ""]
    short = [
        f"- {gone} x {sort}: {found} in the bag{f' ({refs})' if refs else ''}"
        for gone, sort, found, refs in short_rows(progress)
    ]
    other = [
        f"- {instead} instead of {part}{f': {why}' if why else ''}"
        for part, instead, why in other_rows(progress)
    ]
    lines += ["Missing from the bag:", "", *short, ""] if short else []
    lines += ["Sent or used instead of the part listed:", "", *other, ""] if other else []
    lines += [f"More than needed: {each}." for each in extra_lines(progress)]
    return "\n".join(lines).rstrip() + "\n"


def in_short(progress: Progress) -> str:
    """What to say where nothing is missing or nothing was counted; empty where something is."""
    if not progress.bag:
        return "The parts have not been counted yet."
    some = missing(progress) or other_rows(progress)
    return "" if some else "Nothing is missing from what was counted."


def short_rows(progress: Progress) -> list[tuple[str, str, str, str]]:
    """Of each sort with too few: how many are missing, what it is, how many there are, designators."""
    return [
        (
            str(wanted_of(each) - each.found),
            sort_of(each),
            f"{each.found} of {wanted_of(each)}",
            shorten(each.refs),
        )
        for each in missing(progress)
    ]


def other_rows(progress: Progress) -> list[tuple[str, str, str]]:
    """Of each substitute for listed parts: what is listed, what is there instead, why."""
    return [(each.part, each.instead, each.why) for each in progress.substitutions if each.items]


def extra_lines(progress: Progress) -> list[str]:
    """Sorts of which there are more than needed."""
    more = [each for each in progress.bag if each.found > wanted_of(each)]
    return [f"{sort_of(each)}, {each.found} for {wanted_of(each)}" for each in more]


def wanted_of(count: BagCounted) -> int:
    """How many of a sort there should be, in all bags that were counted together."""
    return len(count.items) * count.bags


def sort_of(count: BagCounted) -> str:
    """Value and kind of a sort of part."""
    kind = "" if count.value.casefold().endswith(count.kind.casefold()) else count.kind
    return f"{count.value} {kind}".strip()

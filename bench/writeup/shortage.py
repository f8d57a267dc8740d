"""The shortage list: what was not in the bag, as a text to send to the maker. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.events import BagCounted, Substituted
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
    short = missing(progress)
    other = [each for each in progress.substitutions if each.items]
    if not progress.bag:
        return "\n".join([*lines, "The parts have not been counted yet."]) + "\n"
    if not short and not other:
        return "\n".join([*lines, "Nothing is missing from what was counted."]) + "\n"
    lines += [*_short_lines(short), *_other_lines(other)]
    extra = [count for count in progress.bag if count.found > wanted_of(count)]
    lines += [f"More than needed: {sort_of(count)}, {count.found} for {wanted_of(count)}." for count in extra]
    return "\n".join(lines).rstrip() + "\n"


def _short_lines(short: Sequence[BagCounted]) -> list[str]:
    if not short:
        return []
    rows = []
    for count in short:
        wanted = wanted_of(count)
        places = f" ({shorten(count.refs)})" if count.refs else ""
        rows.append(
            f"- {wanted - count.found} x {sort_of(count)}: {count.found} of {wanted} in the bag{places}"
        )
    return ["Missing from the bag:", "", *rows, ""]


def _other_lines(other: Sequence[Substituted]) -> list[str]:
    if not other:
        return []
    rows = [
        f"- {each.instead} instead of {each.part}" + (f": {each.why}" if each.why else "") for each in other
    ]
    return ["Sent or used instead of the part listed:", "", *rows, ""]


def wanted_of(count: BagCounted) -> int:
    """How many of a sort there should be, in all bags that were counted together."""
    return len(count.items) * count.bags


def sort_of(count: BagCounted) -> str:
    """Value and kind of a sort of part."""
    return f"{count.value} {count.kind}".strip() if count.kind != count.value else count.value

"""The rack check in words, each line with its look. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.batch.rack import Connection, RackCheck, RailLoad, current

StyledLine = tuple[str, str]
"""Text and look: `head`, `plain`, `caution`, `way`."""


def rack_lines(check: RackCheck) -> Iterator[StyledLine]:
    """What fits, what does not and by how much, what is not known, and how the modules are joined up."""
    case = check.case.words or "not described yet"
    yield f"Case: {case}", "head"
    if not case[0].isdigit():
        yield 'Describe it with --case "84 HP, 60 mm deep", or in a table [case] in settings.toml.', "way"
    if check.misfits:
        yield "", "plain"
        yield "Does not fit", "loud"
        yield from ((f"{each.title}: {each.what}", "caution") for each in check.misfits)
        yield "", "plain"
    elif check.rows or check.case.rails or check.case.depth_mm is not None:
        yield "Everything fits, as far as the kit files say.", "plain"
    yield f"All panels together: {check.hp} HP.", "plain"
    for number, row in enumerate(check.rows, 1):
        what = ", ".join(row.titles) or "nothing"
        yield f"Row {number}: {row.used} of {row.hp} HP, {row.free} free: {what}", "plain"
    yield from _rails(check)
    if check.connections:
        yield "", "plain"
        yield "Power connectors", "head"
    yield from _connections(check.connections)
    if check.outside or check.remarks:
        yield "", "plain"
        yield "Also", "head"
    yield from ((f"{title}: in a case of its own, not counted.", "plain") for title in check.outside)
    yield from ((remark, "plain") for remark in check.remarks)


def _connections(connections: Sequence[Connection]) -> Iterator[StyledLine]:
    """How modules are joined to the supply, those that are joined alike together, what is not keyed first."""
    alike: dict[tuple[bool | None, str, tuple[str, ...]], list[str]] = {}
    for joined in connections:
        alike.setdefault((joined.keyed, joined.how, joined.cautions), []).append(joined.title)
    for (keyed, how, cautions), titles in sorted(alike.items(), key=lambda group: group[0][0] is True):
        key = {True: "keyed", False: "not all keyed", None: "keying unknown"}[keyed]
        yield f"{', '.join(titles)}: {f'{how}, ' if how else ''}{key}", "plain"
        yield from ((f"  {caution}", "caution") for caution in cautions)


def _rails(check: RackCheck) -> Iterator[StyledLine]:
    for rail in check.rails:
        yield f"{rail.name}: {current(rail.amperes)}{_of(rail, check.case.headroom_percent)}", "plain"
        for share in rail.shares:
            source = "stated by the maker"
            if share.measured:
                stated = f"; the maker states {current(share.stated)}" if share.stated is not None else ""
                source = f"measured{stated}"
            yield f"- {current(share.amperes)}  {share.title}, {source}", "plain"


def _of(rail: RailLoad, headroom: int) -> str:
    if rail.rating is None or rail.usable is None:
        return ""
    used = f"{100 * rail.amperes / rail.rating:.0f} %"
    return f" of {current(rail.rating)} ({used}; {current(rail.usable)} with {headroom} % headroom)"

"""The text that asks for help: a module, what was built, measured and tried, for the maker or a forum. Pure.

What to put in is what those who answer ask back for first (common practice, no source): module and revision,
other parts than listed, supply and readings, what was tried, photos.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.events import SuspicionSettled
from bench.log.progress import Progress, Snag
from bench.log.unit_names import unit_words
from bench.parts.designators import shorten
from bench.plan.plan import PART_ACTIONS, Plan
from bench.suspects.symptom import out_readings, told, verdict_of
from bench.writeup.readings import overridden_checks, too_close, with_unit
from bench.writeup.shortage import missing
from bench.writeup.words import counted, one_line, place, sentence, with_part

WIDEST = 34
"""Columns of the readings that the longest text of a column may take up."""
READINGS = "Readings"
"""Headline of the block that is a table."""
READING_HEADS = ("where", "expected", "reading", "verdict", "stage")
VERDICTS = {"in": "in", "out": "OUT", "too close to call": "too close to call"}


def help_request(
    kit: Kit,
    plan: Plan,
    progress: Progress,
    symptom: str = "",
    meter: Mapping[str, object] | None = None,
) -> str:
    """The text, with a line end at its end; people's words stand in it on one line each.

    `symptom` says what is wrong; without one the log says it. `meter` describes
    the builder's meter as the settings do.
    """
    lines = [help_title(kit)]
    for title, body in help_blocks(kit, plan, progress, symptom, meter):
        lines += ["", f"{title}:", *body]
    return "\n".join(lines) + "\n"


def help_title(kit: Kit) -> str:
    """What stands over the text."""
    return f"Asking for help: {one_line(kit.title)}"


def help_blocks(
    kit: Kit,
    plan: Plan,
    progress: Progress,
    symptom: str = "",
    meter: Mapping[str, object] | None = None,
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The text block by block: headline and lines; items of a list begin with a dash. See `help_request`."""
    blocks = (
        ("What is wrong", _wrong(plan, progress, symptom, meter)),
        ("The module", _module(kit, plan, progress)),
        ("How far it is", _how_far(plan, progress)),
        ("Substituted parts", _substitutes(progress)),
        ("Missing from the bag", _missing(progress)),
        ("Errata", _errata(kit, progress)),
        ("Joint counts that did not match", _counts(progress)),
        ("Hold points overridden (reason given)", _passed(plan, progress)),
        (READINGS, _readings(progress, meter)),
        ("Tracking", _passes(progress)),
        ("Snags", _snags(progress.snags)),
        ("What was tried", _tried(progress.suspicions)),
        ("Photos to add", _photos(kit)),
    )
    filled = ((title, tuple(body)) for title, body in blocks)
    return tuple((title, body) for title, body in filled if body)


def _wrong(plan: Plan, progress: Progress, symptom: str, meter: Mapping[str, object] | None) -> Iterator[str]:
    """What was said, else what the log says: failed checks, open snags, or what was last searched for."""
    said = [symptom] if symptom else _logged(plan, progress, meter)
    for each in dict.fromkeys(map(one_line, said)) or ["(in a sentence: what it does, and what it should do)"]:
        yield _item(each)


def _logged(plan: Plan, progress: Progress, meter: Mapping[str, object] | None) -> list[str]:
    out = out_readings(progress, meter)
    failed = [*map(told, out), *_not_met(plan, progress, {each.step for each in out})]
    last = [each for each in progress.suspicions[-1:] if each.symptom]
    searching, searched = [[each.symptom for each in last if each.found is found] for found in (False, True)]
    open_snags = [with_part(each.what, each.part) for each in progress.snags if not each.fix]
    return failed or searching or open_snags or searched


def _not_met(plan: Plan, progress: Progress, known: Container[str]) -> Iterator[str]:
    """Checks that were overridden without a reading that is out, with the reason, unless met since."""
    for each, check in overridden_checks(plan, progress):
        if each.step not in known:
            yield f"{check}: not met ({each.reason})"


def _module(kit: Kit, plan: Plan, progress: Progress) -> Iterator[str]:
    if warning := danger_of(kit).warning:
        yield _item(f"DANGER: {warning}")
    yield _item(f"kit: {kit.name}")
    yield _item(f"revision: {kit.revision or 'not stated'}")
    if progress.unit:
        yield _item(f"which one: {one_line(unit_words(progress.unit))}")
    yield _item(f"maker: {kit.maker or 'not stated'}")
    rails = ", ".join(f"{rail.name} {rail.current}".strip() for rail in kit.supply)
    if rails:
        yield _item(f"supply as stated: {rails}")
    yield _item(f"procedure: {plan.procedure}")
    started = progress.started
    if started:
        digest = f", kit file {started.kit_digest[:12]}" if started.kit_digest else ""
        yield _item(f"log: solderside {started.program}{digest}")


def _how_far(plan: Plan, progress: Progress) -> Iterator[str]:
    parts = {item for step in plan.steps if step.action in PART_ACTIONS for item in step.items}
    yield _item(f"the kit has {plan.count.words()}")
    yield _item(f"{len(progress.done & parts)} of {counted(plan.count.total, 'part')} fitted")
    yield _item(f"{progress.joints} of {counted(plan.joints, 'joint')} soldered")
    waiting = {item for held in progress.held for item in held.items}
    step = next(
        (s for s in plan.steps if not progress.done.issuperset(s.items) and not waiting.issuperset(s.items)),
        None,
    )
    yield _item(f"at work: {place(step.stage, step.board)}: {step.value}" if step else "nothing left to do")
    for held in progress.held:
        reason = f": {held.reason}" if held.reason else ""
        yield _item(f"held back: {_sort(held.value, held.refs)} ({place(*held.place)}){reason}")


def _substitutes(progress: Progress) -> Iterator[str]:
    for each in progress.substitutions:
        yield _item(f"{each.instead} for {each.part}" + (f" ({each.why})" if each.why else ""))


def _missing(progress: Progress) -> Iterator[str]:
    if progress.bag and not missing(progress):
        yield _item("nothing was missing from what was counted")
    for each in missing(progress):
        sort = _sort(f"{each.value} {each.kind}", each.refs)
        yield _item(f"{sort}: {each.found} of {len(each.items)} in the bag")


def _errata(kit: Kit, progress: Progress) -> Iterator[str]:
    yield from (_item(f"known: {text}") for text in kit.errata)
    yield from (_item(f"found while building: {each.text}") for each in progress.errata)


def _counts(progress: Progress) -> Iterator[str]:
    for each in progress.counts:
        if each.counted != each.expected:
            yield _item(f"{place(*each.place)}: {each.counted} counted, {each.expected} expected")


def _passed(plan: Plan, progress: Progress) -> Iterator[str]:
    checks = {step.key: step.value for step in plan.steps}
    for each in (each for each in progress.holds_overridden if not too_close(each, progress.readings)):
        check = checks.get(each.step, "")
        yield _item(f"{each.hold}{f', {check}' if check else ''}: {each.reason}")


def _readings(progress: Progress, meter: Mapping[str, object] | None) -> list[str]:
    """A table in plain columns, in the order of measuring; cells that are too long push the rest along."""
    rows = reading_rows(progress, meter)
    if not rows:
        return []
    table = [READING_HEADS, *rows]
    widths = [min(WIDEST, max(len(row[column]) for row in table)) for column in range(4)]
    return [
        "  " + "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[4]])
        for row in table
    ]


def reading_rows(
    progress: Progress, meter: Mapping[str, object] | None
) -> list[tuple[str, str, str, str, str]]:
    """The cells under `READING_HEADS`, in the order of measuring."""
    return [
        (
            one_line(each.point),
            one_line(each.expect) or "-",
            with_unit(each.text, each.expect),
            VERDICTS.get(verdict_of(each, meter), "not judged"),
            place(each.stage, each.board),
        )
        for each in progress.readings
    ]


def _passes(progress: Progress) -> Iterator[str]:
    for each in progress.passes:
        points = ", ".join(f"{volts:g} V {hertz:g} Hz" for volts, hertz in each.points)
        turned = ", ".join(f"{name} {turns:+g} turns" for name, turns in each.turned)
        yield _item(f"{each.trim}: {points}" + (f" (after {turned})" if turned else ""))


def _snags(snags: Sequence[Snag]) -> Iterator[str]:
    for snag in sorted(snags, key=lambda snag: bool(snag.fix)):
        state = f"Fixed: {snag.fix}" if snag.fix else "STILL OPEN"
        yield _item(f"{sentence(with_part(snag.what, snag.part))} {state}")


def _tried(suspicions: Sequence[SuspicionSettled]) -> Iterator[str]:
    by_symptom: dict[str, list[SuspicionSettled]] = {}
    for each in suspicions:
        by_symptom.setdefault(one_line(each.symptom), []).append(each)
    for symptom, settled in by_symptom.items():
        yield f"  {symptom or 'Without a symptom'}:"
        for each in settled:
            said = f": {each.said}" if each.said else ""
            yield _item(f"{'CAUSE' if each.found else 'fine'}: {each.suspicion}{said}")


def _photos(kit: Kit) -> Iterator[str]:
    boards = [
        board.name for board in kit.boards if any(line.joints or line.socket_joints for line in board.parts)
    ]
    for board in boards:
        yield _item(f"{board}, both sides, straight from above, sharp and without glare")
    yield _item("the cable as it is plugged in, both ends, with its stripe visible")


def _sort(value: str, refs: Sequence[str]) -> str:
    return f"{value} ({shorten(refs)})" if refs else value


def _item(text: str) -> str:
    return f"- {one_line(text)}"

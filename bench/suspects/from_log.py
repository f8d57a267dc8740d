"""What this build's own log says about the cause of a fault. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from bench.log.progress import HeldStep, Progress, Snag
from bench.parts.kinds import THREE_LEGGED
from bench.plan.plan import Alike, Plan, Step
from bench.suspects.proximity import BEFORE, NearPart, Proximity
from bench.suspects.suspicion import Suspicion, quote, sentence, suspicion
from bench.suspects.symptom import Symptom, drifts, out_readings

MOST_PAIRS = 5
"""Pairs of look-alikes that are named; the nearest and worst come first."""
_BY_WORDS = (
    ("power", r"power|supply|cable|rail|fuse|plug"),
    ("joints", r"joint|solder\w*|bridge\w*|cold|pad|pads|lifted|track|clipping\w*|wick|braid"),
    ("polarity", r"polarity|revers\w*|backwards|wrong way|stripe|band"),
    ("pinout", r"pinout|flat side|transistor|regulator"),
    ("seating", r"socket|notch|leg|legs|seated"),
    ("fittings", r"header|jack|pot|knob|switch|panel|nut"),
    ("values", r"value|wrong part|mixed up|misplaced|swapped"),
)
"""What a builder's words point to: the first group with a word among them."""
_PATTERNS = tuple((group, re.compile(rf"\b(?:{words})\b", re.IGNORECASE)) for group, words in _BY_WORDS)


def from_log(
    proximity: Proximity,
    plan: Plan,
    progress: Progress,
    symptom: Symptom,
    meter: Mapping[str, object],
    *,
    live: bool,
) -> Iterator[Suspicion]:
    """Everything in the log that may be the cause, wherever on the module it is.

    `live` says whether anything may be proposed to be looked at with the supply on.
    """
    for held in progress.held:
        yield _held(proximity, held)
    yield from _not_in(proximity, plan, progress, symptom)
    yield from _bag(proximity, progress)
    yield from _counts(proximity, progress)
    for snag in progress.snags:
        yield from _snag(proximity, snag)
    yield from _substitutes(proximity, progress)
    yield from _look_alikes(proximity, plan, progress)
    yield from _passed(proximity, plan, progress, live)
    yield from _readings(proximity, progress, symptom, meter, live)


def _held(proximity: Proximity, held: HeldStep) -> Suspicion:
    parts = proximity.of_items(held.items)
    reason = f" The reason then: {sentence(held.reason)}" if held.reason.strip() else ""
    task = all("/!" in item for item in held.items)
    group = "left open" if task else "joints" if parts else "fittings"
    why = f"It was left for later and is not {'done' if task else 'in'}.{reason}"
    what = f"held back: {quote(held.value) if task or not parts else ' '.join([held.value, *held.refs])}"
    return suspicion(
        proximity, group, what, why, "Resume it now, or make sure it is not needed.", parts, own=True
    )


def _not_in(proximity: Proximity, plan: Plan, progress: Progress, symptom: Symptom) -> Iterator[Suspicion]:
    """Parts that come before the failing check in the plan, and that the log does not know as in."""
    before: list[str] = []
    if not progress.done:
        return
    for step in plan.steps:
        if step.key == symptom.step:
            break
        before += step.items if step.action in ("solder", "insert") else ()
    else:
        return
    waiting = {item for held in progress.held for item in held.items}
    missing = proximity.of_items(item for item in before if item not in progress.done and item not in waiting)
    close = tuple(part for part in missing if proximity.nearness(part) <= BEFORE)
    if missing:
        yield suspicion(
            proximity, "joints", "parts that the log does not show as fitted",
            "They come before this check in the plan and were never marked as done.",
            "Look whether they are there; if they are, mark their steps as done.",
            sorted(close or missing, key=proximity.nearness),
            own=True,
        )  # fmt: skip


def _bag(proximity: Proximity, progress: Progress) -> Iterator[Suspicion]:
    for count in progress.bag:
        short = len(count.items) - count.found
        if short <= 0:
            continue
        parts = proximity.of_items(count.items)
        left = [item for item in count.items if item not in progress.done]
        what = f"missing from the bag: {count.value} {count.kind}"
        why = f"{count.found} of {len(count.items)} were in the bag"
        if left:
            yield suspicion(
                proximity, "joints", what, f"{why}: an empty place?",
                "Look whether every one of these places is filled, and with what.", parts, own=True,
            )  # fmt: skip
        else:
            yield suspicion(
                proximity, "values", what,
                f"{why}, and yet all are fitted: something else went into one of these places.",
                "Read each of these parts again, code and meter, against the list.", parts, own=True,
            )  # fmt: skip


def _counts(proximity: Proximity, progress: Progress) -> Iterator[Suspicion]:
    for count in progress.counts:
        off = count.counted - count.expected
        if not off:
            continue
        stage, board = count.place
        what = f"joint count of {stage}" + (f", {board}" if board else "")
        why = f"{count.counted} were counted where there should be {count.expected}."
        how = (
            f"{-off} too few: every pad of this stage with a lead in it, one by one, until it is found."
            if off < 0
            else f"{off} too many: one counted twice, a part that belongs elsewhere, a pad soldered by mistake."
        )
        yield suspicion(proximity, "joints", what, why, how, board=board, own=True)


def _snag(proximity: Proximity, snag: Snag) -> Iterator[Suspicion]:
    """An open snag; one that was mended only where a part that it names is near."""
    parts = proximity.typed(f"{snag.part} {snag.what}")
    words = f"{snag.what} {snag.fix}"
    group = next((group for group, pattern in _PATTERNS if pattern.search(words)), "left open")
    if not snag.fix:
        yield suspicion(
            proximity, group, f"open snag {quote(snag.what)}", "It was found on the way and is not fixed yet.",
            "Fix it first, then look at the symptom again.", parts, board=snag.place[1], own=True, snag=snag.n,
        )  # fmt: skip
    elif any(proximity.nearness(part) <= BEFORE for part in parts):
        yield suspicion(
            proximity, group, f"fixed snag {quote(snag.what)}", f"It was fixed: {sentence(snag.fix)}",
            "Look at it again: heat and rework lift pads and crack joints. Measure from the part's leg to "
            "where its track ends.", parts, own=True,
        )  # fmt: skip


def _substitutes(proximity: Proximity, progress: Progress) -> Iterator[Suspicion]:
    for each in progress.substitutions:
        parts = proximity.of_items(each.items) or proximity.typed(each.part)
        legs = any(part.line.kind in THREE_LEGGED for part in parts)
        why = f"It went in for {sentence(each.part)}" + (f" Why: {sentence(each.why)}" if each.why else "")
        how = (
            "Its own datasheet: pinout first, then type (NPN or PNP, 78 or 79) and rating."
            if legs
            else "Value, rating, legs and size against what the list asks for."
        )
        what = f"substitute {quote(each.instead)}"
        yield suspicion(proximity, "pinout" if legs else "values", what, why, how, parts, own=True)


# -- look-alikes -------------------------------------------------------------------------------------
def _look_alikes(proximity: Proximity, plan: Plan, progress: Progress) -> Iterator[Suspicion]:
    """Pairs on one board that can be mistaken for one another and that are both in."""
    pairs: dict[frozenset[tuple[str, str, str]], tuple[Step, Alike, set[str]]] = {}
    for step in plan.steps:
        for alike in step.alike:
            sides = ((step.board, step.value, step.kind), (step.board, alike.value, alike.kind))
            items = {*step.items, *(f"{step.board}/{ref}" for ref in alike.refs)}
            known = pairs.setdefault(frozenset(sides), (step, alike, set()))
            known[2].update(items)
    told: list[tuple[int, int, int, Step, Alike, tuple[NearPart, ...]]] = []
    for step, alike, items in pairs.values():
        parts = proximity.of_items(items)
        values = {part.line.value for part in parts if part.item in progress.done}
        if len(values) > 1 and any(proximity.nearness(part) <= BEFORE for part in parts):
            told.append((min(map(proximity.nearness, parts)), alike.rank, len(told), step, alike, parts))
    for _, _, _, step, alike, parts in sorted(told, key=lambda each: each[:3])[:MOST_PAIRS]:
        socketed = step.action == "insert"
        yield suspicion(
            proximity, "seating" if socketed else "values", f"{step.value} and {alike.value} swapped",
            f"Both are in on this board and are easily mistaken: {sentence(alike.reason)}",
            "Supply off. Read each of these parts against the list, by code and by meter.", parts, own=True,
        )  # fmt: skip


# -- hold points and readings ------------------------------------------------------------------------
def _passed(proximity: Proximity, plan: Plan, progress: Progress, live: bool) -> Iterator[Suspicion]:
    checks = {step.key: step.value for step in plan.steps}
    now = "Do now" if live else "With everything dead, do as much as that allows of"
    overridden = [passed for passed in progress.holds_overridden if passed.about != "too close"]
    for hold in dict.fromkeys(passed.hold for passed in overridden):
        passes = [passed for passed in overridden if passed.hold == hold]
        reasons = dict.fromkeys(sentence(passed.reason) for passed in passes)
        unmet = dict.fromkeys(quote(checks[passed.step]) for passed in passes if passed.step in checks)
        yield suspicion(
            proximity, "power" if "power" in hold.casefold() else "left open",
            f"hold point {quote(hold)} overridden (reason given)", " ".join(reasons),
            f"{now} what was not met then{': ' if unmet else ''}{', '.join(unmet)}.",
            own=True, power="on" if live else "off",
        )  # fmt: skip


def _readings(
    proximity: Proximity, progress: Progress, symptom: Symptom, meter: Mapping[str, object], live: bool
) -> Iterator[Suspicion]:
    again = "then read this one again" if live else "then look around this one, with everything dead"
    for reading in out_readings(progress, meter):
        if reading.point == symptom.point:
            continue
        group = "power" if proximity.names_rail(reading.point) else "left open"
        yield suspicion(
            proximity, group, f"another reading is out: {quote(reading.point)}",
            f"It reads {reading.text} where {reading.expect} is expected.",
            f"The one nearer to the supply comes first: fix that, {again}.",
            proximity.typed(reading.point), own=True, power="on" if live else "off",
        )  # fmt: skip
    for before, after in drifts(progress, meter):
        yield suspicion(
            proximity, "joints", f"a reading has drifted: {quote(after.point)}",
            f"It read {before.text}, and {after.text} later.",
            "A joint that conducts now and then, a part that warms up, a battery that runs down: "
            + (
                "read it while pressing gently beside it with a wooden stick, cold and warm."
                if live
                else "the joints around it, under the loupe."
            ),
            proximity.typed(after.point), own=True, power="on" if live else "off",
        )  # fmt: skip

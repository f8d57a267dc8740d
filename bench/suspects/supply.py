"""The first lines of a search: the supply, as this kit is supplied and as far as it may be on. Pure.

Resistance before power is the order for a set that blows its fuse in TM 11-4000 and in the ARRL Handbook's
chapter on troubleshooting (from memory); power again only through a current limit, and the rest, is common
practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from bench.kit.kit import PartLine
from bench.parts.english import counted, join
from bench.parts.kinds import with_role
from bench.parts.traits import traits_of
from bench.plan.placed_part import role_of
from bench.suspects.proximity import NearPart
from bench.suspects.search import Search
from bench.suspects.suspicion import Suspicion, quote

_FOR_SIGNALS = re.compile(
    r"\b(?:rca|phono|cinch|bnc|xlr|midi|din|(?:loud)?speakers?|probes?|aerial|antenna)\b", re.IGNORECASE
)
_HOT_CELL = (
    "Switch off. A lithium cell that is hot, swells, hisses or smells: hands off, away from it, everybody out "
    "of the room, and the fire service. Only a cool one is taken out, and laid outdoors on stone"
)
"""Common practice of fire services, no source."""
_EARTH = (
    "Off at the wall socket or the breaker, with no hand on its case. Do not use it again, and touch no other "
    "device plugged into it, before a qualified person has tested its supply and its protective earth."
)
_TAKES = (
    ("fuse", "a fuse drops almost nothing"),
    ("diode", "a diode 0.2 V to 0.7 V"),
    ("switch", "a closed switch nothing"),
    ("regulator", "a regulator gives what its type says"),
)
"""What each sort takes off, by a word of its kind."""
_NO_POWER = "Most of what seems broken has no power, or not on every rail."


def power_lines(search: Search) -> Iterator[Suspicion]:
    """The supply and what it runs through."""
    if search.kit.passive:
        return
    if search.deadly:
        yield _deadly(search)
        if search.off_now:
            yield _resistance(search)
    elif search.off_now:
        yield from _off_at_once(search)
    elif search.before_power and search.symptom.powered:
        yield _not_yet(search)
    elif not search.live:
        yield _the_measurement(search)
    elif search.batteries:
        yield _battery(search)
    else:
        yield _supply(search)
    yield from _on_the_way(search)


def back_to_power(search: Search) -> Iterator[Suspicion]:
    """The last line after a short: power again, through a limit, when the ohms are right."""
    if not search.off_now or search.deadly or search.kit.passive or not search.symptom.powered:
        return
    when = f"Only when the ohms from {search.rails} to 0 V are right"
    if search.before_power:
        when += " and every check before power is met"
    if search.has("smoke", "shock"):
        when += ", what was burnt has been replaced, and you know why it burnt"
    chips = any(part.line.socket for part in search.seated)
    how = (
        f"{when}: current limited to what the maker states, ICs out, on for a second. Within the limit: off, "
        "one IC in, on again. The one that takes the current is reversed, in the wrong socket, or broken."
        if chips
        else f"{when}: current limited to what the maker states, on for a second. At the limit: off and back "
        "to the ohms."
    )
    what = "ICs out, then in again one at a time" if chips else "power again, with the current limited"
    why = "It shows which part takes the current, and the limit keeps it from burning."
    yield search.line("ICs", what, why, how, search.seated if chips else (), power="limited")


def inlets(search: Search) -> list[NearPart]:
    """Where the supply comes in."""
    plugs = [
        part
        for part in search.proximity.parts
        if part.line.kind in with_role("inlet") and not _signal(part.line)
    ]
    return [part for part in plugs if search.proximity.on_supply(part)] or plugs


def _signal(line: PartLine) -> bool:
    """Whether a plug is for a signal or a loudspeaker, by its label, its section or its sort."""
    return bool(role_of(line)) or _FOR_SIGNALS.search(f"{line.value} {line.note}") is not None


def _deadly(search: Search) -> Suspicion:
    how = (
        "Every supply disconnected, charge gone and measured to be gone: follow the maker's own steps for "
        "that. This kit carries what can kill, so nothing is measured live on the word of this list. Local "
        "rules and a licensed person come first. Then, with everything dead, the fuse and the cable from end "
        "to end with the continuity range."
    )
    if search.has("shock"):
        how = f"{_EARTH} {how}"
    if search.has("smoke", "hot") and any(_lithium(part.line) for part in search.batteries):
        how = f"{_HOT_CELL}. {how}"
    return search.line("power", "supply, fuse and cable", _NO_POWER, how, inlets(search))


def _off_at_once(search: Search) -> Iterator[Suspicion]:
    away = "Take the battery out" if search.batteries else "Switch off and pull the supply's plug"
    hot = search.has("smoke", "hot")
    mind = "let it cool, draw the fumes away, touch nothing yet" if hot else "leave it off"
    if hot and any(_lithium(part.line) for part in search.batteries):
        away, mind = _HOT_CELL, "leave it off"
    how = f"{away}; {mind}. Nothing is measured with power on in this search. "
    if search.has("shock"):
        how += f"{_EARTH} "
    how += (
        "Then the battery itself: its plus and minus against the print."
        if search.batteries
        else "Then the cable: stripe and pin 1 at both ends, plus and minus as printed."
    )
    why = "Whatever takes too much current burns more parts with every second that it is on."
    if search.has("shock"):
        why = "A case that gives a shock has lost its earth or its insulation. That can kill."
    yield search.line("power", "first of all: power off", why, how, inlets(search))
    if search.has("smoke"):
        yield search.line(
            "power", "what smoked or smells",
            "The burnt part is often the victim: what made it burn is beside it.",
            "{off} Loupe and nose: dark spots, blisters, a bulging can. Write down which part, and what feeds "
            "it and what it feeds. Replace it only when the cause is found.",
        )  # fmt: skip
    yield _resistance(search)


def _lithium(line: PartLine) -> bool:
    about = f"{line.section} {line.note}"
    return "lithium" in traits_of(line.kind, line.value, line.package, line.mount, line.voltage, about)


def _resistance(search: Search) -> Suspicion:
    how = f"{{off}} Everything unplugged{{out}}: ohms from {search.rails} to 0 V"
    if len(search.kit.supply) > 1:
        how += " and from rail to rail"
    winding = any(part.line.kind == "transformer" for part in search.proximity.parts)
    how += (
        ", probes both ways round, until the reading settles. The checks before power say what is right; "
        "where they say nothing, a couple of hundred ohms at "
        f"least{' (a winding reads a few)' if winding else ''}. Next to nothing: a bridge, or a part the wrong "
        "way round. Part the rail where you can, read again: that halves the search."
    )
    parts = [part for part in search.proximity.parts if search.proximity.on_named_net(part)]
    why = "A short shows on the meter without any power."
    return search.line("power", "resistance from each rail to 0 V", why, how, parts)


def _not_yet(search: Search) -> Suspicion:
    names = join([quote(name) for name in search.before_power[:3]])
    more = len(search.before_power) - 3
    if more > 0:
        names += f" and {counted(more, 'more check')}"
    why = "What is wrong there can burn parts as soon as it is on."
    how = f"{{off}} It stays off until what comes before power is right: {names}."
    return search.line("power", "no power yet", why, how, power="off")


def _the_measurement(search: Search) -> Suspicion:
    why = "A supply still plugged in, charge left over or an IC still in its socket spoils the reading."
    how = (
        "{off} What the check asks for is out, and the probes were touched together first. Wait until the "
        "reading settles, then swap the probes and read once more."
    )
    return search.line("power", "the measurement itself", why, how)


def _battery(search: Search) -> Suspicion:
    how = (
        "Battery out first: plus and minus of clip or holder against the print, springs clean, no wire broken "
        "off. Battery in, switched on: the volts across it. A tired one reads right alone and drops when it "
        f"has to work, and so does a fresh one into a short. Then the same volts at {_far_end(search)}, to 0 V."
    )
    how += _mind(search)
    return search.line("power", "battery and its polarity", _NO_POWER, how, search.batteries, power="on")


def _supply(search: Search) -> Suspicion:
    how = (
        "At the supply, then where the cable enters the board, then at "
        f"{_far_end(search)}: {search.rails} to 0 V. Where it is lost is the fault. "
    )
    if search.symptom.trouble == "missing" and (search.symptom.read or search.has("dead")):
        how += "A supply at its current limit gives no volts either: a short. "
    how += "Then the current against what the maker states, and the cable: stripe and pin 1 at both ends."
    how += _mind(search)
    return search.line("power", "supply and cable", _NO_POWER, how, inlets(search), power="on")


def _mind(search: Search) -> str:
    """What the list cannot know where it does not recognise the complaint."""
    if search.complaints or search.symptom.read:
        return ""
    return " Anything hot, a smell, a supply at its limit: off at once, and take that for the symptom."


def _far_end(search: Search) -> str:
    if search.seated:
        return "the supply pins of each IC"
    valves = any(part.line.kind == "valve" for part in search.proximity.parts)
    return "the sockets of the valves" if valves else "the parts it feeds"


def _on_the_way(search: Search) -> Iterator[Suspicion]:
    proximity = search.proximity
    on_way = [
        part
        for part in proximity.parts
        if part.line.kind in with_role("always supply path")
        or (part.line.kind in with_role("supply path") and proximity.on_supply(part))
    ]
    if not on_way:
        return
    kinds = {part.line.kind for part in on_way}
    takes = ", ".join(text for word, text in _TAKES if any(word in kind for kind in kinds))
    how = (
        f"Volts to 0 V before and after each of them{': ' if takes else ''}{takes}."
        if search.live
        else "{off} From end to end with the continuity range, a diode in both directions."
    )
    if search.has("short", "smoke", "hot") and any("fuse" in kind for kind in kinds):
        how += " A fuse is replaced by one of the same rating and speed, never by a bigger one."
    yield search.line(
        "power", "what the supply passes through", "Each of them can interrupt it.", how,
        proximity.nearest(on_way), power="on" if search.live else "off",
    )  # fmt: skip

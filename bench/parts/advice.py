"""Which way round the part in hand goes, what to mind with it, and where a substitute is the weaker part.

Safety classes X and Y: IEC 60384-14; fuses: IEC 60127; both from memory. The rest: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from functools import lru_cache

from bench.parts.guessing import MAINS_RATED, RATED_BARE, safety_class
from bench.parts.kinds import KINDS, with_role
from bench.parts.meaning import CAPACITORS, Meaning
from bench.parts.protection import protection
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.type_numbers import TypeFacts, facts, leg_words

NOT_ALL = (
    "These cautions are the usual ones and not a complete list: the maker's guide, the data sheets and your "
    "local regulations come first."
)
"""Said once wherever cautions begin."""
_INSULATE = "insulate it from heatsink and case, then check with the meter."
_SAFE_TABS = ("ground", "insulated")


@lru_cache(maxsize=4096)
def way_round(kind: str, value: str = "", traits: AbstractSet[str] = frozenset()) -> str:
    """Say which way round a part goes; empty when it goes in either way.

    `traits` are those of `traits.traits_of`, `kind` is a name of `kinds.KINDS`.

    >>> way_round("voltage regulator", "78L05", frozenset({"small"}))
    'Flat side as printed on the board. Legs, print towards you: output, ground, input.'
    """
    entry = KINDS[kind]
    way = next((each.say for each in entry.ways if each.holds(traits)), entry.orientation)
    known = facts(value) if traits & {"small", "tab", "tab-pad"} else None
    if not known or not way:
        return way
    legs = f" Legs, print towards you: {', '.join(words)}." if (words := leg_words(known)) else ""
    tab = f" Tab: {known.tab}." if known.tab and "small" not in traits else ""
    return f"{way}{legs}{tab}"


@lru_cache(maxsize=4096)
def cautions_about(kind: str, value: str = "", traits: AbstractSet[str] = frozenset()) -> tuple[str, ...]:
    """List what usually goes wrong with such a part: first what is true of it alone, then of its kind.

    >>> cautions_about("diode", "1N4007", frozenset({"flat"}))
    ('Bend the legs away from the body, not at it.',)
    """
    entry = KINDS[kind]
    own = tuple(each.say for each in entry.sometimes if each.holds(traits))
    return (*_tab(kind, value, traits), *own, *entry.cautions)


def instead_of(listed: str, kind: str, value: str) -> tuple[str, ...]:
    """List what to mind when a part of another type replaces the listed one; empty when nothing.

    >>> instead_of("2N3904", "transistor", "BC550C")
    ('Different pin order: BC550 is collector, base, emitter; 2N3904 is emitter, base, collector.',)
    """
    old, new = facts(listed), facts(value)
    if not old or not new or old.base == new.base:
        return ()
    said = []
    if old.legs and new.legs and leg_words(old) != leg_words(new):
        said.append(
            f"Different pin order: {new.base} is {', '.join(leg_words(new))}; "
            f"{old.base} is {', '.join(leg_words(old))}."
        )
    if new.tab and old.tab and new.tab != old.tab:
        said.append(f"Different tab: {new.tab} on the {new.base}, {old.tab} on the {old.base}.")
    if old.role != new.role:
        said.append(f"{new.base} is {_a(new)}, {old.base} is {_a(old)}.")
    return tuple(said)


def _a(known: TypeFacts) -> str:
    return f"{'an' if re.match('[AEIOaeio]|NPN|N-', known.role) else 'a'} {known.role}"


def _tab(kind: str, value: str, traits: AbstractSet[str]) -> tuple[str, ...]:
    body = "tab" if "tab" in traits else "case" if "can" in traits else ""
    if not body:
        return ()
    known = facts(value)
    if known and known.tab:
        if known.tab in _SAFE_TABS:
            return ()
        return (f"The {body} of the {known.base} is its {known.tab}: {_INSULATE}",)
    usual = KINDS[kind].tab
    return (f"Its {body} is usually the {usual}: {_INSULATE}",) if usual else ()


def weaker(kind: str, listed: str, new: str) -> Iterator[str]:
    """Yield why a part may not replace the listed one of this kind, one sentence each; nothing when it may.

    Both texts are values with their ratings, as written. What is not stated for the new part is asked for.

    >>> list(weaker("film capacitor", "470n X2 275VAC", "470n 400V"))
    ['It has to be of class X2, for the mains: another there can catch fire or kill.']
    >>> list(weaker("fuse", "500mA T", "2A T"))
    ['2 A is more than the 500 mA listed: a bigger fuse protects nothing and can start a fire.']
    """
    if kind in CAPACITORS:
        if wanted := lacks_class(listed, new):
            named = " and ".join(wanted)
            yield f"It has to be of class {named}, for the mains: another there can catch fire or kill."
        elif _for_mains(listed) and not _for_mains(new):
            yield "It has to be rated for the AC of the mains, as listed: a rating in DC is none."
        else:
            yield from _less(listed, new, "volt", "at more than it stands it can burst")
    elif kind == "resistor":
        if lost := _lost(listed, new):
            yield f"It has to be {lost}, as listed: another there can catch fire."
        yield from _less(listed, new, "watt", "it gets too hot")
    elif kind in with_role("fuse"):
        yield from _fuse(listed, new)
    elif kind == "varistor":
        yield from _varistor(listed, new)


_BREAKS = re.compile(r"[0-9] ?m?A ?([LEH])(?![a-z])")
_HIGH_BREAKING = ("", "L", "E", "H")
"""Breaking capacities of IEC 60127 from low to high, nothing where none is named; from memory."""
_SIZE = re.compile(
    r"\b[0-9]+(?:[.,][0-9]+)? ?[x\u00d7] ?[0-9]+(?: ?mm)?\b|\bmm\b|\bfuse\b|\bglass\b|\bceramic\b",
    re.IGNORECASE,
)


def lacks_class(listed: str, new: str) -> tuple[str, ...]:
    """Return the classes for the mains that a listed capacitor has and another does not make up for.

    >>> lacks_class("4n7 Y2", "472 1kV"), lacks_class("100n X2", "0.1 X1 300V~")
    (('Y2',), ())
    """
    given = _safety(new)
    return tuple(each for each in sorted(_safety(listed)) if not any(_does(has, each) for has in given))


def _lost(listed: str, new: str) -> str:
    """What a resistor is for safety, and another is not: `fusible` or `flameproof`."""
    old, now = listed.casefold(), new.casefold()
    return next((each for each in ("fusible", "flameproof") if each in old and each not in now), "")


def fuse_unfit(listed: str, new: Meaning) -> str:
    """Why a marking that names a fuse is not the listed one; empty where it is, or where nobody can tell."""
    wanted = _as_fuse(listed)
    if wanted is None or "fuse" not in new.kinds:
        return ""
    if (now := _speed(new)) and (before := _speed(wanted)) and now != before:
        return f"the kit asks for a {before} fuse, and this one is {now}"
    if new.volts is not None and wanted.volts is not None and new.volts < wanted.volts:
        return f"the kit asks for {wanted.volts} V, and it is marked {new.volts} V"
    return ""


def _for_mains(text: str) -> bool:
    return bool(safety_class(text) or MAINS_RATED.search(text.casefold()) or RATED_BARE.search(text))


def _safety(text: str) -> set[str]:
    return set(safety_class(text).upper().replace(" ", "/").split("/")) - {""}


def _does(has: str, wanted: str) -> bool:
    """Whether a class does for another: X1 for X2, Y1 for Y2, Y1 or Y2 for an X (IEC 60384-14, from memory)."""
    return (has[0] == wanted[0] and has[1] <= wanted[1]) or (has in ("Y1", "Y2") and wanted[0] == "X")


def _less(listed: str, new: str, unit: str, what: str) -> Iterator[str]:
    wanted, given = _most(listed, unit), _most(new, unit)
    if wanted is None:
        return
    if given is None:
        if unit == "volt":
            yield f"How many volts it stands is not named: at least {show(wanted)}, as listed."
    elif given.amount < wanted.amount:
        yield f"{show(given)} is less than the {show(wanted)} listed: {what}."


def _most(text: str, unit: str) -> Quantity | None:
    read = read_value(text)
    found = [each for each in (*read.ratings, *((read.main,) if read.main else ())) if each.unit == unit]
    return max(found, key=lambda each: each.amount, default=None)


def _fuse(listed: str, new: str) -> Iterator[str]:
    wanted, given = _as_fuse(listed), _as_fuse(new)
    if wanted is None or given is None or wanted.amount is None or given.amount is None:
        return
    if given.amount.amount > wanted.amount.amount:
        said = f"{show(given.amount)} is more than the {show(wanted.amount)} listed"
        yield f"{said}: a bigger fuse protects nothing and can start a fire."
    if (now := _speed(given)) != (before := _speed(wanted)) and before:
        this = f"this one is {now}" if now else "the speed of this one is not named"
        yield f"The fuse listed is {before}; {this}."
    if wanted.volts and given.volts is None:
        yield f"How many volts it breaks is not named: at least {wanted.volts} V, as listed."
    elif wanted.volts and given.volts is not None and given.volts < wanted.volts:
        yield f"{given.volts} V is less than the {wanted.volts} V listed: it may not break the arc."
    before, now = _breaking(listed), _breaking(new)
    if _HIGH_BREAKING.index(now) < _HIGH_BREAKING.index(before):
        this = f"this one is {now}" if now else "that of this one is not named"
        yield f"The fuse listed has breaking capacity {before}; {this}: it can burst."
    if "resettable" in given.text and "resettable" not in wanted.text:
        yield "A resettable fuse is no substitute for one that melts."


def _varistor(listed: str, new: str) -> Iterator[str]:
    """Where both codes count the same volts: those at 1 mA, or the AC that it may sit at."""
    wanted, given = (next((each for each in protection(text)), None) for text in (listed, new))
    if not (wanted and given and wanted.amount and given.amount and wanted.remarks == given.remarks):
        return
    if given.amount.amount < wanted.amount.amount:
        said = f"{show(given.amount)} is less than the {show(wanted.amount)} listed"
        yield f"{said}: at the mains it heats up and bursts."


def _as_fuse(text: str) -> Meaning | None:
    plain = " ".join(_SIZE.sub(" ", text).split())
    return next((each for each in protection(plain) if {"fuse", "resettable fuse"} & set(each.kinds)), None)


def _breaking(text: str) -> str:
    found = _BREAKS.search(text)
    return found[1] if found else ""


def _speed(fuse: Meaning) -> str:
    words = ("very fast", "fast", "medium", "very slow", "slow")
    return next((each for each in words if f" {each} fuse" in fuse.text), "")

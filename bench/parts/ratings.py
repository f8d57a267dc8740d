"""What a part stands, against what the list asks for: where a substitute is weaker, or a fuse stronger. Pure.

Safety classes X and Y: IEC 60384-14; fuses: IEC 60127; both from memory. The rest: common practice, no
source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from bench.parts.guessing import MAINS_RATED, RATED_BARE, safety_class
from bench.parts.kinds import with_role
from bench.parts.meaning import CAPACITORS, Meaning
from bench.parts.protection import protection
from bench.parts.quantity import Quantity, read_value, show


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


def _as_fuse(text: str) -> Meaning | None:
    plain = " ".join(_SIZE.sub(" ", text).split())
    return next((each for each in protection(plain) if {"fuse", "resettable fuse"} & set(each.kinds)), None)


def _breaking(text: str) -> str:
    found = _BREAKS.search(text)
    return found[1] if found else ""


def _speed(fuse: Meaning) -> str:
    words = ("very fast", "fast", "medium", "very slow", "slow")
    return next((each for each in words if f" {each} fuse" in fuse.text), "")

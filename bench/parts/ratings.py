"""What a part stands, against what the list asks for: where a substitute is weaker, or a fuse stronger. Pure.

Safety classes X and Y: IEC 60384-14; fuses: IEC 60127; both from memory. The rest: common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from bench.parts.guessing import safety_class
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
        given = _safety(new)
        if wanted := [each for each in sorted(_safety(listed)) if not any(_does(has, each) for has in given)]:
            named = " and ".join(wanted)
            yield f"It has to be of class {named}, for the mains: another there can catch fire or kill."
            return
        yield from _less(listed, new, "volt", "at more than it stands it can burst")
    elif kind == "resistor":
        yield from _less(listed, new, "watt", "it gets too hot")
    elif kind in with_role("fuse"):
        yield from _fuse(listed, new)


def _safety(text: str) -> set[str]:
    return set(safety_class(text).upper().replace(" ", "/").split("/")) - {""}


def _does(has: str, wanted: str) -> bool:
    """Whether a class does for another: X1 for X2, Y1 for Y2, any Y for an X (IEC 60384-14, from memory)."""
    return (has[0] == wanted[0] and has[1] <= wanted[1]) or (has[0] == "Y" and wanted[0] == "X")


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
    if (wanted.volts or Decimal(0)) > (given.volts or Decimal("Infinity")):
        yield f"{given.volts} V is less than the {wanted.volts} V listed: it may not break the arc."


def _as_fuse(text: str) -> Meaning | None:
    return next((each for each in protection(text) if "fuse" in each.kinds), None)


def _speed(fuse: Meaning) -> str:
    words = ("very fast", "fast", "medium", "very slow", "slow")
    return next((each for each in words if f" {each} fuse" in fuse.text), "")

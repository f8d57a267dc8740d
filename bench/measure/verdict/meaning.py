"""What a reading outside its limits means where it was taken, as a list of what is physically possible; pure.

The words follow from the form of the limits alone: a lower limit in ohms is a look for shorts, an upper one a
look for a connection, amperes are what the circuit takes. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from bench.parts.expectation import Expectation

LOW_OHMS = Decimal(10)
"""Below this the probes' own resistance is spoken of."""
_PROBES_MATTER = Decimal(20)
"""Ohms: against limits above this the probes' own resistance is nothing."""
_NOTHING = Decimal("0.05")
"""Share of the nearest limit below which nearly nothing arrives."""
_SAGS = Decimal("0.8")
"""Share of the nearest limit below which so few volts have the supply off first; common practice."""
_HANDS_OFF = Decimal(30)
"""Volts where there should be next to none, from which hands stay away: below every limit for touch in use."""
_DEADLY = 50
"""Volts from which a reading that is out, and be it 0, is no proof that anything is safe to touch: MOST_LIVE of
`kit.rails`."""
_LIVE = (
    "more than 50 V belong here: take it for live, whatever the meter shows, until it is off, discharged and "
    "measured, the meter tried on a battery"
)
_FAR = 10
"""Times a limit around 0 V from which a voltage is no maladjustment; common practice, no source."""
_RUNAWAY = 2
"""Times a limit from which an adjustment has run away; common practice, no source."""
_LEAKS = Decimal(1_000_000)
"""Ohms from which flux, fingers and charging capacitors explain what conducts."""


def wanted_sign(expectation: Expectation) -> int:
    """1 or -1 where only readings of that sign are within the limits, else 0."""
    if expectation.alternating:
        return 0
    if expectation.low is not None and expectation.low > 0:
        return 1
    return -1 if expectation.high is not None and expectation.high < 0 else 0


def size_counts(expectation: Expectation) -> bool:
    """True for `< 40 mA`: the limit is on the size, whatever the sign."""
    return expectation.low is None and expectation.high is not None and expectation.high > 0


def swapped(amount: Decimal, guard: Decimal, expectation: Expectation) -> bool:
    """True when a voltage or current is right but for its sign."""
    sign = wanted_sign(expectation)
    if expectation.unit not in ("volt", "ampere") or not sign or amount * sign >= 0:
        return False
    low, high = expectation.low, expectation.high
    return (low is None or -amount >= low - guard) and (high is None or -amount <= high + guard)


def not_yet_adjusted(amount: Decimal, guard: Decimal, expectation: Expectation) -> set[str]:
    """What `meaning` says of a fault: at a trimmer a reading is out until it is set, and no fault yet.

    A swapped sign and a mistaken prefix are no such words, and neither is what far too much means.
    """
    if swapped(amount, guard, expectation) or _far_too_much(amount, expectation):
        return set()
    prefix = _thousandfold(amount, expectation)
    said = set(meaning(amount, guard, expectation)) - {_LIVE}
    return {each for each in said if not (prefix and each.startswith(prefix))}


def _far_too_much(amount: Decimal, expectation: Expectation) -> bool:
    """Twice what is wanted, or around 0 V what destroys loudspeakers: no trimmer sets that, nor does a slip."""
    ends = [abs(end) for end in (expectation.low, expectation.high) if end is not None]
    if expectation.unit not in ("volt", "ampere") or not ends or _thousandfold(amount, expectation):
        return False
    if wanted_sign(expectation) or expectation.alternating or size_counts(expectation):
        return abs(amount) > _RUNAWAY * max(ends)
    return abs(amount) > max(Decimal(1), _FAR * max(ends))


def meaning(amount: Decimal | None, guard: Decimal, expectation: Expectation) -> Iterator[str]:
    """What may be behind a reading that is out, base unit; None for overload."""
    if expectation.unit == "ohm" or expectation.open:
        yield from _ohms(amount, expectation)
    elif expectation.unit == "volt":
        yield from _volts(amount, guard, expectation)
        ends = [abs(end) for end in (expectation.low, expectation.high) if end is not None]
        if ends and max(ends) > _DEADLY:
            yield _LIVE
    elif expectation.unit == "ampere":
        yield from _amperes(amount, guard, expectation)
    if amount is not None and (times := _thousandfold(amount, expectation)):
        yield f"{times} would be right: look for an m, k or M on the display"


def probes(amount: Decimal, expectation: Expectation) -> Iterator[str]:
    """What the probes' own resistance has to do with a reading of few ohms against limits of few ohms."""
    ends = [end for end in (expectation.low, expectation.high) if end is not None and end > 0]
    if expectation.unit == "ohm" and amount < LOW_OHMS and ends and min(ends) <= _PROBES_MATTER:
        yield "at so few ohms subtract what the probes read when touched together, often 0.2 to 0.5"


def _ohms(amount: Decimal | None, expectation: Expectation) -> Iterator[str]:
    low, high = expectation.low, expectation.high
    if expectation.open:
        yield "something conducts here that should not: a solder bridge or a part the wrong way round"
        if amount is not None and amount >= _LEAKS:
            yield "so many ohms can also be flux, fingers on the probes or a capacitor still charging"
    elif high is None:
        yield (
            "something conducts here that should not: a solder bridge, a part the wrong way round or a wrong "
            "value; no power before it is found"
        )
        yield "if the reading still climbs, a capacitor is charging: wait until it settles"
    elif not low and amount is None:
        yield "no connection: an open joint, a break, or the probes do not touch"
    elif not low:
        yield "not the connection it should be: a poor joint, a wrong value, or the probes do not touch well"
    elif amount is None or amount > high:
        yield "too high: an open joint, a part missing or a wrong value"
    else:
        yield "too low: a bridge or a wrong value"
        yield "in circuit, other parts can make a good one read low: lift one leg to be sure"


def _volts(amount: Decimal | None, guard: Decimal, expectation: Expectation) -> Iterator[str]:
    sign = wanted_sign(expectation)
    ends = [abs(end) for end in (expectation.low, expectation.high) if end is not None]
    if amount is not None and swapped(amount, guard, expectation):
        yield (
            "right value, wrong sign: switch off; either the probes are swapped or the supply is, and nothing "
            "else goes in before you know which"
        )
    elif not sign and not expectation.alternating:
        if amount is None or size_counts(expectation) or abs(amount) >= _HANDS_OFF:
            yield "more voltage than there should be: hands off until you know why"
        elif abs(amount) > max(Decimal(1), _FAR * max(ends)):
            yield (
                "far more than there should be: switch off, and no loudspeaker, phones or anything else is "
                "connected here until you know why"
            )
        else:
            yield "there should be less here: a wrong part, a part the wrong way round or an open joint"
    elif amount is None or size_counts(expectation) or abs(amount) > max(ends):
        yield "too high: switch off before anything else goes in"
    elif abs(amount) < min(ends) * _NOTHING:
        if expectation.alternating:
            yield "almost nothing arrives here: no supply or signal, an open joint, or a short"
        else:
            yield "almost nothing arrives here: switch off; no supply, an open joint, or a short"
    elif sign and amount * sign < 0:
        yield "wrong sign and wrong value: switch off and follow this rail from the plug on"
    else:
        off = "switch off; " if abs(amount) < min(ends) * _SAGS else ""
        yield f"too low: {off}more is drawn than there should be, or a part on the way is wrong"


def _amperes(amount: Decimal | None, guard: Decimal, expectation: Expectation) -> Iterator[str]:
    sign = wanted_sign(expectation)
    ends = [abs(end) for end in (expectation.low, expectation.high) if end is not None]
    if amount is not None and swapped(amount, guard, expectation):
        yield "right value, wrong sign: the meter's leads are swapped, or the current runs back"
    elif amount is None or (expectation.high is not None and abs(amount) > max(ends)):
        yield (
            "too much current: switch off now, then look for a short, a bridge or a part the wrong way round"
        )
    elif amount is not None and abs(amount) < min(ends) * _NOTHING:
        yield "almost nothing flows: no supply, an open joint, or the meter's own fuse is blown"
    elif sign and amount * sign < 0:
        yield "wrong sign and wrong value: switch off, and look how the meter is connected"
    else:
        yield "too little flows: a part is missing, the wrong way round or not connected"


def _thousandfold(amount: Decimal, expectation: Expectation) -> str:
    """What would bring a reading within two limits of one sign: a thousand times as much, or a thousandth."""
    low, high = expectation.low, expectation.high
    if low is None or high is None or low <= 0 <= high:
        return ""
    if low <= amount * 1000 <= high:
        return "a thousand times as much"
    return "a thousandth of it" if low <= amount / 1000 <= high else ""

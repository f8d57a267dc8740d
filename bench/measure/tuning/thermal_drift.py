"""When an oscillator is warm: the drift to expect, and the drift that passes show; pure.

The voltage kT/q of an exponential converter follows from the exact SI constants.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.measure.tuning.learn import Pass
from bench.measure.tuning.points import cents

BOLTZMANN = 1.380649e-23
"""Joule per kelvin, exact in the SI."""
ELEMENTARY_CHARGE = 1.602176634e-19
"""Coulomb, exact in the SI."""
ZERO_CELSIUS = 273.15
"""Kelvin."""
ROOM = 25.0
"""Degrees Celsius at which drift is stated."""
STILL = 1.0
"""Cents that two passes may differ by with nothing turned between them."""
WAIT = "Wait about 20 minutes after switching on, cover closed, no draught"
"""Common practice, no source."""
_COEFFICIENT = re.compile(r"(\d{4})\s*ppm", re.IGNORECASE)
_LEAST, _MOST = 1500, 6000
"""Temperature coefficients that are meant to make up for kT/q (3354 at 25 degrees), 1e-6 per kelvin."""


def thermal_voltage(celsius: float) -> float:
    """kT/q in volts at a junction temperature in degrees Celsius.

    >>> f"{1000 * thermal_voltage(25):.4f} mV"
    '25.6926 mV'
    """
    kelvin = celsius + ZERO_CELSIUS
    if not kelvin > 0:
        raise SoldersideError(f"{celsius} degrees Celsius is below absolute zero", hint="give degrees Celsius")
    return BOLTZMANN * kelvin / ELEMENTARY_CHARGE


def warm_up_cents(octaves: float, start: float, end: float, compensation_ppm: float = 0.0) -> float:
    """Drift in cents of a converter trimmed at `start` and measured at `end` degrees Celsius.

    `octaves` is the distance from the converter's own reference point, above it positive;
    `compensation_ppm` is the temperature coefficient of its compensating resistor, in 1e-6 per kelvin.

    >>> round(warm_up_cents(5, 25, 26), 2)
    -20.06
    """
    ratio = thermal_voltage(start) / thermal_voltage(end)
    return 1200.0 * octaves * ((1.0 + compensation_ppm * 1e-6 * (end - start)) * ratio - 1.0)


def compensation(kit: Kit) -> tuple[str, int] | None:
    """The part that makes up for the converter's temperature, and its coefficient in 1e-6 per kelvin."""
    for board in kit.boards:
        for part in board.parts:
            found = _COEFFICIENT.search(f"{part.value} {part.note} {part.marking}")
            if part.kind in ("resistor", "thermistor") and found and _LEAST <= int(found[1]) <= _MOST:
                return (part.refs[0] if part.refs else part.value), int(found[1])
    return None


def warm_up_words(kit: Kit, octaves: float, *, linear: bool) -> tuple[str, ...]:
    """What a kelvin does over these octaves, and when to begin."""
    if linear:
        return (f"{WAIT}: without an exponential converter all notes drift alike.",)
    one, all_of_it = (abs(warm_up_cents(span, ROOM, ROOM + 1)) for span in (1.0, octaves))
    said = f"A converter without compensation drifts by {one:.1f} cents for each octave and kelvin"
    found = compensation(kit)
    if found is None:
        said += f", {all_of_it:.0f} cents over {octaves:g} octaves."
    else:
        left = abs(warm_up_cents(octaves, ROOM, ROOM + 1, found[1]))
        said += f"; with {found[0]} at the converter's temperature {left:.1f} cents over {octaves:g} octaves."
    return (f"{said} {WAIT}.",)


def drift_words(passes: Sequence[Pass]) -> tuple[str, ...]:
    """What moved between the last two passes when nothing was turned: warm, or wait."""
    if len(passes) < 2 or any(turn.turns for turn in passes[-1].turned):
        return ()
    before = {point.volts: point.hertz for point in passes[-2].points}
    moved = [cents(p.hertz, before[p.volts]) for p in passes[-1].points if p.volts in before]
    if not moved:
        return ()
    most = max(moved, key=abs)
    said = f"Nothing was turned since the pass before, and the pitch moved by up to {most:+.1f} cents"
    if abs(most) <= STILL:
        return (f"{said}: it is warm.",)
    return (f"{said}: not warm yet. Wait ten minutes and measure again before you turn anything.",)

"""Cents, equal temperament and the temperature of an exponential converter.

Sources: ISO 16:1975 (A4 = 440 Hz); the cent is 1/1200 of an octave; kT/q from the exact SI constants.
"""

from __future__ import annotations

import math

from bench.errors import SoldersideError

A4_HERTZ = 440.0
"""Standard tuning pitch, ISO 16:1975."""
BOLTZMANN = 1.380649e-23
"""Joule per kelvin, exact in the SI."""
ELEMENTARY_CHARGE = 1.602176634e-19
"""Coulomb, exact in the SI."""
ZERO_CELSIUS = 273.15
"""Kelvin."""
_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def cents(hertz: float, reference: float) -> float:
    """How far one frequency lies above another, in cents; raises SoldersideError unless both are above zero.

    >>> round(cents(442, 440), 4)
    7.8514
    """
    if not (hertz > 0 and reference > 0 and math.isfinite(hertz) and math.isfinite(reference)):
        raise SoldersideError("cents need two frequencies above zero", hint="give both in hertz")
    return 1200.0 * math.log2(hertz / reference)


def nearest_note(hertz: float, a4: float = A4_HERTZ) -> tuple[str, float]:
    """Name of the nearest equal-tempered note and how many cents the frequency lies above it.

    Octaves are numbered so that A4 is the tuning pitch and C4 is note 60; some makers count otherwise.

    >>> name, above = nearest_note(445)
    >>> name, round(above)
    ('A4', 20)
    """
    number = 69.0 + cents(hertz, a4) / 100.0
    nearest = math.floor(number + 0.5)
    return f"{_NAMES[nearest % 12]}{nearest // 12 - 1}", 100.0 * (number - nearest)


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

"""Colour as people see it, by published formulas: what the table of alike band colours is checked against.

Colour blindness is simulated by the matrices of Machado, Oliveira and Fernandes, "A physiologically-based
model for simulation of color vision deficiency", IEEE TVCG 15 (2009), severity 1.0, applied to linear sRGB.
Differences are CIEDE2000, after Sharma, Wu and Dalal, Color Research and Application 30 (2005).
"""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

Triple = tuple[float, float, float]

DEFICIENCIES: dict[str, tuple[Triple, Triple, Triple]] = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
"""Linear sRGB as seen without long-, middle- or short-wave cones: Machado et al. 2009, severity 1.0."""

_TO_XYZ: tuple[Triple, Triple, Triple] = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_WHITE: Triple = (0.95047, 1.0, 1.08883)


def lab(srgb: tuple[int, int, int], deficiency: str = "") -> Triple:
    """CIE 1976 L*a*b* (D65) of an sRGB colour, as seen with a deficiency where one is named.

    >>> [round(part, 1) for part in lab((255, 0, 0))]
    [53.2, 80.1, 67.2]
    """
    linear = _triple(_linear(part / 255) for part in srgb)
    if deficiency:
        linear = _triple(min(1.0, max(0.0, part)) for part in _times(DEFICIENCIES[deficiency], linear))
    x, y, z = (_cube_root(part / white) for part, white in zip(_times(_TO_XYZ, linear), _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def difference(first: Triple, second: Triple) -> float:
    """CIEDE2000 between two L*a*b* colours, all weights 1.

    Source: Sharma, Wu and Dalal (2005), whose test data it meets.

    >>> round(difference((50, 2.6772, -79.7751), (50, 0, -82.7485)), 4)
    2.0425
    """
    (l1, a1, b1), (l2, a2, b2) = first, second
    mean_c = (hypot(a1, b1) + hypot(a2, b2)) / 2
    stretch = 1.5 - 0.5 * sqrt(mean_c**7 / (mean_c**7 + 25.0**7))
    c1, c2 = hypot(stretch * a1, b1), hypot(stretch * a2, b2)
    h1, h2 = (degrees(atan2(b, stretch * a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    if turn == -180 and h2 > h1:
        turn = 180.0
    delta_h = 2 * sqrt(c1 * c2) * sin(radians(turn / 2))
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    mean_h = h1 + h2
    if c1 * c2 != 0:
        mean_h = mean_h / 2 if abs(h1 - h2) <= 180 else (mean_h + 360 if mean_h < 360 else mean_h - 360) / 2
    t = (
        1
        - 0.17 * cos(radians(mean_h - 30))
        + 0.24 * cos(radians(2 * mean_h))
        + 0.32 * cos(radians(3 * mean_h + 6))
        - 0.20 * cos(radians(4 * mean_h - 63))
    )
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / sqrt(20 + (mean_l - 50) ** 2)
    s_c, s_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    r_c = 2 * sqrt(mean_c**7 / (mean_c**7 + 25.0**7))
    r_t = -sin(radians(60 * exp(-(((mean_h - 275) / 25) ** 2)))) * r_c
    in_l, in_c, in_h = (l2 - l1) / s_l, (c2 - c1) / s_c, delta_h / s_h
    return sqrt(in_l**2 + in_c**2 + in_h**2 + r_t * in_c * in_h)


def _triple(parts: Iterable[float]) -> Triple:
    """Three numbers as a tuple."""
    x, y, z = parts
    return x, y, z


def _times(matrix: tuple[Triple, Triple, Triple], vector: Triple) -> Triple:
    """A matrix times a column."""
    return _triple(sum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix)


def _linear(part: float) -> float:
    """An sRGB component from 0 to 1 as light (IEC 61966-2-1)."""
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _cube_root(part: float) -> float:
    """The function f of CIE L*a*b*."""
    return part ** (1 / 3) if part > 216 / 24389 else (24389 / 27 * part + 16) / 116

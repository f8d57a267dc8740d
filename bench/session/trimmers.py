"""Which trimmers of a kit act on one oscillator, and what its trims aim at; pure.

A trim of kind `volts per octave` or `hertz per volt` is the scale trimmer of an oscillator. Another trim with
the role `offset` or `top` goes with the last such trim above it in the kit file, else with the first below. A
trim without a role has one when its name says so (`ROLE_NAMES`). The first of a role counts.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from bench.kit.kit import Kit, Trim
from bench.measure.tuning.learn import Trimmer
from bench.measure.tuning.points import Point

TRACKING_KINDS = ("volts per octave", "hertz per volt")
ROLE_NAMES = {
    "offset": ("octave zero", "pitch offset", "base pitch", "tune", "tuning"),
    "top": ("high frequency", "high end", "top octave"),
}
"""Names of trims that tell their role, as whole words."""
CLOSE_ENOUGH = 2.0
"""Cents that a point may be off when the kit's target says nothing else."""
MOST_VOLTS, LEAST_HERTZ, MOST_HERTZ = 1000.0, 1e-3, 1e8
"""What lies beyond is a slip of the finger."""

_NUMBER = r"(\d{1,9}(?:[.,]\d{1,9})?)"
_HERTZ = rf"{_NUMBER}\s*(k?)Hz"
_PITCH = re.compile(rf"{_HERTZ}\s+(?:at|with)\s+([-−]?){_NUMBER}\s*V\b", re.IGNORECASE)
_SLOPE = re.compile(rf"{_HERTZ}\s*(?:per|/|a)\s*V(?:olt)?\b", re.IGNORECASE)
_ANY_HERTZ = re.compile(rf"{_HERTZ}\b", re.IGNORECASE)
_CLOSE = re.compile(rf"(?:to|within|±)\s*{_NUMBER}\s*cents?\b", re.IGNORECASE)


class KnownTrimmer(Struct, frozen=True, kw_only=True):
    """A trimmer of an oscillator and where the kit says so."""

    trimmer: Trimmer
    trim: str
    """Name of the kit's trim."""
    by_name: bool
    """True when its role follows from that name alone."""


def is_tracking(trim: Trim) -> bool:
    """True when a trim is made by passes over several control voltages."""
    return trim.kind in TRACKING_KINDS


def trimmers_of(kit: Kit, trim: Trim) -> tuple[KnownTrimmer, ...]:
    """The trimmers that act on the tracking of a trim's oscillator, scale first."""
    found = {"scale": KnownTrimmer(trimmer=_trimmer(trim, "scale"), trim=trim.name, by_name=False)}
    owner = next((each for each in kit.trims if is_tracking(each)), None)
    for each in kit.trims:
        if is_tracking(each):
            owner = each
            continue
        role = each.role or _role_by_name(each.name)
        known = KnownTrimmer(trimmer=_trimmer(each, role), trim=each.name, by_name=not each.role)
        taken = {other.trimmer.name for other in found.values()}
        if owner == trim and role and role not in found and known.trimmer.name not in taken:
            found[role] = known
    if trim.kind == "hertz per volt" and "offset" not in found:
        unnamed = Trimmer(name="offset trimmer", role="offset")
        found["offset"] = KnownTrimmer(trimmer=unnamed, trim="", by_name=False)
    return tuple(found[role] for role in ("scale", "offset", "top") if role in found)


def target_of(kit: Kit, trim: Trim) -> Point | None:
    """The wanted pitch at a voltage, from the trim's own target, else from that of its offset trimmer.

    For a hertz-per-volt trim the hertz wanted at 1 V. None when the kit does not say.
    """
    offset = next((each.trim for each in trimmers_of(kit, trim) if each.trimmer.role == "offset"), "")
    texts = [trim.target, *(each.target for each in kit.trims if each.name == offset)]
    if trim.kind == "hertz per volt":
        slope = next(filter(None, map(wanted_slope, texts)), None)
        return Point(volts=1.0, hertz=slope) if slope else None
    return next(filter(None, map(wanted_pitch, texts)), None)


def wanted_pitch(text: str) -> Point | None:
    """The pitch that a target names at a voltage.

    >>> wanted_pitch("261.6 Hz with 0 V in V/OCT")
    Point(volts=0.0, hertz=261.6)
    >>> wanted_pitch("1 V per octave") is None
    True
    """
    found = _PITCH.search(text)
    if found is None:
        return None
    point = Point(volts=_float(found[4]) * (-1.0 if found[3] else 1.0), hertz=_hertz(found))
    return point if is_sane(point) else None


def wanted_slope(text: str) -> float | None:
    """Hertz per volt that a target names.

    >>> wanted_slope("1 kHz per volt"), wanted_slope("261.6 Hz at 2 V"), wanted_slope("in tune")
    (1000.0, 130.8, None)
    """
    found, pitch = _SLOPE.search(text), wanted_pitch(text)
    slope = _hertz(found) if found else 0.0
    if not slope and pitch is not None and pitch.volts > 0:
        slope = pitch.hertz / pitch.volts
    return slope if LEAST_HERTZ <= slope <= MOST_HERTZ else None


def wanted_pitches(text: str) -> tuple[float, ...]:
    """Every frequency in a target, in hertz.

    >>> wanted_pitches("261.6 Hz in the middle, 523.3 Hz up")
    (261.6, 523.3)
    """
    return tuple(hertz for found in _ANY_HERTZ.finditer(text) if (hertz := _hertz(found)) >= LEAST_HERTZ)


def closeness(target: str) -> float | None:
    """Cents that a target allows; None when it does not say.

    >>> closeness("each to 2 cents"), closeness("1 V per octave")
    (2.0, None)
    """
    found = _CLOSE.search(target)
    return min(100.0, max(0.1, _float(found[1]))) if found else None


def is_sane(point: Point) -> bool:
    """Whether an oscillator can be meant, and not a slip of the finger."""
    return abs(point.volts) <= MOST_VOLTS and LEAST_HERTZ <= point.hertz <= MOST_HERTZ


def roles_in_words(known: Sequence[KnownTrimmer]) -> str:
    """Each trimmer with its role.

    >>> roles_in_words([KnownTrimmer(trimmer=Trimmer(name="RV4", role="top"), trim="High end", by_name=True)])
    'RV4 top (by its name)'
    """
    return ", ".join(
        f"{each.trimmer.name} {each.trimmer.role}{' (by its name)' if each.by_name else ''}"
        if each.trim
        else f"{each.trimmer.name} (the kit names none)"
        for each in known
    )


def _trimmer(trim: Trim, role: str) -> Trimmer:
    return Trimmer(
        name=trim.trimmer or trim.name,
        role=role,
        turns=float(trim.turns),
        range_cents=float(trim.range_cents),
        sense={"raises": 1, "lowers": -1}.get(trim.clockwise, 0),
    )


def _role_by_name(name: str) -> str:
    words = " ".join(re.findall(r"[a-z]+", name.casefold()))
    for role, names in ROLE_NAMES.items():
        if any(f" {each} " in f" {words} " for each in names):
            return role
    return ""


def _hertz(found: re.Match[str]) -> float:
    return _float(found[1]) * (1000.0 if found[2] else 1.0)


def _float(text: str) -> float:
    return float(text.replace(",", "."))

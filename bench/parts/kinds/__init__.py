"""All kinds of parts: how they sit, which way round they go, what they are called."""

from __future__ import annotations

import re
from functools import cache

from bench.parts.kinds.connectors import CONNECTORS
from bench.parts.kinds.controls import FUSES_AND_CONTROLS
from bench.parts.kinds.fittings import HARDWARE, LARGE_PARTS
from bench.parts.kinds.kind import MOUNTS as MOUNTS
from bench.parts.kinds.kind import USUAL_SECONDS as USUAL_SECONDS
from bench.parts.kinds.kind import Kind as Kind
from bench.parts.kinds.kind import Role, Suspect
from bench.parts.kinds.passives import CAPACITORS_AND_COILS, PASSIVES
from bench.parts.kinds.semiconductors import DIODES, TRANSISTORS_AND_CHIPS

KINDS: dict[str, Kind] = {
    kind.name: kind
    for group in (
        PASSIVES, DIODES, CAPACITORS_AND_COILS, TRANSISTORS_AND_CHIPS, FUSES_AND_CONTROLS, CONNECTORS,
        LARGE_PARTS, HARDWARE,
    )
    for kind in group
}  # fmt: skip
"""All kinds by name; the order is that of small parts before large ones."""

_HEIGHT_BY_MOUNT = {"panel": 8, "chassis": 9, "cable": 9}


@cache
def with_role(*roles: Role) -> tuple[str, ...]:
    """Name the kinds that have one of these roles, in the order of the table.

    >>> with_role("pot"), with_role("clock")
    (('potentiometer', 'slide potentiometer'), ('crystal', 'ceramic resonator'))
    """
    return tuple(name for name, kind in KINDS.items() if not set(roles).isdisjoint(kind.roles))


@cache
def in_family(*families: str) -> tuple[str, ...]:
    """Name the kinds that builders call so (`Kind.family`), in the order of the table.

    >>> in_family("regulators", "relays")
    ('voltage regulator', 'voltage reference', 'relay')
    """
    return tuple(name for name, kind in KINDS.items() if kind.family in families)


@cache
def measured_in(unit: str) -> tuple[str, ...]:
    """Name the kinds whose value a meter reads in this unit, in the order of the table.

    >>> measured_in("henry")
    ('inductor', 'toroid inductor')
    """
    return tuple(name for name, kind in KINDS.items() if kind.unit == unit and kind.percent is not None)


@cache
def suspected_of(fault: Suspect) -> tuple[str, ...]:
    """Name the kinds in which a fault search looks for this fault, in the order of the table.

    >>> suspected_of("windings")
    ('toroid inductor', 'transformer')
    """
    return tuple(name for name, kind in KINDS.items() if fault in kind.suspects)


@cache
def marked_by(*marks: str) -> tuple[str, ...]:
    """Name the kinds with one of these marks (`Kind.marked`), in the order of the table.

    >>> marked_by("code")
    ('ceramic capacitor', 'film capacitor')
    """
    return tuple(name for name, kind in KINDS.items() if kind.marked in marks)


THREE_LEGGED = suspected_of("pinout")
"""Kinds whose legs stand in an order that differs from type to type."""


@cache
def said_of_kind(kind: str) -> frozenset[str]:
    """Return `Kind.all_cautions` of a kind (a name of `KINDS`), put together once."""
    return KINDS[kind].all_cautions


def height_for(kind: str, mount: str) -> int:
    """Return the height class of a kind (a name of `KINDS`) in this mount.

    >>> height_for("resistor", "flat"), height_for("resistor", "upright"), height_for("LED", "panel")
    (1, 4, 8)
    """
    known = KINDS[kind]
    if mount in known.heights:
        return known.heights[mount]
    if mount == known.mount:
        return known.height
    return max(known.height, _HEIGHT_BY_MOUNT.get(mount, 1))


def _plain(name: str) -> str:
    return re.sub(r"[\s_-]+", " ", name).strip().casefold()


_BY_NAME = {_plain(name): kind for name, kind in KINDS.items()} | {
    other: kind for kind in KINDS.values() for other in kind.also_called.split(", ") if other
}


def kind_named(text: str) -> Kind | None:
    """Find the kind that a kit file names, whatever the case, plural or hyphens; None when there is none.

    >>> kind_named("Electrolytic capacitors").name, kind_named("zener").name, kind_named("flux capacitor")
    ('electrolytic capacitor', 'Zener diode', None)
    """
    plain = _plain(text)
    singulars = (plain, plain.removesuffix("s"), plain.removesuffix("es"))
    return next((_BY_NAME[each] for each in singulars if each in _BY_NAME), None)

"""What a part was when it was done: held in the log, to compare it with a kit that is edited later."""

from __future__ import annotations

from msgspec import Struct


class Facts(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What the kit said of the parts of a step, besides value and board; empty where it said nothing."""

    kind: str = ""
    tolerance: str = ""
    voltage: str = ""
    package: str = ""
    marking: str = ""
    side: str = ""
    """`front` or `back`."""
    seat: str = ""
    """`socket` for a part that is pushed into one."""
    expect: str = ""
    """For checks and adjustments: the limit or target."""
    places: tuple[tuple[float, float], ...] = ()
    """Position on the board in mm, in the order of the items; empty where none is known."""

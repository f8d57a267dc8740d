"""What a kind of part is."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from msgspec import Struct

MOUNTS = ("flat", "upright", "laid flat", "panel", "board", "chassis", "cable")
"""How a part sits. `flat`: on the board along its length. `upright`: on its end. `laid flat`: a tall part
bent over. `board`: as its body sits by itself. `panel`: reaches through the panel. `chassis`: screwed to
case or panel, wired. `cable`: loose wiring."""


class When(Struct, frozen=True):
    """Words for some parts of a kind only."""

    traits: str
    """What must be true of the part, with spaces between: names of `traits.traits_of`; `-tab` must not be."""
    say: str

    def holds(self, traits: AbstractSet[str]) -> bool:
        """Whether a part with these traits is meant."""
        return all(
            (each[1:] not in traits) if each[0] == "-" else (each in traits) for each in self.traits.split()
        )


class Kind(Struct, frozen=True, kw_only=True):
    """One kind of part, as a builder thinks of it while placing it. All facts are common practice."""

    name: str
    letters: tuple[str, ...] = ()
    """Class letters used for it: those of IEEE 315 where it has any, then the usual others."""
    unit: str = ""
    """What its value is measured in, as `quantity.read_value` wants it; empty when it has none."""
    mount: str = "board"
    """Its usual mount, one of `MOUNTS`."""
    height: int
    """Height class in its usual mount: 1 (flat on the board) to 9 (hardware)."""
    heights: dict[str, int] = {}
    """Height classes in other mounts."""
    joints: int = 2
    """Solder joints of the commonest form."""
    orientation: str = ""
    """Which way round it goes, one or two short sentences; empty when it goes in either way."""
    ways: tuple[When, ...] = ()
    """Said in place of it for some parts of the kind, the first that holds; an empty text: either way."""
    cautions: tuple[str, ...] = ()
    """What usually goes wrong with every part of the kind, short enough to be read at arm's length."""
    sometimes: tuple[When, ...] = ()
    """What goes wrong with some of them only."""
    socketable: bool = False
    """True when it often goes into a socket instead of being soldered."""

    @property
    def all_cautions(self) -> frozenset[str]:
        """What it says of all its parts, and of some of them."""
        return frozenset((*self.cautions, *(each.say for each in self.sometimes)))

    @property
    def polarised(self) -> bool:
        """True when it matters which way round it goes."""
        return bool(self.orientation)

"""One line of the parts list as the plan sees it; pure."""

from __future__ import annotations

from msgspec import Struct

from bench.kit.kit import PartLine
from bench.parts.traits import traits_of


class Cluster(Struct, frozen=True, kw_only=True):
    """A part's place among those that it is joined to."""

    number: int
    """Which cluster of the kit, from 1."""
    order: int
    """Its turn in the cluster, from 0."""
    said: str
    """What it is joined to and what comes first, in a sentence; empty where the kit's author says it."""


class PlacedPart(Struct, frozen=True, kw_only=True):
    """One line of the parts list as the plan sees it; a part in a socket gives two: socket and part."""

    line: PartLine
    board: str
    board_number: int
    """Position of the board in the kit, from 0."""
    kind: str
    value: str
    mount: str
    height: int
    joints: int
    """Solder joints for each part."""
    items: tuple[str, ...]
    """`BOARD/REF` or `BOARD/~VALUE~N` of each part, in the order of the line's designators."""
    socketed: bool = False
    """True for a part that is pushed into a socket and not soldered."""
    is_socket: bool = False
    """True for the socket of such a part."""
    cluster: Cluster | None = None
    """Its place among the parts that it is joined to; None when it is joined to none."""
    supply_path: bool = False
    """True for what carries the supply current: fuses, links, jumpers, rectifiers, switches."""
    closes_box: bool = False
    """True for knobs and for what closes the case: a lid, a cover, the case itself."""
    carries_panel: bool = False
    """True for the panel, or the case that the panel parts go through."""
    surface: bool = False
    """True for a part without legs for holes, soldered to pads on the surface."""
    wired: bool = False
    """True for a part off the board that is joined to it by wires; see `traits.on_wires`."""
    role: str = ""
    """One of `ends.ROLES` for a socket, post or terminal that something is plugged into; empty for others."""
    several_boards: bool = False
    """True when its kit has more than one board to solder."""
    side: str = ""
    """Side of the board that its parts sit on; empty when the kit does not say."""
    side_number: int = 0
    """Position of that side among the board's sides, from 0: the side of its first part comes first."""

    def traits(self, about: str = "") -> frozenset[str]:
        """What it shows beyond its kind (`traits.traits_of`); `about` is more that is said of its place."""
        line = self.line
        if self.is_socket:
            return traits_of(self.kind, self.value, self.value, self.mount)
        rated, said = f"{line.voltage} {line.marking}", f"{line.section} {line.note} {about}"
        return traits_of(self.kind, self.value, line.package, self.mount, rated, said)

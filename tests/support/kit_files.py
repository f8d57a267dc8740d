"""A kit file with everything a kit file can hold, counted by hand, and a way to make small ones."""

from __future__ import annotations

import msgspec
import pytest

from bench.errors import FileFaults
from bench.kit.kit import Kit
from bench.kit.load import parse_kit

FULL = """\
kit: 1
name: Twin-board oscillator
maker: Lantern Yard Workshop
revision: B
about: >
  Two triangle cores that can be locked
  to each other.
scenario: a small rack on a desk
hazards: [Mains, high voltage, stored charge]
errata: ["R31 is printed R13 on the main board"]
panel: {width: 10 HP, depth: 28 mm}
supply: {"+12 V": 38 mA, "-12 V": 31 mA}
sections: [power, core, outputs]
tools:
  - soldering iron
notes: [check the bag first, "colours differ: go by the meter"]
boards:
  - name: main
    count: 14
    joints: 40
    parts:
      - {refs: "R1-R4, R9", value: 4k7, tolerance: 1 %, mount: upright, section: core}
      - {refs: D2 D1, value: 1N4148, at: [[20.5, 3], [10, -4.25]]}
      - {refs: U1, value: TL072, socket: DIP-8, kind: IC}
      - {refs: C5, value: 10u, voltage: 25 V, kind: electrolytic capacitor, mount: laid flat,
         caution: lay it towards the edge}
      - {value: M3x11 spacer, kind: spacer, quantity: 4}
      - refs: [RV1]
        value: B100k
        kind: Potentiometer
        mount: panel
        marking: B104
        package: 9 mm
        joints: 5
        note: FREQ
        quantity: 1
        optional: yes
        caution: [through the panel, "nut first, solder last"]
      - {refs: RV4, value: 10k, kind: trimmer, section: Core}
      - {refs: VR1 VR2, value: L7805, kind: voltage regulator, package: TO-220, joints: 3, section: power}
      - {refs: J1, value: "", kind: jack socket, height: 7, joints: 2}
  - name: control
    parts:
      - {refs: R1, value: 100k, kind: resistor, at: [1, 2]}
hold_points:
  - name: Before power
    checks:
      - {between: "+12 V and 0 V", expect: "> 200 ohm", unplug: ICs}
      - {at: TP1, expect: 5 V ± 4 %, how: "black probe to 0 V"}
      - {look: "regulators the right way round"}
trims:
  - {name: Scale, kind: volts per octave, trimmer: RV4, turns: 25, target: 1 V per octave,
     how: "as the sheet says"}
"""
"""By hand, for board `main`: R1-R4, R9 (2 joints each), D1, D2 (2 each), U1 (its socket 8), C5 (2), RV1 (5),
RV4 (3), VR1, VR2 (3 each), J1 (2): 14 parts with designators, 4 spacers, 10+4+8+2+5+3+6+2 = 40 joints."""


def small(*parts: str, top: str = "", board: str = "") -> str:
    """A kit file with one board; `parts` are entries of its list, one a line, the first in line 6."""
    lines = ["kit: 1", "name: Small", "boards:", "  - name: main", "    parts:"]
    lines += [f"      - {part}" for part in parts]
    lines += [f"    {row}" for row in board.splitlines()]
    return "\n".join([*lines, *top.splitlines(), ""])


def bare(kit: Kit) -> Kit:
    """The kit without what belongs to its file: lines, name and digest."""
    return msgspec.structs.replace(
        kit,
        file="",
        digest="",
        boards=tuple(
            msgspec.structs.replace(
                board, line=0, parts=tuple(msgspec.structs.replace(part, line=0) for part in board.parts)
            )
            for board in kit.boards
        ),
        hold_points=tuple(
            msgspec.structs.replace(
                point,
                line=0,
                checks=tuple(msgspec.structs.replace(check, line=0) for check in point.checks),
            )
            for point in kit.hold_points
        ),
        trims=tuple(msgspec.structs.replace(trim, line=0) for trim in kit.trims),
    )


def faults(text: str) -> list[str]:
    """What is said about a kit file with faults."""
    with pytest.raises(FileFaults) as caught:
        parse_kit(text.encode(), "my.yaml")
    return [str(fault) for fault in caught.value.faults]

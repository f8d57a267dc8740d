"""Kits made by hand or by the dozen for tests of plans: invented, and built without a kit file."""

from __future__ import annotations

import random
from typing import Any

from bench.kit.kit import Board, Check, HoldPoint, Kit, PartLine, Rail, Trim
from bench.parts.kinds import KINDS, height_for


def line(refs: str, value: str, kind: str, **fields: Any) -> PartLine:
    """A line of a parts list; `refs` separated by blanks, none for unlettered hardware."""
    names = tuple(refs.split())
    usual = KINDS[kind]
    mount = fields.setdefault("mount", usual.mount)
    socket = fields.get("socket", "")
    fields.setdefault("height", height_for(kind, mount))
    fields.setdefault("joints", 0 if socket else usual.joints)
    fields.setdefault("socket_joints", int(socket.rpartition("-")[2]) if socket else 0)
    fields.setdefault("quantity", len(names))
    return PartLine(refs=names, value=value, kind=kind, **fields)


def kit_of(*lines: PartLine, **fields: Any) -> Kit:
    """A kit with one board, `main`."""
    return Kit(name="Test module", boards=(Board(name="main", parts=lines),), **fields)


def two_board_kit() -> Kit:
    """A twin-board oscillator with everything a plan has to do with; designators occur on both boards."""
    main = Board(
        name="main",
        parts=(
            line("R1 R2 R3 R10", "4k7", "resistor", tolerance="1 %", section="converter"),
            line("R4", "4.7k", "resistor", tolerance="1%", section="converter"),
            line("R5 R6", "47k", "resistor", tolerance="1 %", section="core"),
            line("R7", "100k", "resistor", mount="upright", section="core"),
            line("D1 D2", "1N4148", "diode", section="power", kind_guessed=True),
            line("C1 C2", "100n", "ceramic capacitor", section="power"),
            line("C3", "10u", "electrolytic capacitor", voltage="25 V", mount="laid flat",
                 cautions=("lay it towards the edge",), section="power"),
            line("C4", "10u", "electrolytic capacitor", voltage="63 V", section="power"),
            line("F1", "50 mA hold", "resettable fuse", section="power"),
            line("Q1", "BC547", "transistor", section="core", joints_guessed=True),
            line("U1 U3", "TL072", "IC", socket="DIP-8", section="core"),
            line("U2", "TL074", "IC", socket="DIP-14", section="shapers"),
            line("U4", "78L05", "voltage regulator", section="power"),
            line("RT1", "10k", "trimmer", section="converter"),
            line("J1", "2x5", "box header", joints=10),
            line("J2", "1x8", "pin header", joints=8),
        ),
    )  # fmt: skip
    control = Board(
        name="control",
        parts=(
            line("R1 R2", "4k7", "resistor", tolerance="1 %"),
            line("J1", "1x8", "pin socket", joints=8),
            line("RV1", "B100k", "potentiometer", note="FREQ"),
            line("RV2", "B100k", "potentiometer", note="FINE"),
            line("J3 J4", "3.5 mm", "jack socket"),
            line("D1", "red 3 mm", "LED"),
            line("S1", "on-on", "toggle switch", optional=True),
            line("", "M3x11", "spacer", quantity=4),
            line("", "M3x6", "screw", quantity=8),
            line("", "", "panel", quantity=1),
            line("", "black", "knob", quantity=2),
        ),
    )
    return Kit(
        name="Twin-board oscillator",
        revision="B",
        boards=(main, control),
        supply=(Rail(name="+12 V", current="38 mA"), Rail(name="-12 V", current="31 mA")),
        sections=("power", "converter", "core", "shapers"),
        errata=("R31 is printed R13 on the main board",),
        tools=("iron", "cutters"),
        hold_points=(
            HoldPoint(
                name="Before power",
                checks=(
                    Check(where="0V and +12V", expect="> 400 ohm", unplug="ICs", line=90),
                    Check(where="regulator U4 the right way round", line=91),
                ),
            ),
            HoldPoint(
                name="First power",
                checks=(
                    Check(where="TP1", expect="5 V ± 4 %", unplug="ICs", line=95),
                    Check(where="TP2", expect="2.5 V ± 2 %", line=96),
                ),
            ),
        ),
        trims=(
            Trim(name="Scale", kind="volts per octave", trimmer="RT1", turns=25, target="1 V per octave"),
            Trim(name="Offset", how="Turn until TP3 reads zero.", target="0 V"),
        ),
    )


def one_of_each() -> Kit:
    """One part of every kind in every mount, and one of every kind in a socket."""
    lines = []
    for at, kind in enumerate(KINDS):
        for mount in ("flat", "upright", "laid flat", "panel", "board", "chassis", "cable"):
            lines.append(line(f"X{at}{mount.replace(' ', '')}", f"{kind} v", kind, mount=mount))
        lines.append(line(f"Y{at}", f"{kind} v", kind, socket="DIP-8"))
        for height in range(1, 10):
            lines.append(line(f"Z{at}H{height}", f"{kind} v", kind, height=height))
    return kit_of(*lines)


def large_kit(parts: int, seed: int = 1) -> Kit:
    """A kit of so many parts on two boards, some 150 lines for 400 parts, as makers' lists have."""
    dice = random.Random(seed)
    boards = []
    for name in ("main", "control"):
        left, lines, number = parts // 2, [], 0
        while left:
            kind = dice.choice(("resistor",) * 4 + ("ceramic capacitor",) * 2 + tuple(KINDS))
            count = min(left, dice.choice((1, 1, 2, 3, 4, 6)))
            refs = " ".join(f"P{number + at}" for at in range(count))
            number, left = number + count, left - count
            value = f"{dice.choice((1, 2.2, 4.7, 10, 33, 47, 100, 220))}{dice.choice(('k', '', 'M'))}"
            socket = "DIP-8" if kind == "IC" and dice.random() < 0.8 else ""
            lines.append(line(refs, value, kind, tolerance="1 %", socket=socket))
        boards.append(Board(name=name, parts=tuple(lines)))
    return Kit(name="Large", boards=tuple(boards), supply=(Rail(name="+12 V", current="90 mA"),))

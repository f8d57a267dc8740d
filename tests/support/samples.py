"""Small kits, plans and clocks that tests share."""

from __future__ import annotations

from pathlib import Path

from bench.kit.counts import PartCount
from bench.kit.kit import Board, Check, HoldPoint, Kit, PartLine, Rail
from bench.log.clock import Moment, stamp_text
from bench.log.file import LogFile
from bench.plan.plan import Plan, Stage, Step
from bench.session.build import Build

START = 1_900_000_000.0
"""UTC seconds at which the clock of a test begins."""


class HandClock:
    """Two clocks that only move when a test moves them."""

    def __init__(self, utc: float = START, mono: float = 100.0) -> None:
        self.utc, self.mono = utc, mono

    def now(self) -> Moment:
        return Moment(at=stamp_text(self.utc), mono=self.mono)

    def work(self, seconds: float) -> None:
        """Both clocks run."""
        self.utc += seconds
        self.mono += seconds

    def sleep(self, seconds: float) -> None:
        """The machine is suspended: only UTC runs."""
        self.utc += seconds

    def set_back(self, seconds: float) -> None:
        """Somebody sets the wall clock."""
        self.utc -= seconds


def part(refs: str, value: str, kind: str = "resistor", joints: int = 2, **more: object) -> PartLine:
    names = tuple(refs.split())
    fields = {"quantity": len(names), "mount": "flat", "height": 1} | more
    return PartLine(refs=names, value=value, kind=kind, joints=joints, **fields)  # type: ignore[arg-type]


def small_kit() -> Kit:
    """Two boards that use the same designators."""
    return Kit(
        name="Lamp wobbler",
        maker="Tin Shed Circuits",
        revision="A",
        supply=(Rail(name="+12 V", current="10 mA"),),
        boards=(
            Board(
                name="main", parts=(part("R1 R2 R3", "4k7"), part("R4", "47k"), part("D1", "1N4148", "diode"))
            ),
            Board(name="control", parts=(part("R1 R2", "100k"),)),
        ),
        hold_points=(
            HoldPoint(name="Before power", checks=(Check(where="+12 V and 0 V", expect="> 200 ohm"),)),
        ),
    )


def _step(stage: str, board: str, value: str, refs: str, joints: int, **more: object) -> Step:
    names = tuple(refs.split())
    fields: dict[str, object] = {
        "key": f"{stage}/{board}/{value}",
        "stage": stage,
        "board": board,
        "action": "solder",
        "kind": "resistor",
        "value": value,
        "refs": names,
        "items": tuple(f"{board}/{ref}" for ref in names),
        "joints": joints,
    } | more
    return Step(**fields)  # type: ignore[arg-type]


def small_plan() -> Plan:
    """Two boards with a flat stage each, a hold point and a task: 7 parts, 14 joints."""
    main = (
        _step("Flat parts", "main", "4k7", "R1 R2 R3", 6),
        _step("Flat parts", "main", "47k", "R4", 2),
        _step("Flat parts", "main", "1N4148", "D1", 2, kind="diode", orientation="stripe to stripe"),
    )
    control = (_step("Flat parts", "control", "100k", "R1 R2", 4),)
    check = _step(
        "Before power",
        "",
        "+12 V and 0 V",
        "",
        0,
        action="check",
        kind="",
        expect="> 200 ohm",
        items=("/!Before power!+12 V and 0 V",),
    )
    trim = _step("Trim", "", "Listen", "", 0, action="do", kind="", items=("/!Trim!Listen",))
    return Plan(
        kit="Lamp wobbler rev. A",
        procedure="test",
        stages=(
            Stage(name="Flat parts", board="main", steps=main, joints=10, count_joints=True),
            Stage(name="Flat parts", board="control", steps=control, joints=4, count_joints=True),
            Stage(name="Before power", board="", steps=(check,), joints=0, hold=True),
            Stage(name="Trim", board="", steps=(trim,), joints=0),
        ),
        count=PartCount(solder=7),
        joints=14,
    )


def small_build(folder: Path, clock: HandClock | None = None, *, read_only: bool = False) -> Build:
    """A build of the small kit, its log in `folder`; started and opened when the log is new."""
    build = Build(small_kit(), small_plan(), LogFile(folder, read_only=read_only), clock or HandClock())
    return build

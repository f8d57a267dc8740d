"""An invented two-board kit and a bench that writes events, for the tests of the article."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bench.kit.counts import PartCount
from bench.kit.kit import Board, Kit, PartLine, Rail, Trim
from bench.log import events as ev
from bench.log.clock import stamp_text, utc_seconds
from bench.plan.plan import Plan, Stage, Step
from bench.writeup.story import tell
from bench.writeup.story_model import Story


def line(refs: str, value: str, kind: str, joints: int, **more: Any) -> PartLine:
    """A line of the parts list; designators apart by spaces."""
    names = tuple(refs.split())
    given: dict[str, Any] = {"mount": "board", "height": 3, "quantity": len(names)} | more
    return PartLine(refs=names, value=value, kind=kind, joints=joints, **given)


MAIN = Board(
    name="main",
    parts=(
        line("D1 D2 D3", "1N4148", "diode", 2),
        line("R1 R2 R3 R4 R9", "4k7", "resistor", 2),
        line("R5 R6", "47k", "resistor", 2),
        line("U1 U2", "TL072", "IC", 8, socket="DIP-8", socket_joints=8),
        line("C1 C2 C3 C4", "100n", "ceramic capacitor", 2),
        line("C5", "10u", "electrolytic capacitor", 2),
        line("J3", "2x5", "box header", 10),
    ),
)
FRONT = Board(
    name="front",
    parts=(
        line("R31 R32", "1k", "resistor", 2),
        line("RV1 RV2", "B100k", "potentiometer", 3),
        line("J1 J2", "mono", "jack socket", 3),
        line("C12", "22p", "ceramic capacitor", 2, optional=True),
        line("", "M3x11 spacer", "spacer", 0, quantity=4),
    ),
)
KIT = Kit(
    name="Twin-board oscillator",
    maker="Lantern Yard Workshop",
    revision="B",
    about="Two triangle-core oscillators on one panel, with a shared scale trimmer",
    scenario="a small travel case that runs from a 12 V adapter",
    errata=("R31 is printed R13 on the front board",),
    supply=(Rail(name="+12 V", current="38 mA"),),
    boards=(MAIN, FRONT),
    trims=(Trim(name="Scale", kind="volts per octave", trimmer="RV4", target="1 V per octave"),),
)


def part_step(stage: str, board: str, refs: str, value: str, kind: str, joints: int, **more: Any) -> Step:
    """A step that puts parts in; `joints` for each."""
    names = tuple(refs.split())
    items = more.pop("items", tuple(f"{board}/{ref}" for ref in names))
    action = more.pop("action", "solder")
    return Step(
        key=f"{stage}|{board}|{value}|{action}", stage=stage, board=board, action=action, kind=kind,
        value=value, refs=names, items=items, joints=joints * len(items), **more,
    )  # fmt: skip


def task_step(stage: str, headline: str, action: str = "do", **more: Any) -> Step:
    """A task, check or adjustment of the whole module."""
    return Step(
        key=f"{stage}|{headline}", stage=stage, board="", action=action, value=headline,
        items=(f"/!{stage}!{headline}",), **more,
    )  # fmt: skip


def stage(name: str, board: str, *steps: Step, **more: Any) -> Stage:
    """A stage of these steps."""
    return Stage(name=name, board=board, steps=steps, joints=sum(step.joints for step in steps), **more)


def plan_of(*stages: Stage, kit: str = "Twin-board oscillator rev. B") -> Plan:
    """A plan of these stages, with its sums."""
    steps = [step for each in stages for step in each.steps]
    parts = sum(len(step.items) for step in steps if step.action in ("solder", "insert", "fit"))
    return Plan(
        kit=kit,
        procedure="low to high",
        stages=stages,
        joints=sum(each.joints for each in stages),
        count=PartCount(solder=parts),
    )


FLAT, SOCKETS, SMALL, TALL, PANEL, HOLD, TRIM, CHIPS, LAST = (
    "Parts that lie flat", "IC sockets", "Small capacitors", "Headers and electrolytics", "Panel parts",
    "Before power", "Trim", "ICs into their sockets", "Panel, nuts, knobs",
)  # fmt: skip
PLAN = plan_of(
    stage(
        FLAT, "main",
        part_step(FLAT, "main", "D1 D2 D3", "1N4148", "diode", 2),
        part_step(FLAT, "main", "R1 R2 R3 R4 R9", "4k7", "resistor", 2),
        part_step(FLAT, "main", "R5 R6", "47k", "resistor", 2),
        count_joints=True,
    ),
    stage(FLAT, "front", part_step(FLAT, "front", "R31 R32", "1k", "resistor", 2), count_joints=True),
    stage(
        SOCKETS, "main",
        part_step(
            SOCKETS, "main", "U1 U2", "DIP-8", "IC socket", 8, items=("main/U1#socket", "main/U2#socket")
        ),
        count_joints=True,
    ),
    stage(SMALL, "main", part_step(SMALL, "main", "C1 C2 C3 C4", "100n", "ceramic capacitor", 2)),
    stage(SMALL, "front", part_step(SMALL, "front", "C12", "22p", "ceramic capacitor", 2, optional=True)),
    stage(
        TALL, "main",
        part_step(TALL, "main", "C5", "10u", "electrolytic capacitor", 2),
        part_step(TALL, "main", "J3", "2x5", "box header", 10),
    ),
    stage(
        PANEL, "front",
        part_step(
            PANEL, "front", "RV1 RV2", "B100k", "potentiometer", 0, action="place",
            items=("front/RV1#placed", "front/RV2#placed"),
        ),
        part_step(PANEL, "front", "RV1 RV2", "B100k", "potentiometer", 3),
        part_step(PANEL, "front", "J1 J2", "mono", "jack socket", 3),
    ),
    stage(
        HOLD, "",
        task_step(HOLD, "+12 V and 0 V", "check", expect="> 200 ohm"),
        task_step(HOLD, "TP1", "check", expect="5 V ± 4 %"),
        task_step(HOLD, "regulators the right way round", "check"),
        hold=True,
    ),
    stage(CHIPS, "main", part_step(CHIPS, "main", "U1 U2", "TL072", "IC", 0, action="insert")),
    stage(TRIM, "", task_step(TRIM, "Scale", "adjust", expect="1 V per octave")),
    stage(
        LAST, "front",
        part_step(
            LAST, "front", "", "M3x11 spacer", "spacer", 0, action="fit",
            items=tuple(f"front/~M3x11 spacer~{number}" for number in (1, 2, 3, 4)),
        ),
    ),
)  # fmt: skip
DIODES, RESISTORS = PLAN.steps[:2]


class Bench:
    """Writes events with stamps that a test moves by hand."""

    def __init__(self, start: str = "2031-02-03T18:20:00.000Z") -> None:
        began = utc_seconds(start)
        assert began is not None
        self.now = began
        self.run = "a"
        self.stage, self.board = "", ""
        self.events: list[ev.AnyEvent] = []
        self.add(ev.Started, log=1, kit=KIT.title)
        self.add(ev.Opened)

    def add(self, event: type[ev.AnyEvent], after: float = 0.0, /, **fields: Any) -> int:
        """Append an event `after` seconds later; returns its number."""
        self.now += after
        fields = {"stage": self.stage, "board": self.board} | fields
        number = len(self.events) + 1
        self.events.append(
            event(n=number, at=stamp_text(self.now), mono=self.now - 1.9e9, run=self.run, **fields)
        )
        return number

    def at(self, stage: str, board: str = "") -> None:
        """Move on to a stage."""
        self.stage, self.board = stage, board

    def do(self, step: Step, seconds: float = 60.0, items: Sequence[str] | None = None) -> int:
        """Do a step, or some of its items."""
        self.at(step.stage, step.board)
        chosen = tuple(step.items if items is None else items)
        joints = step.joints * len(chosen) // len(step.items)
        return self.add(ev.Done, seconds, items=chosen, value=step.value, refs=step.refs, joints=joints)

    def come_back(self, at: str) -> None:
        """Close the program and open it again at another time."""
        self.add(ev.Closed, 5.0)
        later = utc_seconds(at)
        assert later is not None
        self.now, self.run = later, self.run + "a"
        self.add(ev.Opened)


def whole_build() -> list[ev.AnyEvent]:
    """A build from the first diode to the last spacer, with all that can happen on the way."""
    bench = Bench()
    steps = {step.key: step for step in PLAN.steps}

    def step(stage: str, board: str, value: str, action: str = "solder") -> Step:
        return steps[f"{stage}|{board}|{value}|{action}"]

    bench.do(step(FLAT, "main", "1N4148"), 340)
    snag = bench.add(ev.Snagged, 30, what="D3 sat the wrong way round", part="D3")
    bench.add(ev.Mended, 420, of=snag, fix="wick, and a second pass with fresh solder", minutes=7)
    bench.do(step(FLAT, "main", "4k7"), 600)
    wrong = bench.do(step(FLAT, "main", "47k"), 20)
    bench.add(ev.Undone, 5, of=wrong)
    bench.do(step(FLAT, "main", "47k"), 260)
    bench.add(ev.JointsCounted, 60, counted=18, expected=20)
    bench.add(ev.JointsCounted, 200, counted=20, expected=20)
    bench.add(ev.Noted, 10, text="R9 stands alone beside the header; easy to overlook", mark="tip")
    bench.do(step(FLAT, "front", "1k"), 300)
    bench.add(ev.ErratumFound, 15, text="the guide's photo of the front board shows revision A")
    bench.add(ev.JointsCounted, 40, counted=4, expected=4)
    bench.add(ev.BreakBegan, 5)
    bench.add(ev.BreakEnded, 1260)
    bench.do(step(SOCKETS, "main", "DIP-8"), 540)
    bench.add(ev.JointsCounted, 50, counted=16, expected=16)
    bench.add(ev.Noted, 20, text="", mark="show")
    bench.come_back("2031-02-05T19:02:00.000Z")
    bench.do(step(SMALL, "main", "100n"), 420)
    bench.at(SMALL, "front")
    bench.add(ev.HeldBack, 25, items=("front/C12",), value="22p", refs=("C12",), reason="only for long cables")
    bench.at(TALL, "main")
    bench.add(ev.HeldBack, 20, items=("main/C5",), value="10u", refs=("C5",), reason="not in the bag")
    bench.do(step(TALL, "main", "2x5"), 380)
    noted = bench.add(ev.Noted, 15, text="Tacked one corner pin of the headr, then looked along it")
    bench.add(
        ev.Corrected,
        10,
        of=noted,
        field="text",
        to="Tacked one corner pin of the header, then looked along it",
    )
    bench.add(ev.Noted, 15, text="The board warms up slowly near the ground pour")
    bench.do(step(PANEL, "front", "B100k", "place"), 200)
    bench.do(step(PANEL, "front", "B100k"), 320)
    bench.add(
        ev.Snagged, 60, what="a hair of solder between two lugs of J2", part="J2", minutes=12.5, fix="wick"
    )
    bench.do(step(PANEL, "front", "mono"), 400)
    bench.add(ev.Noted, 5, text="Nuts first, then solder: the jacks end up square to the panel", mark="show")
    bench.come_back("2031-02-08T14:30:00.000Z")
    bench.at(TALL, "main")
    bench.add(ev.Resumed, 20, items=("main/C5",))
    bench.add(
        ev.Substituted,
        30,
        part="C5",
        instead="22 µF, 25 V",
        why="10 µF did not come with the kit; same height",
    )
    bench.do(step(TALL, "main", "10u"), 70)
    bench.at(HOLD)
    bench.add(ev.ReadingTaken, 90, point="+12 V and 0 V", text="1k21", expect="> 200 ohm")
    bench.do(steps[f"{HOLD}|+12 V and 0 V"], 5)
    bench.add(ev.ReadingTaken, 60, point="TP1", text="4.71", expect="5 V ± 4 %")
    bench.add(ev.ReadingTaken, 45, point="TP1", text="4.73", expect="5 V ± 4 %")
    bench.add(
        ev.HoldOverridden,
        100,
        hold=HOLD,
        reason="TP1 is low because the meter's battery is; checked with a second meter",
    )
    bench.do(steps[f"{HOLD}|TP1"], 5)
    bench.do(steps[f"{HOLD}|regulators the right way round"], 30)
    bench.do(step(CHIPS, "main", "TL072", "insert"), 150)
    bench.at(TRIM)
    bench.add(ev.ReadingTaken, 300, point="Scale", text="1.004", expect="1 V per octave")
    bench.add(ev.ReadingTaken, 1500, point="Scale", text="1.0003", expect="1 V per octave")
    bench.do(steps[f"{TRIM}|Scale"], 20)
    bench.do(step(LAST, "front", "M3x11 spacer", "fit"), 240)
    bench.add(ev.Snagged, 30, what="the left oscillator drifts for its first ten minutes")
    bench.add(ev.Closed, 20)
    return bench.events


def whole_story() -> Story:
    return tell(KIT, PLAN, whole_build())


def story_of(bench: Bench) -> Story:
    return tell(KIT, PLAN, bench.events)

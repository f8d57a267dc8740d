"""Three evenings at the bench: the two-board example kit built by an invented builder, snags and all.

Used by the tests of the page and by the pictures: long enough that an article of it is worth reading.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

from bench.errors import Refused
from bench.log.clock import utc_seconds
from bench.plan.bag import bag_lines
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from tests.support.samples import HandClock

KIT = shipped_kits_folder() / "twin-board-oscillator.yaml"
EVENINGS = ("2031-02-04T18:31:00.000Z", "2031-02-06T18:55:00.000Z", "2031-02-09T13:10:00.000Z")
SECOND, THIRD = "Headers, electrolytics, regulators", "First power"
"""Stages with which the second and the third evening begin."""

READ = {
    "+12 V and 0 V": "1k84", "-12 V and 0 V": "2k31", "+12 V and -12 V": "3k9", "+5 V and 0 V": "1k07",
    "+5 V reference and 0 V": "4k6", "sleeve of J107 and 0 V": "0.2",
    "base of Q6 and 0 V": "0.3", "RT1 end to end": "1k03", "TP3": "5.02", "TP4": "4.996",
    "+12 V at each IC": "11.62", "-12 V at each IC": "-11.71", "current from +12 V, sockets empty": "7.4m",
    "current from -12 V, sockets empty": "1.2m", "current from +12 V": "31.8m", "current from -12 V": "23.1m",
    "+12 V with everything in": "11.58", "-12 V with everything in": "-11.64", "TP5": "-4.991",
    "U5 pin 3": "4.995", "U3 pin 2": "0.4m", "base of Q1": "54m", "SAW": "2.91", "TRI": "2.97", "SINE": "3.31",
    "PULSE": "4.87", "SAW, direct": "0.06", "middle of COARSE": "268 Hz",
}  # fmt: skip
PACE = {
    "solder": (14.0, 34.0), "place": (10.0, 20.0), "insert": (40.0, 30.0), "fit": (60.0, 25.0),
    "do": (140.0, 0.0), "check": (55.0, 0.0), "adjust": (420.0, 0.0),
}  # fmt: skip
"""Seconds for a step, and for each part of it."""
VOLTS = (0.0, 1.0, 2.0, 3.0, 4.0)


def evenings(data: Path, *, until: str = "", chance: int = 7, later: float = 0.0) -> Build:
    """The build in `data`, up to the stage `until` (to the end without one), closed, `later` seconds."""
    clock = HandClock(utc=(utc_seconds(EVENINGS[0]) or 0.0) + later)
    build = open_build(data, str(KIT), Settings(), clock)
    build.opened()
    at_work = Evenings(build, clock, random.Random(chance), later)
    at_work.work(until)
    at_work.build.close()
    return at_work.build


class Evenings:
    """Somebody at work."""

    def __init__(self, build: Build, clock: HandClock, chance: random.Random, later: float) -> None:
        self.build, self.clock, self.chance, self._later = build, clock, chance, later
        self._begun = {SECOND: EVENINGS[1], THIRD: EVENINGS[2]}

    def work(self, until: str) -> None:
        """Step by step, with what happens on the way."""
        happens = self._happens()
        for _ in range(2_000):
            step = self.build.next_step
            if step is None or step.stage == until:
                return
            if step.stage in self._begun:
                self._next_evening(self._begun.pop(step.stage))
            first, each = PACE[step.action]
            self.clock.work((first + each * max(1, len(step.refs))) * self.chance.uniform(0.6, 1.5))
            if self.build.timer.gap():
                self.build.settle_gap(worked=True)
            key = step.stage, step.board, step.value
            happen = happens.pop(key, None) or happens.pop((step.stage, "", step.value), None)
            if happen:
                happen()
            if self.build.next_step is step:
                self._do(step)
        raise AssertionError("the build does not end")

    def _next_evening(self, at: str) -> None:
        self.clock.work(40)
        self.build.close()
        data, folder = self.build.log.folder.parent.parent, self.build.log.folder
        self.clock.sleep((utc_seconds(at) or 0.0) + self._later - self.clock.utc)
        self.build = open_build(data, folder.name, Settings(), self.clock)
        self.build.opened()

    def _do(self, step: Step) -> None:
        if step.action == "check" and step.expect and step.value in READ:
            self.build.reading(READ[step.value])
        try:
            self.build.done()
        except Refused:
            self.build.override_hold("it stands in the middle of the window; the meter is no better than this")
            self.build.done()
        place = self.build.view().count_for
        if place is not None:
            self.clock.work(70)
            short = 3 if place == ("Parts that lie flat", "main") else 0
            self.build.count_joints(self.build.joints_waiting - short)

    # -- what happens on the way ----------------------------------------------------------------
    def _happens(self) -> dict[tuple[str, str, str], Callable[[], object]]:
        flat, small, tall = "Parts that lie flat", "Small capacitors and crystals", SECOND
        upright = "Upright resistors, transistors, trimmers"
        return {
            ("Bag check", "", "Count the parts against the list"): self._bag,
            (flat, "main", "10k"): lambda: self.build.note(
                "R32 and R33 share a pad on rev. B: bend both leads first"
            ),
            (flat, "main", "49k9"): self._wrong_value,
            (flat, "main", "1N5819"): lambda: self._snag(
                "D2 sat the wrong way round: the two point opposite ways", "D2", 6, "turned it round"
            ),
            (flat, "control", "1k"): self._break,
            (flat, "control", "BAT85"): lambda: self.build.erratum(
                "The photo of the control board on the first page shows rev. A, without D101"
            ),
            ("Sockets and soldered ICs", "main", "DIP-14"): lambda: self.build.note(
                "Tack two corners, look along the edge, press flat while it is warm, then the other twelve",
                "tip",
            ),
            (small, "main", "100p"): lambda: self._snag(
                "C11 came off the wrong strip: a 1n in place of 100p, 102 for 101",
                "C11",
                14,
                "wick, and the right value in",
            ),
            (upright, "main", "1k"): lambda: self.build.note(
                "The tempco resistor goes on top of Q1 and Q2", "show"
            ),
            (upright, "main", "J111"): lambda: self._snag(
                "pad of Q3 lifted on the component side",
                "Q3",
                22.5,
                "jumper from the leg to R14 on the other side",
            ),
            (tall, "main", "22u"): self._hold_can,
            ("Last look", "main", "Look for bridges and clipped leads"): lambda: self._snag(
                "a hair of solder between pins 4 and 5 of U6", "U6", 5, "wick"
            ),
            ("Before power", "", "ICs out of their sockets"): self._cans,
            ("First power", "", "TP3"): lambda: self.build.note("Rails up at the first try", "show"),
            ("Does it work", "", "SINE"): self._search,
            ("Trim", "", "Scale"): self._track,
            ("Trim", "", "Sine"): lambda: self.build.note(
                "Trim by ear against TRI: the sine is right where it sounds dullest", "tip"
            ),
        }

    def _snag(self, what: str, part: str, minutes: float, fix: str) -> None:
        self.clock.work(45)
        self.build.snag(what, part)
        self.clock.work(minutes * 45)
        if self.build.timer.gap():
            self.build.settle_gap(worked=True)
        self.build.mend(self.build.progress.snags[-1].n, fix, minutes)

    def _bag(self) -> None:
        for line in bag_lines(self.build.kit):
            self.clock.work(9)
            short = 1 if line.value == "22u" else 0
            self.build.count_bag(line, len(line.items) - short)
        line = next(each for each in bag_lines(self.build.kit) if each.value == "49k9")
        self.build.measured(line, "49k7", "within 1 % of 49.9 kohm")

    def _wrong_value(self) -> None:
        self._snag(
            "R11 got 499k, which belongs to R12: red and orange look alike under the lamp",
            "R11",
            9,
            "wick, swapped",
        )
        self.build.note("Measure R11 and R12 before they go in: 49k9 and 499k differ in one band", "tip")

    def _break(self) -> None:
        self.build.break_begin()
        self.clock.work(26 * 60)
        self.build.break_end()

    def _hold_can(self) -> None:
        self.build.hold_back("one 22u was missing from the bag")

    def _cans(self) -> None:
        self.build.take_up()
        self.build.substitute(
            "C1 C2", "47u, 25 V, same height", "only one 22u in the bag; two equal ones are better"
        )
        self.clock.work(150)
        self.build.done()

    def _search(self) -> None:
        symptom = "SINE: nothing at the jack"
        self.clock.work(240)
        for suspicion, found, said in (
            ("Power at U6", False, ""),
            ("Joints of U6", False, "all fourteen shine"),
            ("Bridge at J104", True, "tip and sleeve of the jack joined by a blob"),
        ):
            self.clock.work(150)
            self.build.settle_suspicion(suspicion, found=found, said=said, symptom=symptom)
        self._snag("no SINE: a blob of solder across two lugs of J104", "J104", 11, "wick")

    def _track(self) -> None:
        def points(stretch: float, bow: float) -> tuple[tuple[float, float], ...]:
            return tuple((v, round(130.8 * 2 ** (v + (stretch * v + bow * v * v) / 1200), 2)) for v in VOLTS)

        passes: tuple[tuple[float, float, tuple[tuple[str, float], ...]], ...] = (
            (-11.0, -0.4, ()), (-3.2, -0.5, (("RV1", 1.0),)), (0.9, -0.3, (("RV1", 0.5),)),
            (0.1, -0.06, (("RV1", -0.1), ("RV4", 0.75))),
        )  # fmt: skip
        for stretch, bow, turned in passes:
            self.clock.work(390)
            self.build.tracking_pass("Scale", points(stretch, bow), turned)

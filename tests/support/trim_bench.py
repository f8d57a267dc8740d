"""A kit whose trims are made by passes over the octaves and by readings, and a build of it, for tests."""

from __future__ import annotations

from pathlib import Path

from msgspec.structs import replace

from bench.errors import Refused
from bench.kit.kit import Kit, Trim
from bench.kit.load import parse_kit
from bench.log.events import PassMeasured
from bench.log.file import LogFile
from bench.measure.tuning.learn import Turn
from bench.measure.tuning.points import Point
from bench.plan.stages import make_plan
from bench.session.build import Build
from tests.support.plans import LOW
from tests.support.samples import HandClock

KIT_TEXT = """\
kit: 1
name: Hill tone
maker: Lantern Yard Workshop
boards:
  - name: main
    parts:
      - {refs: RV1 RV2 RV3 RV4, value: 10k, kind: trimmer}
      - {refs: RT1, value: 1k, kind: thermistor, note: 3300 ppm per kelvin}
trims:
  - {name: Scale, kind: volts per octave, trimmer: RV1,
     target: "an octave a volt, to 1.8 cents, from 65.4064 Hz at 0 V"}
  - {name: Tune, trimmer: RV2, target: 65.41 Hz at 0 V}
  - {name: Reference, trimmer: RV3, turns: 25, clockwise: raises, target: 5 V ± 0.2 %}
  - {name: Shape, trimmer: RV4, target: the sound at its softest}
"""
"""The wanted pitch is C2 of equal temperament (ISO 16: A4 = 440 Hz), 33 semitones below A4."""
KIT = parse_kit(KIT_TEXT.encode(), "hill.yaml")


def kit_with(*trims: Trim) -> Kit:
    """The same kit with other trims."""
    return replace(KIT, trims=trims)


def trim_build(folder: Path, kit: Kit = KIT, *, to_trims: bool = False, read_only: bool = False) -> Build:
    """A build of the kit at its first step, or with every step before the trims done."""
    plan = make_plan(kit, LOW)
    build = Build(kit, plan, LogFile(folder, read_only=read_only), HandClock())
    while to_trims and (step := build.next_step) is not None and step.action != "adjust":
        try:
            build.done()
        except Refused:
            build.override_hold("a test has no meter")
    return build


def pass_of(
    points: list[Point], trim: str = "Scale", turned: tuple[Turn, ...] = (), n: int = 1
) -> PassMeasured:
    """A pass as it stands in the log."""
    return PassMeasured(
        n=n,
        at="2031-02-03T18:20:05.120Z",
        mono=0.0,
        run="a",
        trim=trim,
        points=tuple((point.volts, point.hertz) for point in points),
        turned=tuple((turn.trimmer, turn.turns) for turn in turned),
    )

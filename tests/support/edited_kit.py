"""A small kit that is built and then edited."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from tests.support.samples import HandClock

KIT = """\
kit: 1
name: Ember lamp
maker: Lantern Yard Workshop
revision: A
supply: {"+12 V": 38 mA}
sections: [power, core]
boards:
  - name: main
    size: [60, 40]
    parts:
      - {refs: R1-R4, value: 47R, tolerance: 5 %, section: core}
      - {refs: R5, value: 1k, section: core, at: [10, 10]}
      - {refs: R7, value: 47k, section: core}
      - {refs: R8, value: 22k, section: core, side: front}
      - {refs: C1, value: 10u, voltage: 25 V, kind: electrolytic capacitor, section: power}
      - {refs: C2, value: 100n, kind: film capacitor, package: radial 5 mm, marking: "104", section: power}
      - {refs: Q1, value: BC547, kind: transistor, section: core}
      - {refs: U1, value: TL072, kind: IC, socket: DIP-8, section: core}
      - {refs: U2, value: LM311, kind: IC, section: core}
      - {value: M3 screw, kind: screw, quantity: 4, section: core}
  - name: front
    parts:
      - {refs: R1, value: 100k, section: core}
      - {refs: D1, value: red 5 mm, kind: LED, section: core}
      - {refs: J1, value: 3.5 mm mono, kind: jack socket, joints: 3, section: core}
hold_points:
  - name: Before power
    checks:
      - {between: "+12 V and 0 V", expect: "> 200 ohm"}
      - {look: diodes the right way round}
trims:
  - {name: Glow, target: 5 V ± 2 %}
notes: [count first]
"""
R7 = ("{refs: R7, value: 47k", "{refs: R7, value: 470R")
"""An edit of one value."""


def put(folder: Path, *edits: tuple[str, str], base: str = KIT) -> Path:
    text = base
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    path = folder / "ember.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def opened(folder: Path, named: Path | str | None = None, **how: Any) -> Build:
    return open_build(folder / "data", str(named or folder / "ember.yaml"), Settings(), HandClock(), **how)


def to_the_end(build: Build) -> None:
    while build.next_step is not None:
        view = build.view()
        if view.wants_reading and "ohm" in (view.step.expect if view.step else ""):
            build.reading("4k7")
        if build.view().wants_reading:
            build.override_hold("measured elsewhere")
        build.done()


def built(folder: Path, base: str = KIT) -> None:
    """The whole kit is built, by the kit as it is in `base`."""
    put(folder, base=base)
    build = opened(folder)
    to_the_end(build)
    assert build.view().finished
    build.close()


def open_items(build: Build) -> set[str]:
    return {item for step in build.plan.steps for item in step.items} - build.progress.done

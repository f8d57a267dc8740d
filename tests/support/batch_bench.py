"""Small kits in files, and builds of them, for tests of a batch."""

from __future__ import annotations

from pathlib import Path

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from tests.support.samples import HandClock

KIT = """\
kit: 1
name: {name}
revision: A
panel: {{width: {width} HP, depth: 30 mm}}
supply: {{"+12 V": {current} mA}}
{more}boards:
  - name: main
    parts:
{lines}
hold_points:
  - name: Before power
    checks:
      - {{between: "+12 V and 0 V", expect: "> 200 ohm"}}
"""


def kit_file(
    folder: Path, name: str, *, resistors: int = 3, width: int = 8, current: int = 10, more: str = ""
) -> Path:
    """A kit file of so many resistors."""
    lines = f"      - {{refs: R1-R{resistors}, value: 4k7, kind: resistor, mount: flat}}\n"
    lines += '      - {refs: J1, value: 2x5, kind: box header, joints: 10, nets: ["+12 V"]}'
    path = folder / f"{name.lower().replace(' ', '-')}.yaml"
    path.write_text(
        KIT.format(name=name, width=width, current=current, more=more, lines=lines), encoding="utf-8"
    )
    return path


def three_kits(folder: Path) -> list[Path]:
    """A small kit that needs power and gives audio, a larger that gives power, a large one that needs both."""
    return [
        kit_file(folder, "Voice", resistors=3, more="gives: [audio]\nneeds: [power]\n"),
        kit_file(folder, "Supply", resistors=30, width=6, more="gives: [power]\n"),
        kit_file(folder, "Filter", resistors=60, width=10, current=50, more="needs: [audio, power]\n"),
    ]


def work(data: Path, kit: Path, until: str, *, reading: tuple[str, str] | None = None) -> Build:
    """A build of a kit, done up to the first step of this headline or value, and closed.

    `reading` is (place, text): it is recorded at the step with that headline.
    """
    clock = HandClock()
    build = open_build(data, str(kit), Settings(), clock)
    build.opened()
    while (step := build.next_step) is not None and step.value != until:
        clock.work(30)
        if reading and step.value == reading[0]:
            build.reading(reading[1])
        if build.view().wants_reading:
            build.override_hold("only a test")
        build.done()
    build.close()
    return build

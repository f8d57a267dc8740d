"""The bench in plain lines, talked with by tests."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder

KIT = shipped_kits_folder() / "first-evening-metronome.yaml"
LARGE = shipped_kits_folder() / "twin-board-oscillator.yaml"


def opened(folder: Path, kit: Path = KIT) -> Build:
    return open_build(folder, str(kit), Settings(), SystemClock())


def talk(build: Build, lines: Iterable[str]) -> list[str]:
    """What is said while these lines are typed, one after the other."""
    typed, said = iter(lines), list[str]()

    def read(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(), read, said.append).run()
    return said


def on_to(build: Build, part: str) -> None:
    """Do steps until a word stands in the value of the step at work."""
    while build.next_step and part not in build.next_step.value:
        build.done()

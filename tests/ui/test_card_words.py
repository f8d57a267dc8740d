"""What the card calls things: how many, a label of the panel, what a part is mistaken for and where that is."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.plain.spoken import step_lines
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings
from bench.ui.card import card_of
from tests.support.kit_files import small


def opened(folder: Path, *parts: str) -> Build:
    kit = folder / "my.yaml"
    kit.write_text(small(*parts))
    return open_build(folder, str(kit), Settings(), SystemClock())


def on_to(build: Build, value: str) -> str:
    """What the card says in words at the first step with this value."""
    while (step := build.next_step) is not None and not (step.value == value and step.kind):
        build.done()
    return "\n".join(step_lines(build.view()))


def test_hardware_says_how_many_and_how_many_are_left(tmp_path: Path) -> None:
    build = opened(tmp_path, "{refs: R1, value: 1k}", "{value: M3x10 spacer, kind: spacer, quantity: 4}",
                   "{value: M3 screw, kind: screw, quantity: 1}")  # fmt: skip
    assert "4 x M3x10 spacer" in on_to(build, "M3x10 spacer")
    build.done(1)
    assert "3 x M3x10 spacer" in "\n".join(step_lines(build.view()))
    assert " x M3 screw" not in on_to(build, "M3 screw")
    build.close()


def test_the_next_line_says_how_many_too(tmp_path: Path) -> None:
    build = opened(tmp_path, "{refs: R1, value: 1k}", "{value: M3 screw, kind: screw, quantity: 3}",
                   "{value: M3x10 spacer, kind: spacer, quantity: 4}")  # fmt: skip
    words = on_to(build, "M3x10 spacer") + on_to(build, "M3 screw")
    assert "Next: 3 x M3 screw" in words or "Next: 4 x M3x10 spacer" in words
    build.close()


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("FREQ", "On the panel: FREQ"),
        ("OCTAVE: up, middle, down", "On the panel: OCTAVE: up, middle, down"),
        ("CHARGED + and CHARGED -", "On the panel: CHARGED + and CHARGED -"),
        ("bend the lugs first", "bend the lugs first"),
        ("Long thread to the front", "Long thread to the front"),
    ],
)
def test_a_label_of_the_panel_is_called_one(tmp_path: Path, note: str, said: str) -> None:
    pot = f'{{refs: RV1, value: B10k, kind: potentiometer, note: "{note}"}}'
    build = opened(tmp_path, "{refs: R1, value: 1k}", pot)
    words = on_to(build, "B10k")
    assert said in words
    assert ("On the panel" in words) == said.startswith("On the panel")
    build.close()


def test_a_look_alike_that_is_in_is_not_still_to_come(tmp_path: Path) -> None:
    build = opened(
        tmp_path,
        "{refs: R1, value: 1k}",
        "{refs: RV2, value: B10k, kind: potentiometer}",
        "{refs: RV3, value: B1k, kind: potentiometer}",
    )
    while (step := build.next_step) is not None and step.action != "place":
        build.done()
    first = "\n".join(step_lines(build.view()))
    assert "(still to come)" in first
    build.done()
    second = "\n".join(step_lines(build.view()))
    assert "(in already)" in second
    assert "still to come" not in second
    build.close()


def test_one_value_of_two_kinds_is_warned_of(tmp_path: Path) -> None:
    build = opened(
        tmp_path,
        "{refs: C1, value: 10n, kind: ceramic capacitor}",
        "{refs: C2, value: 10n, kind: film capacitor}",
        "{refs: C3, value: 10n, kind: ceramic capacitor}",
    )
    assert "Look-alike: not 10n film capacitor C2" in on_to(build, "10n")
    build.done()
    assert "Look-alike: not 10n ceramic capacitor C1, C3 (in already)" in on_to(build, "10n")
    build.close()


def test_look_alikes_that_have_no_room_for_a_reason_are_named(tmp_path: Path) -> None:
    values = ("1k", "10k", "100k", "1M", "100R")
    build = opened(tmp_path, *(f"{{refs: R{n}, value: {value}}}" for n, value in enumerate(values, 1)))
    words = on_to(build, "1k")
    assert "also not 100k R3, 1M R4: measure before fitting" in words
    build.close()


@pytest.mark.parametrize(("package", "said"), [("0805", "0805, surface-mount"), ("0207", "0207, lying flat")])
def test_a_part_without_legs_is_not_said_to_lie_flat(tmp_path: Path, package: str, said: str) -> None:
    build = opened(tmp_path, f"{{refs: R1, value: 1k, kind: resistor, package: '{package}'}}")
    on_to(build, "1k")
    card = " ".join(text for row in card_of(build.view(), 80, 24).rows for text, _ in row)
    assert said in card
    build.close()

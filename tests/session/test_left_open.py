"""What was found on the way and is not settled is told before power and at the end."""

from __future__ import annotations

from pathlib import Path

from bench.plain.spoken import step_lines
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.ui.card import card_of
from tests.support.samples import HandClock

KIT = shipped_kits_folder() / "first-evening-metronome.yaml"


def _card(build: Build, size: tuple[int, int] = (80, 22)) -> str:
    return " ".join(text.strip() for row in card_of(build.view(), *size).rows for text, _ in row)


def test_an_open_snag_and_a_count_that_is_off_are_told_as_a_hold_point_begins_and_at_the_end(
    tmp_path: Path,
) -> None:
    build = open_build(tmp_path, str(KIT), Settings(), HandClock())
    build.snag("lifted pad", "R7")
    off, told = "", []
    while (step := build.next_step) is not None:
        view = build.view()
        hold = view.stage is not None and view.stage.hold
        first = hold and view.step_number == 1
        assert bool(view.left_open) is bool(first)
        if first:
            told.append(step.stage)
            assert "Still open: snag R7 lifted pad" in _card(build)
            assert off in _card(build)
            assert any("Still open: snag R7 lifted pad" in line for line in step_lines(view))
        if view.wants_reading:
            build.override_hold("tried elsewhere")
        build.done()
        if build.count_for and not off:
            expected, _ = build.count_joints(1)
            off = f"1 counted, {expected} expected"
    assert told == ["Before power", "First power", "Power with everything in", "Does it work"]
    assert off
    assert off in _card(build)
    assert "Still open: snag R7 lifted pad" in _card(build)
    build.mend(build.progress.snags[0].n, "a wire from R7 to R5")
    assert "lifted pad" not in _card(build)

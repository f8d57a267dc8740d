"""Tasks that one press ticks: harmless neighbours, never what hurts, turns or is the author's own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bench.log import events as ev
from bench.plan.plan import Step
from bench.session.at_once import MOST, MOST_BY_EYE, harmless, to_be_read
from bench.session.build import Build
from bench.session.folders import open_build
from bench.session.press import press_done
from bench.settings import Settings, shipped_kits_folder
from bench.ui.card import card_of
from tests.support.samples import HandClock

KITS = sorted(path.stem for path in shipped_kits_folder().glob("*.yaml"))


def opened(folder: Path, kit: str = "first-evening-metronome") -> Build:
    build = open_build(folder, str(shipped_kits_folder() / f"{kit}.yaml"), Settings(), HandClock())
    build.opened()
    return build


def task(value: str, detail: str = "", **more: object) -> Step:
    fields: dict[str, object] = {"key": value, "stage": "s", "board": "", "action": "do", "items": (value,)}
    return Step(value=value, detail=detail, **(fields | more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "step",
    [
        task("Discharge the capacitors"),
        task("Unplug it"),
        task("Wash off the flux", "Brush and solvent."),
        task("Let the glue dry", "30 minutes"),
        task("Mark the errata", own=True),
        task("Read the guide", cautions=("The author warns of this.",), caution_sorts=("own",)),
        task("Switch on"),
        task("Connect the supply"),
        task("Measure", action="check", expect="> 10 kohm"),
        task("Look under it", "Unplugged and discharged.", action="check"),
        task("10k", kind="resistor", action="solder"),
    ],
    ids=lambda step: step.value,
)
def test_what_hurts_waits_or_is_the_authors_own_stands_alone(step: Step) -> None:
    assert not harmless(step)


@pytest.mark.parametrize("kit", KITS)
def test_in_the_shipped_kits_only_harmless_tasks_are_ticked_together(kit: str, tmp_path: Path) -> None:
    build = opened(tmp_path, kit)
    together = 0
    while build.next_step is not None:
        view = build.view()
        if view.at_once:
            assert view.step is not None
            steps = (view.step, *view.at_once)
            together += 1
            assert len(steps) <= (MOST_BY_EYE if view.step.action == "check" else MOST)
            assert len({step.stage for step in steps}) == 1
            assert view.stage is not None
            assert all(step.action == ("check" if view.stage.hold else "do") for step in steps)
            assert not any(step.expect for step in steps)
            said = " ".join(f"{step.value} {step.detail} {' '.join(step.cautions)}" for step in steps)
            assert not re.search(r"\bmains|solvent|discharge|kills", said, re.IGNORECASE)
            card = card_of(view, 38, 10)
            assert not to_be_read(steps) or card.must >= len(card.rows) - 2  # but for what comes next
            told = " ".join("".join(text for text, _ in row) for row in card_of(view, 60, 8).rows)
            for step in steps:
                assert set(step.value.split()) <= set(told.split())
                assert set(step.detail.split()) <= set(told.split())
        if view.danger:
            build.own_danger("a test")
        if view.wants_reading or view.limit_fault:
            build.override_hold("a test")
        build.done()
    assert together


@pytest.mark.parametrize(
    "step",
    [
        task("Look at the other side", "Each stripe, notch and flat side matches."),
        task("Check which way round the diodes are"),
        task("diodes", "Each band against the print.", action="check"),
        task("it ticks", action="check"),
    ],
    ids=lambda step: step.value,
)
def test_checks_and_which_way_round_are_ticked_together_only_once_all_of_it_was_seen(step: Step) -> None:
    assert harmless(step)
    assert to_be_read((task("Get the tools ready"), step))
    assert not to_be_read((task("Get the tools ready"),))


def test_one_press_ticks_them_and_one_undo_takes_them_back(tmp_path: Path) -> None:
    build = opened(tmp_path)
    build.done()
    tasks = (build.next_step, *build.view().at_once)
    assert len(tasks) == 3
    press_done(build)
    made = [each.value for each in build.events if isinstance(each, ev.Done)]
    assert made[-3:] == [each.value for each in tasks if each]
    assert build.undo() == "Get the tools ready and 2 more"
    assert build.next_step is tasks[0]
    press_done(build)
    build.done()
    build.undo()
    assert build.undo().endswith("and 2 more")


def test_the_first_alone_is_ticked_by_its_own_key_and_the_rest_waits(tmp_path: Path) -> None:
    build = opened(tmp_path)
    build.done()
    left = build.view().at_once
    build.done(1)
    assert (build.next_step, *build.view().at_once) == left

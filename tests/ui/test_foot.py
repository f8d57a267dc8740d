"""The foot line begins with the keys that the step on screen wants."""

from __future__ import annotations

from pathlib import Path

from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.ui.commands import Keymap
from bench.ui.foot import foot_of, idle_at, wanted_of
from tests.support.samples import HandClock


def test_each_moment_of_a_build_puts_its_own_keys_first(tmp_path: Path) -> None:
    kit = shipped_kits_folder() / "twin-board-oscillator.yaml"
    build = open_build(tmp_path, str(kit), Settings(), HandClock())
    keymap = Keymap()

    def first(many: int = 1) -> list[str]:
        return [key for key, _ in foot_of(keymap, wanted_of(build.view()))[:many]]

    while (step := build.next_step) is not None and "Count the parts" not in step.value:
        build.done()
    assert first(2) == ["c", "space"]
    while (step := build.next_step) is not None and len(step.refs) < 2:
        build.done()
    assert first(2) == ["space", "."]
    build.break_begin()
    assert first() == ["b"]
    build.break_end()
    while not build.view().wants_reading:
        build.done()
    assert ("space", "type a reading") in foot_of(keymap, wanted_of(build.view()))
    build.reading("1 ohm")
    assert {"f", "g"} <= set(first(4))
    while (step := build.next_step) is not None and step.action != "adjust":
        if build.view().wants_reading:
            build.override_hold("tried elsewhere")
        build.done()
    assert "a" in first(2)
    assert "j" in [key for key, _ in foot_of(keymap, wanted_of(build.view(), miscounted=True))[:2]]
    keys = [key for key, _ in foot_of(keymap, wanted_of(build.view()))]
    assert len(keys) == len(set(keys))
    while (step := build.next_step) is not None:
        build.done()
    assert first() == ["o"]
    over = [key for key, _ in foot_of(keymap, wanted_of(build.view()), idle_at(build.view()))]
    assert {"o", "u", "n", "k"} <= set(over)
    assert not {"space", "h", ".", "r", "b", "-"} & set(over), "nothing is left that these are for"
    build.close()

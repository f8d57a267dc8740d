"""What the article says of the bag and of look-alikes is what the log holds."""

from __future__ import annotations

from pathlib import Path

from bench.plan.bag import bag_lines
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.ui.reading_forms import judged_ahead
from bench.writeup.publish import page_of
from tests.support.samples import HandClock


def test_a_wrong_part_in_the_bag_and_one_too_many_are_not_told_as_nothing(tmp_path: Path) -> None:
    kit = shipped_kits_folder() / "first-evening-metronome.yaml"
    build = open_build(tmp_path, str(kit), Settings(), HandClock())
    lines = {line.value: line for line in bag_lines(build.kit) if line.kind == "resistor"}
    for line in lines.values():
        build.count_bag(line, len(line.items) + 2 * (line.value == "2k2"))
    judged_ahead(build, lines["47R"], "47k")
    while build.next_step is not None and build.next_step.value != "47k":
        build.done()
    build.done()
    page = page_of(build)
    assert "| R3 (2k2) | 1 | 3 |" in page
    assert "By the meter another part was in the bag for 47R." in page
    assert "The meter found another part in hand for 47R." in page

"""One count of parts for one kit, wherever it is said."""

from __future__ import annotations

import html
from pathlib import Path

import pytest

from bench.batch.shelf import kits_at_hand
from bench.cli import main
from bench.kit.counts import PartCount, boards_to_solder, count_kit
from bench.kit.load import load_kit, parse_kit
from bench.log.progress import Progress
from bench.plan.bag import bag_lines
from bench.plan.plan import PART_ACTIONS
from bench.plan.stages import make_plan
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.ui.shelf_card import about_kit, thing_line
from bench.writeup.help_request import help_request
from bench.writeup.sections import parts_placed
from bench.writeup.sheets.publish import job_for, page
from bench.writeup.sheets.stages import stage_sheet
from bench.writeup.story import tell
from tests.support.kit_files import small
from tests.support.plans import LOW, SHIPPED

KITS = sorted(shipped_kits_folder().glob("*.yaml"))


@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.stem)
def test_every_place_says_the_same_count(kit: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    loaded = load_kit(kit)
    count = count_kit(loaded)
    for name in ("low-to-high", "signal-flow"):
        plan = make_plan(loaded, SHIPPED[name])
        placed = [item for step in plan.steps if step.action in PART_ACTIONS for item in step.items]
        assert len(placed) == len(set(placed)) == plan.count.total == count.total
        assert (plan.count, plan.joints) == (count, count.joints)
        assert sum(len(line.items) for line in bag_lines(loaded)) == count.total
        assert stage_sheet(loaded, plan).parts == count.words()
        assert count.words() in help_request(loaded, plan, Progress())
        story = tell(loaded, plan, ())
        assert (story.parts_planned, story.kit_count) == (count.total, count.words())
    assert main(["check", str(kit), "--data", str(tmp_path)]) in (0, 1)
    assert main(["plan", str(kit), "--data", str(tmp_path)]) == 0
    assert capsys.readouterr().out.count(count.words()) == 2
    at_hand = next(each for each in kits_at_hand([kit.parent]) if Path(each.path).name == kit.name)
    assert any(count.words() in text for text, _ in about_kit(at_hand))
    assert f" {count.total} " in "".join(text for text, _ in thing_line(at_hand, 20, 120)[0])


def test_the_kinds_of_parts_are_told_apart() -> None:
    text = small(
        "{refs: R1-R3, value: 1k}",
        "{refs: U1, value: TL072, socket: DIP-8}",
        "{value: M3 nut, kind: nut, quantity: 4}",
        "{refs: V1, value: ECC83, socket: 9 pins}",
        "{refs: XU2, value: DIP-8}",
    )
    count = count_kit(parse_kit(text.encode(), "my.yaml"))
    assert (count.solder, count.plug, count.sockets, count.hardware) == (3, 2, 3, 4)
    assert count.words() == "12 parts: 3 to solder, 2 to plug in, 3 sockets, 4 pieces of hardware"


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (PartCount(), "no parts"),
        (PartCount(solder=1), "1 part to solder"),
        (PartCount(solder=9), "9 parts to solder"),
        (PartCount(hardware=1), "1 part: 1 piece of hardware"),
        (PartCount(solder=2, sockets=1, plug=1), "4 parts: 2 to solder, 1 to plug in, 1 socket"),
    ],
)
def test_singular_and_plural(count: PartCount, said: str) -> None:
    assert count.words() == said


def test_the_printed_sheet_and_the_article_say_it_too(tmp_path: Path) -> None:
    build = open_build(tmp_path, str(KITS[2]), Settings(), SystemClock())
    said = count_kit(build.kit).words()
    job = job_for(build, LOW, Settings())
    assert html.escape(said) in page([job], "stages")
    while not build.progress.joints:
        build.done()
    story = tell(build.kit, build.plan, build.events)
    assert any(said in str(block) for block in parts_placed(story))
    build.close()


def test_a_list_of_what_hangs_on_wires_is_no_board_to_solder() -> None:
    wired = "  - name: case\n    parts:\n      - {refs: J1, kind: jack socket, mount: chassis, joints: 3}\n"
    printed = wired.replace("case", "front").replace("mount: chassis", "at: [1, 2], mount: panel")
    made = parse_kit((small("{refs: R1, value: 1k, kind: resistor}") + wired + printed).encode(), "my.yaml")
    assert [board.name for board in boards_to_solder(made)] == ["main", "front"]

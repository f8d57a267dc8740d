"""The text that asks for help, the shortage list, and what the article tells of looking for faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import Refused, SoldersideError
from bench.kit.load import load_kit
from bench.plan.bag import bag_lines
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.help_request import help_request
from bench.writeup.maker_texts import help_text, publish_help_request, publish_shortage
from bench.writeup.publish import page_of, story_of
from tests.support.samples import HandClock
from tests.support.screens import HOSTILE

KIT = Path(__file__).parents[2] / "kits" / "twin-board-oscillator.yaml"


def make_build(folder: Path, clock: HandClock) -> Build:
    """A build of the oscillator with something of everything in its log."""
    build = open_build(folder.parent.parent, str(KIT), Settings(), clock)
    build.opened()
    lines = {line.value: line for line in bag_lines(build.kit)}
    build.count_bag(lines["J111"], 0)
    build.substitute("Q3", "2N5457", "none in the bag", lines["J111"].items)
    for _ in range(3):
        build.done()
    build.hold_back("too dark today")
    build.erratum("R9 is printed R6 on the control board")
    build.snag("bridge at U3", "U3", 5, "wick")
    build.snag("C5 wobbles")
    step = next(step for step in build.plan.steps if step.value == "TP4")
    build.reading_at(step, "4.62")
    build.reading_at(next(step for step in build.plan.steps if step.value == "TP3"), "5.01")
    words = "TP4: 4.62 where 5 V ± 1 % is expected"
    build.settle_suspicion("supply and cable", found=False, symptom=words)
    build.settle_suspicion("a cold or cracked joint", found=True, said="leg 2 of U2 was dry", symptom=words)
    return build


def section(text: str, title: str) -> str:
    """What stands under a title."""
    assert f"\n{title}:\n" in text
    return text.split(f"\n{title}:\n")[1].split("\n\n")[0]


def test_everything_that_those_who_answer_ask_for_is_in_it(build: Build) -> None:
    text = help_text(build, "TRI is too quiet")
    assert text.startswith("Asking for help: Twin-board oscillator rev. B\n")
    assert section(text, "What is wrong") == "- TRI is too quiet"
    module = section(text, "The module")
    for fact in ("Lantern Yard Workshop", "revision: B", "+12 V 31 mA", "procedure: low to high"):
        assert fact in module
    assert "held back:" in section(text, "How far it is")
    assert "too dark today" in section(text, "How far it is")
    assert section(text, "Substituted parts") == "- 2N5457 for Q3 (none in the bag)"
    assert section(text, "Missing from the bag") == "- J111 JFET (Q3): 0 of 1 in the bag"
    errata = section(text, "Errata").splitlines()
    assert len(errata) == len(build.kit.errata) + 1
    assert errata[-1] == "- found while building: R9 is printed R6 on the control board"
    assert section(text, "Snags").splitlines() == [
        "- C5 wobbles. STILL OPEN",
        "- bridge at U3. Fixed: wick",
    ]
    assert "main, both sides" in section(text, "Photos to add")


def test_every_reading_stands_in_it_with_what_was_expected_and_the_verdict(build: Build) -> None:
    head, first, second = section(help_text(build), "Readings").splitlines()
    assert head.split() == ["where", "expected", "reading", "verdict", "stage"]
    assert first.split() == ["TP4", "5", "V", "±", "1", "%", "4.62", "V", "OUT", "First", "power"]
    assert second.split() == ["TP3", "4.6..5.4", "V", "5.01", "V", "in", "First", "power"]
    assert first.index("OUT") == second.index("in")


def test_what_was_tried_stands_under_its_symptom_and_the_last_one_is_what_is_wrong(build: Build) -> None:
    text = help_text(build)
    assert section(text, "What is wrong") == "- TP4: 4.62 where 5 V ± 1 % is expected"
    assert section(text, "What was tried").splitlines() == [
        "  TP4: 4.62 where 5 V ± 1 % is expected:",
        "- fine: supply and cable",
        "- CAUSE: a cold or cracked joint: leg 2 of U2 was dry",
    ]


def test_what_did_not_match_and_what_was_passed_over_is_owned_up_to(build: Build) -> None:
    while not build.view().count_for:
        build.done()
    place = build.view().count_for
    (expected,) = (stage.joints for stage in build.plan.stages if stage.key == place)
    build.count_joints(1)
    while not (build.next_step and build.next_step.action == "check"):
        build.done()
    check = build.next_step.value
    build.override_hold("no time")
    build.tracking_pass("Scale", ((0.0, 130.8), (1.0, 261.0)), (("RV1", 0.5),))
    text = help_text(build)
    (count,) = section(text, "Joint counts that did not match").splitlines()
    assert count.startswith("- Parts that lie flat, main board: 1 counted, ")
    assert int(count.split()[-2]) == expected
    assert section(text, "Hold points overridden (reason given)") == f"- Before power, {check}: no time"
    assert section(text, "Tracking") == "- Scale: 0 V 130.8 Hz, 1 V 261 Hz (after RV1 +0.5 turns)"


def test_a_bag_that_was_counted_and_complete_is_told_so(tmp_path: Path) -> None:
    build = open_build(tmp_path, str(KIT), Settings(), HandClock())
    line = bag_lines(build.kit)[0]
    build.count_bag(line, len(line.items))
    assert section(help_text(build), "Missing from the bag") == "- nothing was missing from what was counted"


def test_a_build_with_nothing_in_its_log_gives_a_text_too(tmp_path: Path) -> None:
    build = open_build(tmp_path, str(KIT), Settings(), HandClock())
    text = help_text(build)
    assert "in a sentence" in section(text, "What is wrong")
    assert "Readings:" not in text
    assert "0 of 358 joints soldered" in text


@pytest.mark.parametrize("words", HOSTILE)
def test_peoples_words_stay_on_one_line_and_steer_nothing(build: Build, words: str) -> None:
    before = help_text(build).count("\n")
    build.substitute(words, words, words)
    build.erratum(f"x{words}")
    build.snag(f"x{words}", words)
    build.settle_suspicion("a bridge or a clipping", found=True, said=words, symptom="TP4: 4.62")
    text = help_text(build, f"it {words}")
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert text.count("\n") == before + 5
    page = page_of(build)
    assert "\x1b" not in page
    assert "\u202e" not in page


def test_it_lies_beside_the_log_and_a_later_one_replaces_it(build: Build) -> None:
    path = publish_help_request(build, "first")
    assert path == build.log.folder / "help-request.txt"
    assert publish_help_request(build, "second") == path
    assert "- second" in path.read_text(encoding="utf-8")
    assert [each.name for each in build.log.folder.glob("*.tmp")] == []


def test_another_file_is_never_replaced_unasked(build: Build, tmp_path: Path) -> None:
    target = tmp_path / "mine.txt"
    target.write_text("mine")
    for write in (publish_help_request, publish_shortage):
        with pytest.raises(Refused, match="did not write"):
            write(build, target=target)
    assert target.read_text() == "mine"
    publish_help_request(build, "now", target, force=True)
    assert "- now" in target.read_text(encoding="utf-8")
    with pytest.raises(SoldersideError, match="cannot be written"):
        publish_help_request(build, "", tmp_path / "no such folder" / "x.txt")


def test_the_command_line_prints_and_writes_both_texts(
    build: Build, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build.log.close()
    where = ["--data", str(tmp_path)]
    name = build.name
    assert main(["help-request", name, "--out", "-", "--symptom", "no sound", *where]) == 0
    printed = capsys.readouterr().out
    assert section(printed, "What is wrong") == "- no sound"
    assert "  TP4  " in printed
    assert main(["shortage", name, "--out", "-", *where]) == 0
    assert "1 x J111 JFET: 0 of 1 in the bag (Q3)" in capsys.readouterr().out
    target = tmp_path / "ask.txt"
    assert main(["help-request", name, "--out", str(target), *where]) == 0
    assert capsys.readouterr().out.strip() == str(target)
    assert target.is_file()
    assert main(["shortage", name, *where]) == 0
    assert (build.log.folder / "shortage.txt").is_file()
    target.write_text("changed by hand", encoding="utf-8")
    assert main(["help-request", name, "--out", str(target), *where]) == 1
    assert "that was changed since" in capsys.readouterr().err
    assert main(["shortage", "nobody", *where]) == 1
    assert "there is no build 'nobody'" in capsys.readouterr().err


def test_the_retrospective_tells_what_was_looked_into_and_what_it_was(build: Build) -> None:
    page = page_of(build)
    told = page.split("## The story\n")[1].split("\n## ")[0]
    assert (
        "TP4: 4.62 where 5 V ± 1 % is expected. Ruled out: supply and cable. "
        "The fault: a cold or cracked joint (leg 2 of U2 was dry)."
    ) in told
    assert [row.found for row in story_of(build).suspicions] == [False, True]
    build.undo()
    assert "The cause has not been found yet." in page_of(build)


def test_words_of_a_search_are_inert_in_the_retrospective(build: Build) -> None:
    build.settle_suspicion("x <b>", found=True, said="[a](javascript:b)", symptom="*bold* | `x`")
    told = page_of(build).split("## The story\n")[1].split("\n## ")[0]
    assert "\\*bold\\* \\| \\`x\\`" in told
    assert "&lt;b&gt;" in told
    assert "\\[a\\](javascript:b)" in told


def test_a_kit_that_says_little_is_told_so() -> None:
    from bench.kit.kit import Kit
    from bench.log.progress import Progress
    from bench.plan.plan import Plan

    kit = Kit(name="Bare", boards=load_kit(KIT).boards)
    text = help_request(kit, Plan(kit="Bare", procedure="own", stages=(), joints=0), Progress())
    assert "revision: not stated" in text
    assert "maker: not stated" in text
    assert "nothing left to do" in text


def test_what_is_wrong_is_filled_from_failed_checks_and_open_snags(tmp_path: Path) -> None:
    build = open_build(tmp_path, str(KIT), Settings(), HandClock())
    build.opened()
    while build.next_step is None or build.next_step.value != "+12 V and 0 V":
        if build.view().count_for:
            build.count_joints(5)
        if build.view().wants_reading:
            build.reading("1k")
        if build.view().limit_fault or build.view().wants_reading:
            build.override_hold("no meter at hand")
        build.done()
    build.reading("12 ohm")
    build.snag("no sound at SAW", "J103")
    build.snag("D2 the wrong way round", "D2", 2, "turned")
    (failed,) = section(help_text(build), "What is wrong").splitlines()
    assert failed.startswith("- +12 V and 0 V: 12 ohm where ")
    build.override_hold("the maker says that is so")
    assert section(help_text(build), "What is wrong") == failed
    build.reading("2k")
    assert section(help_text(build), "What is wrong").splitlines() == ["- J103: no sound at SAW"]
    assert section(help_text(build, "it hums"), "What is wrong") == "- it hums"

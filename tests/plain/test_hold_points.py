"""Hold points in plain lines: what is said first, what can kill, and readings."""

from __future__ import annotations

from pathlib import Path

from bench.plain.spoken import step_lines
from bench.session.build import Build
from bench.settings import shipped_kits_folder
from tests.support.plain_talk import KIT, on_to, opened, talk


def make_build(folder: Path, _: object) -> Build:
    return opened(folder.parent.parent)


def at_the_hold_point(build: Build, named: str) -> None:
    """Go to the first check of a hold point, each one before it passed."""
    while (step := build.next_step) and step.stage != named:
        build.override_hold("a test") if build.view().wants_reading else build.done()
    assert build.next_step is not None


def test_a_check_is_judged_and_stays_shut_for_a_wrong_reading(build: Build) -> None:
    while (step := build.next_step) and not build.view().wants_reading:
        build.done()
    assert step is not None
    said = talk(build, ["done", "0 ohm"])
    assert build.next_step == step
    assert any("OUT" in line for line in said)
    assert build.progress.readings[-1].text == "0 ohm"


def test_what_can_kill_is_said_and_has_to_be_answered_for(tmp_path: Path) -> None:
    text = KIT.read_text(encoding="utf-8").replace("kit: 1\n", "kit: 1\nhazards: [mains]\n", 1)
    kit = tmp_path / "deadly.yaml"
    kit.write_text(text, encoding="utf-8")
    build = opened(tmp_path, kit)
    while not build.view().danger:
        build.done()
    said = talk(build, ["done", "me", "", "yes", "off and measured"])
    assert any("MAINS CAN KILL" in line for line in said)
    assert any("Local rules and licensed practice come first" in line for line in said)
    assert any("three words" in line for line in said)
    assert build.progress.danger_owned is not None
    build.close()


def test_at_a_check_what_to_expect_comes_before_what_can_hurt_and_a_value_alone_is_its_reading(
    build: Build,
) -> None:
    while (step := build.next_step) is not None and not build.view().wants_reading:
        build.done()
    assert step is not None
    first, *_ = step_lines(build.view())
    assert first == "+9 V and 0 V: expect more than 10 kohm.", (
        "a voice leaves a sign out, and the limit is a value"
    )
    said = talk(build, ["3 ohm"])
    assert build.progress.readings[-1].text == "3 ohm"
    assert build.next_step == step
    assert said.count(first) == 1, "the step is not said again"
    talk(build, ["900k"])
    assert build.next_step != step


def test_a_hold_point_is_announced_as_it_opens_and_as_it_is_met(build: Build) -> None:
    at_the_hold_point(build, "Before power")
    said = talk(build, [*["done"] * 2, "100k", "100k"])
    assert sum(line == "Hold point. Before power: 7 checks." for line in said) == 1
    assert not any(line.startswith("Hold point: ") for line in said), "once, not at each check"
    met = said.index("Before power: all 7 checks met.")
    assert said[met + 1] == "Hold point. First power: 5 checks."
    assert met > said.index("Hold point. Before power: 7 checks.")


def test_a_hold_point_that_was_overridden_is_not_called_met(build: Build) -> None:
    at_the_hold_point(build, "Before power")
    said = talk(build, [*["done"] * 2, "g", "the meter is broken", "done", "100k"])
    assert "Before power: 6 of 7 checks met, 1 overridden." in said
    assert not any("all 7" in line for line in said)


def test_who_comes_back_into_a_hold_point_hears_of_it_and_of_its_dangers_in_full(build: Build) -> None:
    at_the_hold_point(build, "First power")
    talk(build, ["done", "done"])
    said = talk(build, ["repeat"])
    assert "Hold point. First power: 5 checks, 2 met already." in said
    assert sum(line.startswith("Danger: Glasses on") for line in said) == 2
    assert not any("as before" in line for line in said)


def test_dangers_are_said_in_full_once_a_hold_point_and_whenever_they_are_asked_for(build: Build) -> None:
    at_the_hold_point(build, "First power")
    said = talk(build, ["done", "dangers", "done", "undo"])
    named = [line for line in said if line.startswith("Danger")]
    glasses = "Danger: Glasses on, face away when you switch on: a reversed capacitor can burst."
    assert named[0] == glasses
    assert named.count(glasses) == 2, "at the first step, and when asked for"
    assert named.count("Dangers as before: dangers says them.") == 3
    later = talk(build, ["b", "b"])
    assert later.count(glasses) == 2, "after a break in full once more"
    assert talk(build, ["undo", "undo"])[-8:].count(glasses) == 1, "and at the step that said them first"


def test_after_a_reading_only_what_it_says_and_what_is_next_is_said(build: Build) -> None:
    on_to(build, "1k")
    *_, result, then = talk(build, ["r", "10.02k"])
    assert result.startswith("OUT: ")
    assert then == "Next: done, or r for another reading."
    at_the_hold_point(build, "Before power")
    *_, question, result = talk(build, [*["done"] * 3, "1k"])
    assert question.startswith("Reading at +9 V and 0 V. What does the meter show? ")
    assert result.startswith("OUT: ")


def test_a_number_at_a_check_is_its_reading_and_elsewhere_says_what_takes_it(build: Build) -> None:
    said = talk(build, ["900k"])
    assert said[-1] == "Only at a check a number alone is a reading. r records one here."
    assert not build.progress.readings
    at_the_hold_point(build, "Before power")
    said = talk(build, [*["done"] * 5, "0", "OL"])
    assert [each.verdict for each in build.progress.readings] == ["out", "in"]
    assert not build.progress.claps, "at a check 0 is no clap"


def test_no_reading_is_taken_before_somebody_answers_for_what_can_kill(tmp_path: Path) -> None:
    build = opened(tmp_path, shipped_kits_folder() / "prop-table-supply.yaml")
    while (step := build.next_step) and step.action != "check":
        build.done()
    said = talk(build, ["200k", "."])
    assert "Not recorded: 200k. First somebody has to answer for what can kill here." in said
    assert any(line.startswith("Before power. Who answers for this?") for line in said)
    assert not build.progress.readings
    said = talk(build, ["done", "a licensed electrician", "", "off and measured", "done"])
    danger = next(line for line in said if line.startswith("Danger: Mains voltage can kill."))
    assert said.count(danger) == 2, "as the hold point opens and once somebody answers; then it is as before"
    assert (
        "Dangers as before: dangers says them." in said[said.index("Recorded. Now the checks, one by one.") :]
    )
    build.close()


def test_a_part_says_its_dangers_at_every_step(build: Build) -> None:
    at_the_hold_point(build, "ICs into their sockets")
    said = talk(build, ["done"])
    assert sum(line.startswith("Danger: Switch off and wait for 0 V") for line in said) == 2

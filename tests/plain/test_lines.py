"""The bench in plain lines: the same engine and the same log as the screen."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.cli import main
from bench.log import events as ev
from bench.log.clock import utc_seconds
from bench.plain.session import PlainSession
from bench.plain.spoken import step_lines
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.ui.commands import commands_of
from tests.cli.test_clips import SINCE_1904, film_file

KIT = shipped_kits_folder() / "first-evening-metronome.yaml"
LARGE = shipped_kits_folder() / "twin-board-oscillator.yaml"


def opened(folder: Path, kit: Path = KIT) -> Build:
    return open_build(folder, str(kit), Settings(), SystemClock())


def make_build(folder: Path, _: object) -> Build:
    return opened(folder.parent.parent)


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


def test_a_word_does_the_step_and_enter_alone_nothing_which_it_says(build: Build) -> None:
    step = build.next_step
    assert step is not None
    said = talk(build, [""])
    assert not build.progress.done
    assert any(line.startswith("Enter alone does nothing. done: ") for line in said)
    talk(build, ["done"])
    assert build.progress.done.issuperset(step.items)
    assert isinstance(build.events[-1], ev.Done)


def test_a_step_says_where_it_is_its_value_designators_way_round_and_cautions(build: Build) -> None:
    step = next(each for each in build.outline.steps if each.orientation and each.cautions and each.refs)
    ahead, *said = step_lines(build.view(build.outline.index[step.key]))
    assert ahead.startswith("Looking ahead")
    assert said[0].startswith(step.value)
    assert said[1].startswith("Designators: ")
    assert said[2] == f"Which way: {step.orientation}"
    assert said[-1].startswith("Stage ")
    text = "\n".join(said)
    for part in (step.value, *step.refs, f"Which way: {step.orientation}", f"This part: {step.cautions[0]}"):
        assert part in text


def test_every_step_of_the_large_kit_is_said_in_signs_that_a_voice_can_read(tmp_path: Path) -> None:
    build = opened(tmp_path, LARGE)
    for position in range(len(build.outline.steps)):
        said = "\n".join(step_lines(build.view(position)))
        assert not set("◆▲≠✓✗»█▀▄│─") & set(said), said
    build.close()


def test_a_check_is_judged_and_stays_shut_for_a_wrong_reading(build: Build) -> None:
    while (step := build.next_step) and not build.view().wants_reading:
        build.done()
    assert step is not None
    said = talk(build, ["done", "0 ohm"])
    assert build.next_step == step
    assert any("OUT" in line for line in said)
    assert build.progress.readings[-1].text == "0 ohm"


def test_words_are_kept_and_a_question_can_be_given_up(build: Build) -> None:
    said = talk(build, ["n", "a note", "snag", "bridge", "", "braid", "2,5", "m t", ".", "nonsense"])
    assert [note.text for note in build.progress.notes] == ["a note"]
    assert [(snag.what, snag.minutes, snag.fix) for snag in build.progress.snags] == [("bridge", 2.5, "braid")]
    assert "Cancelled, nothing recorded." in said
    assert any("There is no command nonsense" in line for line in said)


def test_a_dot_does_nothing_at_the_bench_and_says_that_no_question_is_open(build: Build) -> None:
    on_to(build, "100n")
    before = [event for event in build.events if ev.tag_of(event) == "done"]
    said = talk(build, [".", " . ", "log", ".", "back", "n", "."])
    assert [event for event in build.events if ev.tag_of(event) == "done"] == before
    assert sum(line.startswith("No question is open") for line in said) == 3
    assert said[-1] == "Cancelled, nothing recorded."


def test_a_dot_is_no_key_for_one_part_even_where_the_settings_make_it_one(build: Build) -> None:
    on_to(build, "100n")
    typed = iter([".", "help", "help all"])
    said: list[str] = []

    def read(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(keys={"done": "."}), read, said.append).run()
    assert not build.view().refs_done
    assert any(line.startswith("one or f10: ") for line in said)
    assert any(line.startswith("done, or a space: ") for line in said)


def test_the_tick_of_one_part_is_said_first_with_what_is_left(build: Build) -> None:
    on_to(build, "100n")
    said = talk(build, ["one"])
    assert said[-1] == "C3 done. 1 left: C2 in B3."
    said = talk(build, ["back", "one"])
    assert "Designators: C2 in B3. 2 joints. Done already: C3." in said
    at = said.index("C2 done, the last one.")
    assert said[at + 1].startswith("10n")
    on_to(build, "M3x10 spacer")
    assert talk(build, ["one"])[-1] == "One M3x10 spacer done. 3 left."


def test_one_part_while_looking_back_only_goes_back_to_the_step_at_work(build: Build) -> None:
    on_to(build, "100n")
    said = talk(build, ["v", "one"])
    assert "Back at the current step." in said
    assert not build.view().refs_done


def test_undo_takes_back_and_looking_changes_nothing(build: Build) -> None:
    talk(build, ["done", " ", "u"])
    done = build.progress.done
    before = len(build.events)
    talk(build, ["left", "right", "v", "l", "back", "f5", "back", "log"])
    assert build.progress.done == done
    assert [ev.tag_of(event) for event in build.events[before:]] == ["opened"]


def test_a_key_changed_in_the_settings_works_here_too(build: Build) -> None:
    typed = iter(["d"])

    def read(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(keys={"done": "d"}), read, lambda line: None).run()
    assert isinstance(build.events[-1], ev.Done)


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


def test_all_of_a_build_can_be_done_in_lines(build: Build) -> None:
    for _ in range(400):
        view = build.view()
        if view.finished:
            break
        if view.count_for:
            talk(build, ["j", "1"])
        elif view.wants_reading:
            talk(build, ["g", "no meter in a test"])
            talk(build, ["done"])
        else:
            adjusts = view.step is not None and view.step.action == "adjust"  # nothing read is asked about once
            talk(build, ["done", "done" if adjusts else "1"])
    assert build.view().finished
    assert any("every step is done" in line for line in talk(build, ["back"]))


def test_the_help_names_each_key_that_works_and_only_those(build: Build) -> None:
    said = "\n".join(talk(build, ["help all"]))
    here = {command.name for command in commands_of("bench")}
    assert {"done", "undo", "snag", "reading", "trim", "bag", "fault"} <= here
    assert "This step is done" in said
    assert "full screen" not in said


def test_the_bag_is_counted_sort_by_sort(build: Build) -> None:
    said = talk(build, ["c", "all there", "n", "0", "r", "1k", "x", "another", ".", "5", "down", "quit"])
    assert len(build.progress.bag) == 2
    assert build.progress.bag[1].found == 0
    assert [each.text for each in build.progress.measured] == ["1k"]
    assert any(line.startswith("5 of ") for line in said)
    assert "Bands: yellow 4, violet 7, black 0, gold ×0.1, brown ±1 %." in said, "the colour bands of 47R, 1 %"
    assert any(line.startswith("6 of ") for line in said)


def test_a_trim_takes_a_pass_in_one_line_and_says_what_to_turn(tmp_path: Path) -> None:
    build = opened(tmp_path, LARGE)
    number = next(at for at, step in enumerate(build.outline.steps) if step.action == "adjust")
    while build.current is not None and build.current < number:
        build.override_hold("a test") if build.view().wants_reading else build.done()
    said = talk(build, ["a", "n", "0 130.8, 1 260, 2 516", "q"])
    assert len(build.progress.passes) == 1
    assert any("cents" in line for line in said)
    build.close()


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.one_of(st.text(max_size=12), st.sampled_from([*list("nshtvljgruaycfimo."), "", "left"]))))
def test_no_line_ends_in_a_traceback(tmp_path_factory: pytest.TempPathFactory, lines: list[str]) -> None:
    build = opened(tmp_path_factory.mktemp("lines"))
    said = talk(build, [line.replace("\n", " ") for line in lines])
    assert all(line.isprintable() for line in said)
    build.close()


def test_the_command_line_opens_it_without_a_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("done\ndone\nq\n"))
    assert main(["build", str(KIT), "--plain", "--data", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "Steps 2 to 4 of 5" in said, "three harmless tasks are ticked together"
    assert "Step 5 of 5" in said
    again = opened(tmp_path)
    assert again.progress.done
    again.close()


def test_claps_and_clips_are_made_in_lines_too(build: Build) -> None:
    said = talk(build, ["0", "camera", "n", "one.mov", "1=12.48", "25:10", "n", "two.mov", "7=1", ""])
    assert any(line.startswith("CLAP 1 at") for line in said)
    assert "Clip one.mov named." in said
    assert any("There is no clap 7" in line for line in said)
    assert [(clip.clip, clip.claps, clip.length) for clip in build.progress.clips] == [
        ("one.mov", ((1, 12.48),), 1510.0)
    ]


def test_a_folder_in_place_of_a_clip_names_all_the_clips_in_it(build: Build, tmp_path: Path) -> None:
    build.note("at the bench")
    began = int(utc_seconds(build.events[-1].at) or 0)
    (tmp_path / "card").mkdir()
    for name, begins in (("one.mov", began - 60), ("old.mov", began - 900_000)):
        (tmp_path / "card" / name).write_bytes(film_file(SINCE_1904 + begins, 300.0))
    said = talk(build, ["camera", "n", str(tmp_path / "card"), "", ""])
    assert any("1 of 2 film files in" in line and "old.mov: left out" in line for line in said)
    assert [(clip.clip, clip.length) for clip in build.progress.clips] == [("one.mov", 300.0)]


def test_a_clip_from_before_the_first_step_is_told_filmed_and_taken_out_in_lines(build: Build) -> None:
    build.clap()
    build.name_clip("unboxing.mp4", "2026-01-01T00:00:00Z", length=180.0)
    said = talk(build, ["camera", "2", "clip", "film", "x"])
    assert any("none of the work was filmed" in line for line in said)
    assert any(line.startswith("unboxing.mp4 is taken out") for line in said)
    assert build.progress.clips == ()


def test_where_the_parts_sit_is_said_with_how_the_zones_run(build: Build) -> None:
    on_to(build, "100n")
    said = talk(build, [","])
    sits = next(line for line in said if line.startswith("100n, board metronome: "))
    assert {"C2 in B3", "C3 in C3"} == set(sits.removesuffix(".").partition(": ")[2].split("; "))
    assert any("columns A to D from the left, rows 1 to 3 from the top" in line for line in said)
    assert any(line.startswith("Designators: ") and " in B3" in line for line in said)


def test_after_three_snags_in_a_short_time_a_break_is_suggested_once(build: Build) -> None:
    snag = ["s", "band the wrong way round", "", "turned", "2"]
    two = talk(build, snag * 2)
    assert not any("a break now" in line for line in two)
    said = talk(build, [*snag, "n", "a note", ""])
    assert [line for line in said if "a break now" in line] == [
        "Three snags in a short time: a break now may save the next one."
    ]


def test_a_value_after_a_task_is_not_told_as_another_value(tmp_path: Path) -> None:
    build = opened(tmp_path, shipped_kits_folder() / "passive-splitter.yaml")
    steps, stage_of = build.outline.steps, build.outline.stage_of
    after_task = [
        at
        for at, step in enumerate(steps)
        if at and step.refs and not steps[at - 1].refs and stage_of[at] == stage_of[at - 1]
    ]
    told = [at for at in after_task if build.view(at).value_changed]
    build.close()
    assert after_task
    assert told == []


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


@pytest.mark.parametrize("word", ["time", "status"])
def test_how_much_is_left_is_told_when_asked(build: Build, word: str, tmp_path: Path) -> None:
    said = talk(build, [word])
    assert any("% done" in line for line in said)
    spoken: list[str] = []
    lines = iter([word])
    PlainSession(build, Settings(), lambda _: next(lines, "quit"), spoken.append, tmp_path).run()
    assert any("Time left: about" in line for line in spoken)


def at_the_hold_point(build: Build, named: str) -> None:
    """Go to the first check of a hold point, each one before it passed."""
    while (step := build.next_step) and step.stage != named:
        build.override_hold("a test") if build.view().wants_reading else build.done()
    assert build.next_step is not None


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


def test_a_part_says_its_dangers_at_every_step(build: Build) -> None:
    at_the_hold_point(build, "ICs into their sockets")
    said = talk(build, ["done"])
    assert sum(line.startswith("Danger: Switch off and wait for 0 V") for line in said) == 2


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


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (["n"], "Note. "),
        (["s"], "Snag. "),
        (["m"], "Mark what? "),
        (["j"], ""),
        (["r"], "Reading "),
        (["g"], ""),
        (["i"], "Bands, marking or reading? "),
        (["print-outs"], "Print what? "),
        (["wait"], "Wait. "),
    ],
)
def test_every_question_and_every_refusal_says_that_a_dot_cancels(
    build: Build, lines: list[str], said: str
) -> None:
    heard: list[str] = []
    prompted: list[tuple[str, str]] = []
    typed = iter([*lines, "", "", "."])

    def read(prompt: str) -> str:
        prompted.append((prompt, next((line for line in reversed(heard) if not re.match(r"\w: ", line)), "")))
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(), read, heard.append).run()
    asked = [line for prompt, line in prompted if prompt == "? "]
    assert bool(asked) == bool(said)
    assert all(line.endswith(("A dot cancels.", "a dot cancels.")) for line in asked)
    assert not asked or asked[0].startswith(said)


def test_help_is_eight_lines_and_help_all_is_the_rest(build: Build) -> None:
    start = len(talk(build, []))
    short, every = talk(build, ["help"])[start:], talk(build, ["help all"])[start:]
    assert len(short) == 8
    assert len(every) > 40
    words = " ".join(short)
    for word in ("done", "one", "undo", "repeat", "time", "dangers", "help all", "dot"):
        assert word in words
    assert not any(re.match(r"(space or )?enter\b", line) for line in every), "Enter alone does nothing"


def test_the_words_of_the_short_help_are_understood(build: Build) -> None:
    for word in ("repeat", "time", "status", "dangers", "all cautions"):
        assert not any("There is no command" in line for line in talk(build, [word]))
    assert any(line.startswith("Counting the bag") for line in talk(build, ["count"]))
    on_to(build, "Look at every joint")
    assert build.counting
    assert "56 joints: correct." in talk(build, ["count", "56"])


def test_every_line_of_a_part_has_a_label_or_is_a_sentence(build: Build) -> None:
    on_to(build, "100k")
    said = talk(build, [])
    assert "Note: Fast end." in said
    on_to(build, "M3x10")
    bag = talk(build, ["bag"])
    assert any(line.startswith("Goes to: metronome R7") for line in bag)
    assert any(line.startswith("Listed as: 1 %") for line in bag)


@pytest.mark.parametrize("place", ["bag", "log", "meter", "camera"])
def test_repeat_says_again_what_is_at_hand_in_every_place(build: Build, place: str) -> None:
    once, twice = talk(build, [place]), talk(build, [place, "repeat"])
    assert twice[-1] == once[-1]
    assert len(twice) > len(once)


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

"""The bench in plain lines: the same engine and the same log as the screen."""

from __future__ import annotations

import io
import re
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
from bench.settings import Settings, shipped_kits_folder
from bench.ui.commands import commands_of
from tests.cli.test_clips import SINCE_1904, film_file
from tests.support.plain_talk import KIT, LARGE, on_to, opened, talk


def make_build(folder: Path, _: object) -> Build:
    return opened(folder.parent.parent)


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


@pytest.mark.parametrize("word", ["time", "status"])
def test_how_much_is_left_is_told_when_asked(build: Build, word: str, tmp_path: Path) -> None:
    said = talk(build, [word])
    assert any("% done" in line for line in said)
    spoken: list[str] = []
    lines = iter([word])
    PlainSession(build, Settings(), lambda _: next(lines, "quit"), spoken.append, tmp_path).run()
    assert any("Time left: about" in line for line in spoken)


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

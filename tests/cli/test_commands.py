"""The command line: exit codes, where words go, and the shapes of its data."""

from __future__ import annotations

import argparse
import json
import re
import shlex
from pathlib import Path

import pytest

from bench import __version__
from bench.cli import main, parser
from bench.cli.table import TABLE
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from tests.support.command_line import HOSTILE, a_build, assert_inert, data_from, run
from tests.support.kit_files import small
from tests.support.kit_values import OSCILLATOR
from tests.support.samples import HandClock

pytestmark = pytest.mark.usefixtures("own_data")


# -- the whole ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "arguments",
    [
        ["no-such-command"], ["check"], ["plan"], ["identify"], ["pitch"], ["track"], ["article"], ["build"],
        ["plan", "a", "b"], ["builds", "--nonsense"], ["track", "a", "--slope", "x"],
        ["track", "a", "--slope", "2"], ["identify", "--json"], ["--data"],
    ],
)  # fmt: skip
def test_wrong_use_is_exit_code_2_with_one_line_that_says_where_to_look(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    said = capsys.readouterr()
    assert (left.value.code, said.out) == (2, "")
    assert said.err.count("\n") == 1
    assert said.err.rstrip().endswith("--help")


def test_wrong_use_cannot_steer_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([HOSTILE])
    assert_inert(capsys.readouterr().err)


def test_the_module_and_the_function_are_one_program() -> None:
    done = run("--version")
    assert (done.returncode, done.stdout.decode().strip()) == (0, f"solderside {__version__}")


def test_help_names_every_command_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--help"])
    said = capsys.readouterr().out
    assert left.value.code == 0
    for name in TABLE:
        assert f"\n    {name}" in said
        with pytest.raises(SystemExit):
            main([name, "--help"])
        *_, last = capsys.readouterr().out.splitlines()
        assert last.startswith(f"Example: solderside {name}")


def test_every_example_is_understood_and_works_in_any_folder() -> None:
    (commands,) = [each for each in parser()._actions if isinstance(each, argparse._SubParsersAction)]
    for name, command in commands.choices.items():
        words = shlex.split(command.example)[1:]
        assert parser().parse_args(words).command == name
        assert "kits/" not in command.example
        for word in words:
            if re.fullmatch(r"[a-z]+(-[a-z]+)+", word) and word not in TABLE and "-rev-" not in word:
                assert (shipped_kits_folder() / f"{word}.yaml").is_file(), command.example


@pytest.mark.parametrize(
    ("word", "meant"),
    [("bild", "build"), ("fog-filter", "solderside build fog-filter"), ("my.yaml", "solderside build my.yaml")],
)
def test_a_word_that_is_no_command_is_told_what_may_be_meant(
    word: str, meant: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main([word])
    assert left.value.code == 2
    assert f"there is no command {word!r}; did you mean {meant}" in capsys.readouterr().err


def test_without_a_terminal_the_screen_is_refused_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    done = run()
    assert done.returncode == 1
    assert done.stderr.decode().startswith("solderside: the bench needs a terminal;")


# -- kits, check and plan -----------------------------------------------------------------------------
def test_check_says_that_a_good_kit_is_good(kit_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(kit_file)]) == 0
    said = capsys.readouterr()
    assert f"{kit_file}: no faults. Twin-board oscillator rev. B" in said.out
    assert said.err == ""


def test_check_lists_all_faults_on_stderr_with_file_and_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(small("{refs: R1, valeu: 4k7}", "{refs: R1, value: 4k7, mount: sideways}"))
    assert main(["check", str(path)]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    lines = said.err.splitlines()
    assert any(line.startswith(f"{path}:6: ") for line in lines)
    assert any(line.startswith(f"{path}:7: ") for line in lines)
    assert all(line.startswith(f"{path}") and "; " in line for line in lines)


def test_check_goes_on_after_a_faulty_kit(
    tmp_path: Path, kit_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    gone = tmp_path / "gone.yaml"
    assert main(["check", str(gone), str(kit_file)]) == 1
    said = capsys.readouterr()
    assert said.err.startswith(f"{gone}: there is no such file; ")
    assert "no faults" in said.out


def test_check_as_data_has_faults_and_remarks_for_each_file(
    tmp_path: Path, kit_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "--json", str(kit_file), str(tmp_path / "gone.yaml")]) == 1
    said = capsys.readouterr()
    good, gone = json.loads(said.out)["files"]
    assert (good["file"], good["faults"]) == (str(kit_file), [])
    assert gone["faults"][0].keys() == {"what", "where", "hint"}
    assert said.err == ""


def test_plan_prints_stages_steps_and_joints(kit_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(kit_file)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Twin-board oscillator rev. B, low to high: ")
    assert "HOLD POINT" in said
    assert "4k7" in said


def test_plan_as_data_has_the_documented_shape(kit_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = data_from(capsys, "plan", str(kit_file), "--json")
    assert plan["kit"] == "Twin-board oscillator rev. B"
    steps = [step for stage in plan["stages"] for step in stage["steps"]]
    assert all({"name", "board", "steps"} <= stage.keys() for stage in plan["stages"])
    assert all({"value", "refs", "joints", "cautions"} <= step.keys() for step in steps)
    assert sum(step["joints"] for step in steps) == plan["joints"]
    assert {"R1", "R2", "R3", "R4", "R9"} <= {ref for step in steps for ref in step["refs"]}


def test_plan_names_zones_and_sides_where_the_kit_has_positions(
    capsys: pytest.CaptureFixture[str],
) -> None:
    plan = data_from(capsys, "plan", str(OSCILLATOR), "--json")
    steps = {ref: step for stage in plan["stages"] for step in stage["steps"] for ref in step["refs"]}
    assert all(len(step["zones"]) == len(step["refs"]) for step in steps.values())
    assert (steps["R6"]["zones"], steps["R6"]["side"]) == (["A3"], "back")
    assert main(["plan", str(OSCILLATOR)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "130k R6 in A3 back [2]" in printed


def test_plan_follows_the_procedure_that_is_named(kit_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    named = data_from(capsys, "plan", str(kit_file), "--json", "--procedure", "signal-flow")
    assert named["procedure"] != data_from(capsys, "plan", str(kit_file), "--json")["procedure"]
    assert main(["plan", str(kit_file), "--procedure", "no such"]) == 1
    assert "no such" in capsys.readouterr().err


# -- builds and articles ---------------------------------------------------------------------------
def test_no_builds_is_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert data_from(capsys, "builds", "--json") == {"version": 1, "builds": []}
    assert main(["builds"]) == 0
    assert capsys.readouterr().out.startswith("No builds yet.")


def test_builds_lie_where_data_says_and_the_option_wins_over_the_environment(
    tmp_path: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    a_build(own_data, "by-environment")
    a_build(tmp_path / "other", "by-option")
    (by_environment,) = data_from(capsys, "builds", "--json")["builds"]
    assert by_environment["name"] == "by-environment"
    for arguments in (
        ["--data", str(tmp_path / "other"), "builds"],
        ["builds", "--data", str(tmp_path / "other")],
    ):
        (by_option,) = data_from(capsys, *arguments, "--json")["builds"]
        assert by_option["name"] == "by-option"


def test_a_faulty_setting_is_a_fault_with_its_line(own_data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own_data.mkdir()
    (own_data / "settings.toml").write_text("colour = 'blue'\nstep_size = 'many'\n")
    assert main(["builds"]) == 1
    assert f"{own_data / 'settings.toml'}:2: " in capsys.readouterr().err


def test_retro_of_nothing_is_a_fault_that_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["article", "nothing"]) == 1
    said = capsys.readouterr()
    assert (said.out, said.err) == (
        "", "article: there is no build 'nothing'; solderside builds lists what there is\n",
    )  # fmt: skip


def a_whole_build(data: Path, kit_file: Path) -> str:
    """A build with its kit beside its log, one step done and a hostile note; returns its name."""
    build = open_build(data, str(kit_file), Settings(), HandClock())
    build.opened()
    build.done()
    build.note(f"a note with {HOSTILE} in it")
    build.log.close()
    return build.log.folder.name


def test_retro_goes_to_stdout_to_a_file_or_out_as_data(
    own_data: Path, kit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = a_whole_build(own_data, kit_file)
    assert main(["article", name, "--out", "-"]) == 0
    page = capsys.readouterr().out
    assert page.startswith("#")
    assert_inert(page)
    target = tmp_path / "built.md"
    assert main(["article", str(kit_file), "--out", str(target)]) == 0
    assert capsys.readouterr().out == f"{target}\n"
    assert "\n# " in target.read_text(encoding="utf-8")
    assert data_from(capsys, "article", name, "--json")


def test_retro_does_not_replace_a_file_of_somebody_else(
    own_data: Path, kit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name, target = a_whole_build(own_data, kit_file), tmp_path / "mine.md"
    target.write_text("mine")
    assert main(["article", name, "--out", str(target)]) == 1
    assert target.read_text() == "mine"
    assert capsys.readouterr().err
    assert main(["article", name, "--out", str(target), "--force"]) == 0
    assert target.read_text() != "mine"


def test_retro_into_a_folder_that_is_not_there_is_a_fault(
    own_data: Path, kit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = a_whole_build(own_data, kit_file)
    (tmp_path / "a file").write_text("")
    assert main(["article", name, "--out", str(tmp_path / "a file" / "built.md")]) == 1
    assert "; " in capsys.readouterr().err

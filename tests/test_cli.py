"""The command line: exit codes, where words go, the shapes of its data, and text that must stay inert."""

from __future__ import annotations

import json
import math
import os
import struct
import subprocess
import sys
import wave
from pathlib import Path
from typing import Any

import pytest

import bench
from bench import __version__
from bench.build.folders import open_build
from bench.cli import main
from bench.errors import BenchError
from bench.settings import Settings
from tests.kit_files import FULL, small
from tests.samples import HandClock, small_build

ROOT = Path(bench.__file__).parent.parent
PROGRAM = [sys.executable, "-m", "bench.cli"]
HOSTILE = "\x1b[31mred\x1b]0;title\x07\u202etxt\u009b5m"
"""Escape sequences, a change of writing direction and a C1 control: none may reach a terminal."""
UNSEEN = "left\u202etxt\u2066\u200b\u00ad"
"""What a kit file may hold, but no terminal should get: directions, a space and a hyphen that are not seen."""


@pytest.fixture(autouse=True)
def own_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing of a test touches the builds of the person who runs it."""
    folder = tmp_path / "data"
    monkeypatch.setenv("SOLDERSIDE_DATA", str(folder))
    return folder


@pytest.fixture
def kit_file(tmp_path: Path) -> Path:
    path = tmp_path / "kit.yaml"
    path.write_text(FULL.replace("count: 14", "count: 18"), encoding="utf-8")
    return path


def data_from(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """What a command prints as JSON; it must end well."""
    assert main(arguments) == 0
    return json.loads(capsys.readouterr().out)


def run(*arguments: str, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*PROGRAM, *arguments], input=stdin, capture_output=True, cwd=ROOT, env=os.environ | environment,
        check=False,
    )  # fmt: skip


def assert_inert(text: str) -> None:
    """No control character but the line's end, and none that is not seen."""
    assert all(char == "\n" or char.isprintable() for char in text), ascii(text)


def sine(path: Path, hertz: float, seconds: float = 1.0, rate: int = 8000) -> Path:
    frames = (int(12_000 * math.sin(math.tau * hertz * n / rate)) for n in range(int(rate * seconds)))
    with wave.open(str(path), "wb") as recording:
        recording.setnchannels(1)
        recording.setsampwidth(2)
        recording.setframerate(rate)
        recording.writeframes(b"".join(struct.pack("<h", frame) for frame in frames))
    return path


# -- the whole ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "arguments",
    [
        ["no-such-command"], ["check"], ["plan"], ["identify"], ["pitch"], ["track"], ["retro"], ["build"],
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
    for name in ("build", "builds", "check", "plan", "identify", "pitch", "track", "retro"):
        assert f"\n    {name} " in said
        with pytest.raises(SystemExit):
            main([name, "--help"])
        assert f"Example: solderside {name}" in " ".join(capsys.readouterr().out.split())


def test_without_a_terminal_the_screen_is_refused_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    done = run()
    assert done.returncode == 1
    assert done.stderr.decode().startswith("solderside: the bench needs a terminal;")


# -- check and plan -----------------------------------------------------------------------------
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


def test_plan_follows_the_procedure_that_is_named(kit_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    named = data_from(capsys, "plan", str(kit_file), "--json", "--procedure", "signal-flow")
    assert named["procedure"] != data_from(capsys, "plan", str(kit_file), "--json")["procedure"]
    assert main(["plan", str(kit_file), "--procedure", "no such"]) == 1
    assert "no such" in capsys.readouterr().err


# -- builds and retro ---------------------------------------------------------------------------
def test_no_builds_is_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert data_from(capsys, "builds", "--json") == {"builds": []}
    assert main(["builds"]) == 0
    assert capsys.readouterr().out.startswith("No build yet.")


def a_build(data: Path, name: str = "lamp-wobbler") -> None:
    build = small_build(data / "builds" / name)
    build.opened()
    build.done()
    build.note(f"a note with {HOSTILE} in it")
    build.log.close()


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
    assert main(["retro", "nothing"]) == 1
    said = capsys.readouterr()
    assert (said.out, said.err) == (
        "", "retro: there is no build 'nothing'; solderside builds lists what there is\n",
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
    assert main(["retro", name, "--out", "-"]) == 0
    page = capsys.readouterr().out
    assert page.startswith("#")
    assert_inert(page)
    target = tmp_path / "built.md"
    assert main(["retro", str(kit_file), "--out", str(target)]) == 0
    assert capsys.readouterr().out == f"{target}\n"
    assert "\n# " in target.read_text(encoding="utf-8")
    assert data_from(capsys, "retro", name, "--json")


def test_retro_does_not_replace_a_file_of_somebody_else(
    own_data: Path, kit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name, target = a_whole_build(own_data, kit_file), tmp_path / "mine.md"
    target.write_text("mine")
    assert main(["retro", name, "--out", str(target)]) == 1
    assert target.read_text() == "mine"
    assert capsys.readouterr().err
    assert main(["retro", name, "--out", str(target), "--force"]) == 0
    assert target.read_text() != "mine"


def test_retro_into_a_folder_that_is_not_there_is_a_fault(
    own_data: Path, kit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = a_whole_build(own_data, kit_file)
    (tmp_path / "a file").write_text("")
    assert main(["retro", name, "--out", str(tmp_path / "a file" / "built.md")]) == 1
    assert "; " in capsys.readouterr().err


# -- identify -----------------------------------------------------------------------------------
def test_identify_as_data_has_the_documented_shape(capsys: pytest.CaptureFixture[str]) -> None:
    # dgtal-sysworld.co.in/2013/09: brown black black red brown is 10 kohm at 1 %
    found = data_from(capsys, "identify", "brown", "black", "black", "red", "brown", "--json")
    assert found.keys() == {"candidates"}
    assert found["candidates"][0] == {
        "text": "10 kohm ±1 %", "ohms": 10000, "farads": None, "from": "bands, left to right", "refs": [],
    }  # fmt: skip


def test_identify_as_data_gives_farads_for_a_capacitor(capsys: pytest.CaptureFixture[str]) -> None:
    # specap.com: 104 is 100 nF
    first = data_from(capsys, "identify", "104J", "--json")["candidates"][0]
    assert first["ohms"] is None
    assert first["farads"] == pytest.approx(1e-7)


def test_identify_names_the_parts_of_the_kit(kit_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = data_from(capsys, "identify", "4k69", "--kit", str(kit_file), "--json")["candidates"][0]
    assert (first["ohms"], first["from"]) == (4700, "meter reading")
    # R1 is on both boards of this kit, so its board stands in front of it
    assert first["refs"] == ["main/R1", "R2", "R3", "R4", "R9"]


def test_identify_in_words_says_which_and_why_and_what_not(
    kit_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["identify", "4k69", "--kit", str(kit_file)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("1. 4.7 kΩ ±1 %  resistor  -> R1-R4, R9 on main  [meter reading]\n")
    assert "0.2 % below 4.7 kΩ" in said
    assert "not 100 kΩ" in said
    assert "(R1 on control)" in said


def test_identify_says_what_it_understood_of_a_slip(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["identify", "brwn", "black", "red", "gold"]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(
        "identify: 'brwn' is not a band colour (understood: black, red, gold); did you mean"
    )


def test_identify_takes_a_text_that_begins_with_a_minus(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["identify", "--", "-0.62 V"]) == 0
    assert "silicon diode" in capsys.readouterr().out


def test_identify_uses_the_meter_of_the_settings(own_data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own_data.mkdir()
    (own_data / "settings.toml").write_text(
        "[meter]\nname = 'the one on my bench'\n[[meter.ohms]]\n"
        "full_scale = '6 kohm'\nresolution = '1 ohm'\npercent = 0.5\ncounts = 2\n"
    )
    assert main(["identify", "4k69"]) == 0
    # By hand: 0.5 % of 4690 ohm and two counts of 1 ohm are 25.45 ohm
    assert "the one on my bench may be off by 25 Ω here" in capsys.readouterr().out


def test_identify_lists_all_faults_of_the_kit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(small("{refs: R1, valeu: 4k7}", "{refs: R2, value: 4k7, mount: sideways}"))
    assert main(["identify", "4k7", "--kit", str(path)]) == 1
    said = capsys.readouterr().err
    assert f"{path}:6: " in said
    assert f"{path}:7: " in said


def test_identify_that_finds_nothing_possible_still_ends_well(capsys: pytest.CaptureFixture[str]) -> None:
    assert data_from(capsys, "identify", "red", "--json") == {"candidates": []}
    assert main(["identify", "red"]) == 0
    assert "a single red band has no meaning" in capsys.readouterr().out


# -- pitch --------------------------------------------------------------------------------------
def test_pitch_as_data_prints_one_object_for_each_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tone, silence = sine(tmp_path / "a.wav", 440.0), sine(tmp_path / "b.wav", 0.0)
    assert main(["pitch", "--json", str(tone), str(silence)]) == 0
    first, second = map(json.loads, capsys.readouterr().out.splitlines())
    assert first.keys() == {"file", "hertz", "cents_uncertainty"}
    # ISO 16:1975: A4 is 440 Hz; 0.017 Hz are less than a tenth of a cent
    assert first["hertz"] == pytest.approx(440.0, abs=0.017)
    assert second == {"file": str(silence), "hertz": None, "why": "silence"}


def test_pitch_in_words_names_the_nearest_note(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pitch", str(sine(tmp_path / "a.wav", 440.0)), str(sine(tmp_path / "b.wav", 0.0))]) == 0
    first, second = capsys.readouterr().out.splitlines()
    assert "440.000 Hz" in first
    assert "A4" in first
    assert second.endswith("no steady tone: silence")


def test_pitch_goes_on_after_a_file_that_is_no_recording(
    tmp_path: Path, kit_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tone = sine(tmp_path / "a.wav", 440.0)
    assert main(["pitch", "--json", str(kit_file), str(tone)]) == 1
    said = capsys.readouterr()
    first, second = map(json.loads, said.out.splitlines())
    assert (first["hertz"], first["why"]) == (None, "this is not a WAV file")
    assert second["file"] == str(tone)
    assert said.err.startswith(f"{kit_file}: this is not a WAV file; ")


def test_pitch_takes_a_recording_on_stdin(tmp_path: Path) -> None:
    done = run("pitch", "-", "--json", stdin=sine(tmp_path / "a.wav", 261.6256).read_bytes())
    found = json.loads(done.stdout)
    # ISO 16:1975 and equal temperament: C4 is 261.6256 Hz
    assert (done.returncode, found["file"]) == (0, "-")
    assert found["hertz"] == pytest.approx(261.6256, abs=0.01)
    broken = run("pitch", "-", stdin=b"RIFF")
    assert broken.returncode == 1
    assert broken.stderr.startswith(b"stdin: ")


# -- track --------------------------------------------------------------------------------------
def octaves(cents_per_octave: float = 0.0, above: float = 0.0) -> str:
    """Five octaves from 55 Hz (A1, ISO 16:1975), off by so many cents: a cent is 1/1200 of an octave."""
    return "".join(
        f"{volts} {55 * 2 ** (volts * (1 + cents_per_octave / 1200) + above / 1200):.6f}\n"
        for volts in range(6)
    )


def test_track_as_data_has_the_documented_shape(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "points.txt"
    path.write_text(octaves(3.6, 4.0))
    found = data_from(capsys, "track", str(path), "--json")
    assert found.keys() == {"scale_error_cents_per_octave", "offset_cents", "points", "advice"}
    assert found["scale_error_cents_per_octave"] == pytest.approx(3.6, abs=0.001)
    assert found["offset_cents"] == pytest.approx(4.0, abs=0.001)
    assert [point.keys() for point in found["points"]] == [{"volts", "hertz", "cents"}] * 6
    assert found["points"][5]["cents"] == pytest.approx(4.0 + 5 * 3.6, abs=0.001)
    assert any("turn" in words for words in found["advice"])


def test_track_in_words_leaves_a_good_oscillator_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "points.txt"
    path.write_text(octaves())
    assert main(["track", str(path)]) == 0
    said = capsys.readouterr().out
    assert "scale   +0.00 cents per octave" in said.replace("-0.00", "+0.00")
    assert "leave it" in said


def test_track_reads_stdin_and_says_which_line_is_wrong() -> None:
    assert json.loads(run("track", "-", "--json", stdin=octaves(2.0).encode()).stdout)["points"]
    done = run("track", "-", stdin=b"0 55\nnonsense\n2,3,4\n")
    assert (done.returncode, done.stdout) == (1, b"")
    assert [line.split(": ")[0] for line in done.stderr.decode().splitlines()] == ["stdin:2", "stdin:3"]


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"0 55\n", ": 1 points were given; measure"), (b"\xff\xfe\x00", ": the points cannot be read"),
     (b"", ": 0 points"), (b"0 55\n0.1 56\n", ": all points lie within half a volt")],
)  # fmt: skip
def test_track_names_the_file_that_says_nothing(
    content: bytes, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "points.txt"
    path.write_bytes(content)
    assert main(["track", str(path)]) == 1
    assert capsys.readouterr().err.startswith(f"{path}{said}")


def test_track_by_hertz_per_volt_finds_slope_and_what_is_left_at_zero(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "points.txt"
    path.write_text("".join(f"{volts} {100 * volts + 2}\n" for volts in (0.5, 1, 2, 4)))
    found = data_from(capsys, "track", str(path), "--hertz-per-volt", "--slope", "100", "--json")
    assert found["scale_error_cents_per_octave"] is None
    assert found["offset_cents"] == pytest.approx(0.0, abs=1e-9)
    assert (found["hertz_per_volt"], found["hertz_at_zero"]) == (pytest.approx(100), pytest.approx(2))
    # By hand: 52 Hz instead of 50 Hz is 1200 log2(1.04) = 67.9 cents
    assert found["points"][0]["cents"] == pytest.approx(67.9, abs=0.05)
    assert main(["track", str(path), "--hertz-per-volt"]) == 0
    assert "100.000 Hz per volt" in capsys.readouterr().out


def test_track_by_hertz_per_volt_needs_points_above_zero(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "points.txt"
    path.write_text(octaves())
    assert main(["track", str(path), "--hertz-per-volt"]) == 1
    assert capsys.readouterr().err.startswith(
        f"{path}: a hertz-per-volt oscillator has no pitch at or below 0 V; "
    )


# -- text that must stay inert, and output that cannot be written ---------------------------------
def kit_that_says(words: str, tmp_path: Path) -> Path:
    """A kit with these words wherever people write words."""
    quoted = json.dumps(words)
    path = tmp_path / "hostile.yaml"
    part = f"{{refs: R1, value: 4k7, note: {quoted}, caution: {quoted}, marking: {quoted}}}"
    path.write_text(small(part).replace("Small", quoted).replace("main", quoted), encoding="utf-8")
    return path


@pytest.mark.parametrize("as_data", [False, True])
@pytest.mark.parametrize("arguments", [["check"], ["plan"], ["identify", "4k7", "--kit"]])
def test_a_hostile_kit_cannot_steer_the_terminal(
    arguments: list[str], as_data: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    more = ["--json"] if as_data else []
    assert main([*arguments, str(kit_that_says(UNSEEN, tmp_path)), *more]) == 0
    said = capsys.readouterr()
    assert_inert(said.out + said.err)
    if as_data and arguments == ["plan"]:
        assert json.loads(said.out)["kit"] == UNSEEN
    assert main([*arguments, str(kit_that_says(HOSTILE, tmp_path)), *more]) == 1
    said = capsys.readouterr()
    assert_inert(said.out + said.err)


@pytest.mark.parametrize(
    "arguments",
    [["identify", HOSTILE], ["check", HOSTILE], ["plan", HOSTILE], ["pitch", HOSTILE], ["track", HOSTILE],
     ["retro", HOSTILE], ["identify", "4k7", "--kit", HOSTILE], ["check", "--json", HOSTILE],
     ["pitch", "--json", HOSTILE]],
)  # fmt: skip
def test_hostile_arguments_are_faults_in_plain_words(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 1
    said = capsys.readouterr()
    assert said.out + said.err
    assert_inert(said.out)
    assert_inert(said.err)
    assert "Traceback" not in said.err


def test_hostile_notes_of_a_build_stay_inert_in_every_output(
    own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    a_build(own_data)
    for arguments in (["builds"], ["builds", "--json"]):
        assert main(arguments) == 0
        assert_inert(capsys.readouterr().out)


@pytest.mark.skipif(sys.platform == "win32", reason="file names there are text")
def test_a_file_name_that_is_not_utf8_is_no_traceback() -> None:
    name = os.fsdecode(b"\xff\xfe.yaml")
    for arguments in (["check", name], ["check", "--json", name], ["pitch", "--json", name], ["plan", name]):
        done = run(*arguments)
        assert done.returncode == 1
        assert b"Traceback" not in done.stderr
        if "--json" in arguments:
            assert json.loads(done.stdout)


@pytest.mark.parametrize("arguments", [["identify", "104"], ["plan", "kits/twin-board-oscillator.yaml"]])
def test_a_reader_that_goes_away_is_no_fault(arguments: list[str]) -> None:
    with subprocess.Popen(
        [*PROGRAM, *arguments], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        said = process.stderr.read()
    assert (process.returncode, said) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a disk that is always full")
def test_a_full_disk_is_a_fault_in_words() -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [*PROGRAM, "identify", "104"], stdout=full, stderr=subprocess.PIPE, cwd=ROOT, check=False
        )
    assert done.returncode == 1
    assert done.stderr.decode().startswith("stdout: ")
    assert b"Traceback" not in done.stderr


def test_a_terminal_without_ohm_signs_still_gets_words() -> None:
    done = run("identify", "4k7", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert done.stdout.decode("ascii").startswith("1. 4.7 k")


def test_stopping_from_the_keyboard_is_quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("bench.measure.identify.identify", interrupted)
    assert main(["identify", "104"]) == 130


def test_every_fault_of_an_error_gets_its_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def faulty(*_: object) -> None:
        raise BenchError("what", "", "hint")

    monkeypatch.setattr("bench.measure.identify.identify", faulty)
    assert main(["identify", "104"]) == 1
    assert capsys.readouterr().err == "identify: what; hint\n"

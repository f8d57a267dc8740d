"""The command line for what is measured: parts, pitch and tracking."""

from __future__ import annotations

import json
import math
import struct
import wave
from pathlib import Path

import pytest

from bench.cli import main
from tests.support.command_line import data_from, run
from tests.support.kit_files import small

pytestmark = pytest.mark.usefixtures("own_data")


def sine(path: Path, hertz: float, seconds: float = 1.0, rate: int = 8000) -> Path:
    frames = (int(12_000 * math.sin(math.tau * hertz * n / rate)) for n in range(int(rate * seconds)))
    with wave.open(str(path), "wb") as recording:
        recording.setnchannels(1)
        recording.setsampwidth(2)
        recording.setframerate(rate)
        recording.writeframes(b"".join(struct.pack("<h", frame) for frame in frames))
    return path


# -- identify -----------------------------------------------------------------------------------
def test_identify_as_data_has_the_documented_shape(capsys: pytest.CaptureFixture[str]) -> None:
    # IEC 60062, by hand: brown black black red brown is 10 kohm at 1 %
    found = data_from(capsys, "identify", "brown", "black", "black", "red", "brown", "--json")
    assert found.keys() == {"version", "candidates"}
    assert found["candidates"][0] == {
        "text": "10 kohm ±1 %", "ohms": 10000, "farads": None, "from": "bands, left to right", "refs": [],
    }  # fmt: skip


def test_identify_as_data_gives_farads_for_a_capacitor(capsys: pytest.CaptureFixture[str]) -> None:
    # EIA-198, by hand: 104 is 10 x 10^4 pF
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
    assert data_from(capsys, "identify", "red", "--json") == {"version": 1, "candidates": []}
    assert main(["identify", "red"]) == 0
    assert "a single red band has no meaning" in capsys.readouterr().out


# -- pitch --------------------------------------------------------------------------------------
def test_pitch_as_data_prints_one_object_for_each_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tone, silence = sine(tmp_path / "a.wav", 440.0), sine(tmp_path / "b.wav", 0.0)
    assert main(["pitch", "--json", str(tone), str(silence)]) == 0
    first, second = map(json.loads, capsys.readouterr().out.splitlines())
    assert first.keys() == {"version", "file", "hertz", "cents_uncertainty"}
    # ISO 16:1975: A4 is 440 Hz; 0.017 Hz are less than a tenth of a cent
    assert first["hertz"] == pytest.approx(440.0, abs=0.017)
    assert second == {"version": 1, "file": str(silence), "hertz": None, "why": "silence"}


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
    assert found.keys() == {"version", "scale_error_cents_per_octave", "offset_cents", "points", "advice"}
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
    [(b"0 55\n", ": 1 point given; measure"), (b"\xff\xfe\x00", ": the file of points is not UTF-8 text"),
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

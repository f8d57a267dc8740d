"""Text that must stay inert on the command line, and output that cannot be written."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from tests.support.command_line import HOSTILE, PROGRAM, ROOT, a_build, assert_inert, run
from tests.support.kit_files import small

pytestmark = pytest.mark.usefixtures("own_data")


UNSEEN = "left\u202etxt\u2066\u200b\u00ad"
"""What a kit file may hold, but no terminal should get: directions, a space and a hyphen that are not seen."""


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
     ["article", HOSTILE], ["identify", "4k7", "--kit", HOSTILE], ["check", "--json", HOSTILE],
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

    monkeypatch.setattr("bench.measure.identify.match_kit.identify", interrupted)
    assert main(["identify", "104"]) == 130


def test_every_fault_of_an_error_gets_its_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def faulty(*_: object) -> None:
        raise SoldersideError("what", "", "hint")

    monkeypatch.setattr("bench.measure.identify.match_kit.identify", faulty)
    assert main(["identify", "104"]) == 1
    assert capsys.readouterr().err == "identify: what; hint\n"

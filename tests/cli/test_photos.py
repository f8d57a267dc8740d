"""`solderside photos`: what it prints, what it keeps, what it refuses."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from bench.cli import main
from bench.log import events as ev
from bench.log.file import LogFile
from tests.support.command_line import HOSTILE, assert_inert, data_from, run
from tests.support.photographs import at, local, photo
from tests.support.samples import HandClock


@pytest.fixture(autouse=True)
def _zone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "UTC")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with one evening's build of a kit that lies beside it."""
    from bench.kit.load import load_kit
    from bench.session.folders import start
    from bench.settings import Settings, shipped_kits_folder

    path = shipped_kits_folder() / "first-evening-metronome.yaml"
    clock = HandClock()
    build = start(tmp_path / "data", load_kit(path), path, Settings(), clock)
    build.opened()
    for _ in range(3):
        clock.work(100)
        build.done()
    clock.work(30)
    build.snag("a lead too short", "R1")
    clock.work(70)
    build.close()
    return tmp_path / "data"


@pytest.fixture
def camera(tmp_path: Path) -> Path:
    """Photos of that evening, an hour behind; the first shows the bench clock."""
    folder = tmp_path / "camera"
    for number, seconds in enumerate((10, 150, 335), 1):
        photo(folder / f"IMG_{number}.jpg", at(seconds) - 3600)
    photo(folder / "cat.jpg", at(86400 * 9))
    (folder / "notes.txt").write_text("x")
    return folder


def named(data: Path) -> str:
    return next((data / "builds").iterdir()).name


CLOCK = f"IMG_1.jpg={local(10)[11:]}"


def test_it_says_which_photo_goes_where_and_why_and_what_is_left_out(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        main(["photos", named(data), str(camera), "--clock", CLOCK, "--zone", "+00:00", "--data", str(data)])
        == 0
    )
    said = capsys.readouterr().out
    assert "4 photos, 2 of them belong to this build" in said
    assert f"IMG_1.jpg shows {local(10)[11:]}, so its clock is 1 h 00 min behind" in said
    assert "2 min 30 s into" in said
    assert "a lead too short" in said
    assert "cat.jpg: 9 days after the last key" in said
    assert "IMG_1.jpg: the photo of the bench clock" in said
    assert "1 file is not a photo, by the name" in said
    folder = data / "builds" / named(data)
    assert len(list((folder / "photos").glob("*.jpg"))) == 2
    event = LogFile(folder, read_only=True).events[-1]
    assert isinstance(event, ev.PhotosMatched)
    assert event.folder == str(camera)
    assert event.batches[0].seconds == (3600.0,)


def test_named_again_without_the_folder_it_remembers_folder_clock_zone_and_what_was_left_out(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = data_from(
        capsys, "photos", named(data), str(camera), "--clock", CLOCK, "--zone", "+00:00", "--without", "IMG_2*",
        "--json", "--data", str(data),
    )  # fmt: skip
    again = data_from(capsys, "photos", named(data), "--json", "--data", str(data))
    assert again == first
    assert [each["file"] for each in again["photos"]] == ["IMG_3.jpg"]
    assert again["batches"][0]["clocks"][0]["seconds"] == 3600
    other_zone = data_from(
        capsys, "photos", named(data), "--zone", "+05:00", "--look", "--json", "--data", str(data)
    )
    assert other_zone["photos"][0]["at"] == first["photos"][0]["at"], (
        "the clock photo was settled with its zone"
    )


def test_a_camera_an_hour_off_is_suspected_and_nothing_is_recorded(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = data / "builds" / named(data) / "log.jsonl"
    before = log.read_bytes()
    assert main(["photos", named(data), str(camera), "--data", str(data)]) == 0
    said = capsys.readouterr().out
    assert "0 of 4 fall into time at the bench, 3 with 1 h more" in said
    assert "nothing was recorded. Is the camera's clock right?" in said
    assert log.read_bytes() == before


def test_copies_that_are_no_longer_shown_stay_and_are_told_of(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["photos", named(data), str(camera), "--clock", CLOCK, "--data", str(data)])
    assert "no longer on the page" not in capsys.readouterr().out
    main(["photos", named(data), "--without", "IMG_2.jpg", "--data", str(data)])
    assert "1 copy is no longer on the page" in capsys.readouterr().out
    assert len(list((data / "builds" / named(data) / "photos").glob("*.jpg"))) == 2


def test_only_looking_writes_nothing(data: Path, camera: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = data / "builds" / named(data)
    before = (folder / "log.jsonl").read_bytes()
    told = data_from(
        capsys, "photos", named(data), str(camera), "--look", "--json", "--clock", CLOCK, "--data", str(data)
    )
    assert told["recorded"] is False
    assert [each["copy"] for each in told["photos"]] == [None, None]
    assert (folder / "log.jsonl").read_bytes() == before
    assert not (folder / "photos").exists()


def test_captions_are_kept_and_told(data: Path, camera: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["photos", named(data), str(camera), "--clock", CLOCK, "--data", str(data)])
    capsys.readouterr()
    assert main(["photos", named(data), "--caption", "img_3.jpg=Too short by a hair", "--data", str(data)]) == 0
    assert "Too short by a hair" in capsys.readouterr().out
    assert main(["article", named(data), "--out", "-", "--data", str(data)]) == 0
    assert "*Too short by a hair*" in capsys.readouterr().out
    for wrong in ("IMG_3.jpg", "IMG_99.jpg=x"):
        assert main(["photos", named(data), "--caption", wrong, "--data", str(data)]) == 1
    assert "no such photo" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--clock", "IMG_1.jpg=25:00:00"], "is not a time"),
        (["--clock", "IMG_1.jpg"], "IMG_0012.jpg=18:20:05"),
        (["--clock", "IMG_77.jpg=18:20:05"], "no such photo"),
        (["--zone", "Atlantis/Harbour"], "no such zone"),
        (["--zone", "../../etc/passwd"], "no such zone"),
    ],
)
def test_what_cannot_be_read_is_said_and_nothing_is_recorded(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], word: str
) -> None:
    log = data / "builds" / named(data) / "log.jsonl"
    before = log.read_bytes()
    assert main(["photos", named(data), str(camera), *arguments, "--data", str(data)]) == 1
    assert word in capsys.readouterr().err
    assert log.read_bytes() == before


def test_a_build_or_folder_that_is_not_there_is_said(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["photos", "nothing", ".", "--data", str(data)]) == 1
    assert "no build" in capsys.readouterr().err
    assert main(["photos", named(data), str(data / "away"), "--data", str(data)]) == 1
    assert "cannot be read" in capsys.readouterr().err
    assert main(["photos", named(data), "--data", str(data)]) == 1
    assert "no photos were matched" in capsys.readouterr().err


def test_a_build_that_is_open_in_another_window_is_said(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    held = LogFile(data / "builds" / named(data))
    try:
        assert main(["photos", named(data), str(camera), "--data", str(data)]) == 1
        assert "another window has this build open" in capsys.readouterr().err
        assert main(["photos", named(data), str(camera), "--look", "--data", str(data)]) == 0
    finally:
        held.close()


def test_nothing_in_a_name_or_a_caption_steers_the_terminal(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "camera"
    photo(
        folder / f"a{HOSTILE}.jpg".replace("/", ""),
        at(100),
        make=f"x{HOSTILE}".encode("ascii", "ignore").decode(),
    )
    assert main(["photos", named(data), str(folder), "--data", str(data)]) == 0
    assert_inert(capsys.readouterr().out)
    assert main(["photos", named(data), "--json", "--data", str(data)]) == 0
    told = capsys.readouterr().out
    assert "\x1b" not in told
    assert json.loads(told)["photos"]


def test_without_pillow_it_says_how_to_install_it(data: Path, camera: Path, tmp_path: Path) -> None:
    (tmp_path / "PIL").mkdir()
    (tmp_path / "PIL" / "__init__.py").write_text("raise ImportError('not here')")
    done = run(
        "photos", named(data), str(camera), "--data", str(data),
        PYTHONPATH=f"{tmp_path}{os.pathsep}{os.environ.get('PYTHONPATH', '')}",
    )  # fmt: skip
    assert done.returncode == 1
    assert b"pip install 'solderside[photos]'" in done.stderr
    assert b"Traceback" not in done.stderr


def test_retelling_an_old_build_needs_no_pillow(data: Path, camera: Path, tmp_path: Path) -> None:
    assert main(["photos", named(data), str(camera), "--clock", CLOCK, "--data", str(data)]) == 0
    (tmp_path / "PIL").mkdir()
    (tmp_path / "PIL" / "__init__.py").write_text("raise ImportError('not here')")
    done = run(
        "article", named(data), "--out", "-", "--data", str(data),
        PYTHONPATH=f"{tmp_path}{os.pathsep}{os.environ.get('PYTHONPATH', '')}",
    )  # fmt: skip
    assert done.returncode == 0
    assert b"(photos/img-3" in done.stdout


def test_help_has_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["photos", "--help"])
    said = " ".join(capsys.readouterr().out.split())
    assert "--clock IMG_0012.jpg=18:20:05" in said


def test_a_caption_for_a_photo_that_was_left_out_is_refused_with_the_reason_told(
    data: Path, camera: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    caption = ["--caption", "cat.jpg=The cat"]
    assert main(["photos", named(data), str(camera), "--clock", CLOCK, *caption, "--data", str(data)]) == 1
    told = capsys.readouterr()
    assert "cat.jpg: 9 days after" in told.out
    assert "cat.jpg: there is no such photo among those that go with this build" in told.err

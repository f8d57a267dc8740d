"""`solderside clips`: listed, named from a folder by what their files say, taken out; nothing is erased."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.cli import main
from bench.log.file import LOG_NAME
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.film.media_files import film_files, movie_header
from tests.support.command_line import data_from
from tests.support.samples import HandClock

NAME = "twin-board-oscillator-rev-b"
BEGAN = 1_927_820_000
"""2031-02-02 17:33:20 UTC."""
SINCE_1904 = 2_082_844_800


def box(kind: bytes, body: bytes, *, large: bool = False) -> bytes:
    size = struct.pack(">I4sQ", 1, kind, 16 + len(body)) if large else struct.pack(">I4s", 8 + len(body), kind)
    return size + body


def film_file(created: int, seconds: float, *, version: int = 0, large: bool = False) -> bytes:
    """A file as ISO/IEC 14496-12 has it: type, media data, movie with its header (8.2.2)."""
    layout = ">B3xQQIQ" if version else ">B3xIIII"
    head = struct.pack(layout, version, created, created, 600, round(seconds * 600)) + bytes(80)
    return (
        box(b"ftyp", b"isom") + box(b"mdat", bytes(1000), large=large)
        + box(b"moov", box(b"free", b"") + box(b"mvhd", head))
    )  # fmt: skip


@pytest.fixture
def data(own_data: Path, kit_file: Path) -> Path:
    clock = HandClock(utc=float(BEGAN))
    build = open_build(own_data, str(kit_file), Settings(), clock)
    build.opened()
    build.clap()
    for _ in range(8):
        clock.work(300)
        build.done()
    build.close()
    return own_data


def log_of(data: Path) -> bytes:
    return (data / "builds" / NAME / LOG_NAME).read_bytes()


@pytest.mark.parametrize("version", [0, 1])
@pytest.mark.parametrize("large", [False, True])
def test_the_header_of_a_film_file_is_read(version: int, large: bool) -> None:
    text = film_file(SINCE_1904 + BEGAN, 754.2, version=version, large=large)
    assert movie_header(io.BytesIO(text)) == (SINCE_1904 + BEGAN, 754.2)


@given(st.binary(max_size=200), st.integers(0, 1200))
def test_a_broken_file_says_nothing(noise: bytes, cut: int) -> None:
    whole = film_file(SINCE_1904, 10.0)
    for text in (noise, whole[:cut], whole[:cut] + noise):
        movie_header(io.BytesIO(text))


def test_all_clips_of_a_folder_are_named_at_once(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    card = tmp_path / "card"
    for name, created, seconds in (
        ("A/C0001.MP4", BEGAN + 60, 600.0), ("B/C0001.MP4", BEGAN + 900, 300.0),
        ("phone.mov", BEGAN - 3000, 40.0), ("old.mp4", BEGAN - 864_000, 10.0),
        ("undated.mp4", -SINCE_1904, 10.0),
    ):  # fmt: skip
        (card / name).parent.mkdir(parents=True, exist_ok=True)
        (card / name).write_bytes(film_file(SINCE_1904 + created, seconds))
    (card / "notes.txt").write_text("x")
    assert len(film_files(card)) == 5
    assert main(["clips", NAME, "--from", str(card)]) == 0
    said = capsys.readouterr()
    assert [line.split("   ")[0] for line in said.out.splitlines() if line.startswith("clip")] == [
        "clip phone.mov", "clip A/C0001.MP4", "clip B/C0001.MP4",
    ]  # fmt: skip
    assert "3 of 5 film files" in said.err
    assert "old.mp4: left out, since it was filmed on another day" in said.err
    assert "undated.mp4: left out, since the file does not say when" in said.err
    clips = data_from(capsys, "clips", NAME, "--json")["clips"]
    assert [(clip["starts"], clip["length"]) for clip in clips][1] == ("2031-02-02T17:34:20.000Z", 600.0)
    before = log_of(data)
    assert main(["clips", NAME, "--from", str(card)]) == 0
    assert "named already" in capsys.readouterr().err
    assert log_of(data) == before


def test_a_clip_is_taken_out_and_the_log_only_grows(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("one.mov", "slip.mov"):
        assert main(["chapters", NAME, "--clip", name, "--clap", "1=12.0", "--length", "9:00"]) == 0
    before = log_of(data)
    capsys.readouterr()
    assert main(["clips", NAME, "--forget", "one.mov", "--forget", "nobody.mov"]) == 1
    assert "no clip is called 'nobody.mov'; clips so far: one.mov, slip.mov" in capsys.readouterr().err
    assert log_of(data) == before
    assert main(["clips", NAME, "--forget", "slip.mov"]) == 0
    assert "slip.mov" not in capsys.readouterr().out
    assert log_of(data).startswith(before)
    assert main(["film", NAME]) == 0
    assert "slip" not in "".join(capsys.readouterr())


def test_what_cannot_be_is_told(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["clips", NAME]) == 0
    assert "No clip has been named yet" in capsys.readouterr().out
    assert main(["clips", NAME, "--from", str(tmp_path / "none")]) == 1
    assert "the folder cannot be read" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["clips", NAME, "--from", "x", "--forget", "y"])
    with pytest.raises(SystemExit):
        main(["film", NAME, "--out", "-"])
    assert "a folder of files" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["export", NAME, "--out", "-"])
    assert "name a file" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("one.mov 8:11:06 9:00", "write a decimal: 8:11.24"),
        ("one.mov 1:00 8:11:06", "write a decimal: 8:11.24"),
        ("one.mov 9:00 8:00", "swap them"),
        ("one.mov 1:00 31:00", "use an earlier out"),
    ],
)
def test_frames_in_a_cut_list_are_named_where_they_were_read_as_hours(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], line: str, word: str
) -> None:
    assert main(["chapters", NAME, "--clip", "one.mov", "--clap", "1=12.0", "--length", "30:00"]) == 0
    monkeypatch.setattr("sys.stdin", io.StringIO(line))
    capsys.readouterr()
    assert main(["chapters", NAME, "--cut", "-"]) == 1
    assert word in capsys.readouterr().err
    assert main(["chapters", NAME, "--clip", "one.mov", "--clap", "1=1:05:12"]) == 1
    assert "1:05.48 at 25 a second" in capsys.readouterr().err


def test_a_cut_list_comes_from_standard_input(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["chapters", NAME, "--clip", "one.mov", "--clap", "1=12.0", "--length", "30:00"]) == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("one.mov 0:00 5:00 2x"))
    capsys.readouterr()
    assert main(["chapters", NAME, "--cut", "-"]) == 0
    assert capsys.readouterr().out.startswith("0:00 ")


def test_a_clip_with_nothing_worth_showing_is_not_listed_among_the_moments(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["chapters", NAME, "--clip", "one.mov", "--clap", "1=12.0", "--length", "30:00"]) == 0
    capsys.readouterr()
    assert main(["chapters", NAME, "--moments"]) == 0
    assert capsys.readouterr().out == "Nothing worth showing is on film.\n"


def test_chapters_go_to_standard_output_where_a_dash_is_given(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["chapters", NAME, "--clip", "one.mov", "--clap", "1=12.0", "--out", "-"]) == 0
    assert capsys.readouterr().out.startswith("0:00 ")
    assert not (tmp_path / "-").exists()

"""A build carried to another computer in one file, and what no archive may do there."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from bench.session.build_archive import ENDING, INSIDE, export_build, import_build
from bench.session.folders import build_folders, open_build, read_back
from bench.settings import Settings
from tests.support.samples import HandClock

JPEG = bytes.fromhex("ffd8ffe000104a46494600010100000100010000ffd9")


@pytest.fixture
def exported(tmp_path: Path) -> Path:
    """An archive of a build with a note and a photo."""
    here = tmp_path / "here"
    build = open_build(here, "fog-filter", Settings(), HandClock(), unit="Anna")
    build.done()
    build.note("a cold joint at R7")
    build.close()
    (build.log.folder / "photos").mkdir()
    (build.log.folder / "photos" / "one-0123456789ab.jpg").write_bytes(JPEG)
    (build.log.folder / "article.md").write_text("own words\n", encoding="utf-8")
    (build.log.folder / "article.html").write_text("<p>made again</p>", encoding="utf-8")
    return export_build(build.log.folder, tmp_path, Settings())


def test_a_build_arrives_with_log_kit_procedure_words_and_photos(exported: Path, tmp_path: Path) -> None:
    assert exported.name == f"fog-filter-rev-a-anna{ENDING}"
    there = tmp_path / "there"
    carried = import_build(there, exported, Settings(step_size=3))
    assert carried.folder == there / "builds" / "fog-filter-rev-a-anna"
    kit, progress, build = read_back(there, carried.folder, Settings())
    assert (kit.name, progress.unit, progress.notes[0].text) == ("Fog filter", "Anna", "a cold joint at R7")
    assert (carried.folder / "photos" / "one-0123456789ab.jpg").read_bytes() == JPEG
    assert (carried.folder / "article.md").read_text(encoding="utf-8") == "own words\n"
    assert not (carried.folder / "article.html").exists()
    assert carried.settings == ("step_size was 0 where it was built, and is 3 here",)
    assert not build.log.remarks
    again = open_build(there, carried.folder.name, Settings(), HandClock())
    again.opened()
    assert not again.log.read_only


def test_it_never_replaces_a_build_that_is_there(exported: Path, tmp_path: Path) -> None:
    first, second = (import_build(tmp_path / "there", exported, Settings()).folder for _ in range(2))
    assert (first.name, second.name) == ("fog-filter-rev-a-anna", "fog-filter-rev-a-anna-2")


def changed(archive: Path, change: Callable[[zipfile.ZipFile], None], skip: str = "") -> Path:
    """The archive without a member, and with what `change` adds to it."""
    out = io.BytesIO()
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            if info.filename != skip:
                new.writestr(info.filename, old.read(info))
        change(new)
    archive.write_bytes(out.getvalue())
    return archive


def link(archive: zipfile.ZipFile) -> None:
    info = zipfile.ZipInfo(f"{INSIDE}photos/away-1.jpg")
    info.external_attr = 0o120777 << 16
    archive.writestr(info, "/etc/passwd")


HOSTILE: dict[str, Callable[[zipfile.ZipFile], None]] = {
    "a path up": lambda archive: archive.writestr(f"{INSIDE}../../evil.yaml", "x"),
    "a path from the root": lambda archive: archive.writestr("/tmp/evil", "x"),
    "a path with backslashes": lambda archive: archive.writestr(f"{INSIDE}..\\..\\evil", "x"),
    "a drive": lambda archive: archive.writestr("C:evil", "x"),
    "a link": link,
    "a bomb": lambda archive: archive.writestr(f"{INSIDE}photos/bomb.jpg", b"\0" * 300_000_000),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_archive_is_refused_and_leaves_nothing(exported: Path, tmp_path: Path, name: str) -> None:
    there = tmp_path / "there"
    with pytest.raises(SoldersideError):
        import_build(there, changed(exported, HOSTILE[name]), Settings())
    assert not list(build_folders(there))
    assert not [each for each in there.rglob("*") if each.is_file()]
    assert not (tmp_path / "evil.yaml").exists()


def test_a_member_given_twice_is_refused(exported: Path, tmp_path: Path) -> None:
    def twice(archive: zipfile.ZipFile) -> None:
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr(f"{INSIDE}log.jsonl", "{}")

    with pytest.raises(SoldersideError, match="twice"):
        import_build(tmp_path / "there", changed(exported, twice), Settings())


def test_a_size_that_lies_does_not_help(exported: Path, tmp_path: Path) -> None:
    changed(exported, lambda archive: archive.writestr(f"{INSIDE}photos/bomb.jpg", b"\0" * 250_000_000))
    data = bytearray(exported.read_bytes())
    real = struct.pack("<I", 250_000_000)
    while (at := data.find(real)) >= 0:
        data[at : at + 4] = struct.pack("<I", 1000)
    exported.write_bytes(data)
    with pytest.raises(SoldersideError):
        import_build(tmp_path / "there", exported, Settings())
    assert not list(build_folders(tmp_path / "there"))


@pytest.mark.parametrize("skip", ["about.json", f"{INSIDE}log.jsonl"])
def test_what_is_no_build_is_refused(exported: Path, tmp_path: Path, skip: str) -> None:
    with pytest.raises(SoldersideError):
        import_build(tmp_path / "there", changed(exported, lambda _: None, skip), Settings())


def test_no_cut_of_an_archive_ends_in_a_traceback(exported: Path, tmp_path: Path) -> None:
    whole = exported.read_bytes()
    for size in range(0, len(whole), max(1, len(whole) // 60)):
        exported.write_bytes(whole[:size])
        with pytest.raises(SoldersideError):
            import_build(tmp_path / "there", exported, Settings())
    assert not list(build_folders(tmp_path / "there"))


def test_other_files_are_passed_over_with_a_word(exported: Path, tmp_path: Path) -> None:
    changed(exported, lambda archive: archive.writestr(f"{INSIDE}run-me.sh", "rm"))
    carried = import_build(tmp_path / "there", exported, Settings())
    assert carried.passed_over == (f"{INSIDE}run-me.sh",)
    assert not (carried.folder / "run-me.sh").exists()


def test_export_replaces_its_own_file_and_no_other(exported: Path, tmp_path: Path) -> None:
    folder = tmp_path / "here" / "builds" / "fog-filter-rev-a-anna"
    assert export_build(folder, exported, Settings()) == exported
    other = tmp_path / "letter.zip"
    other.write_text("dear reader", encoding="utf-8")
    with pytest.raises(SoldersideError, match="another file"):
        export_build(folder, other, Settings())
    assert other.read_text(encoding="utf-8") == "dear reader"


def test_on_the_command_line(exported: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here = ["--data", str(tmp_path / "here")]
    there = tmp_path / "there"
    there.mkdir()
    name = "fog-filter-rev-a-anna"
    assert main(["export", name, "--out", str(tmp_path / "a.zip"), *here]) == 0
    assert main(["import", str(tmp_path / "a.zip"), "--data", str(there)]) == 0
    assert f"solderside build {name}" in capsys.readouterr().out
    assert main(["archive", name, *here]) == 0
    assert main(["restore", *here]) == 0
    assert f"put away: {name}" in capsys.readouterr().out
    assert main(["delete", name, *here]) == 0
    assert not list(build_folders(tmp_path / "here"))
    assert main(["restore", name, *here]) == 0
    assert [each.name for each in build_folders(tmp_path / "here")] == [name]
    assert main(["restore", "nothing", *here]) == 1

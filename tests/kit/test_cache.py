"""Kit files on the disk, and the cache of kits already read."""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

import bench
from bench import cache as parsed
from bench.errors import FileFaults
from bench.kit.kit import Kit
from bench.kit.load import load_kit, parse_kit
from tests.support.kit_files import FULL

# Files and the cache


def test_a_file_is_loaded_and_named_as_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("my.yaml").write_text(FULL, encoding="utf-8")
    kit = load_kit(Path("my.yaml"))
    assert kit.file == "my.yaml"
    assert kit == parse_kit(FULL.encode(), "my.yaml")


def test_a_missing_file_and_a_folder_are_faults(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match="there is no such file; check the spelling and the folder"):
        load_kit(tmp_path / "none.yaml", tmp_path / "cache")
    with pytest.raises(FileFaults, match="this is a folder"):
        load_kit(tmp_path)


@pytest.fixture
def kit_file(tmp_path: Path) -> Path:
    path = tmp_path / "my.yaml"
    path.write_text(FULL, encoding="utf-8")
    return path


def unread(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on reading YAML fails, so that only the cache can answer."""

    def refuse(*_: object) -> Kit:
        raise AssertionError("the file was parsed again")

    monkeypatch.setattr("bench.kit.load.parse_kit", refuse)


def test_a_kit_from_the_cache_is_equal_and_bears_the_name_it_was_asked_for_by(
    kit_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit = load_kit(kit_file, tmp_path / "new" / "cache")
    twin = tmp_path / "copy.yaml"
    twin.write_bytes(kit_file.read_bytes())
    unread(monkeypatch)
    assert load_kit(kit_file, tmp_path / "new" / "cache") == kit
    assert load_kit(twin, tmp_path / "new" / "cache") == msgspec.structs.replace(kit, file=str(twin))


def test_a_changed_file_is_read_anew(kit_file: Path, tmp_path: Path) -> None:
    load_kit(kit_file, tmp_path / "cache")
    kit_file.write_text(FULL.replace("4k7", "4k8"), encoding="utf-8")
    assert load_kit(kit_file, tmp_path / "cache").boards[0].parts[0].value == "4k8"


def test_what_another_version_of_the_program_kept_is_not_used(
    kit_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_kit(kit_file, tmp_path / "cache")
    monkeypatch.setattr(parsed, "_program", lambda: "a later one")
    unread(monkeypatch)
    with pytest.raises(AssertionError, match="parsed again"):
        load_kit(kit_file, tmp_path / "cache")


def test_the_program_is_told_from_others_by_version_and_by_the_sources_that_read_kits() -> None:
    named = parsed._program().splitlines()
    assert named[0].startswith(bench.__version__)
    assert {row.split()[0] for row in named[1:]} > {
        "kit/kit_file.py", "kit/part_lines.py", "parts/kinds/passives.py", "parts/quantity.py",
    }  # fmt: skip


def test_no_folder_of_sources_that_read_kits_is_left_out() -> None:
    """A changed record of a kind must not leave a stale plan behind."""
    here = Path(bench.__file__).parent
    rooms = {folder.partition("/")[0] for folder in parsed._FOLDERS}
    folders = {
        file.parent.relative_to(here).as_posix() for room in rooms for file in (here / room).rglob("*.py")
    }
    assert folders == set(parsed._FOLDERS)


def test_a_damaged_entry_of_the_cache_is_passed_over_and_mended(kit_file: Path, tmp_path: Path) -> None:
    kit = load_kit(kit_file, tmp_path / "cache")
    (entry,) = (tmp_path / "cache").iterdir()
    sound = entry.read_bytes()
    chance = random.Random(20310203)
    for _ in range(200):
        at = chance.randrange(len(sound))
        damaged = bytearray(sound)
        damaged[at] ^= 1 << chance.randrange(8)
        entry.write_bytes(damaged if chance.random() < 0.7 else sound[:at])
        assert load_kit(kit_file, tmp_path / "cache") == kit
        assert entry.read_bytes() == sound


def test_an_entry_that_is_whole_but_holds_no_kit_is_not_used(kit_file: Path, tmp_path: Path) -> None:
    kit = load_kit(kit_file, tmp_path / "cache")
    (entry,) = (tmp_path / "cache").iterdir()
    for body in (b"", b"\x81\xa4name\x01", msgspec.msgpack.encode({"name": "x"}), b"\x91" * 100_000):
        entry.write_bytes(hashlib.sha256(body).digest() + body)
        assert load_kit(kit_file, tmp_path / "cache") == kit


def test_a_sound_entry_under_the_wrong_name_is_not_used(kit_file: Path, tmp_path: Path) -> None:
    kit = load_kit(kit_file, tmp_path / "cache")
    (entry,) = (tmp_path / "cache").iterdir()
    kit_file.write_text(FULL.replace("4k7", "4k8"), encoding="utf-8")
    other = hashlib.sha256(kit_file.read_bytes()).hexdigest()
    os.replace(entry, parsed.entry(tmp_path / "cache", other, Kit))  # noqa: PTH105
    assert load_kit(kit_file, tmp_path / "cache") != kit


def test_a_cache_that_cannot_be_made_or_written_does_not_stop_the_work(
    kit_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit = load_kit(kit_file)
    (tmp_path / "in the way").write_text("")
    assert load_kit(kit_file, tmp_path / "in the way") == kit
    assert load_kit(kit_file, tmp_path / "in the way" / "cache") == kit

    def refuse(*_: object) -> None:
        raise PermissionError(30, "Read-only file system")

    monkeypatch.setattr("bench.cache.os.replace", refuse)
    assert load_kit(kit_file, tmp_path / "cache") == kit
    assert list((tmp_path / "cache").iterdir()) == []


def test_a_faulty_file_leaves_nothing_in_the_cache(tmp_path: Path) -> None:
    (tmp_path / "my.yaml").write_text("kit: 1\n")
    with pytest.raises(FileFaults):
        load_kit(tmp_path / "my.yaml", tmp_path / "cache")
    assert not (tmp_path / "cache").exists()


def test_neither_yaml_nor_textual_is_imported_for_a_kit_in_the_cache(kit_file: Path, tmp_path: Path) -> None:
    load_kit(kit_file, tmp_path / "cache")
    code = (
        "import sys; from pathlib import Path; from bench.kit.load import load_kit\n"
        "load_kit(Path(sys.argv[1]), Path(sys.argv[2]) if sys.argv[2:] else None)\n"
        "print(sorted({'yaml', 'textual', 'difflib'} & set(sys.modules)))"
    )

    def shown(*arguments: Path) -> str:
        run = [sys.executable, "-c", code, *map(str, arguments)]
        return subprocess.run(run, capture_output=True, text=True, check=True).stdout.strip()

    assert shown(kit_file, tmp_path / "cache") == "[]"
    assert shown(kit_file) == "['yaml']"  # the other way round, so that the test can fail

"""Whole files on the disk, and nobody else's replaced."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from bench.errors import Refused, SoldersideError
from bench.writeup import output_files as disk
from bench.writeup.output_files import save_whole


def test_a_file_of_ours_is_replaced_without_asking(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    assert save_whole(page, b"one", tmp_path).changed
    assert save_whole(page, b"two", tmp_path).changed
    assert page.read_bytes() == b"two"


def test_a_file_that_says_the_same_already_is_left_alone(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_bytes(b"one")
    assert not save_whole(page, b"one", tmp_path).changed


def test_a_file_of_somebody_else_is_refused_and_kept(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_bytes(b"mine")
    with pytest.raises(Refused, match="did not write"):
        save_whole(page, b"new", tmp_path)
    assert page.read_bytes() == b"mine"


def test_a_file_changed_by_hand_is_refused_and_by_force_kept_beside(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    save_whole(page, b"one", tmp_path)
    page.write_bytes(b"one, and more")
    with pytest.raises(Refused):
        save_whole(page, b"two", tmp_path)
    saved = save_whole(page, b"two", tmp_path, force=True)
    assert saved.kept_as is not None
    assert (page.read_bytes(), saved.kept_as.read_bytes()) == (b"two", b"one, and more")


def test_a_failing_disk_leaves_the_old_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = tmp_path / "page.html"
    save_whole(page, b"one", tmp_path)

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SoldersideError, match="No space left on device"):
        save_whole(page, b"two", tmp_path)
    assert page.read_bytes() == b"one"
    assert [each.name for each in tmp_path.glob("*.tmp")] == []


def test_a_list_that_cannot_be_read_asks_once_more_and_loses_nothing(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    save_whole(page, b"one", tmp_path)
    (tmp_path / disk.LIST_NAME).write_text("[]")
    with pytest.raises(Refused):
        save_whole(page, b"two", tmp_path)
    assert page.read_bytes() == b"one"


def test_a_list_of_what_was_written_that_is_nested_a_hundred_thousand_deep_knows_nothing(
    tmp_path: Path,
) -> None:
    (tmp_path / disk.LIST_NAME).write_text("[" * 100_000)
    (tmp_path / "page.html").write_text("mine")
    with pytest.raises(Refused):
        save_whole(tmp_path / "page.html", b"two", tmp_path)


def test_what_is_kept_beside_is_on_the_disk_before_the_new_file_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "page.html").write_bytes(b"mine")
    written: list[Path] = []

    def note(path: Path, data: bytes) -> None:
        written.append(path)
        path.write_bytes(data)

    monkeypatch.setattr(disk, "write_whole", note)
    save_whole(tmp_path / "page.html", b"two", tmp_path, force=True)
    assert [path.name for path in written] == ["page.before.html", "page.html", disk.LIST_NAME]


def test_a_link_beside_a_log_that_leads_out_of_its_folder_is_not_written_through(tmp_path: Path) -> None:
    outside, folder = tmp_path / "profile", tmp_path / "build"
    folder.mkdir()
    (folder / "page.html").symlink_to(outside)
    save_whole(folder / "page.html", b"one", folder)
    assert outside.read_bytes() == b"one", "elsewhere a builder's own link is followed"
    outside.unlink()
    (folder / "log.jsonl").touch()
    with pytest.raises(Refused, match="a link that leads out"):
        save_whole(folder / "page.html", b"one", folder, force=True)
    assert not outside.exists()

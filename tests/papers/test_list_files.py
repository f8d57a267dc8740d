"""Which files may be parts lists, and the rest of a path that was begun."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.papers.list_files import complete_path, likely_lists, paper_folders, read_bytes
from bench.parts.advice import NOT_ALL


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in (
        "moth.csv",
        "moth-bom.txt",
        "README.md",
        "photo.png",
        ".hidden.csv",
        "lists/owl.ods",
        "lists/owl.xlsx",
    ):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"R1 10k\n")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_files_named_like_lists_come_first_and_those_named_like_manuals_last(folder: Path) -> None:
    found = [path.name for path in likely_lists([folder])]
    assert found == ["moth-bom.txt", "moth.csv", "README.md"]


def test_among_equals_the_newest_comes_first_and_missing_folders_are_none(folder: Path) -> None:
    os.utime(folder / "lists" / "owl.ods", (1, 1))
    found = [path.name for path in likely_lists([folder / "nowhere", folder / "lists"])]
    assert found == ["owl.xlsx", "owl.ods"]


@pytest.mark.parametrize(
    ("begun", "whole"),
    [
        ("moth.", "moth.csv"), ("mo", "moth"), ("li", "lists/"), ("lists/", "lists/owl."), ("", ""),
        ("lists/owl.o", "lists/owl.ods"), ("nowhere/x", "nowhere/x"), (".h", ".hidden.csv"), ("x\x00", "x\x00"),
    ],
)  # fmt: skip
def test_a_path_is_completed_as_far_as_there_is_no_doubt(folder: Path, begun: str, whole: str) -> None:
    assert complete_path(begun) == whole
    assert complete_path(f"{folder}/{begun}") == f"{folder}/{whole}"


@pytest.mark.parametrize("name", ["nowhere.csv", "lists", "x\x00y", "y" * 5000])
def test_what_cannot_be_read_says_what_to_do(folder: Path, name: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        read_bytes(folder / name)
    assert caught.value.hint


def test_folders_with_papers_are_offered_and_plans_that_were_printed_are_not(tmp_path: Path) -> None:
    held = {"vu": "VU.brd", "probe": "bom.pdf", "photos": "one.jpg", ".git": "bom.csv", "notes": "a.txt"}
    for name, file in held.items():
        (tmp_path / name).mkdir()
        (tmp_path / name / file).write_text("x")
    assert [path.name for path in paper_folders(tmp_path)] == ["probe", "vu"]
    (tmp_path / "plan.txt").write_text(f"Bell: 3 steps\n{NOT_ALL}\nR1, R2, 10k\n")
    (tmp_path / "mine.txt").write_text("R1, R2 10k\n")
    assert [path.name for path in likely_lists([tmp_path])] == ["mine.txt"]

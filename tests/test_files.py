"""Files are read within bounds and from plain files only; a power cut leaves the old one or the new one."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.files import (
    home_path,
    make_folder,
    open_plain,
    parse_toml,
    read_plain_file,
    read_text_file,
    real_path,
    write_whole,
)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: os.mkfifo(path), "a pipe or a device"),
        (lambda path: path.symlink_to("/dev/zero"), "a pipe or a device"),
        (lambda path: path.mkdir(), "this is a folder"),
        (lambda path: path.symlink_to(path), "cannot be read"),
        (lambda path: path.write_bytes(b"x" * 2001), "larger than any parts list .over 2,000 bytes."),
        (lambda path: None, "no such file"),
    ],
)
def test_what_is_no_plain_file_of_a_sensible_size_is_refused_at_once(
    make: Callable[[Path], object], said: str, tmp_path: Path
) -> None:
    path = tmp_path / "given"
    make(path)
    with pytest.raises(SoldersideError, match=said) as refused:
        read_plain_file(path, 2000, "parts list")
    assert refused.value.where == str(path)
    assert refused.value.hint


def test_a_file_of_just_the_size_allowed_is_read(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_bytes(b"x" * 2000)
    assert len(read_plain_file(tmp_path / "list.csv", 2000)) == 2000
    (tmp_path / "list.csv").write_bytes("\ufeffR1,4k7 µ".encode())
    assert read_text_file(tmp_path / "list.csv", 2000) == "R1,4k7 µ"
    (tmp_path / "list.csv").write_bytes(b"\xb5")
    with pytest.raises(SoldersideError, match="not UTF-8"):
        read_text_file(tmp_path / "list.csv", 2000)


def test_a_file_of_ten_gigabytes_is_refused_by_its_size(tmp_path: Path) -> None:
    with (tmp_path / "list.csv").open("wb") as file:
        file.truncate(10_000_000_000)
    with pytest.raises(SoldersideError, match=r"larger than any file .over 500 MB."):
        read_plain_file(tmp_path / "list.csv", 500_000_000)


def test_the_home_of_somebody_unknown_and_links_in_a_circle_are_no_crash(tmp_path: Path) -> None:
    """What pathlib raises RuntimeError over."""
    assert home_path("~nobody-of-this-name/kit.yaml") == Path("~nobody-of-this-name/kit.yaml")
    assert home_path("~/kit.yaml") == Path.home() / "kit.yaml"
    circle = tmp_path / "circle"
    circle.symlink_to(circle)
    assert real_path(circle).parent == tmp_path.resolve()


def test_a_link_is_refused_where_links_are_not_followed(tmp_path: Path) -> None:
    (tmp_path / "real.jpg").write_bytes(b"x")
    (tmp_path / "link.jpg").symlink_to("real.jpg")
    assert read_plain_file(tmp_path / "link.jpg", 10) == b"x"
    with pytest.raises(SoldersideError, match="this is a link"):
        open_plain(tmp_path / "link.jpg", follow=False)


@pytest.mark.parametrize(
    "text",
    [
        "a" + ".a" * 60_000 + " = 1",
        "[" + "a." * 60_000 + "a]",
        'x = {"a' + '"."a' * 60_000 + '" = 1}',
        "a = " + "[" * 90_000,
        'x = {y = """\n""", a' + ".a" * 60_000 + ' = ""}',
    ],
    ids=["key", "table", "quoted", "nested", "behind a text of several lines"],
)
def test_toml_that_is_too_deep_is_refused_before_it_costs_anything(text: str) -> None:
    """Keys of n parts take tomllib n squared of memory: these take gigabytes where nothing bounds them."""
    with pytest.raises(ValueError, match=r"too many dots|too deeply|nested"):
        parse_toml(text)


def test_toml_with_many_dots_in_its_texts_is_read() -> None:
    kits = [f"../my.kits/number.{number}.yaml" for number in range(60)]
    assert parse_toml(f"kits = {kits}") == {"kits": kits}


def test_the_bytes_reach_the_disk_before_the_name_and_the_folder_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order that POSIX fsync and rename need for a file that survives a power cut whole."""
    done: list[str] = []
    real_sync, real_replace = os.fsync, Path.replace

    def sync(handle: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        real_sync(handle)

    def replace(self: Path, target: Path) -> Path:
        done.append("name")
        return real_replace(self, target)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(Path, "replace", replace)
    write_whole(tmp_path / "settings.toml", b"look_back = 5\n")
    assert done == ["file", "name", "folder"]
    done.clear()
    make_folder(tmp_path / "data" / "builds")
    assert done == ["folder", "folder"]


def test_on_a_failure_the_old_file_stays_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "batch.toml"
    path.write_bytes(b"old")
    path.chmod(0o640)

    def fail(handle: int) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", fail)
        with pytest.raises(OSError, match="Input/output"):
            write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["batch.toml"]
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640

"""The kit file to begin with: sound, ready to be filled in, and never written over another."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.errors import FileFaults, Refused, SoldersideError
from bench.kit.load import load_kit, parse_kit
from bench.kit.write import skeleton, write_skeleton


@pytest.mark.parametrize("name", ["Lamp wobbler", 'With "quotes": and # marks', "日本語 é [/b] {x}"])
def test_a_kit_file_to_fill_in_has_no_fault_and_bears_its_name(name: str) -> None:
    kit = parse_kit(skeleton(name).encode(), "new.yaml")
    assert kit.name == name
    assert [part.value for part in kit.boards[0].parts] == ["10k", "10u", "1N4148", "TL072"]


def test_the_comments_of_the_kit_file_to_fill_in_are_good_lines_too() -> None:
    with_all = []
    for line in skeleton("All of it").splitlines()[2:]:
        bare = line.replace("# ", "", 1) if line.lstrip().startswith("#") else line
        with_all.append("" if bare.strip().startswith("One line for") else bare)
    kit = parse_kit("\n".join(with_all).encode(), "new.yaml")
    assert kit.maker == "Who makes it"
    assert kit.hold_points[0].name == "Before power"
    assert kit.trims[0].name == "Scale"


def test_a_kit_file_to_fill_in_replaces_nothing(tmp_path: Path) -> None:
    path = tmp_path / "kits" / "new.yaml"
    write_skeleton(path, "One", own_folder=path.parent)
    with pytest.raises(Refused):
        write_skeleton(path, "Two", own_folder=path.parent)
    assert load_kit(path).name == "One"
    with pytest.raises(FileFaults):
        write_skeleton(tmp_path / "x.yaml", "\x1b[31m", own_folder=path.parent)
    assert not (tmp_path / "x.yaml").exists()


def test_only_the_folder_of_the_builders_own_kits_is_made(tmp_path: Path) -> None:
    own, other = tmp_path / "own", tmp_path / "other"
    with pytest.raises(SoldersideError, match="the file cannot be written"):
        write_skeleton(other / "x.yaml", "X", own_folder=own)
    assert not other.exists()
    own.write_text("in the way")
    with pytest.raises(SoldersideError, match="the folder cannot be made") as caught:
        write_skeleton(own / "x.yaml", "X", own_folder=own)
    assert caught.value.where == str(own)

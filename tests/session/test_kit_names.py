"""Kits are found by name, wherever the program was started and wherever their files are stored."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from bench.session.folders import open_build
from bench.session.kit_names import find_kit, kit_names
from bench.settings import Settings, kits_folder, shipped_kits_folder
from tests.support.command_line import data_from
from tests.support.kit_files import small
from tests.support.samples import HandClock

pytestmark = pytest.mark.usefixtures("own_data")
SHIPPED = sorted(path.stem for path in shipped_kits_folder().glob("*.yaml"))


@pytest.fixture(autouse=True)
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that holds nothing, to start the program in."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


@pytest.mark.parametrize("name", SHIPPED)
def test_every_kit_that_ships_has_its_name(own_data: Path, name: str) -> None:
    assert find_kit(own_data, name) == shipped_kits_folder() / f"{name}.yaml"


@pytest.mark.parametrize("written", ["fog-filter.yaml", "Fog filter", "FOG-FILTER"])
def test_a_name_may_be_written_with_its_ending_or_as_the_title_is(own_data: Path, written: str) -> None:
    assert find_kit(own_data, written).stem == "fog-filter"


def test_a_file_that_is_named_as_one_wins_over_the_kit_that_ships(own_data: Path, elsewhere: Path) -> None:
    (elsewhere / "fog-filter.yaml").write_text("kit: 1\n")
    assert find_kit(own_data, "fog-filter.yaml") == Path("fog-filter.yaml")
    assert find_kit(own_data, "fog-filter").parent == shipped_kits_folder()
    (elsewhere / "cue-envelope").mkdir()
    assert find_kit(own_data, "cue-envelope").parent == shipped_kits_folder()


def test_the_builders_own_kit_stands_before_the_one_that_ships(own_data: Path) -> None:
    kits_folder(own_data).mkdir(parents=True)
    own = kits_folder(own_data) / "fog-filter.yaml"
    own.write_text("kit: 1\n")
    assert find_kit(own_data, "fog-filter") == own == kit_names(own_data)["fog-filter"]


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ("metronome", "there is no kit 'metronome'; did you mean first-evening-metronome?"),
        ("fog-filtre", "there is no kit 'fog-filtre'; did you mean fog-filter?"),
        ("kits/fog-filter.yaml", "kits/fog-filter.yaml: there is no such file; did you mean fog-filter?"),
        ("zzzz", f"there is no kit 'zzzz'; known by name: {SHIPPED[0]}, "),
        ("x" * 5000, "there is no kit "),
        ("a\0b.yaml", "a\0b.yaml: there is no such file; "),
        ("", "there is no kit ''; known by name: "),
    ],
)
def test_a_name_that_is_none_is_told_what_comes_near(own_data: Path, named: str, said: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        find_kit(own_data, named)
    assert str(caught.value.faults[0]).startswith((said, f": {said}"))


def test_kits_are_listed_with_the_names_that_commands_take(
    own_data: Path, elsewhere: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kits_folder(own_data).mkdir(parents=True)
    for folder, name in ((kits_folder(own_data), "Tiny"), (elsewhere, "Here"), (elsewhere, "fog-filter")):
        text = small("{refs: R1, value: 10k}").replace("Small", name)
        (folder / f"{name.lower()}.yaml").write_text(text, encoding="utf-8")
    assert main(["kits"]) == 0
    lines = capsys.readouterr().out.splitlines()
    names = [line.split()[0] for line in lines if line[0] != " "]
    assert sorted(names) == sorted(["tiny", "here.yaml", "fog-filter.yaml", *set(SHIPPED) - {"fog-filter"}])
    for name in names:
        assert main(["plan", name]) == 0
    capsys.readouterr()
    assert "tiny                       Tiny: 1 part, 2 joints, one board" in lines
    after = lines[[line.split()[0] for line in lines].index("prop-table-supply") + 1]
    assert "MAINS" in after
    assert "licensed practice" in after
    kits = data_from(capsys, "kits", "--json")["kits"]
    assert [kit["name"] for kit in kits] == names


@pytest.mark.parametrize(
    "words",
    [
        ["check", "first-evening-metronome"],
        ["plan", "first-evening-metronome"],
        ["sheet", "first-evening-metronome", "--out", "-"],
        ["batch", "first-evening-metronome", "fog-filter"],
        ["identify", "4k7", "--kit", "first-evening-metronome"],
    ],
)
def test_every_command_takes_the_name_and_tells_near_ones(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 0
    capsys.readouterr()
    wrong = [word.replace("first-evening-metronome", "first-evening-metronom") for word in words]
    assert main(wrong) == 1
    assert "did you mean first-evening-metronome" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["article", "shortage", "help-request", "chapters", "photos"])
def test_what_is_about_a_build_takes_the_name_of_its_kit(
    own_data: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, "first-evening-metronome"]) == 1
    said = capsys.readouterr().err
    assert "no build of Prompt-desk metronome rev. A yet; start one: solderside build first-evening-" in said
    build = open_build(own_data, "first-evening-metronome", Settings(), HandClock())
    build.log.close()
    main([command, "first-evening-metronome"])
    assert "no build of" not in capsys.readouterr().err
    assert main([command, build.log.folder.name[:-3]]) == 1
    assert f"did you mean {build.log.folder.name}?" in capsys.readouterr().err


def test_another_build_of_a_kit_that_shares_its_name_with_its_build_begins(own_data: Path) -> None:
    kits_folder(own_data).mkdir(parents=True)
    (kits_folder(own_data) / "tiny.yaml").write_text(
        small("{refs: R1, value: 10k}").replace("Small", "Tiny"), encoding="utf-8"
    )
    first = open_build(own_data, "tiny", Settings(), HandClock())
    first.log.close()
    second = open_build(own_data, "tiny", Settings(), HandClock(), again=True)
    second.log.close()
    assert [first.log.folder.name, second.log.folder.name] == ["tiny", "tiny-2"]


def test_the_plan_of_a_name_is_that_of_its_file(capsys: pytest.CaptureFixture[str]) -> None:
    by_name = data_from(capsys, "plan", "fog-filter", "--json")
    by_path = data_from(capsys, "plan", str(shipped_kits_folder() / "fog-filter.yaml"), "--json")
    assert by_name == by_path

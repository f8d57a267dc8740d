"""DEVELOPERS.md is true: its rooms, the files that it names, and the table of what was tried against loss."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from tests.benchmarks import Figure, _table
from tests.benchmarks.__main__ import _found, main
from tests.test_architecture import TOUCHES_THE_WORLD

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CONTRACTS = PROJECT["tool"]["importlinter"]["contracts"]
LAYERS = next(each["layers"] for each in CONTRACTS if each.get("containers") == ["bench"])
ROOM_ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in TEXT.split("## The rooms")[1].split("\n\n")[2].splitlines()[2:]
]


def test_the_rooms_stand_there_in_their_order_with_what_they_may_touch() -> None:
    assert [row[0].strip("`") for row in ROOM_ROWS] == LAYERS[::-1]
    for room, _, touches in ROOM_ROWS:
        name = room.strip("`")
        reaching = {file for file in TOUCHES_THE_WORLD if file == f"{name}.py" or file.startswith(f"{name}/")}
        assert bool(reaching) is (touches != "nothing"), name
        assert {each for each in re.findall(r"`([^`]+)`", touches)} <= reaching


def test_every_file_that_it_names_is_there() -> None:
    named = set(re.findall(r"`((?:[\w.-]+/)+[\w.-]+\.(?:py|toml|txt|md|yaml))`", TEXT))
    assert len(named) > 40
    assert [
        each for each in sorted(named) if not any((ROOT / base / each).exists() for base in ("", "bench"))
    ] == []


def test_every_row_against_loss_has_a_figure_a_goal_and_a_seed() -> None:
    rows = _table.written()
    assert len(rows) >= 8
    for line in rows:
        _, _, found, goal, cases, seed, _ = (cell.strip() for cell in line.split("|"))
        assert float(found) >= 0
        assert goal
        assert cases
        assert re.match(r"\d", seed)
    assert len({_table.key(line) for line in rows}) == len(rows)


def test_the_benchmarks_against_loss_are_there() -> None:
    assert set(_table.AGAINST_LOSS) <= set(_found())


def test_a_row_takes_the_place_of_the_one_about_the_same(tmp_path: Path) -> None:
    document = tmp_path / "doc.md"
    document.write_text(f"before\n{_table.BEGIN}{_table.END}after\n", encoding="utf-8")
    first, other = (
        Figure(what=what, value=0, goal="0", met=True, detail="5 | 6")
        for what in ("lost (5,116 bursts)", "doubled")
    )
    _table.write([_table.row(first, 1, False), _table.row(other, 1, False)], document)
    again = Figure(what="lost (17 bursts)", value=3, goal="0", met=False)
    _table.write([_table.row(again, 2, True)], document)
    assert _table.written(document) == [
        "| lost (17 bursts) | 3 | 0 | all | 2, quick |",
        "| doubled | 0 | 0 | 5 / 6 | 1 |",
    ]
    assert document.read_text(encoding="utf-8").startswith("before\n<!-- ")
    assert document.read_text(encoding="utf-8").endswith("-->\nafter\n")


def test_table_measures_what_is_named_and_writes_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    document = tmp_path / "doc.md"
    document.write_text(f"{_table.BEGIN}{_table.END}", encoding="utf-8")
    monkeypatch.setattr(_table.write, "__defaults__", (document,))
    monkeypatch.setattr(_table.written, "__defaults__", (document,))
    main(["table", "symptoms", "--seed", "7", "--quick"])
    assert "symptoms (seed 7, quick)" in capsys.readouterr().out
    assert all(line.endswith("| 7, quick |") for line in _table.written(document))
    assert len(_table.written(document)) == 2


def test_the_files_that_start_programs_are_those_that_it_names() -> None:
    told = TEXT.split("Programs are started by")[1].split("without a shell")[0]
    bench = ROOT / "bench"
    starts = re.compile(r"^ *(?:import|from) (?:subprocess|webbrowser|multiprocessing)\b", re.M)
    found = {
        path.relative_to(bench).as_posix() for path in bench.rglob("*.py") if starts.search(path.read_text())
    }
    assert set(re.findall(r"`([\w/]+\.py)`", told)) == found
    assert all(
        f"`{name}`" in TEXT.split("## The rooms")[1].split("##")[0] or name.startswith("cli/") for name in found
    )

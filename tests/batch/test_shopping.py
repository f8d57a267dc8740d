"""What to buy for a batch: parts of several kits added up, the builder's own taken off."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from bench.batch.shopping import as_csv, stock_from, value_key
from bench.cli import main
from bench.errors import SoldersideError
from bench.plan.bag import bag_lines
from bench.session.folders import open_build
from bench.session.together import open_bench
from bench.settings import Settings
from tests.support.samples import HandClock

KIT = """kit: 1
name: {name}
boards:
  - name: main
    parts:
      - {{refs: "R1-R4", value: 10k}}
      - {{refs: C1, value: {cap}, kind: film capacitor}}
      - {{refs: U1, value: TL072, socket: DIP-8}}
"""


@pytest.fixture
def kits(tmp_path: Path) -> list[str]:
    paths = []
    for name, cap in (("Moth", "100n"), ("Owl", "0.1uF")):
        path = tmp_path / f"{name.lower()}.yaml"
        path.write_text(KIT.format(name=name, cap=cap))
        paths.append(str(path))
    return paths


def rows(capsys: pytest.CaptureFixture[str], *command: str) -> dict[str, dict[str, str]]:
    assert main(["batch", *command, "--shopping"]) == 0
    return {row["value"]: row for row in csv.DictReader(io.StringIO(capsys.readouterr().out))}


def test_parts_of_all_kits_are_added_up_by_value_and_kind(
    kits: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    found = rows(capsys, *kits)
    assert {value: row["buy"] for value, row in found.items()} == {
        "10k": "8", "100n": "2", "TL072": "2", "DIP-8": "2",
    }  # fmt: skip
    assert found["100n"]["kits"] == "Moth: 1; Owl: 1"


def test_what_the_builder_has_is_taken_off_and_given_out_once(
    kits: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text("Value;Kind;Count\n10 kohm;resistor;3\n0.1 µF;;1\nTL 072;IC;50\n47k;resistor;100\n")
    found = rows(capsys, *kits, "--stock", str(stock))
    assert {value: (row["buy"], row["in stock"]) for value, row in found.items()} == {
        "10k": ("5", "3"), "100n": ("1", "1"), "DIP-8": ("2", "0"),
    }  # fmt: skip


def test_of_a_build_under_way_only_what_was_missing_is_bought(
    kits: list[str], own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = open_build(own_data, kits[0], Settings(), HandClock())
    build.opened()
    line = next(each for each in bag_lines(build.kit) if each.value == "10k")
    build.count_bag(line, 1)
    name = build.log.folder.name
    build.close()
    assert {value: row["buy"] for value, row in rows(capsys, name).items()} == {"10k": "3"}


@pytest.mark.parametrize("both", [False, True])
def test_what_was_missing_from_the_bags_of_all_units_side_by_side_is_bought_once(
    kits: list[str], own_data: Path, capsys: pytest.CaptureFixture[str], both: bool
) -> None:
    build = open_bench(own_data, kits[0], Settings(), HandClock(), units=("A", "B"))
    assert build.beside is not None
    build.opened()
    line = next(each for each in bag_lines(build.kit) if each.value == "10k")
    names = [each.name for each in build.beside.builds]
    for unit in build.beside.builds:
        unit.record_bag(line, 1)
    build.close()
    named = names if both else names[:1]
    assert {value: row["buy"] for value, row in rows(capsys, *named).items()} == {"10k": "6"}
    assert {value: row["buy"] for value, row in rows(capsys, kits[0], kits[0]).items()} == {"10k": "6"}


def test_packages_keep_their_spaces_and_an_empty_cell_is_empty(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "kit.yaml"
    more = "      - {refs: RV1, value: B100k, package: 9 mm upright}\n"
    path.write_text(KIT.format(name="Newt", cap="100n") + more)
    found = rows(capsys, str(path))
    assert found["B100k"]["package"] == "9 mm upright"
    assert found["10k"]["package"] == found["10k"]["voltage"] == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,number\nx,1\n", "no column 'value'"),
        ("value,count\n10k,some\n", "stock.csv:2"),
        ("value,count,kind\n10k,3,banana\n", "unknown kind of part 'banana'"),
    ],
)
def test_a_stock_file_that_cannot_be_read_is_told_with_its_line(text: str, said: str) -> None:
    with pytest.raises(SoldersideError, match=said):
        stock_from(text, "stock.csv")


def test_a_value_is_the_same_in_any_spelling() -> None:
    assert value_key("resistor", "4k7") == value_key("resistor", "4700 ohm") == value_key("", "4.7k")
    assert value_key("film capacitor", "100n") != value_key("film capacitor", "10n")


def test_an_empty_list_has_its_heading() -> None:
    assert as_csv(()).splitlines() == ["buy,value,kind,package,voltage,needed,in stock,kits"]

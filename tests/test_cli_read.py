"""`solderside read` from the command line: words, data, kit files, and what cannot be read."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bench.cli import main
from bench.kit.load import load_kit

LIST = """My filter, parts list

Qty,Value,Parts,Description
2,10k,"R1, R2",resistor
1,100n,C1,ceramic
1,100n,C1,again
1,TL072,U1,op-amp
Total: 5 parts
"""


@pytest.fixture
def parts_list(tmp_path: Path) -> Path:
    path = tmp_path / "filter.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def test_it_tells_parts_doubts_and_what_was_passed_over(
    parts_list: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["read", str(parts_list)]) == 0
    out = capsys.readouterr().out
    assert "R1, R2" in out
    assert "Doubts:" in out
    assert "C1" in out.split("Doubts:")[1]
    assert "Passed over:" in out


def test_its_data_have_the_documented_shape(parts_list: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", str(parts_list), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert set(data) >= {"parts", "doubts", "skipped"}
    assert data["parts"][0]["refs"] == ["R1", "R2"]
    assert data["parts"][0]["value_text"] == "10k"
    assert data["parts"][0]["quantity"] == 2
    assert data["parts"][0]["line"] == 4
    assert all(set(doubt) >= {"line", "what"} for doubt in data["doubts"])


def test_the_kit_file_loads_and_is_never_written_over(
    parts_list: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kit = tmp_path / "out.yaml"
    assert main(["read", str(parts_list), "--kit", str(kit), "--name", "Filter"]) == 0
    loaded = load_kit(kit)
    assert {ref for board in loaded.boards for line in board.parts for ref in line.refs} == {
        "R1", "R2", "C1", "U1",
    }  # fmt: skip
    before = kit.read_bytes()
    assert main(["read", str(parts_list), "--kit", str(kit)]) == 1
    assert kit.read_bytes() == before
    assert "there already" in capsys.readouterr().err


def test_a_placement_file_adds_positions(parts_list: Path, tmp_path: Path) -> None:
    placement = tmp_path / "places.csv"
    placement.write_text("Ref,X (mm),Y (mm),Rot,Side\nR1,10.5,20,0,top\nR2,12,22.25,90,top\n", encoding="utf-8")
    kit = tmp_path / "out.yaml"
    assert main(["read", str(parts_list), "--kit", str(kit), "--placement", str(placement)]) == 0
    lines = [line for board in load_kit(kit).boards for line in board.parts if "R1" in line.refs]
    assert lines[0].positions[0] == (10.5, 20.0)
    assert lines[0].sides == ("front", "front")


@pytest.mark.parametrize("content", [bytes(range(256)) * 20, b"%PDF-1.7\n\x00\x01", b"PK\x03\x04 torn"])
def test_what_cannot_be_read_is_said_in_one_line(
    tmp_path: Path, content: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "strange"
    path.write_bytes(content)
    assert main(["read", str(path)]) == 1
    err = capsys.readouterr().err
    assert str(path) in err
    assert "Traceback" not in err


def test_a_file_that_is_not_there_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", str(tmp_path / "nowhere.csv")]) == 1
    assert "nowhere.csv" in capsys.readouterr().err

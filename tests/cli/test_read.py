"""`solderside read` from the command line: words, data, kit files, and what cannot be read."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from bench.cli import main
from bench.kit.load import load_kit

pytestmark = pytest.mark.usefixtures("own_data")

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
    assert "Questions:" in out
    assert "C1" in out.split("Questions:")[1]
    assert "Skipped:" in out


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


ODD = "Part,Reference,Typ,Shop\n10k,R1,metal,left\n22k,R2,metal,left\n100n,C1,film,left\n"


@pytest.fixture
def odd_list(tmp_path: Path) -> Path:
    path = tmp_path / "odd.csv"
    path.write_text(ODD, encoding="utf-8")
    return path


def values(capsys: pytest.CaptureFixture[str], *args: str) -> list[str]:
    capsys.readouterr()
    assert main(["read", *args, "--json"]) == 0
    return [part["value_text"] for part in json.loads(capsys.readouterr().out)["parts"]]


def test_a_column_is_given_its_role_by_its_heading(odd_list: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert values(capsys, str(odd_list)) == ["10k", "22k", "100n"]
    assert values(capsys, str(odd_list), "--column", "typ=values") == ["metal", "metal", "film"]


def test_what_columns_hold_is_kept_for_a_maker_and_used_for_the_next_list_with_these_headings(
    odd_list: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settled = (str(odd_list), "--column", "Typ=value", "--maker", "Tin Shed Circuits")
    kit = tmp_path / "kit.yaml"
    assert main(["read", *settled, "--kit", str(kit)]) == 0
    assert "Saved for Tin Shed Circuits" in capsys.readouterr().out
    assert load_kit(kit).maker == "Tin Shed Circuits"
    other = tmp_path / "next.csv"
    other.write_text(ODD.replace("metal", "carbon"), encoding="utf-8")
    assert values(capsys, str(other)) == ["carbon", "carbon", "film"]
    assert main(["read", str(other)]) == 0
    assert "as remembered for Tin Shed Circuits" in capsys.readouterr().out
    assert main(["read", str(other), "--maker", "tin shed  circuits", "--forget"]) == 0
    assert values(capsys, str(other)) == ["10k", "22k", "100n"]


def test_without_a_kit_it_is_kept_only_when_asked(odd_list: Path, capsys: pytest.CaptureFixture[str]) -> None:
    settled = (str(odd_list), "--column", "Typ=value", "--maker", "Tin Shed Circuits")
    values(capsys, *settled)
    assert values(capsys, str(odd_list)) == ["10k", "22k", "100n"]
    values(capsys, *settled, "--remember")
    assert values(capsys, str(odd_list)) == ["metal", "metal", "film"]


@pytest.mark.parametrize(
    ("wrong", "code", "said"),
    [
        (["--column", "Typ"], 2, "HEADING=ROLE"),
        (["--column", "Typ=banana"], 1, "it can hold: designators"),
        (["--column", "Nowhere=value"], 1, "its columns: 'Part'"),
        (["--remember"], 2, "--maker"),
        (["--forget"], 2, "--maker"),
    ],
)
def test_a_wrong_column_or_maker_is_refused(
    odd_list: Path, wrong: list[str], code: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        ended: object = main(["read", str(odd_list), *wrong])
    except SystemExit as left:
        ended = left.code
    assert ended == code
    assert said in capsys.readouterr().err


def test_a_damaged_file_of_makers_is_told_and_not_written_over(
    odd_list: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own_data.mkdir()
    kept = own_data / "makers.toml"
    kept.write_text("list = [\n", encoding="utf-8")
    assert main(["read", str(odd_list)]) == 0
    assert "makers.toml" in capsys.readouterr().err
    assert main(["read", str(odd_list), "--maker", "Tin Shed Circuits", "--remember"]) == 1
    assert kept.read_text(encoding="utf-8") == "list = [\n"


def test_what_of_a_placement_file_does_not_fit_is_said_and_the_lists_doubts_stay_beside_their_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "parts.csv").write_text("Ref,Value,Shelf\nR1,10k,A4\nR2,banana,A5\nU1,TL072,B1\n", "utf-8")
    (tmp_path / "places.csv").write_text("Ref,X,Y\nR1,1,2\nR2,3,4\nR2,5,6\nQ9,1,1\n", "utf-8")
    kit, places = tmp_path / "kit.yaml", str(tmp_path / "places.csv")
    assert main(["read", str(tmp_path / "parts.csv"), "--kit", str(kit), "--placement", places]) == 0
    said = capsys.readouterr().out
    for amiss in (":4: R2 is listed twice", ": without a position: U1", ":5: not in the kit's board main: Q9"):
        assert f"{places}{amiss}" in said
    assert "column 'Shelf': A4, A5, B1" in said
    text = kit.read_text("utf-8")
    assert (
        "# ? line 3 of the list: R2: the value 'banana'"
        in text.split("at: [[1, 2]]")[1].split("at: [[3, 4]]")[0]
    )
    assert f"# ? {places}: without a position: U1" in text


class _Typed(io.StringIO):
    def isatty(self) -> bool:
        return True


def _asked(path: Path, typed: str, monkeypatch: pytest.MonkeyPatch) -> tuple[str, str]:
    """What is printed and the kit file that is written when a person at a terminal types this."""
    screen = _Typed()
    monkeypatch.setattr("sys.stdin", _Typed(typed))
    monkeypatch.setattr("sys.stdout", screen)
    kit = path.with_suffix(".yaml")
    kit.unlink(missing_ok=True)
    assert main(["read", str(path), "--kit", str(kit)]) == 0
    return screen.getvalue(), kit.read_text("utf-8")


def test_a_person_at_a_terminal_is_asked_about_what_is_doubtful(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bell.csv"
    path.write_text("Ref,Value\nR1,10k\nR2,1k\nR1,22k\n")
    said, left = _asked(path, "\n", monkeypatch)
    assert "Question 1 of 1: R1 has two values" in said
    assert "1: " in said.partition("Question 1")[2]
    assert "? line 4" in left
    said, answered = _asked(path, "9\n2\n", monkeypatch)
    assert "? line" not in answered
    assert "value: 22k" in answered
    said, kept = _asked(path, "y\n", monkeypatch)
    assert "? line" not in kept
    assert "value: 22k" not in kept.replace("# - {refs: R1, value: 22k}", "")
    said, stopped = _asked(path, "q\n", monkeypatch)
    assert stopped == left
    said, ended = _asked(path, "", monkeypatch)
    assert ended == left


def test_what_was_read_is_not_told_as_skipped(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bell.csv"
    rows = "".join(f"R{n},10k,a shop with a long name {n}\n" for n in range(1, 5))
    path.write_text(f"Ref,Value,Supplier\n{rows}")
    assert main(["read", str(path)]) == 0
    skipped = capsys.readouterr().out.partition("Skipped:")[2]
    assert "heading" not in skipped
    assert skipped.rstrip().endswith("…")

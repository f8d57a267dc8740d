"""What a maker's columns hold is kept from one list to the next, and no damage to the file loses it."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.errors import Refused, SoldersideError
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered
from bench.papers.list_session import ListSession
from bench.papers.lists import read_list
from bench.papers.lists.draft import ListColumn
from bench.papers.lists.headings import ROLE_WORDS
from bench.papers.makers import forget, load_makers, remember
from bench.papers.remembered import MakerColumns, read_remembered

ODD = b"Part,Reference,Typ,Shop\n10k,R1,metal,left\n22k,R2,metal,left\n100n,C1,film,left\n"
LIGHT = MakerColumns(
    maker="Lantern Yard", roles=(("Part", "note"), ("Reference", "ref"), ("Typ", "value"), ("Shop", "other"))
)


def values(work: ListSession) -> list[str]:
    return [part.value_text for part in work.settled.reading.parts]


def test_what_is_kept_is_read_back(tmp_path: Path) -> None:
    path = tmp_path / "data" / "makers.toml"
    table = read_list(ODD, "x.csv", {"Typ": "value"}).table
    assert remember(path, " Lantern  Yard ", table) == 4
    (kept,) = load_makers(path).lists
    assert kept.maker == "Lantern Yard"
    assert dict(kept.roles)["Typ"] == "value"
    assert dict(kept.roles)["Shop"] == "other"
    remember(path, "Tin Shed", table)
    remember(path, "lantern yard", read_list(ODD, "x.csv").table)
    assert [each.maker for each in load_makers(path).lists] == ["Tin Shed", "lantern yard"]
    assert forget(path, "TIN SHED") == 1
    assert forget(path, "Tin Shed") == 0
    assert [each.maker for each in load_makers(path).lists] == ["lantern yard"]


def test_a_column_that_was_empty_is_not_settled_for_good(tmp_path: Path) -> None:
    path = tmp_path / "makers.toml"
    empty = b"Ref,Value,Notes\nR1,10k,\nR2,22k,\nC1,1n,\n"
    remember(path, "Lantern Yard", read_list(empty, "x.csv").table)
    full = b"Ref,Value,Notes\nR1,10k,beside the jack\nR2,22k,\nC1,1n,\n"
    found = read_remembered(full, "y.csv", load_makers(path).lists)
    assert "Lantern Yard" in found.note
    assert found.reading.parts[0].note == "beside the jack"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("list = [", "not TOML"),
        ("\x00", "not TOML"),
        ("colour = 3\n", "unknown key 'colour'"),
        ("list = 3\n", "has no maker"),
        ('[[list]]\nmaker = "A"\n', "has no maker"),
        ('[[list]]\nmaker = "A"\n[list.columns]\nPart = "banana"\n', "a column cannot hold 'banana'"),
        ('[[list]]\nmaker = "A"\n[list.columns]\nPart = 7\n', "a column cannot hold '7'"),
    ],
)
def test_a_damaged_file_is_told_and_nothing_in_it_is_lost(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "makers.toml"
    path.write_text(text, encoding="utf-8")
    faults = load_makers(path).faults
    assert said in faults[0].what
    assert faults[0].hint
    with pytest.raises(Refused, match="nothing is kept"):
        remember(path, "B", read_list(ODD, "x").table)
    with pytest.raises(Refused, match="nothing is kept"):
        forget(path, "A")
    assert path.read_text(encoding="utf-8") == text


def test_bytes_that_are_no_text_and_a_folder_are_told(tmp_path: Path) -> None:
    path = tmp_path / "makers.toml"
    path.write_bytes(b"\xff\xfe\x00")
    assert load_makers(path).faults
    assert load_makers(tmp_path).faults
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(SoldersideError):
        remember(tmp_path / "file" / "makers.toml", "A", (ListColumn(heading="Ref", role="ref"),))


def test_the_same_headings_are_read_as_before_and_the_reading_says_so() -> None:
    found = read_remembered(ODD, "x.csv", [LIGHT])
    assert [part.value_text for part in found.reading.parts] == ["metal", "metal", "film"]
    assert found.maker == "Lantern Yard"
    assert "remembered for Lantern Yard" in found.note


def test_other_headings_are_read_as_they_come_unless_the_maker_is_named() -> None:
    fewer = b"Reference,Typ,Qty\nR1,metal,1\nR2,metal,1\nC1,film,1\n"
    assert read_remembered(fewer, "x.csv", [LIGHT]).note == ""
    named = read_remembered(fewer, "x.csv", [LIGHT], "LANTERN yard")
    assert "remembered" in named.note
    assert "nothing is remembered" in read_remembered(fewer, "x.csv", [LIGHT], "Other Makers").note


def test_columns_that_find_less_than_a_plain_reading_are_not_used_and_that_is_said() -> None:
    roles = (("Part", "ref"), ("Reference", "value"), ("Typ", "note"), ("Shop", "other"))
    wrong = MakerColumns(maker="Lantern Yard", roles=roles)
    found = read_remembered(ODD, "x.csv", [wrong])
    assert sum(len(part.refs) for part in found.reading.parts) == 3
    assert "not used" in found.note


def test_a_column_set_by_hand_stands_above_what_is_remembered() -> None:
    found = read_remembered(ODD, "x.csv", [LIGHT], columns={"Part": "value", "Typ": "note"})
    assert [part.value_text for part in found.reading.parts] == ["10k", "22k", "100n"]


def test_a_list_without_headings_can_be_given_roles_by_the_place_of_its_columns() -> None:
    text = b"R1;metal;10k\nR2;metal;22k\nC1;film;100n\n"
    plain = read_list(text, "x.csv", {"column 2": "value", "column 3": "note"})
    assert [part.value_text for part in plain.parts] == ["metal", "metal", "film"]


@pytest.mark.parametrize("role", [role for role in ROLE_WORDS if role])
@pytest.mark.parametrize("heading", ["Part", "Reference", "Typ", "Shop"])
def test_whatever_a_column_is_said_to_hold_it_then_holds(heading: str, role: str) -> None:
    reading = read_list(ODD, "x.csv", {heading: role})
    (column,) = (each for each in reading.table if each.heading == heading)
    assert column.role == ("" if role == "other" else role)
    assert sum(each.role == role for each in reading.table if role in ("ref", "value", "quantity")) <= 1


def test_a_role_set_and_an_answer_given_are_taken_back_one_by_one() -> None:
    work = ListSession(ODD, "x.csv")
    work.set_role("Typ", "value")
    assert values(work) == ["metal", "metal", "film"]
    doubt = work.settled.questions[0]
    answer = next(each for each in answers(work.settled, doubt) if each.typed == "value")
    work.rule(answered(doubt, answer, "4k7"))
    assert values(work) == ["4k7", "metal", "film"]
    work.set_role("Part", "value")
    assert values(work)[0] == "4k7"
    assert "holds values" in work.undo()
    work.undo()
    assert values(work) == ["metal", "metal", "film"]
    work.undo()
    assert values(work) == ["10k", "22k", "100n"]
    with pytest.raises(SoldersideError, match="nothing was decided"):
        work.undo()


def test_naming_the_maker_reads_the_list_again_and_that_too_is_taken_back() -> None:
    work = ListSession(b"Reference,Typ,Part\nR1,metal,10k\nR2,metal,22k\nC1,film,1n\n", "x.csv", [LIGHT])
    before = values(work)
    work.set_maker("Lantern Yard")
    assert values(work) == ["metal", "metal", "film"]
    work.undo()
    assert values(work) == before
    assert work.state.maker == ""


def test_answers_are_there_again_when_the_same_list_is_opened_the_next_time(tmp_path: Path) -> None:
    text = b"Ref,Value\nR1,1k\nR2,banana\nC1,1n\n"
    work = ListSession(text, "x.csv", drafts=tmp_path / "lists")
    doubt = work.settled.questions[0]
    work.rule(answered(doubt, answers(work.settled, doubt)[0], "4k7"))
    again = ListSession(text, "moved.csv", drafts=tmp_path / "lists")
    assert again.resumed == 1
    assert values(again) == ["1k", "4k7", "1n"]
    again.undo()
    assert values(again) == ["1k", "banana", "1n"]
    assert ListSession(text, "x.csv", drafts=tmp_path / "lists").resumed == 0
    for draft in (tmp_path / "lists").iterdir():
        draft.write_bytes(b"{torn")
    assert values(ListSession(text, "x.csv", drafts=tmp_path / "lists")) == ["1k", "banana", "1n"]


def test_a_folder_that_cannot_be_written_keeps_nobody_from_settling(tmp_path: Path) -> None:
    (tmp_path / "lists").write_text("a file stands in the way", encoding="utf-8")
    work = ListSession(ODD, "x.csv", drafts=tmp_path / "lists")
    work.set_role("Typ", "value")
    assert values(work) == ["metal", "metal", "film"]
    assert work.unkept, "an answer that is in memory only is told as such"
    (tmp_path / "lists").unlink()
    work.undo()
    assert not work.unkept
    assert list((tmp_path / "lists").iterdir())

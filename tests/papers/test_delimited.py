"""Columns with a sign between them. Quoting: RFC 4180, section 2."""

from __future__ import annotations

import pytest

from bench.papers.lists.delimited import BY_AMPERSANDS, BY_TABS, FORMS, delimited

COMMA, SEMICOLON, TAB = FORMS[","], FORMS[";"], FORMS["\t"]


def read(text: str) -> dict[str, list[tuple[int, tuple[str, ...]]]]:
    """What a table is taken for -> its rows with the numbers of their lines."""
    return {
        layout.form: [(row.line, row.cells) for table in layout.tables for row in table.rows]
        for layout in delimited(text.split("\n"))
    }


def cells(text: str, form: str = COMMA) -> list[tuple[str, ...]]:
    return [row for _, row in read(text)[form]]


def test_quoted_cells_hold_signs_quotation_marks_and_line_breaks() -> None:
    """RFC 4180, 2.5 to 2.7."""
    text = 'R1,"4,7k",a\n"R2","say ""hot""",b\nR3,"two\nlines",c\nR4,1k,d'
    rows = read(text)[COMMA]
    assert [line for line, _ in rows] == [1, 2, 3, 5]
    assert [row[1].split() for _, row in rows] == [["4,7k"], ["say", '"hot"'], ["two", "lines"], ["1k"]]
    assert [row[2] for _, row in rows] == ["a", "b", "c", "d"]


@pytest.mark.parametrize("sign", FORMS)
def test_each_sign_separates_and_spaces_around_it_do_not_matter(sign: str) -> None:
    text = f"ref{sign} value{sign} note\nR1{sign} 10k{sign} a\nR2{sign} 1k{sign} b"
    found = read(text)
    assert list(found) == [FORMS[sign]]
    assert cells(text, FORMS[sign]) == [("ref", "value", "note"), ("R1", "10k", "a"), ("R2", "1k", "b")]


def test_a_sign_that_some_lines_have_by_chance_separates_nothing() -> None:
    text = "ref;value;note\nR1;4,7k;a, b\nR2;10k;c\nR3;2,2k;d"
    assert list(read(text)) == [SEMICOLON]
    assert list(read(text + "\n;;\n;;")) == [SEMICOLON]


def test_a_mark_that_is_never_closed_quotes_nothing() -> None:
    """A panel 3 inches long has such a mark; RFC 4180, 2.5, leaves it open what it means."""
    lines = [f"R{number},10k,x" for number in range(1, 80)]
    lines[4] = 'P1,"3 inch,x'
    rows = read("\n".join(lines))[COMMA]
    assert len(rows) == 79
    assert {len(row) for _, row in rows} == {3}


@pytest.mark.parametrize(("covered", "whole"), [(60, True), (61, False)])
def test_a_quoted_cell_covers_sixty_lines_at_most(covered: int, whole: bool) -> None:
    text = 'R1,a,"' + "\n".join(["a, note"] * covered) + '"\nR2,b,c'
    assert (len(read(text)[COMMA]) == 2) is whole


def test_a_first_line_that_names_the_sign_is_no_row() -> None:
    assert cells("sep=;\nR1;10k;a\nR2;1k;b", SEMICOLON) == [("R1", "10k", "a"), ("R2", "1k", "b")]
    assert cells('"sep=,"\nR1,10k,a') == [("R1", "10k", "a")]
    assert cells(" SEP=|\nR1|10k|a", FORMS["|"]) == [("R1", "10k", "a")]


def test_a_line_has_a_hundred_and_twenty_cells_at_most() -> None:
    assert [len(row) for row in cells(",".join(map(str, range(200))))] == [120]


def test_several_tabs_that_only_line_columns_up_are_one() -> None:
    text = "R1\t\t10k\ta\nR100\t10k\tb\nR7\t\t\t1k\tc"
    found = read(text)
    assert cells(text, BY_TABS) == [("R1", "10k", "a"), ("R100", "10k", "b"), ("R7", "1k", "c")]
    assert next(row for _, row in found[TAB]) == ("R1", "", "10k", "a")
    assert BY_TABS not in read("R1\t10k\ta\t\t\nR2\t1k\tb")


def test_rows_of_a_typeset_table_are_parted_by_ampersands() -> None:
    text = (
        "\\hline\nR1 & 10k & 1 \\\\\nR2 & 1k\\& more & 2 \\\\[2pt]\nR3 & 2k & 1 \\\\ \\hline\nR4 & 3k & 5 \\\\"
    )
    assert BY_AMPERSANDS in read(text)
    rows = [row for row in cells(text, BY_AMPERSANDS) if any(row)]
    assert [len(row) for row in rows] == [3, 3, 3, 3]
    assert [row[0] for row in rows] == ["R1", "R2", "R3", "R4"]
    assert [row[2] for row in rows] == ["1", "2", "1", "5"]
    assert BY_AMPERSANDS in read("R1 & 10k & 1 \\\\ \\hline\nR2 & 1k & 2 \\\\ \\hline")
    assert BY_AMPERSANDS not in read("R1 & 10k \\\\\nR2, 1k")


def test_a_sign_in_fewer_than_a_fifth_of_the_lines_is_not_tried() -> None:
    """Blank lines do not count."""
    lines = ["just words", "", "just words", "just words", ""]
    assert list(read("\n".join(["R1,10k", *lines, "just words"]))) == [COMMA]
    assert list(read("\n".join(["R1,10k", *lines, "just words", "just words"]))) == []
    assert list(read("")) == []

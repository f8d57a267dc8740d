"""Tables of HTML pages, held against html5lib, which builds the tree of the WHATWG's HTML standard."""

from __future__ import annotations

from xml.etree.ElementTree import Element

import html5lib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.papers.lists.html_tables import html_tables

Rows = list[list[str]]


def ours(page: str) -> list[Rows]:
    """The tables that we find, as texts."""
    return [[list(row.cells) for row in table.rows] for _, _, table in html_tables(page.splitlines())]


def text_of(cell: Element) -> str:
    """The text of a cell but for that of tables in it."""
    said = cell.text or ""
    for inner in cell:
        said += ("" if inner.tag == "table" else text_of(inner)) + (inner.tail or "")
    return " ".join(said.split())


def by_the_standard(page: str) -> list[Rows]:
    """The tables that html5lib finds, in the order in which they begin."""
    root = html5lib.parse(page, namespaceHTMLElements=False)
    tables = []
    for table in root.iter("table"):
        rows = [row for part in table for row in ([part] if part.tag == "tr" else part) if row.tag == "tr"]
        cells = [[text_of(cell) for cell in row if cell.tag in ("td", "th")] for row in rows]
        tables.append([row for row in cells if row])
    return [rows for rows in tables if rows]


WORDS = st.sampled_from(
    ["R1", "4k7", "R2, R3", "100 nF", "&micro;F", "a &lt; b", "R&D", "<b>10k</b>", "5 % < 10 %", ""]
)
END = st.booleans()


@st.composite
def tables(draw: st.DrawFn, depth: int = 2) -> str:
    """A table whose cells and rows are ended or left open, some with a table in a cell."""
    said = "<table>" + draw(st.sampled_from(["", "\n", "<tbody>", "<!-- <tr><td>R9</td></tr> -->"]))
    for _ in range(draw(st.integers(1, 3))):
        said += "<tr>"
        for _ in range(draw(st.integers(1, 3))):
            tag = draw(st.sampled_from(["td", "th", "TD"]))
            inner = draw(WORDS)
            if depth and draw(st.integers(0, 5)) == 0:
                inner += draw(tables(depth - 1))
            said += f"<{tag}>{inner}" + (f"</{tag}>" if draw(END) else "") + draw(st.sampled_from(["", "\n"]))
        said += "</tr>\n" if draw(END) else ""
    return said + "</table>"


@given(tables())
def test_rows_and_cells_are_those_of_the_standard(page: str) -> None:
    assert ours(page) == by_the_standard(f"<!DOCTYPE html><body>{page}")


def test_a_table_in_a_cell_stands_for_itself_and_its_frame_goes_on_after_it() -> None:
    page = (
        "<table><tr><td>Frame<table><tr><td>R1</td><td>10k</td></tr></table>more</td>\n"
        "<td>last</td></tr></table>"
    )
    assert ours(page) == [[["Framemore", "last"]], [["R1", "10k"]]]


@pytest.mark.parametrize(
    "page",
    [
        "<table><tr><td>R1<td>10k",
        "<tr><td>R1</td><td>10k</td></tr>",
        "<script>if (a < b) { x = '<table><tr><td>no' }</script><table><tr><td>R1<td>10k</table>",
        "<script src='never-ended.js'>\n<table><tr><td>R1</td><td>10k</td></tr></table>",
        "<!-- never ended\n<table><tr><td>R1</td><td>10k</td></tr></table>",
        '<table><tr><td class="a>R1</td><td>10k</td></tr></table>',
        "<table><tr><td title='R1's value'>R1</td><td>10k</td></tr></table>",
        "<table><tr><td/>R1<td/>10k</table>",
        "<table><tr><td>R1</td><td>10k</td></tr><![endif]></table>",
    ],
)
def test_a_page_that_is_not_sound_loses_no_cell(page: str) -> None:
    assert ours(page) == [[["R1", "10k"]]]


def test_what_is_commented_out_is_no_part_and_lines_are_still_counted() -> None:
    page = "<table>\n<!--\n<tr><td>R9</td></tr>\n-->\n<tr><td>R1</td></tr>\n</table>"
    ((first, last, table),) = html_tables(page.splitlines())
    assert (first, last) == (1, 6)
    assert [(row.line, row.cells) for row in table.rows] == [(5, ("R1",))]


def test_a_caption_and_a_heading_before_it_name_a_table() -> None:
    page = (
        "<h2>Board A</h2><table><tr><td>R1</table>"
        "<table><caption>Board B</caption><tr><td>R2</table><table><tr><td>R3</table>"
    )
    assert [table.title for _, _, table in html_tables([page])] == ["Board A", "Board B", ""]


@pytest.mark.parametrize(
    "piece", ["<table><tr><td>", "<!--", "<", "<td a='x", "<script>", "</table>", "<td rowspan=9>"]
)
def test_a_page_of_one_piece_again_and_again_is_read_and_done_with(piece: str) -> None:
    html_tables(["<table>" + piece * 5_000])

"""Spreadsheets in both open formats, written here by hand after ECMA-376 and OpenDocument 1.2."""

from __future__ import annotations

import io
import sys
import zipfile

import pytest

from bench.errors import SoldersideError
from bench.papers.lists import read_list
from tests.support.reading_samples import doubts_of, found_in

pytest.importorskip("python_calamine")

ROWS: list[list[str | float]] = [
    ["Blinker", "", ""],
    ["Ref", "Value", "Qty"],
    ["R1, R2", "10k", 2],
    ["R3", 390, 1],
    ["C1", "100n", 1],
    ["U1", "NE555", 1],
]
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"


def packed(files: dict[str, str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, text in files.items():
            file.writestr(name, text)
    return out.getvalue()


def sheet_xml(rows: list[list[str | float]], first: int = 1) -> str:
    def cell(value: str | float, at: int, row: int) -> str:
        place = f'r="{chr(65 + at)}{row}"'
        if isinstance(value, str):
            return f'<c {place} t="inlineStr"><is><t>{value}</t></is></c>' if value else ""
        return f"<c {place}><v>{value}</v></c>"

    lines = "".join(
        f'<row r="{row}">' + "".join(cell(value, at, row) for at, value in enumerate(cells)) + "</row>"
        for row, cells in enumerate(rows, first)
    )
    return f'<?xml version="1.0"?><worksheet xmlns="{_MAIN}"><sheetData>{lines}</sheetData></worksheet>'


def xlsx(sheets: dict[str, list[list[str | float]]], first: int = 1) -> bytes:
    names = list(sheets)
    overrides = "".join(
        f'<Override PartName="/xl/worksheets/sheet{at}.xml" '
        'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
        for at in range(1, len(names) + 1)
    )
    relations = "".join(
        f'<Relationship Id="rId{at}" Type="{_RELS}/worksheet" Target="worksheets/sheet{at}.xml"/>'
        for at in range(1, len(names) + 1)
    )
    listed = "".join(
        f'<sheet name="{name}" sheetId="{at}" r:id="rId{at}"/>' for at, name in enumerate(names, 1)
    )
    files = {
        "[Content_Types].xml": f'<Types xmlns="{_TYPES}"><Default Extension="rels" ContentType='
        '"application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" '
        f'ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="{_SHEET_TYPE}"/>'
        f"{overrides}</Types>",
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="rId1" '
        f'Type="{_RELS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_RELS}"><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}">{relations}</Relationships>',
    }
    files |= {
        f"xl/worksheets/sheet{at}.xml": sheet_xml(rows, first) for at, rows in enumerate(sheets.values(), 1)
    }
    return packed(files)


def ods(rows: list[list[str | float]], filler: str = "") -> bytes:
    def cell(value: str | float) -> str:
        if isinstance(value, str):
            return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
        number = f'office:value-type="float" office:value="{value}"'
        return f"<table:table-cell {number}><text:p>{value}</text:p></table:table-cell>"

    lines = "".join(f"<table:table-row>{''.join(map(cell, cells))}</table:table-row>" for cells in rows)
    spaces = " ".join(
        f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{short}:1.0"'
        for short in ("office", "table", "text")
    )
    content = (
        f'<?xml version="1.0"?><office:document-content {spaces}><office:body><office:spreadsheet>'
        f'<table:table table:name="Parts">{lines}{filler}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>'
    )
    return packed({"mimetype": kind, "content.xml": content, "META-INF/manifest.xml": manifest})


WANTED = {("", "R1"): "10k", ("", "R2"): "10k", ("", "R3"): "390", ("", "C1"): "100n", ("", "U1"): "NE555"}


def test_a_spreadsheet_of_either_kind_is_read() -> None:
    for data in (xlsx({"Parts": ROWS}), ods(ROWS)):
        reading = read_list(data, "parts")
        assert found_in(reading) == WANTED
        assert [part.line for part in reading.parts] == [3, 4, 5, 6]
        assert [part.quantity for part in reading.parts] == [2, 1, 1, 1]


def test_each_sheet_can_be_a_board() -> None:
    other: list[list[str | float]] = [["Ref", "Value"], ["R1", "1M"], ["R2", "2M2"], ["C1", "47u"]]
    reading = read_list(xlsx({"Main board": ROWS, "Panel board": other}), "two.xlsx")
    assert reading.boards == ("Main board", "Panel board")
    assert found_in(reading, boards=True)["Panel board", "R1"] == "1M"
    assert any("2 sheets" in doubt.what for doubt in reading.doubts)


def test_a_page_filled_up_with_empty_cells_does_no_harm() -> None:
    filler = (
        '<table:table-row table:number-rows-repeated="1048000"><table:table-cell '
        'table:number-columns-repeated="16384"/></table:table-row>'
    )
    assert found_in(read_list(ods(ROWS, filler), "wide.ods")) == WANTED


def test_cells_at_the_end_of_the_world_are_refused() -> None:
    far = sheet_xml(ROWS).replace('r="A6"', 'r="XFD1048576"')
    files = {"xl/workbook.xml": "<workbook/>", "xl/worksheets/sheet1.xml": far}
    with pytest.raises(SoldersideError, match="far outside"):
        read_list(packed(files), "far.xlsx")


def test_a_file_that_unfolds_to_any_size_is_refused() -> None:
    files = {"xl/workbook.xml": "<workbook/>", "xl/worksheets/sheet1.xml": "<c/>" * 10_000_000}
    with pytest.raises(SoldersideError, match="too large"):
        read_list(packed(files), "bomb.xlsx")


@pytest.mark.parametrize("keep", [40, 200, 600])
def test_a_torn_spreadsheet_is_refused_with_a_hint(keep: int) -> None:
    for data in (xlsx({"Parts": ROWS}), ods(ROWS)):
        with pytest.raises(SoldersideError) as caught:
            read_list(data[:keep], "torn")
        assert caught.value.hint


def test_a_part_with_torn_tags_is_refused_before_the_library_sees_it() -> None:
    """A library was seen to read on for ever in an OpenDocument table that is never closed."""
    with zipfile.ZipFile(io.BytesIO(ods(ROWS))) as whole:
        files = {name: whole.read(name).decode() for name in whole.namelist()}
    for cut in range(700, len(files["content.xml"]) - 1, 97):
        with pytest.raises(SoldersideError, match="damaged"):
            read_list(packed(files | {"content.xml": files["content.xml"][:cut]}), "torn.ods")


def test_a_part_with_definitions_of_its_own_is_refused() -> None:
    with zipfile.ZipFile(io.BytesIO(ods(ROWS))) as whole:
        files = {name: whole.read(name).decode() for name in whole.namelist()}
    content = files["content.xml"].replace("?>", '?><!DOCTYPE x [<!ENTITY a "aaaa">]>', 1)
    with pytest.raises(SoldersideError, match="damaged"):
        read_list(packed(files | {"content.xml": content}), "own.ods")


def test_a_packed_file_without_a_sheet_is_refused() -> None:
    with pytest.raises(SoldersideError, match="no spreadsheet"):
        read_list(packed({"readme.txt": "R1 10k"}), "some.zip")


def test_without_the_library_the_error_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    with pytest.raises(SoldersideError) as caught:
        read_list(xlsx({"Parts": ROWS}), "parts.xlsx")
    assert "solderside[spreadsheets]" in caught.value.hint


def test_of_two_revisions_in_a_workbook_the_newer_is_taken_and_it_is_said() -> None:
    head: list[str | float] = ["Ref", "Qty", "Value"]
    new: list[list[str | float]] = [head, ["R1, R2", 2, "100k"], ["C1", 1, "10n"]]
    old: list[list[str | float]] = [head, ["R1, R2", 2, "47k"], ["C1, C2", 2, "22n"]]
    reading = read_list(xlsx({"Wren v2.0": new, "Wren v1.4": old}), "wren.xlsx")
    assert found_in(reading) == {("", "R1"): "100k", ("", "R2"): "100k", ("", "C1"): "10n"}
    assert doubts_of(reading, "repeated") == [
        (2, "'Wren v1.4' and 'Wren v2.0' are revisions of the same list; the newer one is taken")
    ]

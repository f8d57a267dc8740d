"""Spreadsheets (.xlsx, .ods, .xls) through python-calamine, an optional extra.

A spreadsheet is a packed file that can unfold to any size, so its parts are unpacked and measured first.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from xml.parsers import expat

from bench.errors import SoldersideError
from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import Doubt, Layout, SourceRow, SourceTable

MOST_UNPACKED = 16_000_000
"""Bytes of a spreadsheet's unpacked parts that are read."""
MOST_ROWS, MOST_COLUMNS, MOST_SHEETS = 5_000, 100, 30
MOST_CELLS = 200_000
"""Cells of a sheet, filled or not, from its first to its last."""
_WANTED = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|xl/(?:workbook|sharedStrings|styles)\.xml|xl/_rels/[\w.]+|xl/worksheets/[^/]+\.xml"
    r"|mimetype|content\.xml|META-INF/manifest\.xml|styles\.xml",
    re.IGNORECASE,
)
_PLACE = re.compile(rb"\br=[\"']([A-Z]{1,3})([0-9]{1,10})[\"']")
_ROW = re.compile(rb"<(?:\w+:)?row\b[^<>]{0,200}?\br=[\"']([0-9]{1,10})[\"']")
_EMPTY = re.compile(rb"<c\b[^<>]{0,200}/>|<row\b[^<>]{0,300}/>")
_REPEAT = re.compile(rb"(number-(columns|rows)-repeated=[\"'])([0-9]{1,12})")
_HINT = "save the sheet as CSV and read that"


def is_spreadsheet(data: bytes) -> bool:
    """Whether the bytes are those of a packed file or of an old binary spreadsheet."""
    return data.startswith((b"PK\x03\x04", b"PK\x05\x06", b"\xd0\xcf\x11\xe0"))


def read_sheets(data: bytes, name: str) -> tuple[Layout, tuple[str, ...], tuple[Doubt, ...]]:
    """The tables of a spreadsheet, its lines as text (those of several sheets side by side), and doubts about
    what was left out.

    Raises SoldersideError when it cannot be read, and names the extra when that is missing.
    """
    try:
        import python_calamine
    except ImportError:
        what = "reading spreadsheets needs python-calamine, which is not installed"
        raise SoldersideError(
            what, name, "install solderside with its extra: pip install 'solderside[spreadsheets]'"
        ) from None
    if data.startswith(b"\xd0\xcf"):
        raise SoldersideError(
            "this is a spreadsheet (or document) of the old binary kind",
            name,
            f"save it as .xlsx or .ods, or {_HINT}",
        )
    packed = _repacked(data, name)
    tables: list[SourceTable] = []
    doubts: list[Doubt] = []
    text: list[str] = []
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(packed))
        names = book.sheet_names
        for sheet in names[:MOST_SHEETS]:
            rows = book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
            table = tuple(
                SourceRow(line=at, cells=tuple(plain_cell(_text(cell)) for cell in cells[:MOST_COLUMNS]))
                for at, cells in enumerate(rows[:MOST_ROWS], 1)
            )
            if any(any(row.cells) for row in table):
                tables.append(SourceTable(rows=table, title=sheet if len(names) > 1 else ""))
                text += [""] * (len(table) - len(text))
                for at, row in enumerate(table):
                    text[at] = " / ".join(filter(None, (text[at], " ".join(filter(None, row.cells)))))
    except (python_calamine.CalamineError, OSError, ValueError, zipfile.BadZipFile) as error:
        raise SoldersideError(
            f"this spreadsheet cannot be read ({' '.join(str(error).split())[:80]})", name, _HINT
        ) from None
    if len(names) > 1:
        what = f"the file has {len(names)} sheets: {', '.join(names[:6])}; lines are counted in each sheet"
        doubts.append(Doubt(line=0, what=what))
    return Layout(form="spreadsheet", tables=tuple(tables)), tuple(text), tuple(doubts)


def _text(cell: object) -> str:
    """A cell as it is shown: whole numbers without a point."""
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    return str(cell)


def _repacked(data: bytes, name: str) -> bytes:
    """The needed parts of a packed file, unpacked within bounds and packed again without compression."""
    out = io.BytesIO()
    total = 0
    try:
        with (
            zipfile.ZipFile(io.BytesIO(data)) as packed,
            zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as clean,
        ):
            entries = [entry for entry in packed.infolist() if _WANTED.fullmatch(entry.filename)]
            if not any(entry.filename.lower() in ("xl/workbook.xml", "content.xml") for entry in entries):
                raise SoldersideError(
                    "this is a packed file, but no spreadsheet", name, "unpack it and read the list inside"
                )
            seen: set[str] = set()
            for entry in entries[:200]:
                if entry.filename in seen:
                    continue
                seen.add(entry.filename)
                with packed.open(entry) as part:
                    content = part.read(MOST_UNPACKED - total + 1)
                total += len(content)
                if total > MOST_UNPACKED:
                    raise SoldersideError("this spreadsheet is too large for a parts list", name, _HINT)
                clean.writestr(entry.filename, _bounded(entry.filename, content, name))
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        OSError,
        ValueError,
        NotImplementedError,
        RuntimeError,
    ) as error:
        raise SoldersideError(
            f"this packed file is damaged ({' '.join(str(error).split())[:60]})", name, "save it again"
        ) from None
    return out.getvalue()


def _bounded(part: str, content: bytes, name: str) -> bytes:
    """A sound part of a spreadsheet whose cells cannot lie farther out than a parts list reaches."""
    if content and part.lower().endswith((".xml", ".rels")):
        _proved(content, part, name)
    if part.lower().startswith("xl/worksheets/"):
        content = _EMPTY.sub(b"", content)
        places = [(_column(found[1]), int(found[2])) for found in _PLACE.finditer(content)]
        rows = max((row for _, row in places), default=0)
        rows = max([rows, *(int(found[1]) for found in _ROW.finditer(content))])
        if rows * max((column for column, _ in places), default=1) > MOST_CELLS:
            raise SoldersideError("this spreadsheet has cells far outside a parts list", name, _HINT)
    elif part.lower() == "content.xml":
        content = _REPEAT.sub(_capped, content)
        across = sum(int(found[3]) for found in _REPEAT.finditer(content) if found[2] == b"columns")
        down = sum(int(found[3]) for found in _REPEAT.finditer(content) if found[2] == b"rows")
        rows = content.count(b"<table:table-row") + down
        if across > MOST_CELLS or rows > MOST_ROWS:
            raise SoldersideError("this spreadsheet is too large for a parts list", name, _HINT)
    return content


def _proved(content: bytes, part: str, name: str) -> None:
    """Raise SoldersideError unless a part is well-formed XML: the library may never finish reading torn XML."""
    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = _no_doctype
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, _Doctype, ValueError):
        raise SoldersideError(f"this spreadsheet is damaged ({part[:60]})", name, "save it again") from None


def _no_doctype(*_: object) -> None:
    """Definitions of the file's own could unfold without end; no spreadsheet has them."""
    raise _Doctype


class _Doctype(Exception):
    """A part has a document type declaration."""


def _column(letters: bytes) -> int:
    """The number of a column: 1 for A, 27 for AA."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _capped(found: re.Match[bytes]) -> bytes:
    """A repetition as long as a parts list may need; a long one only fills the page."""
    number = int(found[3])
    return (
        found[1]
        + str(min(number, MOST_COLUMNS) if found[2] == b"columns" else number if number <= 500 else 1).encode()
    )

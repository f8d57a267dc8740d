"""A parts list out of a PDF: recovered in several ways, and the reader of lists chooses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.papers.lists import ListReading, read_lines
from bench.papers.lists.draft import Doubt, Layout, ListPart, PlacementFile, SourceRow, SourceTable
from bench.papers.lists.value_text import from_description, names_a_type
from bench.papers.lists.vocabulary import heading_roles
from bench.papers.pdf.drawing import drawing_of
from bench.papers.pdf.extract import extracted
from bench.papers.pdf.labels import (  # fmt: skip
    CALLOUTS,
    DRAWING,
    LIST,
    NEVER_ALL,
    NOTHING,
    labels_of,
    sort_of,
    values_beside,
)
from bench.papers.pdf.page import Extract, Page
from bench.papers.pdf.recover import recovered
from bench.papers.pdf.words import words_of

SIGNATURE = b"%PDF-"
_A_VALUE = 0.7
"""A heading that says 'value' as clearly as this is over values and nothing else."""


def is_pdf(data: bytes) -> bool:
    """Whether bytes are those of a PDF; some have a few bytes of something else in front."""
    return SIGNATURE in data[:1024]


def read_pdf(data: bytes, name: str, known: Mapping[str, str] | None = None) -> ListReading:
    """The parts list in a PDF, and the places on its drawings.

    Raises SoldersideError when it cannot be read, or is a picture.
    """
    extract = extracted(data, name)
    _refuse_pictures(extract, name)
    sorts = [(page, _sort_of(page)) for page in extract.pages]
    placement, _ = drawing_of([page for page, sort in sorts if sort == DRAWING], name)
    found = recovered(replace(extract, pages=tuple(page for page, sort in sorts if sort == LIST)))
    notes = []
    if extract.number > len(extract.pages):
        notes.append(
            Doubt(line=0, what=f"only the first {len(extract.pages)} of {extract.number} pages were read")
        )
    reading = read_lines(found.lines, name, known, layouts=found.layouts, notes=notes, encoding="PDF")
    if not any(part.refs for part in reading.parts) and (
        partly := [each for each in sorts if each[1] in NEVER_ALL]
    ):
        reading = _read_labels(partly, name)
    parts, pages = _with_values(reading), reading.pages or found.pages
    return replace(reading, parts=parts, pages=pages, placement=placement)


def _read_labels(pages: Sequence[tuple[Page, str]], name: str) -> ListReading:
    """What stands at the designators of pages that need not show all of them."""
    rows = []
    for page, sort in pages:
        words = words_of(page)
        pairs = values_beside(words, labels_of(words), rows=sort == CALLOUTS)
        rows += [(page.number, pair) for pair in pairs]
    table = SourceTable(
        rows=tuple(SourceRow(line=at, cells=pair) for at, (_, pair) in enumerate(rows, 1) if pair[1]),
        roles=("ref", "value"),
    )
    layout = Layout(form="values beside the designators of a drawing", tables=(table,))
    lines = [" ".join(pair) for _, pair in rows]
    reading = read_lines(lines, name, layouts=[layout], whole=True, encoding="PDF")
    what = f"{NEVER_ALL[pages[0][1]]}, no list: only values that stand at one designator are read"
    doubts = (Doubt(line=0, what=what),)
    return replace(reading, partly=NEVER_ALL[pages[0][1]], pages=tuple(page for page, _ in rows), doubts=doubts)


def places_in_pdf(data: bytes, name: str, size: tuple[float, float] | None = None) -> PlacementFile:
    """Where parts sit, from the drawings in a PDF; `size` is the board's width and height in mm.

    Raises SoldersideError, with the reason, when it holds no drawing that tells.
    """
    extract = extracted(data, name)
    _refuse_pictures(extract, name)
    placement, why = drawing_of(extract.pages, name, size)
    if placement is None:
        raise SoldersideError(f"no places in this PDF: {why}", name, "name a placement file or the board file")
    return placement


def _sort_of(page: Page) -> str:
    """The sort of a page; whatever is drawn, it is a list where the reader of lists finds values in it."""
    words = words_of(page)
    labels = labels_of(words)
    sort = sort_of(page, words, labels)
    if sort in (LIST, NOTHING):
        return LIST
    found = recovered(Extract(pages=(page,), number=1))
    reading = read_lines(found.lines, "", layouts=found.layouts)
    valued = {ref for part in reading.parts if part.value_text for ref in part.refs}
    named = {word.text for word in labels}
    headed = sort == DRAWING or {"ref", "value"} <= {
        role for heading, role in reading.columns if heading_roles(heading)
    }
    return LIST if headed and len(valued & named) >= 0.5 * len(named) else sort


def _with_values(reading: ListReading) -> tuple[ListPart, ...]:
    """The parts, with the value alone where a column of descriptions holds it."""
    headings = [heading for heading, role in reading.columns if role == "value"]
    described = headings and max(heading_roles(heading).get("value", 0.0) for heading in headings) < _A_VALUE
    return tuple(map(_with_value, reading.parts)) if described else reading.parts


def _with_value(part: ListPart) -> ListPart:
    """The part with the value alone, where it stands inside a description or only in its order number."""
    if not part.refs or len(part.value_text.split()) < 2:
        return part
    count, _, rest = part.value_text.partition(" ")
    whole = rest if not part.quantity_text and count == str(len(part.refs)) else part.value_text
    value = from_description(whole, part.refs[0])
    if value == whole and names_a_type(part.order_number):
        value = part.order_number
    said = (whole, part.description) if value != whole else (part.description,)
    return replace(part, value_text=value, description=", ".join(filter(None, said)))


def _refuse_pictures(extract: Extract, name: str) -> None:
    """Say what to do with a file that has no text to read."""
    if any(page.glyphs for page in extract.pages):
        return
    what = "pictures" if any(page.pictures for page in extract.pages) else "strokes"
    hint = "copy the list by hand, paste it from a web page, or read the board file of the project"
    raise SoldersideError(f"this PDF holds only {what}, no text", name, hint)

"""PDFs that ask for too much: thousands of pages, streams that unfold to a gigabyte, forms within forms."""

from __future__ import annotations

import zlib
from collections.abc import Sequence

_FONT = b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>"
_PAGE = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Resources<</Font<</F1 3 0 R>>%s>>/Contents 4 0 R>>"
LIST = b"BT /F1 10 Tf 50 800 Td " + b" ".join(b"(R%d 10k) Tj 0 -12 Td" % at for at in range(60)) + b" ET"


def _file(objects: Sequence[bytes]) -> bytes:
    out, places = b"%PDF-1.5\n", []
    for number, each in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, each)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    head = b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    tail = b"trailer <</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (len(objects) + 1, len(out))
    return out + head + table + tail


def _stream(data: bytes, more: bytes = b"") -> bytes:
    packed = zlib.compress(data, 9)
    return b"<</Length %d/Filter/FlateDecode%s>>stream\n%s\nendstream" % (len(packed), more, packed)


def pages(number: int, content: bytes = LIST, resources: bytes = b"", more: Sequence[bytes] = ()) -> bytes:
    """So many pages, all with the same content."""
    first = 5 + len(more)
    kids = b" ".join(b"%d 0 R" % (first + at) for at in range(number))
    tree = b"<</Type/Pages/Count %d/Kids[%s]>>" % (number, kids)
    page = _PAGE % resources
    return _file([b"<</Type/Catalog/Pages 2 0 R>>", tree, _FONT, _stream(content), *more, *[page] * number])


def nested(depth: int) -> bytes:
    """Forms that each draw the next one ten times."""
    forms = []
    for level in range(depth):
        last = level == depth - 1
        drawn = b"BT /F1 10 Tf 50 50 Td (R1 10k) Tj ET" if last else b"/X Do " * 10
        inner = b"" if last else b"/XObject<</X %d 0 R>>" % (6 + level)
        resources = b"/Resources<</Font<</F1 3 0 R>>%s>>" % inner
        forms.append(_stream(drawn, b"/Type/XObject/Subtype/Form/BBox[0 0 595 842]" + resources))
    return pages(1, b"/X Do " * 10, b"/XObject<</X 5 0 R>>", forms)


def looped() -> bytes:
    """A tree of pages that holds itself."""
    return _file([b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Count 1000000000/Kids[2 0 R 2 0 R]>>"])


GREEDY = {
    "blanks": lambda: pages(1, b" " * (1 << 30)),
    "signs": lambda: pages(1, b"BT /F1 10 Tf 50 800 Td " + b"(R1 10k R2 22k) Tj 1 0 Td " * 4_000_000 + b" ET"),
    "lines": lambda: pages(1, b"0 0 m 10 10 l S " * 8_000_000),
    "forms": lambda: nested(11),
    "loop": looped,
}
"""Files of less than 2 MB each."""

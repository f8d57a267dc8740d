"""Glyphs and lines out of a PDF, in a process of its own: PDFs come from anywhere.

`python -m bench.papers.pdf.extract` reads a PDF from its input and writes an `Extract` as JSON; `extracted`
runs it with limits on time and memory. Needs pypdfium2 (the extra `pdf`).
"""

from __future__ import annotations

import contextlib
import ctypes
import math
import os
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from pathlib import Path
from typing import Any

import msgspec

import bench
from bench.errors import SoldersideError
from bench.papers.pdf.page import Extract, Glyph, Page, Rule

MOST_PAGES = 80
_MOST_GLYPHS, _MOST_PATHS = 40_000, 60_000
_SECONDS, _MEGABYTES = 60, 1_000
_PAGE = re.compile(rb"([0-9]+) ([0-9]+)\s*")
"""What the other process says on its error output, page by page."""
_SMALLEST = 2.0
"""Points across and high: what is drawn smaller holds no label."""
_SHORTEST = 1.5
"""Points: shorter lines are not kept."""
_THIN = 1.6
"""Points; a filled box no thicker than this is a drawn line."""


def extracted(data: bytes, name: str) -> Extract:
    """What the pages of a PDF hold. Raises SoldersideError, with what to do, when it cannot be read."""
    try:
        found = msgspec.json.decode(_beside(data, name), type=Extract)
    except (OSError, msgspec.DecodeError):
        found = Extract(error="damaged")
    if found.error:
        what, hint = _ERRORS.get(found.error, _ERRORS["damaged"])
        raise SoldersideError(what, name, hint)
    return found


@contextlib.contextmanager
def watched(watch: Callable[[str, int, int], bool]) -> Iterator[None]:
    """While this lasts `watch` is told of each page of a PDF: name, page, how many; False stops the reading."""
    before = _WATCH.set(watch)
    try:
        yield
    finally:
        _WATCH.reset(before)


_WATCH: ContextVar[Callable[[str, int, int], bool] | None] = ContextVar("watch", default=None)


def _beside(data: bytes, name: str) -> bytes:
    """What the other process writes. Raises SoldersideError when it takes too long, or is stopped."""
    watch, begun = _WATCH.get(), time.monotonic()
    command = [sys.executable, "-m", "bench.papers.pdf.extract"]
    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as written:
        given.write(data)
        given.seek(0)
        child = subprocess.Popen(
            command, stdin=given, stdout=written, stderr=subprocess.PIPE, env=_environment()
        )
        limit = threading.Timer(_SECONDS, child.kill)
        limit.start()
        try:
            for line in child.stderr or ():
                page = _PAGE.fullmatch(line)
                if page and watch is not None and not watch(name, int(page[1]), int(page[2])):
                    hint = "save the pages that hold the list as a file of their own"
                    raise SoldersideError("reading this PDF was stopped", name, hint)
        finally:
            limit.cancel()
            child.kill()
            child.wait()
            if child.stderr is not None:
                child.stderr.close()
        if time.monotonic() - begun >= _SECONDS:
            hint = "save the pages that hold the list as a file of their own"
            raise SoldersideError(f"reading this PDF took more than {_SECONDS} s and was given up", name, hint)
        written.seek(0)
        return written.read()


def _environment() -> dict[str, str]:
    """The environment of the other process, in which this package is found wherever it runs from."""
    here = str(Path(bench.__file__).parent.parent)
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, (here, os.environ.get("PYTHONPATH", ""))))}


_ERRORS = {
    "password": ("this PDF is encrypted", "save it without a password, or paste the list as text"),
    "damaged": ("this PDF is damaged or too large to read", "get it anew, or paste the list as text"),
    "missing": ("reading PDFs needs one more package", "install it: pip install 'solderside[pdf]'"),
}


def main() -> None:
    """Read a PDF from the input, write what it holds."""
    _limit()
    sys.stdout.buffer.write(msgspec.json.encode(_extract(sys.stdin.buffer.read())))


def _limit() -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        most = _MEGABYTES * 1024 * 1024
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
        resource.setrlimit(resource.RLIMIT_CPU, (_SECONDS, _SECONDS))


def _extract(data: bytes) -> Extract:
    try:
        import pypdfium2
    except ImportError:
        return Extract(error="missing")
    try:
        with pypdfium2.PdfDocument(data) as document:
            number = len(document)
            pages = []
            for at in range(min(number, MOST_PAGES)):
                sys.stderr.write(f"{at + 1} {min(number, MOST_PAGES)}\n")
                sys.stderr.flush()
                pages.append(_page(document[at], at + 1))
            return Extract(pages=tuple(pages), number=number)
    except pypdfium2.PdfiumError as error:
        return Extract(error="password" if "password" in str(error).casefold() else "damaged")
    except MemoryError:
        return Extract(error="damaged")


def _page(page: Any, number: int) -> Page:
    turn = page.get_rotation()
    left, bottom, right, top = page.get_cropbox()
    seen = _Seen(turn, left, bottom, right, top)
    glyphs = tuple(_glyphs(page.get_textpage(), seen))
    rules, shapes, strokes, pictures = _drawn(page, seen)
    return Page(
        number=number, width=round(seen.width, 2), height=round(seen.height, 2), glyphs=glyphs,
        rules=tuple(rules), shapes=tuple(shapes), strokes=strokes, pictures=pictures,
    )  # fmt: skip


class _Seen:
    """From a page's own coordinates to those in which it is seen."""

    def __init__(self, turn: int, left: float, bottom: float, right: float, top: float) -> None:
        self._turn = turn % 360
        self._box = left, bottom, right, top
        across, high = right - left, top - bottom
        self.width, self.height = (high, across) if self._turn in (90, 270) else (across, high)

    def point(self, x: float, y: float) -> tuple[float, float]:
        left, bottom, right, top = self._box
        match self._turn:
            case 90:
                return y - bottom, right - x
            case 180:
                return right - x, top - y
            case 270:
                return top - y, x - left
            case _:
                return x - left, y - bottom

    def direction(self, x: float, y: float) -> tuple[float, float]:
        length = math.hypot(x, y) or 1.0
        x, y = x / length, y / length
        turned = {90: (y, -x), 180: (-x, -y), 270: (-y, x)}.get(self._turn, (x, y))
        return round(turned[0], 3) + 0.0, round(turned[1], 3) + 0.0


def _glyphs(textpage: Any, seen: _Seen) -> Iterator[Glyph]:
    import pypdfium2.raw as raw

    handle = textpage.raw
    x, y, box, matrix = ctypes.c_double(), ctypes.c_double(), raw.FS_RECTF(), raw.FS_MATRIX()
    runs: dict[int, int] = {}
    for at in range(min(textpage.count_chars(), _MOST_GLYPHS)):
        code = raw.FPDFText_GetUnicode(handle, at)
        if code in (0, 10, 13) or raw.FPDFText_IsGenerated(handle, at) == 1:
            continue
        raw.FPDFText_GetLooseCharBox(handle, at, box)
        raw.FPDFText_GetCharOrigin(handle, at, x, y)
        if not raw.FPDFText_GetMatrix(handle, at, matrix):
            matrix.a, matrix.b, matrix.c, matrix.d = 1.0, 0.0, 0.0, 1.0
        ax, ay = seen.point(box.left, box.bottom)
        bx, by = seen.point(box.right, box.top)
        ox, oy = seen.point(x.value, y.value)
        size = raw.FPDFText_GetFontSize(handle, at) * math.hypot(matrix.c, matrix.d)
        thing = raw.FPDFText_GetTextObject(handle, at)
        run = runs.setdefault(ctypes.addressof(thing.contents) if thing else 0, len(runs))
        sense = -1.0 if size < 0 else 1.0  # a negative size turns the sign by half a turn
        yield Glyph(
            chr(code), round(ox, 2), round(oy, 2), round(min(ax, bx), 2), round(min(ay, by), 2),
            round(max(ax, bx), 2), round(max(ay, by), 2), seen.direction(sense * matrix.a, sense * matrix.b),
            seen.direction(sense * matrix.c, sense * matrix.d), round(abs(size), 2), run,
        )  # fmt: skip


def _drawn(page: Any, seen: _Seen) -> tuple[list[Rule], list[tuple[float, float, float, float]], int, int]:
    """Straight level and upright lines, boxes around paths, the number of paths and that of pictures."""
    import pypdfium2.raw as raw

    rules: list[Rule] = []
    shapes: list[tuple[float, float, float, float]] = []
    strokes = pictures = 0
    for number, thing in enumerate(page.get_objects(max_depth=4)):
        if number >= _MOST_PATHS:
            break
        if thing.type == raw.FPDF_PAGEOBJ_IMAGE:
            pictures += 1
        elif thing.type == raw.FPDF_PAGEOBJ_PATH:
            strokes += 1
            rules += _rules(thing, seen)
            left, bottom, right, top = thing.get_bounds()
            (ax, ay), (bx, by) = seen.point(left, bottom), seen.point(right, top)
            if min(abs(ax - bx), abs(ay - by)) > _SMALLEST:
                low, high = (min(ax, bx), min(ay, by)), (max(ax, bx), max(ay, by))
                shapes.append((round(low[0], 2), round(low[1], 2), round(high[0], 2), round(high[1], 2)))
    return rules, shapes, strokes, pictures


def _rules(path: Any, seen: _Seen) -> Iterator[Rule]:
    import pypdfium2.raw as raw

    handle, matrix = path.raw, path.get_matrix()
    before: tuple[float, float] | None = None
    begun: tuple[float, float] | None = None
    corners: list[tuple[float, float]] = []
    x, y = ctypes.c_float(), ctypes.c_float()
    stroked = ctypes.c_int()
    fill = ctypes.c_int()
    raw.FPDFPath_GetDrawMode(handle, fill, stroked)
    for at in range(min(raw.FPDFPath_CountSegments(handle), 2000)):
        segment = raw.FPDFPath_GetPathSegment(handle, at)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        here = seen.point(*matrix.on_point(x.value, y.value))
        sort = raw.FPDFPathSegment_GetType(segment)
        if sort == raw.FPDF_SEGMENT_MOVETO:
            begun = here
        elif sort == raw.FPDF_SEGMENT_LINETO and before is not None and stroked.value:
            yield from _level(before, here)
        corners.append(here)
        before = here
        if raw.FPDFPathSegment_GetClose(segment) and begun is not None and stroked.value:
            yield from _level(here, begun)
    if fill.value and not stroked.value and 4 <= len(corners) <= 6:
        yield from _filled(corners)


def _level(a: tuple[float, float], b: tuple[float, float]) -> Iterator[Rule]:
    across, high = abs(a[0] - b[0]), abs(a[1] - b[1])
    if min(across, high) < 0.3 and max(across, high) > _SHORTEST:
        yield Rule(
            *(round(each, 2) for each in (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])))
        )


def _filled(corners: list[tuple[float, float]]) -> Iterator[Rule]:
    """A thin filled box as the line that it looks like; a larger one as its four edges."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
    if right - left <= _THIN:
        yield from _level(((left + right) / 2, bottom), ((left + right) / 2, top))
    elif top - bottom <= _THIN:
        yield from _level((left, (bottom + top) / 2), (right, (bottom + top) / 2))


if __name__ == "__main__":
    main()

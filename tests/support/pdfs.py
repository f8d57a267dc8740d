"""PDFs made for tests: tables with lines and without, texts, guides, drawings; all of invented kits."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from fpdf import FPDF

SIZE = 9.0
"""Points of the font."""


def _new(orientation: str = "portrait") -> FPDF:
    pdf = FPDF(unit="pt", format="a4", orientation=orientation)
    pdf.set_auto_page_break(False)
    pdf.set_font("helvetica", size=SIZE)
    return pdf


def _latin(text: str) -> str:
    """A text in the signs that the standard fonts of PDF have."""
    return text.replace("Ω", "ohm").replace("μ", "µ").encode("latin-1", "replace").decode("latin-1")


def typed(lines: Iterable[str]) -> bytes:
    """Lines as a typewriter sets them, page by page."""
    pdf = _new("landscape")
    pdf.set_font("courier", size=7)
    for number, line in enumerate(lines):
        if number % 60 == 0:
            pdf.add_page()
        pdf.text(30, 40 + number % 60 * 9, _latin(line.expandtabs(8)))
    return bytes(pdf.output())


def table(
    rows: Sequence[Sequence[str]],
    *,
    ruled: bool = False,
    title: str = "",
    a_page: int = 40,
    repeat: bool = True,
    align: Callable[[int], str] = lambda column: "L",
    before: Sequence[Sequence[str]] = (),
    widest: float = 130.0,
    stand: float = 0.5,
    room: float = 8.0,
    after: Sequence[Sequence[str]] = (),
) -> bytes:
    """A table over as many pages as it takes; its first row is the heading, on each page with `repeat`.

    Cells stand at the top (`stand` 0), in the middle or at the bottom (1) of their row.
    `before` and `after` are pages of prose around it. Long cells are wrapped, as offices do it; the longest
    ends `room` points before the next column.
    """
    pdf = _new("landscape")
    _prose(pdf, before)
    columns = max(map(len, rows))
    full = [[_latin(cell) for cell in row] + [""] * (columns - len(row)) for row in rows]
    widths = [min(max(pdf.get_string_width(row[at]) for row in full) + room, widest) for at in range(columns)]
    head, body = full[:1], full[1:]
    for begin in range(0, max(len(body), 1), a_page):
        pdf.add_page()
        y = 40.0
        if title and begin == 0:
            pdf.text(40, y, _latin(title))
            y += 20
        for row in (*(head if repeat or begin == 0 else []), *body[begin : begin + a_page]):
            cells = [_wrapped(pdf, cell, width - min(room, 6)) for cell, width in zip(row, widths, strict=True)]
            height = max(map(len, cells)) * (SIZE + 2) + 2
            x = 40.0
            for at, (lines, width) in enumerate(zip(cells, widths, strict=True)):
                if ruled:
                    pdf.rect(x, y - SIZE, width, height)
                top = y + (height - len(lines) * (SIZE + 2) - 2) * stand
                for number, line in enumerate(lines):
                    left = width - min(room, 6) - pdf.get_string_width(line)
                    shift = {"L": 0.0, "C": left / 2, "R": left}[align(at)]
                    pdf.text(x + 3 + shift, top + number * (SIZE + 2), line)
                x += width
            y += height
    _prose(pdf, after)
    return bytes(pdf.output())


def _prose(pdf: FPDF, pages: Iterable[Sequence[str]]) -> None:
    for page in pages:
        pdf.add_page()
        for number, line in enumerate(page):
            pdf.text(40, 50 + number * 14, _latin(line))


def _wrapped(pdf: FPDF, text: str, width: float) -> list[str]:
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if pdf.get_string_width(longer) <= width or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def drawn_only() -> bytes:
    """A page with strokes and no text."""
    pdf = _new()
    pdf.add_page()
    for at in range(20):
        pdf.line(30, 30 + 10 * at, 300, 30 + 12 * at)
    return bytes(pdf.output())


def placement_drawing(
    parts: dict[str, tuple[float, float]],
    size: tuple[float, float],
    *,
    scale: float = 1.0,
    labels: str = "inside",
    back: bool = False,
    copies: int = 1,
    values: dict[str, str] | None = None,
    beneath: tuple[dict[str, tuple[float, float]], tuple[float, float]] | None = None,
) -> bytes:
    """A drawing of a board: its edge, a box for each part (place in mm, y upwards) and a label.

    Several `copies` stand one below the other. `labels` stand `inside` the boxes, turned by 90 degrees in the
    tall ones, or `beside` them (above). With `back` the board is seen through from the front, its labels
    mirrored. `beneath` is another board, its parts and size.
    """
    pdf = _new()
    pdf.add_page()
    pdf.set_font("helvetica", size=4)
    mm = 72 / 25.4 * scale
    top = 90.0
    for placed, (wide_mm, high_mm) in [(parts, size)] * copies + ([beneath] if beneath else []):
        left = 80.0
        pdf.rect(left, top, wide_mm * mm, high_mm * mm)
        for at, (ref, (x, y)) in enumerate(placed.items()):
            cx, cy = left + x * mm, top + (high_mm - y) * mm
            wide, high = (16.0, 7.0) if at % 3 else (7.0, 16.0)
            pdf.rect(cx - wide / 2, cy - high / 2, wide, high)
            width = pdf.get_string_width(ref)
            shift = -high / 2 - 1 if labels == "beside" else 1.4
            if back:
                with pdf.mirror((cx, cy), "EAST"):
                    pdf.text(cx - width / 2, cy + shift, ref)
            elif labels == "inside" and high > wide:
                with pdf.rotation(90, cx, cy):
                    pdf.text(cx - width / 2, cy + shift, ref)
            else:
                pdf.text(cx - width / 2, cy + shift, ref)
            if values:
                pdf.text(cx - width / 2, cy + 8, values[ref])
                for pin in (1, 2):
                    pdf.text(cx - 9 + 18 * (pin - 1), cy + 4, str(pin))
        top += high_mm * mm + 25
    return bytes(pdf.output())


def schematic(parts: dict[str, tuple[float, float, str]]) -> bytes:
    """A circuit diagram: a symbol for each part (place in points), its designator and value above, its pins."""
    pdf = _new("landscape")
    pdf.add_page()
    for at, (ref, (x, y, value)) in enumerate(parts.items()):
        pdf.rect(x, y, 34 if ref[0] == "U" else 22, 9)
        pdf.line(x - 14, y + 4.5, x, y + 4.5)
        pdf.line(x + 22, y + 4.5, x + 36, y + 4.5)
        pdf.text(x, y - 11, ref)
        pdf.text(x, y - 2, value)
        if ref[0] == "U":
            pdf.text(x - 8, y + 3, str(at % 8 + 1))
            pdf.text(x + 36, y + 3, str(at % 8 + 2))
    pdf.text(600, 560, "Rev B")
    pdf.text(700, 560, "1/1")
    return bytes(pdf.output())


def callouts(parts: dict[str, str]) -> bytes:
    """A board with the designators and values in two rows beside it, and lines that lead to the parts."""
    pdf = _new("landscape")
    pdf.add_page()
    pdf.rect(220, 100, 300, 300)
    for at, (ref, value) in enumerate(parts.items()):
        y = 110 + at // 2 * 20.0
        pdf.rect(260 + at * 37 % 200, 120 + at * 53 % 240, 22, 9)
        if at % 2:
            pdf.text(600, y, ref)
            pdf.text(640, y, value)
            pdf.line(598, y - 3, 282 + at * 37 % 200, 124 + at * 53 % 240)
        else:
            pdf.text(150, y, ref)
            pdf.text(100, y, value)
            pdf.line(152 + pdf.get_string_width(ref), y - 3, 260 + at * 37 % 200, 124 + at * 53 % 240)
    return bytes(pdf.output())

"""Pages of text to read and scroll: faults of a file, what was written where."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.app import ComposeResult

from bench.errors import Fault
from bench.parts.designators import shorten
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, paragraphs, wrap

if TYPE_CHECKING:
    from bench.measure.identify.candidates import Identified


class TextPane(Lines):
    """Paragraphs, wrapped to the width."""

    def __init__(self, spans: Sequence[tuple[str, str]]) -> None:
        super().__init__(id="body")
        self._spans = spans

    def show(self, spans: Sequence[tuple[str, str]]) -> None:
        """Other paragraphs, from the top."""
        self._spans = spans
        if self.size.width:
            self.lay_out()
            self.move(-self.count)

    def lay_out(self) -> None:
        """Re-wrap on resize."""
        rows: list[StyledRow] = []
        for text, look in self._spans:
            for part in paragraphs(text) if text else [""]:
                width = self.size.width - 1
                fits = cells(part) <= width  # a row set in columns stays as it is
                rows += [((line, look),) for line in ([part] if fits else wrap(part, width, hang=2))]
        self.count = len(rows)
        self.show_rows(rows)
        self.move(0)

    def move(self, by: int) -> None:
        """Scroll by rows."""
        self.scroll_to_row(max(0, min(self.top + by, self.count - self.size.height)))

    count = 0


class Page(CommandScreen):
    """A page of text."""

    place = "text"

    def __init__(self, spans: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._spans = spans

    def compose(self) -> ComposeResult:
        """The text over a foot line."""
        keymap = self.bench_app.keymap
        yield TextPane(self._spans)
        yield Foot(keymap.foot("text"), (keymap.key_of("back"), "back"))

    def do_up(self) -> None:
        """One row up."""
        self.query_one(TextPane).move(-1)

    def do_down(self) -> None:
        """One row down."""
        self.query_one(TextPane).move(1)

    def do_first(self) -> None:
        """To the top."""
        pane = self.query_one(TextPane)
        pane.move(-pane.count)

    def do_last(self) -> None:
        """To the end."""
        pane = self.query_one(TextPane)
        pane.move(pane.count)

    def do_page_up(self) -> None:
        """One page up."""
        pane = self.query_one(TextPane)
        pane.move(-pane.size.height)

    def do_page_down(self) -> None:
        """One page down."""
        pane = self.query_one(TextPane)
        pane.move(pane.size.height)


def faults_page(faults: Sequence[Fault], about: str) -> Page:
    """All faults of a file."""
    spans: list[tuple[str, str]] = [(about, "loud"), ("", "plain")]
    for fault in faults:
        spans.append((clean(f"{fault.where}: {fault.what}", 600), "plain"))
        spans.append((clean(f"  {fault.hint}", 600), "way"))
    return Page(spans)


def identified_page(found: Identified) -> Page:
    """What bands, a marking or a reading can be, best first, and what it cannot be."""
    spans: list[tuple[str, str]] = [(f"{clean(found.text, 200)} can be", "head"), ("", "plain")]
    for candidate in found.candidates:
        where: dict[str, list[str]] = {}
        for board, ref in candidate.refs:
            where.setdefault(board, []).append(ref)
        places = "; ".join(f"{board} {shorten(refs)}" for board, refs in where.items())
        spans.append(
            (clean(f"{candidate.text}   {places or 'not in this kit'}", 400), "value" if places else "plain")
        )
        spans += [(clean(f"  {why}", 400), "plain") for why in (candidate.source, *candidate.why)]
    if not found.candidates:
        spans.append(("nothing known", "plain"))
    if found.remarks:
        spans += [("", "plain"), *((clean(remark, 400), "way") for remark in found.remarks)]
    if found.ruled_out:
        spans += [("", "plain"), ("It cannot be", "head")]
        spans += [(clean(f"{each.text}: {each.why}", 400), "faint") for each in found.ruled_out[:12]]
    return Page(spans)

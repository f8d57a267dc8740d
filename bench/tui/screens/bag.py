"""The bag: what should be in it by value; count it off, say what is missing, measure ahead."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.measure.identify.ahead import reads_wrong
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.plan.bag import BagLine, bag_lines
from bench.session.build import Build
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListingScreen, Spans
from bench.ui.forms import Form
from bench.ui.text import clean


class BagScreen(ListingScreen, BuildScreen):
    """One line for each sort of part."""

    place = "bag"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._lines: tuple[BagLine, ...] = bag_lines(build.kit)

    def on_mount(self) -> None:
        """Show the bag, at the first sort nobody has counted."""
        counted = self.build.bag_counts
        first = next((at for at, line in enumerate(self._lines) if line.items not in counted), 0)
        self._fill(first)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def _fill(self, chosen: int | None = None) -> None:
        counts = self.build.bag_counts
        rows = []
        for line in self._lines:
            count = counts.get(line.items)
            short = count is not None and count < self._wanted(line)
            wrong = self._reads_wrong(line)
            look = "loud" if wrong else "caution" if short else "faint" if count is not None else "plain"
            state = "WRONG VALUE" if wrong else _state(self._wanted(line), count)
            rows.append((clean(f"{state:<12} {self._words(line)}", 500), look))
        self.pane.show(rows, chosen)
        self._summary(counts)

    def _reads_wrong(self, line: BagLine) -> bool:
        """Whether the last part measured of a sort is not what it should be."""
        said = [each.said for each in self.build.progress.measured if each.items == line.items]
        return bool(said) and reads_wrong(said[-1])

    def _words(self, line: BagLine) -> str:
        about = ", ".join(word for word in (line.kind, line.tolerance, line.voltage, line.package) if word)
        places = "; ".join(f"{board}: {shorten(refs)}" for board, refs in line.places)
        printed = f", printed {line.marking}" if line.marking else ""
        measured = [each.text for each in self.build.progress.measured if each.items == line.items]
        read = f"  measured {', '.join(measured)}" if measured else ""
        return f"{self._wanted(line):>3} x {line.value:<14} {about}{printed}  {places}{read}"

    def about_line(self, line: int) -> Spans:
        """All about one sort of part."""
        if line >= len(self._lines):
            return []
        part = self._lines[line]
        about = ", ".join(word for word in (part.kind, part.tolerance, part.voltage, part.package) if word)
        spans: Spans = [(clean(f"{self._wanted(part)} x {part.value}  {about}", 400), "value")]
        spans.append(
            (clean("; ".join(f"{board}: {shorten(refs)}" for board, refs in part.places), 600), "refs")
        )
        if part.marking:
            spans.append((clean(f"Printed on it: {part.marking}", 300), "plain"))
        measured = [each for each in self.build.progress.measured if each.items == part.items]
        if not measured:
            return spans
        spans.append((clean(f"Measured: {', '.join(each.text for each in measured)}", 300), "plain"))
        wrong = self._reads_wrong(part)
        return [*spans, (clean(("✗ " if wrong else "") + measured[-1].said, 600), "loud" if wrong else "plain")]

    def _wanted(self, line: BagLine) -> int:
        """How many there should be, in the bags of all units on the bench."""
        return len(line.items) * self.build.bags

    def _summary(self, counts: dict[tuple[str, ...], int]) -> None:
        done = sum(line.items in counts for line in self._lines)
        missing = sum(max(0, len(items) * self.build.bags - found) for items, found in counts.items())
        parts = self.build.plan.count.total * self.build.bags
        bags = "Bag" if self.build.bags == 1 else f"{self.build.bags} bags"
        word = f"{bags} of {counted(parts, 'part')}: {done} of {len(self._lines)} line items counted"
        word += f", {counted(missing, 'part')} missing" if missing else ""
        wrong = sum(map(self._reads_wrong, self._lines))
        word += f", {counted(wrong, 'line item')} of the WRONG VALUE" if wrong else ""
        self.show_message(f"{word}.", standing=True)

    def refresh_view(self, notice: str = "") -> None:
        """Show the bag as it stands, and a short word."""
        self._fill()
        if notice:
            self.show_message(notice)

    def submit(self, form: Form, answers: tuple[str, ...]) -> None:
        """As elsewhere; a line that was counted leads on to the next one."""
        super().submit(form, answers)
        if form.command in ("number", "other_part"):
            self.pane.choose(min(self.pane.chosen + 1, len(self._lines) - 1))

    @property
    def chosen_thing(self) -> BagLine:
        """The line of the bag that is chosen."""
        if not self._lines:
            raise SoldersideError("the kit has no parts", "", "")
        return self._lines[self.pane.chosen]

    def do_all_there(self) -> None:
        """As many as there should be; on to the next sort."""
        line = self.chosen_thing
        self.build.count_bag(line, self._wanted(line))
        self._fill(min(self.pane.chosen + 1, len(self._lines) - 1))

    def do_shortage(self) -> None:
        """Write the shortage list."""
        path = self.bench_app.write_shortage(self.build)
        self.show_message(f"Shortage list written: {path}")


def _state(wanted: int, found: int | None) -> str:
    if found is None:
        return "not counted"
    off = found - wanted
    return "all there" if off == 0 else f"{-off} MISSING" if off < 0 else f"{off} too many"

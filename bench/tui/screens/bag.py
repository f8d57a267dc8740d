"""The bag: what should be in it by value; count it off, say what is missing, measure ahead."""

from __future__ import annotations

from collections.abc import Sequence

from bench.errors import SoldersideError
from bench.measure.identify.ahead import reads_wrong
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.plan.bag import BagLine, bag_lines, by_kind
from bench.session.build import Build
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListingScreen, Spans
from bench.ui.bag_card import Counted, bag_head, bag_row, bands_said, group_name
from bench.ui.forms import Form
from bench.ui.text import clean


class BagScreen(ListingScreen, BuildScreen):
    """One line for each sort of part."""

    place = "bag"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._lines: tuple[BagLine, ...] = by_kind(bag_lines(build.kit))
        self._together: tuple[int, int] = (0, 0)
        """Number of the last event of sorts that were counted with one key, and how many there were."""

    def on_mount(self) -> None:
        """Show the bag, at the first sort nobody has counted."""
        counted = self.build.bag_counts
        first = next((at for at, line in enumerate(self._lines) if line.items not in counted), 0)
        self._fill(first)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def on_resize(self) -> None:
        """Lines for the new width."""
        self._fill()

    def _fill(self, chosen: int | None = None) -> None:
        counts, width = self.build.bag_counts, self.app.size.width
        one = len(self.build.kit.boards) == 1
        rows = [bag_row(self._counted(line, counts), width - 2, one_board=one) for line in self._lines]
        names = [group_name(line) for line in self._lines]
        heads = {}
        for name in dict.fromkeys(names):
            here = [at for at, each in enumerate(names) if each == name]
            done = sum(self._lines[at].items in counts for at in here)
            heads[here[0]] = bag_head(name, done, len(here), width)
        self.pane.show(rows, chosen, heads)
        self._summary(counts)

    def _counted(self, line: BagLine, counts: dict[tuple[str, ...], int]) -> Counted:
        measured = tuple(each.text for each in self.build.progress.measured if each.items == line.items)
        return Counted(
            line=line,
            wanted=self._wanted(line),
            found=counts.get(line.items),
            measured=measured,
            wrong=self._reads_wrong(line),
        )

    def _reads_wrong(self, line: BagLine) -> bool:
        """Whether the last part measured of a sort is not what it should be."""
        said = [each.said for each in self.build.progress.measured if each.items == line.items]
        return bool(said) and reads_wrong(said[-1])

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
        if bands := bands_said(part):
            spans.append((clean(f"Bands: {bands}", 300), "plain"))
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
            self._fill(self._next_left())

    @property
    def chosen_thing(self) -> BagLine:
        """The line of the bag that is chosen."""
        if not self._lines:
            raise SoldersideError("the kit has no parts", "", "")
        return self._lines[self.pane.chosen]

    def do_all_there(self) -> None:
        """As many as there should be; on to the next sort that is not counted."""
        line = self.chosen_thing
        self.build.count_bag(line, self._wanted(line))
        self._fill(self._next_left())

    def _next_left(self) -> int:
        """The next line that is not counted, from the top again at the end; the line below when all are."""
        counts, many = self.build.bag_counts, len(self._lines)
        later = (*range(self.pane.chosen + 1, many), *range(self.pane.chosen))
        below = min(self.pane.chosen + 1, many - 1)
        return next((at for at in later if self._lines[at].items not in counts), below)

    def do_kind_there(self) -> None:
        """All sorts of this kind that are not counted yet are there."""
        name = group_name(self.chosen_thing)
        self._count_all([line for line in self._lines if group_name(line) == name], name)

    def do_rest_there(self) -> None:
        """All sorts of the bag that are not counted yet are there."""
        self._count_all(self._lines, "The bag")

    def _count_all(self, lines: Sequence[BagLine], name: str) -> None:
        counts, before = self.build.bag_counts, self.build.progress.events
        left = [line for line in lines if line.items not in counts]
        if not left:
            raise SoldersideError(f"{name}: counted already", "", "n changes a number")
        for line in left:
            self.build.count_bag(line, self._wanted(line))
        last = self.build.progress.events
        self._together = last, last - before
        self._fill(self._next_left())
        keys = self.bench_app.keymap
        self.show_message(
            f"{name}: {counted(len(left), 'line item')} all there. {keys.key_of('number')} on a line says "
            f"otherwise, {keys.key_of('undo')} undoes all of it."
        )

    def do_undo(self) -> None:
        """Undo the last entry; what one key counted is undone with one key."""
        last, many = self._together
        if many and self.build.progress.events == last:
            self.require_writable()
            for _ in range(many):
                self.build.undo()
            self._together = 0, 0
            self.refresh_view(f"Undone: {counted(many, 'line item')} counted.")
            return
        super().do_undo()

    def do_shortage(self) -> None:
        """Write the shortage list."""
        path = self.bench_app.write_shortage(self.build)
        self.show_message(f"Shortage list written: {path}")

"""The bag: what should be in it by value; count it off, say what is missing, measure ahead."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.log.events import BagCounted
from bench.measure.identify.ahead import reads_wrong, what_it_says
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.plan.bag import BagLine, bag_lines
from bench.session.build import Build
from bench.session.verdicts import meter_of
from bench.tui.screens.build_screen import BuildPlace
from bench.tui.screens.lists import ListPlace, Spans
from bench.ui.forms import Question, a_count
from bench.ui.reading_forms import reading_question
from bench.ui.text import clean


class BagScreen(ListPlace, BuildPlace):
    """One line for each sort of part."""

    place = "bag"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._lines: tuple[BagLine, ...] = bag_lines(build.kit)

    def on_mount(self) -> None:
        """Show the bag, at the first sort nobody has counted."""
        counted = {count.items for count in self.build.progress.bag}
        first = next((at for at, line in enumerate(self._lines) if line.items not in counted), 0)
        self._fill(first)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def _fill(self, chosen: int | None = None) -> None:
        counts = {count.items: count for count in self.build.progress.bag}
        rows = []
        for line in self._lines:
            count = counts.get(line.items)
            short = count is not None and count.found < len(line.items)
            wrong = self._reads_wrong(line)
            look = "loud" if wrong else "caution" if short else "faint" if count else "plain"
            state = "WRONG VALUE" if wrong else _state(line, count)
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
        return f"{len(line.items):>3} x {line.value:<14} {about}{printed}  {places}{read}"

    def about_line(self, line: int) -> Spans:
        """All about one sort of part."""
        if line >= len(self._lines):
            return []
        part = self._lines[line]
        about = ", ".join(word for word in (part.kind, part.tolerance, part.voltage, part.package) if word)
        spans: Spans = [(clean(f"{len(part.items)} x {part.value}  {about}", 400), "value")]
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

    def _summary(self, counts: dict[tuple[str, ...], BagCounted]) -> None:
        done = sum(line.items in counts for line in self._lines)
        missing = sum(max(0, len(count.items) - count.found) for count in counts.values())
        parts = self.build.plan.count.total
        word = f"Bag of {counted(parts, 'part')}: {done} of {len(self._lines)} sorts counted"
        word += f", {counted(missing, 'part')} missing" if missing else ""
        wrong = sum(map(self._reads_wrong, self._lines))
        word += f", {counted(wrong, 'sort')} of the WRONG VALUE" if wrong else ""
        self.say(f"{word}.", standing=True)

    def _line(self) -> BagLine:
        if not self._lines:
            raise SoldersideError("the kit has no parts", "", "")
        return self._lines[self.pane.chosen]

    def do_all_there(self) -> None:
        """As many as there should be; on to the next sort."""
        line = self._line()
        self.build.count_bag(line, len(line.items))
        self._fill(min(self.pane.chosen + 1, len(self._lines) - 1))

    def do_number(self) -> None:
        """Type how many there are."""
        line = self._line()
        question = Question(
            ask=f"how many {clean(line.value, 40)} are in the bag? There should be {len(line.items)}.",
            wrong=a_count,
        )
        self._ask("Count", [question], lambda answers: self._counted(line, int(answers[0])))

    def _counted(self, line: BagLine, found: int) -> None:
        self.build.count_bag(line, found)
        self._fill(min(self.pane.chosen + 1, len(self._lines) - 1))

    def do_other_part(self) -> None:
        """Something else was sent in its place."""
        line = self._line()
        part = clean(f"{line.value} {shorten(line.refs)}".strip(), 200)
        questions = [
            Question(ask=f"what is in the bag in place of {clean(line.value, 40)}?"),
            Question(ask="why, if known?", hint="May be empty. Mind pinout and rating.", needed=False),
        ]

        def record(answers: tuple[str, ...]) -> None:
            self.build.substitute(part, answers[0], answers[1], line.items)
            self.build.count_bag(line, len(line.items))
            self._fill(min(self.pane.chosen + 1, len(self._lines) - 1))
            self.say(f"{answers[0]} goes in for {part}; every step with it will say so.")

        self._ask("Other part", questions, record)

    def do_measure(self) -> None:
        """Type what the meter shows for a part of this sort."""
        line = self._line()
        question = reading_question(
            f"what does the meter show for {clean(line.value, 40)}?",
            "Such as 4k69.",
            lambda text: what_it_says(self.build.kit, line, text, meter_of(self.build.meter)),
        )
        self._ask("Measure ahead", [question], lambda answers: self._measured(line, answers[0]))

    def _measured(self, line: BagLine, text: str) -> None:
        said = what_it_says(self.build.kit, line, text, meter_of(self.build.meter))
        self.build.measured(line, text, said)
        self._fill()
        self.bench_app.signals.give("out of tolerance" if reads_wrong(said) else "done")
        self.say(f"✗ {said}" if reads_wrong(said) else said)

    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        word = self.build.undo()
        self._fill()
        self.say(f"Taken back: {word}")

    def do_shortage(self) -> None:
        """Write the shortage list."""
        path = self.bench_app.write_shortage(self.build)
        self.say(f"Shortage list written: {path}")


def _state(line: BagLine, count: BagCounted | None) -> str:
    if count is None:
        return "not counted"
    off = count.found - len(line.items)
    return "all there" if off == 0 else f"{-off} MISSING" if off < 0 else f"{off} too many"

"""Lists of one build in plain lines: the bag, all checks, the log, claps and clips."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.log.events import ReadingTaken
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.parts.printed_values import bears_bands
from bench.plain.place import Desk, Rows
from bench.plain.spoken import sentence
from bench.plan.bag import BagLine, bag_lines, by_kind
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.press import take_back_or_restore
from bench.ui.bands import band_strip
from bench.ui.card_blocks import GLYPHS
from bench.ui.forms import damage
from bench.ui.log_card import LogRow, log_rows
from bench.ui.text import clean
from bench.writeup.moments import Calendar


class Bag(Rows):
    """Each sort of part: how many there should be, how many were found, what was measured."""

    place = "bag"

    def __init__(self, desk: Desk, build: Build) -> None:
        super().__init__(desk, build)
        self._lines: tuple[BagLine, ...] = by_kind(bag_lines(build.kit))
        counted = build.bag_counts
        self.chosen = next((at for at, line in enumerate(self._lines) if line.items not in counted), 0)

    def _wanted(self, line: BagLine) -> int:
        return len(line.items) * self.build.bags

    def _state(self, line: BagLine) -> str:
        counts = self.build.bag_counts
        if line.items not in counts:
            return "not counted"
        off = counts[line.items] - self._wanted(line)
        return "all there" if off == 0 else f"{-off} MISSING" if off < 0 else f"{off} too many"

    def rows(self) -> Sequence[str]:
        """Value, kind, how many, and how it stands."""
        return [
            clean(f"{each.value}, {each.kind}: {self._wanted(each)} should be there; {self._state(each)}", 300)
            for each in self._lines
        ]

    def in_full(self, at: int) -> Iterator[str]:
        """One sort with its designators, what is printed on it and what was measured."""
        line = self._lines[at]
        yield self.rows()[at]
        places = "; ".join(f"{board} {shorten(refs)}".strip() for board, refs in line.places)
        about = ", ".join(filter(None, (line.tolerance, line.voltage, line.package)))
        told = {"Listed as": about, "Printed on it": line.marking, "Goes to": places}
        yield from (clean(f"{label}: {word}", 600) for label, word in told.items() if word)
        if bears_bands(line.kind, line.value, line.package) and not line.marking:
            for row in band_strip(line.value, line.tolerance, 1_000, compact=True):
                yield f"Bands: {''.join(text for text, _ in row)}"
        measured = [each for each in self.build.progress.measured if each.items == line.items]
        if measured:
            yield clean(f"Measured: {', '.join(each.text for each in measured)}. {measured[-1].said}", 600)

    @property
    def chosen_thing(self) -> BagLine | None:
        """The chosen sort of part."""
        return self._lines[self.chosen] if self._lines else None

    def ask_command(self, command: str, chosen: object = None) -> None:
        """As elsewhere; a sort that was counted leads on to the next one."""
        super().ask_command(command, chosen)
        if command in ("number", "other_part"):
            self._on()

    def _on(self) -> None:
        """To the next sort that is not counted, else to the end."""
        counted = self.build.bag_counts
        later = range(self.chosen + 1, len(self._lines))
        left = next((at for at in (*later, *range(self.chosen)) if self._lines[at].items not in counted), None)
        if left is None:
            self._say("The bag is counted.")
            return
        self.chosen = left
        self.tell()

    def do_all_there(self) -> None:
        """As many as there should be; on to the next sort."""
        line = self.chosen_thing
        if line is not None:
            self.build.count_bag(line, self._wanted(line))
            self._on()

    def do_kind_there(self) -> None:
        """All sorts of the chosen kind that are not counted yet are there."""
        here = self.chosen_thing
        if here is not None:
            self._count_all([line for line in self._lines if line.kind == here.kind])

    def do_rest_there(self) -> None:
        """All sorts that are not counted yet are there."""
        self._count_all(self._lines)

    def _count_all(self, lines: Sequence[BagLine]) -> None:
        counts = self.build.bag_counts
        left = [line for line in lines if line.items not in counts]
        for line in left:
            self.build.count_bag(line, len(line.items) * self.build.bags)
        self._say(f"{counted(len(left), 'line item')} all there.")
        self._on()

    def do_shortage(self) -> None:
        """Write the shortage list."""
        from bench.writeup.maker_texts import publish_shortage

        self._say(f"Shortage list written: {publish_shortage(self.build)}")


class Checks(Rows):
    """Every check and adjustment; any of them can be read at any time."""

    place = "meter"

    def __init__(self, desk: Desk, build: Build) -> None:
        super().__init__(desk, build)
        self._steps = [step for step in build.outline.steps if step.action in ("check", "adjust")]
        here = build.next_step
        keys = [step.key for step in self._steps]
        self.chosen = keys.index(here.key) if here and here.key in keys else 0

    def _readings(self, step: Step) -> list[ReadingTaken]:
        return [each for each in self.build.progress.readings if each.step == step.key]

    def rows(self) -> Sequence[str]:
        """What is checked, what to expect, and what was read last."""
        return [self._row(step, self._readings(step)[-1:]) for step in self._steps]

    def _row(self, step: Step, last: list[ReadingTaken]) -> str:
        expect = f", expect {step.expect}" if step.expect else ""
        if last:
            said = f"read {last[0].text} {GLYPHS.get(last[0].verdict, '')}".strip()
        else:
            done = self.build.progress.done.issuperset(step.items)
            said = "checked" if done else "not read yet" if step.expect else "not checked yet"
        return clean(f"{step.value}{expect}: {said}", 400)

    def in_full(self, at: int) -> Iterator[str]:
        """One check with its cautions, how to do it, and earlier readings."""
        step = self._steps[at]
        yield self.rows()[at]
        yield from (clean(f"▲ {caution}", 400) for caution in step.cautions)
        yield from (clean(word, 600) for word in (step.detail, f"In {step.stage}") if word)
        if earlier := self._readings(step)[:-1]:
            yield clean(f"Earlier: {', '.join(each.text for each in earlier)}", 300)

    @property
    def chosen_thing(self) -> Step | None:
        """The chosen check."""
        return self._steps[self.chosen] if self._steps else None


class LogRows(Rows):
    """All events, oldest first; take back, bring back, correct."""

    place = "log"

    def __init__(self, desk: Desk, build: Build) -> None:
        super().__init__(desk, build)
        self.chosen = len(build.events) - 1

    @property
    def _events(self) -> list[ev.AnyEvent]:
        return with_corrections(self.build.events, undone(self.build.events))

    def rows(self) -> Sequence[str]:
        """When and what; what was taken back says so."""
        return [clean(f"{row.time}: {row.text}", 400) for row in self._log]

    @property
    def _log(self) -> list[LogRow]:
        return log_rows(self._events, undone(self.build.events))

    def in_full(self, at: int) -> Iterator[str]:
        """One event with its day and place, and what can be done about it."""
        event = self._events[at]
        yield self.rows()[at]
        place = f"{event.stage}, {event.board}" if event.board else event.stage
        zone = Calendar().zone_names([event.at])
        yield clean(f"On {self._log[at].day}, {zone}{f', at {place}' if place else ''}", 300)
        if ev.CORRECTABLE.get(ev.tag_of(event)):
            yield f"{self.keymap.key_of('correct')} edits its text"
        if ev.tag_of(event) not in ev.BOOKKEEPING:
            yield f"{self.keymap.key_of('take_back')} undoes it, or restores it"

    def enter(self) -> None:
        """As elsewhere; what is damaged first."""
        for said in damage(self.build):
            self._say(said)
        zone = Calendar().zone_names(event.at for event in self.build.events)
        self._say(f"Oldest first, times in {zone}. Nothing is ever erased.")
        super().enter()

    @property
    def chosen_thing(self) -> ev.AnyEvent | None:
        """The chosen event."""
        events = self._events
        return events[self.chosen] if events else None

    def do_take_back(self) -> None:
        """Take the chosen event back, or bring it back."""
        self.situation().require_writable()
        event = self.chosen_thing
        if event is not None:
            self._say(sentence(clean(take_back_or_restore(self.build, event), 300)))

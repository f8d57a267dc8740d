"""A pass typed point by point or in one line, and what was turned before it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bench.errors import SoldersideError
from bench.measure.tuning.points import MOST_POINTS
from bench.session.build import Build
from bench.session.trimming import TrackingView, check_pass
from bench.session.typed_pass import Typed, read_turns, read_typed
from bench.tui.screens.ask import Ask
from bench.tui.screens.work_words import WordPlace
from bench.ui.forms import Question, trouble
from bench.ui.trim_forms import HINT, kept, turn_question


class PassPlace(WordPlace):
    """A place where passes are typed."""

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._understood: tuple[str, Typed] = ("", Typed(points=()))

    def _ask_points(self, view: TrackingView, typed: Typed, first: Ask | None = None) -> None:
        """Ask for points until all are there; the voltage that comes next stands in the line.

        All points so far stand in the line of the `first` box again until the pass is recorded.
        """
        count = len(typed.points)
        given = f"{_next_volts(view, typed):g} " if count else ""
        question = Question(
            ask=f"{count} in. The next? Enter alone when all are in." if count else "volts and hertz?",
            hint="A voltage typed again replaces its point." if count else HINT,
            needed=not count,
            given=given,
            wrong=lambda text: self._wrong(text, given, typed, view),
        )
        ask = Ask(f"Pass {len(view.passes) + 1}", [question])
        begun = first or ask

        def answered(answers: tuple[str, ...]) -> None:
            if _is_over(answers[0], given):
                self._ask_turns(view, typed, begun)
                return
            more = self._typed(answers[0])
            whole = _joined(typed, more)
            begun.keep((_line(whole),))
            if (not count and len(more.points) > 1) or len(whole.points) >= MOST_POINTS:
                self._ask_turns(view, whole, begun)
            else:
                self._ask_points(view, whole, begun)

        def given_up(last: Ask) -> None:
            if first is not None:
                first.keep((", ".join(filter(None, (_line(typed), last.typed[0]))),))
                last.forget()
                last.kept = first.kept
            self._given_up(last)

        self._writable()
        self.put(ask, answered, given_up)

    def _typed(self, text: str) -> Typed:
        """What a line says; recordings in it are measured once."""
        if self._understood[0] != text:
            self._understood = text, read_typed(text, Path.cwd())
        return self._understood[1]

    def _wrong(self, text: str, given: str, typed: Typed, view: TrackingView) -> str:
        """What is wrong with the points in a line, or with the pass when the line ends it."""
        try:
            over = _is_over(text, given)
            points = typed.points if over else _joined(typed, self._typed(text)).points
            if over or (not typed.points and len(points) > 1) or len(points) >= MOST_POINTS:
                check_pass(points, linear=view.linear)
        except SoldersideError as error:
            return trouble(error)
        return ""

    def _ask_turns(self, view: TrackingView, typed: Typed, first: Ask) -> None:
        """Ask what was turned since the last pass, trimmer by trimmer; the first pass has none before it."""
        if not view.passes:
            self._keep(view, typed, (), first)
            return
        questions = [turn_question(known, view) for known in view.trimmers]

        def answered(answers: tuple[str, ...]) -> None:
            turns = zip(view.trimmers, map(read_turns, answers), strict=True)
            turned = [(known.trimmer.name, turned) for known, turned in turns if turned]
            self._keep(view, typed, turned, first)

        self._ask("Turned since the last pass", questions, answered)

    def _keep(self, view: TrackingView, typed: Typed, turned: Sequence[tuple[str, float]], first: Ask) -> None:
        """Record the pass; raises SoldersideError."""
        pairs = tuple((point.volts, point.hertz) for point in typed.points)
        self.build.tracking_pass(view.trim.name, pairs, tuple(turned))
        first.forget()
        self.paint(kept(typed))


def _line(typed: Typed) -> str:
    """Points as one line to type."""
    return ", ".join(f"{point.volts:g} {point.hertz!r}" for point in typed.points)


def _joined(typed: Typed, more: Typed) -> Typed:
    """Points typed so far and now; one at a voltage that is there already takes its place."""
    volts = {point.volts for point in more.points}
    kept = tuple(point for point in typed.points if point.volts not in volts)
    return Typed(points=kept + more.points, remarks=typed.remarks + more.remarks)


def _next_volts(view: TrackingView, typed: Typed) -> float:
    """The first voltage of the last pass that is not typed yet, else one volt up."""
    done = {point.volts for point in typed.points}
    before = [point.volts for point in view.passes[-1].points] if view.passes else []
    return next((volts for volts in before if volts not in done), typed.points[-1].volts + 1.0)


def _is_over(text: str, given: str) -> bool:
    """Whether a line ends the pass: empty, or the proposed voltage left as it stood."""
    return not text.strip() or (bool(given) and text.strip() == given.strip())

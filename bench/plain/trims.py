"""Adjustments in plain lines: passes or readings, what they say, and what to turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.errors import SoldersideError
from bench.plain.place import Desk, Rows
from bench.plain.spoken import trim_lines
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.trimming import TrackingView
from bench.ui.text import clean
from bench.ui.trim_forms import look_at, pass_form, trim_form


class Trims(Rows):
    """One line for each adjustment of the kit."""

    place = "trim"

    def __init__(self, desk: Desk, build: Build, step: Step | None) -> None:
        super().__init__(desk, build)
        self._trims = build.kit.trims
        names = [trim.name for trim in self._trims]
        if step is not None and step.action == "adjust" and step.value in names:
            self.chosen = names.index(step.value)
        else:
            undone = (at for at in range(len(names)) if not self._is_done(at))
            self.chosen = next(undone, 0)

    def _step_of(self, at: int) -> Step | None:
        steps = (step for step in self.build.outline.steps if step.action == "adjust")
        return next((step for step in steps if step.value == self._trims[at].name), None)

    def _is_done(self, at: int) -> bool:
        step = self._step_of(at)
        return step is None or self.build.progress.done.issuperset(step.items)

    def rows(self) -> Sequence[str]:
        """Each adjustment, its target, and whether its step is done."""
        return [
            clean(
                f"{trim.name}, target {trim.target or 'by eye and ear'}: "
                f"{'done' if self._is_done(at) else 'to do'}",
                400,
            )
            for at, trim in enumerate(self._trims)
        ]

    def in_full(self, at: int) -> Iterator[str]:
        """The last pass or reading, and what to turn next."""
        yield self.rows()[at]
        yield from trim_lines(look_at(self.build, self._trims[at]))
        if not self._is_done(at):
            pass_key, done_key = self.keymap.key_of("take_pass"), self.keymap.key_of("trim_done")
            yield f"{pass_key} types a pass or a reading, {done_key} when it is right"

    def do_take_pass(self) -> None:
        """Type a pass (volts, hertz, what was turned) or a reading."""
        trim, step = self._trims[self.chosen], self._step_of(self.chosen)
        view = look_at(self.build, trim)
        self.situation().require_writable()
        if isinstance(view, TrackingView):
            self.ask_form(pass_form(self.build, trim, view))
        elif step is None:
            raise SoldersideError("no step of the plan covers this trim", "", "write the reading as a note")
        else:
            self.ask_form(trim_form(self.build, trim, step))
        self.tell()

    def do_trim_done(self) -> None:
        """The step of this adjustment is done; asked about when the last figures say otherwise."""
        self.situation().require_writable()
        step = self.build.next_step
        if step is None or step != self._step_of(self.chosen):
            raise SoldersideError("this trim is not the current step", "", "finish the steps before it first")
        view = look_at(self.build, self._trims[self.chosen])
        measured = (
            view.passes if isinstance(view, TrackingView) else [r for r in view.readings[-1:] if r.answer]
        )
        if not view.done and measured:
            choices = (("y", "done all the same"), ("n", "not yet"))
            if self._talk.choose(clean(f"{view.headline} Done all the same?", 300), choices) == "n":
                return
        self.build.done()
        self.left = True

    def do_previous_trim(self) -> None:
        """The adjustment before this one."""
        self.step_on(-1)

    def do_next_trim(self) -> None:
        """The adjustment after this one."""
        self.step_on()

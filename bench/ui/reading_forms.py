"""What is asked about readings, and what is said of them; for the screen and plain lines."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from bench.errors import SoldersideError
from bench.ui.blocks import GLYPHS
from bench.ui.commands import Keymap
from bench.ui.forms import Form, Question, trouble
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.measure.identify.ahead import PartVerdict
    from bench.measure.verdict.verdict import Verdict
    from bench.plan.plan import Step
    from bench.session.build import Build


def reading_question(ask: str, hint: str, check: Callable[[str], object]) -> Question:
    """A reading to type; it stays open while `check` raises, and offers what may be meant where it can."""

    def wrong(text: str) -> str:
        try:
            check(text)
        except SoldersideError as error:
            return trouble(error)
        return ""

    def meanings(text: str) -> tuple[tuple[str, str], ...]:
        from bench.measure.verdict.meter_input import ReadingDoubt

        try:
            check(text)
        except ReadingDoubt as doubt:
            return tuple((each.key, each.text) for each in doubt.meanings)
        except SoldersideError:
            pass
        return ()

    return Question(ask=ask, hint=hint, wrong=wrong, meanings=meanings, replaced=True)


def meter_question(build: Build, step: Step) -> Question:
    """What the meter shows at a step."""
    hint = f"Expect {clean(step.expect, 60)}." if step.expect else "Such as 4k69, -11.98, OL."
    return reading_question("what does the meter show?", hint, lambda text: build.verdict_at(step, text))


def reading_form(build: Build, keymap: Keymap) -> Form:
    """A value measured at the step at work; one within its limits settles the check. Raises SoldersideError."""
    step, asked = build.next_step, build.view().wants_reading
    if step is None:
        raise SoldersideError("there is no step left to measure at", "", "")

    def record(answers: tuple[str, ...]) -> str:
        verdict = build.reading(answers[0])
        if verdict is not None and verdict.answer == "in" and asked:
            build.done()
        return reading_words(verdict, answers[0], keymap)

    title = f"Reading at {clean(step.value, 60)}"
    return Form(title=title, questions=(meter_question(build, step),), record=record)


def reading_words(verdict: Verdict | PartVerdict | None, text: str, keymap: Keymap) -> str:
    """What to say of a reading that was recorded."""
    from bench.measure.verdict.verdict import Verdict

    if verdict is None:
        return f"Reading kept: {clean(text, 40)}"
    if isinstance(verdict, Verdict):
        return verdict_words(verdict, keymap)
    return clean(f"{GLYPHS[verdict.answer]}: {verdict.words}" if verdict.answer else f"? {verdict.words}", 600)


def verdict_words(verdict: Verdict, keymap: Keymap) -> str:
    """A verdict as the builder needs it: the answer first, then why, then what to do."""
    words = [f"{GLYPHS[verdict.answer]}: {verdict.words}."]
    words += [f"{note[:1].upper()}{note[1:]}." for note in verdict.notes]
    if verdict.answer == "too close to call":
        words.append(f"{verdict.guard_words[:1].upper()}{verdict.guard_words[1:]}.")
        words.append(f"{keymap.key_of('reading')} measures again, {keymap.key_of('pass_hold')} accepts it.")
    if verdict.answer == "out":
        words.append(
            f"{keymap.key_of('reading')} measures again, {keymap.key_of('fault')} looks for the fault, "
            f"{keymap.key_of('pass_hold')} overrides it with a reason."
        )
    return " ".join(words)


class CloseCall:
    """At a hold point whose reading is too close to call: one key takes it, or says how exact the meter is."""

    def __init__(self, build: Build, data: Path | None, keymap: Keymap) -> None:
        self._build, self._data, self._keymap = build, data, keymap
        reading = build.view().readings[-1]
        self.ask = (
            f"{clean(reading.text, 40)}, expect {clean(reading.expect, 60)}: too close to call for "
            f"{'your meter' if build.meter else 'a modest meter'}."
        )
        self.choices = [("y", "accept it as too close to call"), ("r", "measure again")]
        if not build.meter and data is not None:
            from bench.measure.verdict.meter import CLASSES, class_words

            if not build.told_of_meter:  # once is enough
                self.ask += " How exact is yours? It is kept as [meter] in settings.toml."
            build.told_of_meter = True
            self.choices += [(str(n), class_words(each)) for n, each in enumerate(CLASSES, 1)]

    def settle(self, key: str) -> str:
        """Do what was chosen, but for measuring again, and return a word for it; raises SoldersideError."""
        if key == "y":
            self._build.accept_close()
            self._build.done()
            return "Accepted as too close to call; the log says so."
        from bench.measure.verdict.meter import CLASSES
        from bench.settings import keep_meter

        assert self._data is not None
        meter = keep_meter(self._data, list(CLASSES)[int(key) - 1])
        verdict = self._build.judge_again(meter)
        if verdict is not None and verdict.answer == "in":
            self._build.done()
        return reading_words(verdict, self._build.progress.readings[-1].text, self._keymap)

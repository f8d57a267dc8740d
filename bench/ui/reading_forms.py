"""What is asked about readings, and what is said of them; for the screen and plain lines."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from bench.errors import SoldersideError
from bench.log.events import ReadingTaken
from bench.parts.designators import shorten
from bench.ui.card_blocks import GLYPHS
from bench.ui.commands import Keymap
from bench.ui.forms import Choice, Question, Situation, trouble
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.measure.identify.ahead import PartVerdict
    from bench.measure.verdict.verdict import Verdict
    from bench.plan.bag import BagLine
    from bench.plan.plan import Step
    from bench.session.build import Build


def reading_question(ask: str, hint: str, check: Callable[[str], object], expect: str = "") -> Question:
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

    return Question(ask=ask, hint=hint, wrong=wrong, meanings=meanings, large=(expect, "expect"))


def meter_question(build: Build, step: Step) -> Question:
    """What the meter shows at a step."""
    expect = clean(step.expect, 60)
    hint = f"Expect {expect}." if expect else "Such as 4k69, -11.98, OL."
    return reading_question(
        "what does the meter show?", hint, lambda text: build.verdict_at(step, text), expect
    )


def bag_question(build: Build, line: BagLine) -> Question:
    """What the meter shows for a part in the bag."""
    ask = f"what does the meter show for {clean(line.value, 40)}?"
    return reading_question(ask, "Such as 4k69.", lambda text: _ahead(build, line, text))


def identify_question(build: Build) -> Question:
    """Bands, a marking or a reading, to be found in this kit."""
    from bench.measure.identify.match_kit import identify

    hint = "Such as: brown black orange gold, 104J, 4k69, 0.62 V."
    return reading_question("bands, marking or reading?", hint, lambda text: identify(text, build.kit))


def judged(at: Situation, text: str, step: Step | None = None) -> str:
    """Record a reading at a step, or at the one at work, where one within its limits settles the check."""
    if step is not None:
        return reading_words(at.build.reading_at(step, text), text, at.keymap)
    if ahead := _measures_ahead(at.build):
        found = _sorts_of(at, text)
        if len(found) == 1:
            return f"{_named(found[0])}: {judged_ahead(at.build, found[0], text)}"
    asked, here = at.build.view().wants_reading, at.build.next_step
    verdict = at.build.reading(text)
    if verdict is not None and verdict.answer == "in" and asked:
        at.build.done()
    if verdict is None and here is not None:
        from bench.session.adjusting import trim_judged

        judged = trim_judged(at.build.kit, here, text, at.build.equipment.meter)
        if judged is not None and judged.words:
            return f"{GLYPHS[judged.answer]}: {clean(judged.words, 300)}."
    said = reading_words(verdict, text, at.keymap)
    if ahead and not found:
        bag, measure = at.keymap.key_of("bag"), at.keymap.key_of("measure")
        said += f". It fits no part of this kit: {bag}, then {measure} on a line, says what it should be."
    return said


def _measures_ahead(build: Build) -> bool:
    """Whether the task at work is one at which parts are measured before they go in."""
    view = build.view()
    steps = (view.step, *view.at_once) if view.step is not None else ()
    return any(_AHEAD.search(each.value) for each in steps)


def _named(line: BagLine) -> str:
    return clean(f"{line.value} {shorten(line.refs)}".strip(), 80)


def _sorts_of(at: Situation, text: str) -> tuple[BagLine, ...]:
    """The sorts of parts of the kit that a reading fits."""
    from bench.measure.identify.match_kit import identify
    from bench.plan.bag import bag_lines
    from bench.session.verdicts import meter_of

    try:
        found = identify(text, at.build.kit, meter_of(at.build.equipment.meter)).candidates
    except SoldersideError:
        return ()
    refs = {ref for each in found for ref in each.refs}
    return tuple(
        line
        for line in bag_lines(at.build.kit)
        if any((board, ref) in refs for board, names in line.places for ref in names)
    )


_AHEAD = re.compile(r"^(?:measure|test) the\b", re.IGNORECASE)
"""Tasks at which parts are measured on the table."""


def which_part(at: Situation) -> Choice | None:
    """Of which sort a part was that was just measured before it goes in, where its reading fits several."""
    reading = at.build.events[-1]
    if not (isinstance(reading, ReadingTaken) and _measures_ahead(at.build)):
        return None
    if len(found := _sorts_of(at, reading.text)) < 2:
        return None
    text = reading.text
    return Choice(
        ask=f"{clean(text, 40)} fits several values. Which was it?",
        choices=tuple((str(number), _named(line)) for number, line in enumerate(found[:9], 1)),
        settle=lambda key: judged_ahead(at.build, found[int(key) - 1], text),
    )


def odd_words(at: Situation) -> str:
    """What is said once before a step is done although its reading speaks against it; empty where none does."""
    word = at.build.odd_reading()
    if not word:
        return ""
    keys = f"{at.keymap.key_of('done')} again: done all the same. {at.keymap.key_of('reading')}: measure again."
    return f"{clean(word, 200)} {keys} {at.keymap.key_of('snag')}: a snag."


def judged_ahead(build: Build, line: BagLine, text: str) -> str:
    """Record a reading of a part in the bag."""
    from bench.measure.identify.ahead import reads_wrong

    said = _ahead(build, line, text)
    build.measured(line, text, said)
    return f"✗ {said}" if reads_wrong(said) else said


def _ahead(build: Build, line: BagLine, text: str) -> str:
    from bench.measure.identify.ahead import what_it_says
    from bench.session.verdicts import meter_of

    return what_it_says(build.kit, line, text, meter_of(build.equipment.meter))


def reading_words(verdict: Verdict | PartVerdict | None, text: str, keymap: Keymap) -> str:
    """What to say of a reading that was recorded."""
    from bench.measure.verdict.verdict import Verdict

    if verdict is None:
        return f"Reading recorded: {clean(text, 40)}"
    if isinstance(verdict, Verdict):
        return verdict_words(verdict, keymap)
    return clean(f"{GLYPHS[verdict.answer]}: {verdict.words}" if verdict.answer else f"? {verdict.words}", 600)


def verdict_words(verdict: Verdict, keymap: Keymap) -> str:
    """A verdict as the builder needs it: the answer first, then why, then what to do."""
    words = [f"{GLYPHS[verdict.answer]}: {verdict.words}."]
    words += [f"{note[:1].upper()}{note[1:]}." for note in verdict.notes]
    if verdict.answer == "too close to call":
        words.append(f"{verdict.guard_words[:1].upper()}{verdict.guard_words[1:]}.")
        words.append(f"{keymap.key_of('reading')} measures again, {keymap.key_of('override')} accepts it.")
    if verdict.answer == "out":
        words.append(
            f"{keymap.key_of('reading')} measures again, {keymap.key_of('fault')} looks for the fault, "
            f"{keymap.key_of('override')} overrides it with a reason."
        )
    return " ".join(words)


def close_call(at: Situation) -> Choice | None:
    """At a hold point whose reading is too close to call: take it, or say how exact the meter is."""
    build, data, view = at.build, at.data, at.build.view()
    if not view.too_close or build.log.read_only or build.progress.on_break:
        return None
    reading = view.readings[-1]
    ask = (
        f"{clean(reading.text, 40)}, expect {clean(reading.expect, 60)}: too close to call for "
        f"{'your meter' if build.equipment.meter else 'a modest meter'}."
    )
    choices = [("y", "accept it as too close to call"), ("r", "measure again")]
    if not build.equipment.meter and data is not None:
        from bench.measure.verdict.meter import CLASSES, class_words

        if not build.equipment.told_of_meter:  # once is enough
            ask += " How exact is yours? It is kept as [meter] in settings.toml."
        build.equipment.told_of_meter = True
        choices += [(str(n), class_words(each)) for n, each in enumerate(CLASSES, 1)]

    def settle(key: str) -> str:
        if key == "y":
            build.accept_close()
            build.done()
            return "Accepted as too close to call; the log says so."
        from bench.measure.verdict.meter import CLASSES
        from bench.settings import keep_meter

        assert data is not None
        verdict = build.judge_again(keep_meter(data, list(CLASSES)[int(key) - 1]))
        if verdict is not None and verdict.answer == "in":
            build.done()
        return reading_words(verdict, build.progress.readings[-1].text, at.keymap)

    return Choice(
        ask=ask,
        large=clean(reading.text, 40),
        choices=tuple(choices),
        settle=settle,
        usual="r",
        leads={"r": "reading"},
        then=lambda: close_call(at),
    )

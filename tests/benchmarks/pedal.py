"""Whole builds with one pedal, and in plain lines: how many keys they take beside those that place parts.

An extra key is a press that confirms a task or a check without a reading, scrolls a card, or answers.
Not among them: readings with the keys that open them, adjustments, and the numbers of joints that are typed.
A hidden line is one of which way round, what hurts or the kit's author that stood on no screen before its step
was done.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct
from textual.pilot import Pilot

from bench.plan.cautions import ALWAYS
from bench.session.build import Build
from bench.session.folders import build_folders, open_build, read_back
from bench.session.verdicts import expects_a_number
from bench.session.view import StepView
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask, Choose
from bench.tui.screens.danger import DangerScreen
from bench.tui.screens.work import WorkScreen
from tests.benchmarks import Figure
from tests.support.at_bench import KITS
from tests.support.line_builder import LineBuilder, reading_for
from tests.support.samples import HandClock
from tests.support.screens import headless, screen_text

BUILT = ("first-evening-metronome", "fog-filter", "twin-board-oscillator")
SIZES = ((120, 40), (80, 24), (40, 12))
GOAL = 25
"""Extra keys for 100 parts."""
_MOST = 2000
_WORD = re.compile(r"\w+")


class Tally(Struct, kw_only=True):
    """What one build took."""

    parts: int
    keys: int = 0
    confirmed: int = 0
    """Tasks and checks that one key ticked."""
    scrolled: int = 0
    questions: int = 0
    readings: int = 0
    hidden: list[str] = []

    @property
    def extra(self) -> int:
        """Keys that place no part and measure nothing."""
        return self.confirmed + self.scrolled + self.questions

    def a_hundred(self, count: int) -> float:
        """For 100 parts."""
        return 100 * count / self.parts


def must_be_seen(view: StepView) -> tuple[str, ...]:
    """The lines of a step that are not to be passed unseen."""
    return (*view.ways, *(each.say for each in view.cautions if each.sort in ALWAYS), *view.substitutes)


def unseen(lines: tuple[str, ...], seen: str) -> list[str]:
    """The lines of which a word is missing on what was seen."""
    words = set(_WORD.findall(seen.casefold()))
    return [line for line in lines if not set(_WORD.findall(line.casefold())) <= words]


class _Pedal:
    """One build on screen, by somebody who presses Space unless something has to be typed."""

    def __init__(self, build: Build, app: BenchApp, pilot: Pilot[None]) -> None:
        self.build, self.app, self.pilot = build, app, pilot
        self.tally = Tally(parts=build.plan.count.total)
        self.seen = ""
        self.wanted: tuple[str, ...] = ()

    async def press(self, *keys: str) -> None:
        self.tally.keys += len(keys)
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def run(self) -> Tally:
        while self.tally.keys < _MOST:
            screen = self.app.screen
            if isinstance(screen, DangerScreen):
                await self.press(*"a rule", "enter", *"off and measured", "enter")
                self.tally.questions += 1
            elif isinstance(screen, Ask):
                await self._answer(screen)
            elif isinstance(screen, Choose):
                self.tally.questions += 1
                await self.press("y" if "too close" in screen_text(self.app) else "space")
                if self.app.screen is screen:
                    await self.press("escape")
            elif self.build.view().step is None:
                return self.tally
            else:
                await self._step()
        raise AssertionError(f"{self.build.name} has no end:\n{screen_text(self.app)}")

    async def _answer(self, ask: Ask) -> None:
        if ask.title_asked.startswith("Reading"):
            self.tally.readings += 1
            step = self.build.next_step
            number, _, unit = reading_for(step.expect if step else "").partition(" ")
            await self.press(*f"{float(number):.3f} {unit}", "enter")  # every digit that the meter shows
            return
        assert ask.title_asked == "Joints", ask.title_asked
        self.tally.questions += 1
        await self.press(*str(self.build.joints_waiting), "enter")

    async def _step(self) -> None:
        screen = self.app.screen
        assert isinstance(screen, WorkScreen)
        card, view = screen._card, self.build.view()
        step = view.step
        assert step is not None
        rows = card.rows[card.top : card.top + card.size.height]
        self.seen += " ".join("".join(text for text, _ in row) for row in rows) + " "
        self.wanted = must_be_seen(view)
        before, top = self.build.current, card.top
        await self.press("space")
        if self.build.current == before and isinstance(self.app.screen, WorkScreen):
            self.tally.scrolled += card.top != top
            self.tally.questions += card.top == top and step.action != "adjust"  # a word first
            return
        if not (step.kind or step.action == "adjust" or expects_a_number(step.expect)):
            self.tally.confirmed += 1
        if self.build.current != before:
            self.tally.hidden += [f"{step.value}: {line}" for line in unseen(self.wanted, self.seen)]
            self.seen = ""


def on_screen(kit: str, size: tuple[int, int]) -> Tally:
    """A kit built with a pedal in a terminal of this size."""
    with tempfile.TemporaryDirectory() as folder:
        build = open_build(Path(folder), str(KITS / f"{kit}.yaml"), Settings(), HandClock())

        async def go() -> Tally:
            app = BenchApp(Path(folder), Settings(repeat_milliseconds=0), build.clock, build)
            async with headless(app, size) as pilot:
                return await _Pedal(build, app, pilot).run()

        return asyncio.run(go())


class _Lines(LineBuilder):
    """Somebody who builds in plain lines, and what was said of each step."""

    def __init__(self, data: Path, kit: str) -> None:
        super().__init__(data, "build", kit)
        self.said: list[str] = []

    def hear(self) -> tuple[str, str]:
        text, prompt = super().hear()
        self.said.append(text)
        return text, prompt


def in_lines(kit: str) -> Tally:
    """A kit built in plain lines; an answer counts as one key."""
    with tempfile.TemporaryDirectory() as folder:
        builder = _Lines(Path(folder), kit)
        builder.build()
        builder.close()
        _, _, build = read_back(Path(folder), next(iter(build_folders(Path(folder)))), Settings())
        heard = " ".join(builder.said)
        tally = Tally(parts=build.plan.count.total, keys=len(builder.answers))
        asked = [said for said, answer in zip(builder.said, builder.answers, strict=False) if answer != "done"]
        tally.readings = sum("meter show" in said for said in asked)
        tally.questions = len(asked) - tally.readings
        by_key = sum(step.kind != "" or step.action == "adjust" for step in build.plan.steps)
        opened = sum("This check waits" in said for said in builder.said)
        tally.confirmed = builder.answers.count("done") - by_key - tally.readings + opened
        lines = {line for at in range(len(build.plan.steps)) for line in must_be_seen(build.view(at))}
        tally.hidden = unseen(tuple(lines), heard)
        return tally


def run(seed: int, quick: bool = False) -> Iterator[Figure]:
    """Extra keys and hidden lines of each kit in each size and in plain lines; `seed` changes nothing."""
    for kit in BUILT[:1] if quick else BUILT:
        for name, tally in (
            *((f"{x}x{y}", on_screen(kit, (x, y))) for x, y in SIZES),
            ("plain lines", in_lines(kit)),
        ):
            extra = tally.a_hundred(tally.extra)
            detail = (
                f"{tally.a_hundred(tally.keys):.0f} keys, "
                f"{tally.a_hundred(tally.confirmed):.0f} tasks and checks, "
                f"{tally.a_hundred(tally.questions):.0f} questions, "
                f"{tally.a_hundred(tally.scrolled):.0f} scrolled, "
                f"{tally.a_hundred(tally.readings):.0f} readings"
            )
            yield Figure(
                what=f"{kit}, {name}: extra keys for 100 parts",
                value=extra,
                goal=f"<= {GOAL}",
                met=extra <= GOAL,
                detail=detail,
            )
            yield Figure(
                what=f"{kit}, {name}: hidden lines",
                value=len(tally.hidden),
                goal="0",
                met=not tally.hidden,
                detail="; ".join(tally.hidden)[:300],
            )

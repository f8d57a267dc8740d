"""What can kill, before power goes to it; never passed with one key."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Input, Static

from bench.tui.screens.ask import Ask, Question
from bench.tui.screens.pages import TextPane

KILLS: dict[str, tuple[str, ...]] = {
    "mains": (
        "MAINS CAN KILL. Everything up to the fuse and the transformer is live as soon as the plug is in.",
        "Plug out, and seen to be out, before a hand goes in. Covers on before it goes in again.",
        "Protective earth first, tested with a meter. The right fuse. A residual-current device ahead of it.",
    ),
    "high voltage": (
        "HIGH VOLTAGE CAN KILL, and it stays when the switch is off: capacitors keep it for minutes or days.",
        "Discharge through a resistor made for it, then measure until nothing is left. Every time.",
        "One hand in a pocket while anything is charged. No rings, no watch. Not alone in the house.",
    ),
}
"""What to read for each deadly hazard of a kit; common practice, no source."""

WORDS = "off and measured"
"""What has to be typed."""


def _the_words(text: str) -> str:
    return "" if text.strip().casefold() == WORDS else f"type the three words: {WORDS}"


class Danger(Ask):
    """A screen of its own: what can kill, who answers for it, and three words that take time to type."""

    def __init__(self, hazards: tuple[str, ...]) -> None:
        super().__init__(
            "Before power",
            [
                Question(
                    ask="who answers for this? A licensed person, or the local rule you work by.",
                    hint="A name or a rule; it stands in the log and in the retrospective.",
                ),
                Question(ask=f"type: {WORDS}", wrong=_the_words),
            ],
        )
        self._spans: list[tuple[str, str]] = []
        for hazard in hazards:
            self._spans += [(line, "caution") for line in KILLS[hazard]]
        self._spans.append(
            ("Local rules and licensed practice come first. If you are not trained for this: stop here and ask "
             "somebody who is.", "loud"),
        )  # fmt: skip

    def compose(self) -> ComposeResult:
        """What can kill over the question."""
        yield TextPane(self._spans)
        with Vertical(id="ask"):
            yield Static(id="ask-title")
            yield Input(id="ask-line")
            yield Static(id="ask-hint")

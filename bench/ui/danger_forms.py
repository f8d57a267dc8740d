"""What can kill, and what is asked before power goes to it; common practice, no source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench.ui.forms import FormLine, Question, Situation

if TYPE_CHECKING:
    from bench.kit.kit import Kit

KILLS: dict[str, tuple[str, ...]] = {
    "mains": (
        "MAINS CAN KILL. It is live as soon as it is plugged in, whatever the switch and the fuse do.",
        "Unplug it, with the plug in sight, before you reach in. Covers on before you plug it in again.",
        "Protective earth first, tested with a meter. The right fuse. A residual-current device upstream.",
    ),
    "non-isolated supply": (
        "NOT ISOLATED: all of it is live, 0 V and the low rails too, as soon as the plug is in.",
        "Covers on before it is plugged in. Connect nothing earthed to it: no oscilloscope, no computer.",
    ),
    "high voltage": (
        "HIGH VOLTAGE CAN KILL, and it stays when the switch is off: capacitors hold it for minutes or days.",
        "Discharge through a resistor made for it, then measure until it is gone. Every time.",
        "One hand in your pocket while anything is charged. No rings, no watch. Never alone in the house.",
    ),
    "stored charge": (
        "A CHARGED CAPACITOR CAN KILL, even when unplugged and switched off.",
        "Discharge each through a resistor made for it, then measure it, before you reach in. Every time.",
    ),
}
"""What to read for each deadly hazard of a kit; common practice, no source."""


def danger_lines(kit: Kit) -> tuple[str, ...]:
    """What to read before somebody answers for a deadly kit: what kills, and what its file omits."""
    from bench.kit.danger import danger_of

    danger = danger_of(kit)
    said = [line for hazard in danger.kills for line in KILLS[hazard]]
    return (*said, *((danger.omission,) if danger.omission else ()))


LOCAL_RULES = (
    "Local rules and licensed practice come first. If you are not trained for this: stop here and ask "
    "somebody who is."
)
WORDS = "off and measured"
"""What has to be typed."""


def _owned(at: Situation, _: None, said: tuple[str, ...]) -> str:
    at.build.own_danger(said[0], shown=said[1].strip().casefold() in ("y", "yes"))
    return "Recorded. Now the checks, one by one."


def _a_name(text: str) -> str:
    """A reading or a key typed ahead is nobody's name; two letters are, in any script."""
    return "" if sum(map(str.isalpha, text)) > 1 else "type a name, or the rule you work by"


def _the_words(text: str) -> str:
    return "" if text.strip().casefold() == WORDS else f"type the three words: {WORDS}"


DANGER = FormLine[None](
    command="done",
    about=lambda _: None,
    title="Before power",
    questions=(
        Question(
            ask="who answers for this? A licensed person, or the local rule you work by.",
            hint="A name or a rule; it is kept in the log.",
            wrong=_a_name,
        ),
        Question(ask="show that in the article, for anyone to read?", hint="y, or empty for no.", needed=False),
        Question(ask=f"type: {WORDS}", wrong=_the_words),
    ),
    record=_owned,
    given_up="Nobody has taken responsibility: the hold point stays closed.",
    warning=lambda at: (LOCAL_RULES, *danger_lines(at.build.kit)),
)
"""Asked in place of `done` before power: who answers for it, and three words that take time to type."""

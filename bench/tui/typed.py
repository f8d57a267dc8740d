"""What the terminal says of a key: what came in one write with it, and whether it is held down."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from textual import events
from textual.message import Message

PASTE_KEYS = 7
"""So many keys in one write were pasted: no hand types them."""


class Burst(Struct, frozen=True):
    """The keys of one write."""

    keys: int = 1
    many_lines: bool = False
    """True when text follows a line end in it."""

    @property
    def is_paste(self) -> bool:
        """True for more keys than a hand gets into one write, even over a slow line."""
        return self.keys >= PASTE_KEYS


ALONE = Burst()
PRESSED, REPEATED, UNTOLD = "pressed", "repeated", ""
"""Kind of keystroke; `UNTOLD` where the terminal does not report repeats, as most do not."""
_BURST, _STROKE = "_burst", "_stroke"


def mark_burst(messages: Iterable[Message]) -> None:
    """Tell each key among what one write brought how many there were."""
    keys = [each for each in messages if isinstance(each, events.Key)]
    if len(keys) < 2:
        return
    text = "".join("\n" if each.key in ("enter", "ctrl+j") else each.character or "" for each in keys)
    burst = Burst(keys=len(keys), many_lines=len(keys) >= PASTE_KEYS and "\n" in text.rstrip("\n"))
    for each in keys:
        setattr(each, _BURST, burst)


def burst_of(event: events.Key) -> Burst:
    """What came with a key."""
    found = getattr(event, _BURST, ALONE)
    return found if isinstance(found, Burst) else ALONE


def mark_stroke(messages: Iterable[Message], stroke: str) -> None:
    """Tell each key among them whether it was pressed or repeats because it is held down."""
    for each in messages:
        if isinstance(each, events.Key):
            setattr(each, _STROKE, stroke)


def stroke_of(event: events.Key) -> str:
    """`PRESSED`, `REPEATED`, or `UNTOLD`."""
    return str(getattr(event, _STROKE, UNTOLD))

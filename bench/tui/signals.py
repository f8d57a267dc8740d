"""Short signals for the ear: the terminal's bell, so many times; nothing unless the builder wants it.

A signal only repeats what the screen says. It is off by default: the microphone of the camera may be open.
"""

from __future__ import annotations

from collections.abc import Callable

PATTERNS = {"done": 1, "out of tolerance": 2, "wait over": 3, "clap": 4}
"""What a signal says -> how many times the bell rings."""
APART_SECONDS = 0.18
"""Between two rings of one signal."""


class Signals:
    """Rings the bell when it is wanted; `later` calls a function after so many seconds."""

    def __init__(
        self, wanted: bool, ring: Callable[[], None], later: Callable[[float, Callable[[], None]], object]
    ) -> None:
        self._wanted, self._ring, self._later = wanted, ring, later

    def give(self, what: str) -> None:
        """Give one signal of `PATTERNS`."""
        if not self._wanted:
            return
        self._ring()
        for number in range(1, PATTERNS[what]):
            self._later(number * APART_SECONDS, self._ring)

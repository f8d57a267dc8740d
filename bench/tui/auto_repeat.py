"""Keyboard auto-repeat where the terminal does not report it: recognised and learned from key times."""

from __future__ import annotations

ONE_WRITE = 0.012
"""Seconds; keys closer than this came in one write, for no keyboard repeats as fast."""
HELD_SECONDS = 0.12
"""Seconds; a key held down repeats at least as often, and no finger presses three times as fast."""
FIRST_SECONDS = 1.1
"""Seconds; a key held down begins to repeat sooner than this."""
FINGER = (0.28, 0.36)
"""Seconds between two presses of a quick finger, and between no keyboard's usual first repeats (common delays,
from memory: 225, 250, 375, 400, 500, 600, 660, 750 and 1000 ms)."""
JITTER = 0.06
"""Seconds by which the first repeat of a keyboard whose delay is known comes early or late."""


class AutoRepeat:
    """Watches the keys of one keyboard."""

    def __init__(self) -> None:
        self.delay: float | None = None
        """Seconds from a press to its first repeat, once a key was seen held down."""
        self._key, self._at = "", float("-inf")
        self._first = 0.0
        self._fast = 0

    def heard(self, key: str, at: float) -> bool:
        """Take note of a key; True when it has just become certain that it is held down.

        >>> watch = AutoRepeat()
        >>> [watch.heard("space", at) for at in (0.0, 0.4, 0.433, 0.466, 0.499)], watch.delay
        ([False, False, False, True, False], 0.4)
        """
        gap = at - self._at if key == self._key else float("inf")
        self._key, self._at = key, at
        if ONE_WRITE < gap < HELD_SECONDS:
            self._fast += 1
        else:
            self._first, self._fast = gap, 0
        certain = self._fast == 2
        if certain and HELD_SECONDS < self._first < FIRST_SECONDS:
            self.delay = round(self._first, 3)
        return certain

    def may_be_first(self, gap: float) -> bool:
        """Whether a key that comes `gap` seconds after the same one may be its first repeat.

        >>> watch = AutoRepeat()
        >>> watch.may_be_first(0.3), watch.may_be_first(0.5)
        (False, True)
        """
        if self.delay is not None:
            return abs(gap - self.delay) < JITTER
        return not FINGER[0] <= gap <= FINGER[1]

"""Lines of a terminal or a pipe; while nobody types, what has happened meanwhile is said."""

from __future__ import annotations

import os
import select
import sys
from collections.abc import Callable, Iterable

_LONGEST = 100_000
"""Bytes of a line that comes through a pipe; no field takes so many."""
_LOOK = 0.5
"""Seconds between two looks at what has happened while nobody types."""


class LineReader:
    """Reads lines from standard input; `news` is asked for what to say while none comes."""

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self.news: Callable[[], Iterable[str]] = tuple
        self._begun = b""
        """What has come of the lines after the last one."""

    def __call__(self, prompt: str) -> str:
        """The next line without its end; raises EOFError at the end of the input."""
        if sys.stdin is None:
            raise EOFError
        print(prompt, end="", flush=True)
        try:
            number = sys.stdin.fileno()
        except (OSError, ValueError):  # no file of the system: a test's, or closed
            return self._of_python()
        if os.name != "posix":  # its consoles cannot be waited for
            return self._of_python()
        while b"\n" not in self._begun:
            while not select.select([number], [], [], _LOOK)[0]:
                self._tell_news(prompt)
            came = os.read(number, _LONGEST)
            if not came and self._begun:
                came = b"\n"
            if not came or len(self._begun) + len(came) > 2 * _LONGEST:
                raise EOFError
            self._begun += came
        line, _, self._begun = self._begun.partition(b"\n")
        return line.decode(getattr(sys.stdin, "encoding", None) or "utf-8", "replace").rstrip("\r")

    def _of_python(self) -> str:
        line = sys.stdin.readline(_LONGEST)
        if not line or (len(line) == _LONGEST and not line.endswith("\n")):
            raise EOFError
        return line.rstrip("\n")

    def _tell_news(self, prompt: str) -> None:
        said = list(self.news())
        if said:
            print(flush=True)
            for line in said:
                self._say(line)
            print(prompt, end="", flush=True)

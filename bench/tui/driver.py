"""The terminal's input, whatever bytes it brings: Textual's own driver with another way to read.

Written against Textual 8; `tests/test_driver.py` fails where the stock driver has changed. What differs: bytes
that are no UTF-8 become U+FFFD and input lives on, sequences that cannot be read are passed over, keys of one
write know of each other, and a terminal that is gone closes the program.
"""

from __future__ import annotations

import contextlib
import os
import selectors
from codecs import getincrementaldecoder
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TextIO, cast

from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from bench.tui.typed import mark_burst

if TYPE_CHECKING:
    from bench.tui.app import BenchApp

_BLOCK = 65_536


class _Sturdy:
    """A stream that swallows what is written once nobody reads it any more, and says so."""

    def __init__(self, stream: TextIO, lost: Callable[[], object]) -> None:
        self._stream, self._lost, self._gone = stream, lost, False

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)

    def _attempt(self, action: Callable[[], object]) -> None:
        if self._gone:
            return
        try:
            action()
        except (OSError, ValueError):
            self._gone = True
            self._lost()

    def write(self, text: str) -> None:
        """Write, or do nothing."""
        self._attempt(lambda: self._stream.write(text))

    def flush(self) -> None:
        """Flush, or do nothing."""
        self._attempt(self._stream.flush)


class BenchDriver(LinuxDriver):
    """Input that survives any bytes; an end of the terminal is noticed."""

    def __init__(self, app: BenchApp, **chosen: Any) -> None:
        super().__init__(app, **chosen)
        self._file = cast("Any", _Sturdy(cast("TextIO", self._file), self._lose))

    def _lose(self) -> None:
        """The terminal is gone, as seen from any thread."""
        with contextlib.suppress(RuntimeError):  # the loop has ended already
            self._loop.call_soon_threadsafe(cast("BenchApp", self._app).close_in_order)

    def run_input_thread(self) -> None:
        """Read the terminal until told to stop."""
        parser = XTermParser(self._debug)
        decode = getincrementaldecoder("utf-8")("replace").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                messages: list[Message] = []
                try:
                    if selector.select(0.1):
                        data = os.read(self.fileno, _BLOCK)
                        if not data:
                            self._lose()
                            return
                        if text := decode(data):  # nothing yet of a character that came in part
                            messages.extend(parser.feed(text))
                    messages.extend(parser.tick())
                except OSError:
                    self._lose()
                    return
                except (ValueError, OverflowError, RuntimeError, StopIteration):
                    parser = XTermParser(self._debug)  # a sequence that broke it is passed over
                mark_burst(messages)
                for message in messages:
                    self.process_message(message)

"""The terminal's input, whatever bytes it brings: Textual's own driver with another way to read.

Written against Textual 8; `tests/tui/test_driver.py` fails where the stock driver has changed. What differs:
bytes that are no UTF-8 become U+FFFD and input lives on, sequences that cannot be read are skipped, keys
of one write know of each other, terminals that can tell are asked which keys repeat, and one that is gone
closes the program.
"""

from __future__ import annotations

import contextlib
import os
import re
import selectors
from codecs import getincrementaldecoder
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, TextIO, cast

from textual import constants
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from bench.tui.typed import PRESSED, REPEATED, UNTOLD, mark_burst, mark_stroke
from bench.ui.ascii_look import in_ascii

if TYPE_CHECKING:
    from bench.tui.app import BenchApp

_BLOCK = 65_536
_ASK_FOR_STROKES = "\x1b[=2;2u"
"""Adds "report event types" to what Textual asks of a terminal: the kitty keyboard protocol, from memory.

Textual undoes it with all the rest; terminals without the protocol pass it over.
"""
_KEEP_TITLE, _TITLE_BACK = "\x1b[22;2t", "\x1b[23;2t"
"""XTWINOPS of xterm's control sequences: the window's title onto the stack, and back."""
_STROKE = re.compile(r"(\x1b\[\d[\d:]*;)(\d*):(\d+)((?:;[\d:]*)?[u~A-S])")
"""A key with its event type, which Textual cannot read: 1 pressed, 2 repeated, 3 let go."""
_BEGUN = re.compile(r"\x1b\[\d[\d:;]*\Z")


class Strokes:
    """Text of the terminal to messages: keys let go are left out, those that repeat are marked."""

    def __init__(self, parser: XTermParser) -> None:
        self._parser = parser
        self._begun = ""
        self._told = UNTOLD
        """`PRESSED` once the terminal has reported key event types."""

    def feed(self, text: str) -> Iterator[Message]:
        """What a text brings; the beginning of a sequence waits for its end."""
        text = self._begun + text
        begun = _BEGUN.search(text)
        self._begun = begun[0] if begun else ""
        text = text[: len(text) - len(self._begun)]
        at = 0
        for found in _STROKE.finditer(text):
            yield from self._parsed(text[at : found.start()], self._told)
            at, self._told = found.end(), PRESSED
            start, held, stroke, end = found.groups()
            if stroke != "3":
                key = f"{start}{'' if held == '1' else held}{end}"
                yield from self._parsed(key, REPEATED if stroke == "2" else PRESSED)
        yield from self._parsed(text[at:], self._told)

    def _parsed(self, text: str, stroke: str) -> Iterator[Message]:
        if text:
            messages = list(self._parser.feed(text))
            mark_stroke(messages, stroke)
            yield from messages

    def tick(self, *, waited: bool) -> Iterator[Message]:
        """What time brings: Escape by itself, and after a wait whatever came only in part."""
        if waited and self._begun:
            begun, self._begun = self._begun, ""
            yield from self._parsed(begun, self._told)
        yield from self._parser.tick()


class _Sturdy:
    """Stream that discards writes once its reader is gone (EPIPE), and reports it."""

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
        self._titled = ""
        """The title that the window was given."""
        self._in_ascii, self._encoding = app.in_ascii, app.encoding

    def _lose(self) -> None:
        """The terminal is gone, as seen from any thread."""
        with contextlib.suppress(RuntimeError):  # the loop has ended already
            self._loop.call_soon_threadsafe(cast("BenchApp", self._app).close_in_order)

    def start_application_mode(self) -> None:
        """As the stock driver's; which keys repeat is asked for too."""
        super().start_application_mode()  # type: ignore[no-untyped-call]
        if not constants.DISABLE_KITTY_KEY:
            self.write(_ASK_FOR_STROKES)
            self.flush()

    def stop_application_mode(self) -> None:
        """As the stock driver's; the window has its title back."""
        if self._titled:
            self.write(_TITLE_BACK)
            self._titled = ""
        super().stop_application_mode()

    def name_window(self, title: str) -> None:
        """Give the window a title of clean text; the one it had is put back at the end."""
        if os.environ.get("TERM") == "linux" or title == self._titled:  # a console has no title
            return
        if not self._titled:
            self.write(_KEEP_TITLE)
        self._titled = title
        self.write(f"\x1b]2;{title}\x07")

    def write(self, data: str) -> None:
        """As the stock driver's; where the terminal knows no more than ASCII, in ASCII."""
        super().write(in_ascii(data, self._encoding) if self._in_ascii else data)

    def run_input_thread(self) -> None:
        """Read the terminal until told to stop."""
        strokes = Strokes(XTermParser(self._debug))
        decode = getincrementaldecoder("utf-8")("replace").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                messages: list[Message] = []
                try:
                    came = selector.select(0.1)
                    if came:
                        data = os.read(self.fileno, _BLOCK)
                        if not data:
                            self._lose()
                            return
                        if text := decode(data):  # nothing yet of a character that came in part
                            messages.extend(strokes.feed(text))
                    messages.extend(strokes.tick(waited=not came))
                except OSError:
                    self._lose()
                    return
                except (ValueError, OverflowError, RuntimeError, StopIteration):
                    strokes = Strokes(XTermParser(self._debug))  # a sequence that broke it is skipped
                mark_burst(messages)
                for message in messages:
                    self.process_message(message)

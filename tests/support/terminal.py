"""A command in a real pseudo-terminal: driven by keys, read as a person would read it, timed, pictured.

The child gets a terminal of a given size that offers synchronised output (mode 2026). Its output goes through
pyte, so a test can ask what is on screen now. Times are taken when bytes are read, before they are emulated; a
change counts as shown when its frame is closed. All times are milliseconds since the start of the command.

    with Terminal([sys.executable, "-m", "bench.cli"], 120, 40) as terminal:
        terminal.wait("Lamp wobbler")
        terminal.send("space")

Needs a system with pseudo-terminals; use of memory and processor is read from Linux's /proc.
"""

from __future__ import annotations

import codecs
import contextlib
import copy
import fcntl
import os
import pty
import re
import select
import signal
import struct
import termios
import time
import warnings
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

import pyte

Seen = str | re.Pattern[str] | Callable[["Terminal"], bool]
"""What to wait for: a text on screen, a pattern found in it, or a question about the terminal."""

KEYS = {
    "enter": "\r", "escape": "\x1b", "space": " ", "backspace": "\x7f", "f1": "\x1bOP",
    "up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D",
    "pageup": "\x1b[5~", "pagedown": "\x1b[6~", "ctrl+p": "\x10",
}  # fmt: skip
"""What a terminal sends for a key with a name; any other text is sent as it is."""

_CONTROL = re.compile(
    r"\x1b\[(?P<csi>[<=>][\d;:]*[ -/]*[@-~]|\?[\d;]*\$?[hlpun]|[\d;]*[cnt])"
    r"|\x1b[\]P_^X][^\x07\x1b]*(?:\x07|\x1b\\)"
)
"""Sequences that pyte would misread or that need an answer."""
_UNFINISHED = re.compile(r"\x1b(?:\[[0-?]*[ -/]*|[\]P_^X][^\x07\x1b]*\x1b?|[()#%])?\Z")
_SYNCHRONISED = 2026
_LEFT_OUT = ("COLUMNS", "LINES", "NO_COLOR", "COLORFGBG", "TERM_PROGRAM", "LC_TERMINAL", "SOLDERSIDE_DATA")


@dataclass(frozen=True, kw_only=True)
class Idle:
    """What a command used while nothing was asked of it, in a second."""

    cpu_milliseconds: float
    wake_ups: float
    bytes_out: float
    megabytes: float
    """Resident memory at the end, not by the second."""


class Screen(pyte.Screen):
    """pyte's screen with an alternate buffer (mode 1049)."""

    _main: tuple[dict[int, Any], Any] | None = None

    def alternate(self, on: bool) -> None:
        """Enter the alternate screen, or leave it and bring the main one back."""
        if on and self._main is None:
            self._main = copy.deepcopy(dict(self.buffer)), copy.copy(self.cursor)
            self.erase_in_display(2)
        elif not on and self._main is not None:
            self.buffer.clear()
            self.buffer.update(self._main[0])
            self.cursor, self._main = self._main[1], None

    def resize(self, lines: int | None = None, columns: int | None = None) -> None:
        """As pyte's, but a shorter screen loses its bottom rows, not its top ones."""
        for row in range(lines or self.lines, self.lines):
            self.buffer.pop(row, None)
        self.lines = min(self.lines, lines or self.lines)
        self.ensure_vbounds()
        super().resize(lines, columns)


class Terminal:
    """A command in a pseudo-terminal of `columns` by `rows`; killed when the context ends."""

    def __init__(
        self,
        command: Sequence[str],
        columns: int = 80,
        rows: int = 24,
        *,
        env: Mapping[str, str] | None = None,
        cwd: Path | None = None,
        timeout: float = 60.0,
    ) -> None:
        self.screen = Screen(columns, rows)
        self.timeout = timeout
        self.output = bytearray()
        self.exit_code: int | None = None
        self._stream = pyte.Stream(self.screen)
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._waiting: deque[tuple[float, bytes]] = deque()
        self._rest, self._modes, self._ended = "", set[int](), False
        environment = {name: text for name, text in os.environ.items() if name not in _LEFT_OUT}
        environment |= {"TERM": "xterm-256color", "COLORTERM": "truecolor"} | dict(env or {})
        self.started = time.perf_counter()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # other threads may live in a test run
            self.pid, self.handle = pty.fork()
        if self.pid == 0:
            try:
                fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
                signal.signal(signal.SIGINT, signal.SIG_DFL)  # a test run in the background ignores it
                os.chdir(cwd or Path.cwd())
                os.execvpe(command[0], list(command), environment)
            finally:
                os._exit(127)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()
        os.close(self.handle)

    # -- reading: stamps first, emulation after -------------------------------------------------
    def now(self) -> float:
        """Milliseconds since the start of the command."""
        return (time.perf_counter() - self.started) * 1000

    def _read(self, seconds: float) -> bool:
        if self._ended or not select.select([self.handle], [], [], max(0.0, seconds))[0]:
            return False
        try:
            data = os.read(self.handle, 65536)
        except OSError:  # the last writer has gone
            data = b""
        if not data:
            self._ended = True
            return False
        self._waiting.append((self.now(), data))
        self.output += data
        return True

    def _states(self, deadline: float) -> Iterator[float]:
        """The present state of the screen, then each one shown after it, by the time of its last bytes."""
        yield self.now()
        while True:
            for _ in range(
                32
            ):  # a frame comes in pieces: emulating the first would delay the stamp of the last
                if not self._read(0.002):
                    break
            if not self._waiting:
                if self._ended or not self._read(deadline - time.perf_counter()):
                    return
                continue
            stamp, data = self._waiting.popleft()
            if len(data) > 1024:
                self._waiting.appendleft((stamp, data[1024:]))
            self._emulate(self._decoder.decode(data[:1024]))
            if _SYNCHRONISED not in self._modes:
                yield stamp

    def _emulate(self, text: str) -> None:
        text = self._rest + text
        unfinished = _UNFINISHED.search(text)
        self._rest = unfinished[0] if unfinished else ""
        text = text[: len(text) - len(self._rest)]
        start = 0
        for match in _CONTROL.finditer(text):
            self._stream.feed(text[start : match.start()])
            start = match.end()
            self._obey(match["csi"] or "", match[0])
        self._stream.feed(text[start:])

    def _obey(self, csi: str, sequence: str) -> None:
        if csi.startswith("?") and csi[-1] in "hl":
            modes = {int(mode) for mode in csi[1:-1].split(";") if mode}
            self._modes = self._modes | modes if csi[-1] == "h" else self._modes - modes
            if 1049 in modes:
                self.screen.alternate(csi[-1] == "h")
            self._stream.feed(sequence)
        elif csi.endswith("$p"):
            known = csi[1:-2] == str(_SYNCHRONISED)
            os.write(self.handle, f"\x1b[?{csi[1:-2]};{2 if known else 0}$y".encode())
        elif csi in ("c", "0c"):
            os.write(self.handle, b"\x1b[?62;22c")
        elif csi == "6n":
            os.write(self.handle, f"\x1b[{self.screen.cursor.y + 1};{self.screen.cursor.x + 1}R".encode())

    # -- looking --------------------------------------------------------------------------------
    @property
    def text(self) -> str:
        """The screen as lines of text, without the blanks at their ends."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def shows(self, what: Seen) -> bool:
        """True when it is on screen now."""
        if callable(what):
            return what(self)
        return what in self.text if isinstance(what, str) else bool(what.search(self.text))

    def wait(self, what: Seen, timeout: float | None = None) -> float:
        """Read until `what` is on screen; the time at which its bytes came. Raises TimeoutError."""
        limit = self.timeout if timeout is None else timeout
        for stamp in self._states(time.perf_counter() + limit):
            if self.shows(what):
                return stamp
        why = "the command has ended" if self._ended else f"not seen in {limit:g} s"
        raise TimeoutError(f"{what!r}: {why}; the screen shows:\n{self.text}")

    def settle(self, seconds: float = 0.1) -> None:
        """Read until nothing has come for so long and the command has nothing to do but wait."""
        deadline = time.perf_counter() + self.timeout
        while (self._read(seconds) or self._wants_to_run()) and time.perf_counter() < deadline:
            pass
        self.read_for(0)

    def read_for(self, seconds: float) -> None:
        """Read for so long, whatever comes, and only then look at it."""
        deadline = time.perf_counter() + seconds
        while (left := deadline - time.perf_counter()) > 0 and not self._ended:
            self._read(left)
        for _ in self._states(0.0):
            pass

    # -- doing ----------------------------------------------------------------------------------
    def send(self, *keys: str) -> float:
        """Press keys (names of `KEYS`, or text to type); the time just before."""
        data = "".join(KEYS.get(key, key) for key in keys).encode()
        stamp = self.now()
        os.write(self.handle, data)
        return stamp

    def press(self, keys: str | Sequence[str], until: Seen) -> float:
        """Press keys and wait; milliseconds until what they brought was shown."""
        if self.shows(until):
            raise ValueError(f"{until!r} is on screen before {keys!r} was pressed")
        sent = self.send(*([keys] if isinstance(keys, str) else keys))
        return self.wait(until) - sent

    def resize(self, columns: int, rows: int) -> None:
        """Give the terminal another size."""
        self.screen.resize(rows, columns)
        fcntl.ioctl(self.handle, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def kill(self) -> int:
        """Kill the command as a power cut would end it, and read what it had still shown."""
        if self.exit_code is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.pid, signal.SIGKILL)
        return self.wait_exit()

    def wait_exit(self) -> int:
        """Read until the command ends; its exit code, negative for the signal that ended it."""
        deadline = time.perf_counter() + self.timeout
        while self.exit_code is None:
            self.read_for(0.01)
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.exit_code = os.waitstatus_to_exitcode(status)
                self.read_for(0.01)
            elif time.perf_counter() > deadline:
                raise TimeoutError(f"the command did not end; the screen shows:\n{self.text}")
            elif self._ended:
                time.sleep(0.005)
        return self.exit_code

    # -- what it costs --------------------------------------------------------------------------
    def memory(self) -> float:
        """Resident memory of the command in megabytes (2^20 bytes)."""
        found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{self.pid}/status").read_text())
        return int(found[1]) / 1024 if found else 0.0

    def _usage(self) -> tuple[float, int]:
        cpu, switches = 0.0, 0
        for task in Path(f"/proc/{self.pid}/task").iterdir():
            cpu += int((task / "schedstat").read_text().split()[0]) / 1e6
            found = re.search(r"\nvoluntary_ctxt_switches:\s+(\d+)", (task / "status").read_text())
            switches += int(found[1]) if found else 0
        return cpu, switches

    def _wants_to_run(self) -> bool:
        """True when a thread of the command runs, or waits for the processor or the disk, as far as told."""
        for task in Path("/proc").glob(f"{self.pid}/task/*/stat"):
            with contextlib.suppress(OSError):
                if task.read_text().rpartition(")")[2].split()[0] in "RD":
                    return True
        return False

    def idle(self, seconds: float) -> Idle:
        """Leave the command alone for so long, and say what it used."""
        (cpu, switches), size, start = self._usage(), len(self.output), time.perf_counter()
        while (left := start + seconds - time.perf_counter()) > 0 and not self._ended:
            self._read(left)
        if self._ended:
            raise ChildProcessError("the command ended while it was idle")
        (cpu_after, switches_after), took = self._usage(), time.perf_counter() - start
        self.read_for(0)
        return Idle(
            cpu_milliseconds=(cpu_after - cpu) / took,
            wake_ups=(switches_after - switches) / took,
            bytes_out=(len(self.output) - size) / took,
            megabytes=self.memory(),
        )

"""A real browser without a window, driven through its DevTools pipe, for tests and pictures of pages.

Chromium's own errands are kept at home: no name but that of a file is ever resolved. What a page asks for, what
it logs and how it lies are asked of the browser itself.
"""

from __future__ import annotations

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars",
    "--host-resolver-rules=MAP * ~NOTFOUND", "--remote-debugging-pipe",
)  # fmt: skip
PATIENCE = 30.0
"""Seconds to wait for an answer."""


@dataclass
class Seen:
    """What a page did while it was open."""

    asked_for: list[str] = field(default_factory=list)
    """Addresses, its own first."""
    logged: list[str] = field(default_factory=list)
    """Errors, warnings and console lines."""


class Browser:
    """One page in one browser."""

    def __init__(self, to_browser: int, from_browser: int) -> None:
        self._to, self._from = to_browser, from_browser
        self._buffer = b""
        self._number = 0
        self._session = ""
        self._events: list[dict[str, Any]] = []

    def attach(self) -> None:
        """Open an empty page and listen to it."""
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Log", "Runtime"):
            self.ask(f"{domain}.enable")

    def ask(self, method: str, **params: Any) -> dict[str, Any]:
        """One command and its result."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._to, json.dumps(message).encode() + b"\0")
        until = time.monotonic() + PATIENCE
        while True:
            told = self._read(until)
            if told.get("id") == self._number:
                assert "error" not in told, told
                result: dict[str, Any] = told["result"]
                return result
            self._events.append(told)

    def _read(self, until: float) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            ready, _, _ = select.select([self._from], [], [], max(0.0, until - time.monotonic()))
            assert ready, "the browser does not answer"
            piece = os.read(self._from, 1 << 16)
            assert piece, "the browser has closed"
            self._buffer += piece
        line, _, self._buffer = self._buffer.partition(b"\0")
        told: dict[str, Any] = json.loads(line)
        return told

    def look(self, width: int, height: int = 900, *, dark: bool = False, phone: bool = False) -> None:
        """A window of this size in CSS pixels, with a preference for light or dark."""
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=2 if phone else 1, mobile=phone,
        )  # fmt: skip
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.ask("Emulation.setEmulatedMedia", features=[scheme])

    def open(self, path: Path) -> Seen:
        """Load a file, wait until it is there and still, and say what it did."""
        self._events.clear()
        self.ask("Page.navigate", url=path.absolute().as_uri())
        until = time.monotonic() + PATIENCE
        while not any(event.get("method") == "Page.loadEventFired" for event in self._events):
            self._events.append(self._read(until))
        self.value("new Promise(done => setTimeout(done, 150))")
        return self.seen()

    def seen(self) -> Seen:
        """What the page has done since it was opened."""
        seen = Seen()
        for event in self._events:
            params = event.get("params", {})
            match event.get("method"):
                case "Network.requestWillBeSent":
                    seen.asked_for.append(params["request"]["url"])
                case "Log.entryAdded":
                    seen.logged.append(params["entry"]["text"])
                case "Runtime.consoleAPICalled" | "Runtime.exceptionThrown":
                    seen.logged.append(json.dumps(params))
        return seen

    def value(self, expression: str) -> Any:
        """What an expression comes to in the page."""
        told = self.ask("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    def picture(self, *, whole: bool = False) -> bytes:
        """A PNG of the window, or of the whole page."""
        return base64.b64decode(self.ask("Page.captureScreenshot", captureBeyondViewport=whole)["data"])

    def paper(self) -> bytes:
        """The page as a PDF on A4."""
        size = {"paperWidth": 8.27, "paperHeight": 11.69}
        return base64.b64decode(self.ask("Page.printToPDF", preferCSSPageSize=True, **size)["data"])


@cache
def chromium() -> str:
    """The browser, or nothing where there is none."""
    named = os.environ.get("SOLDERSIDE_CHROMIUM", "")
    return named or next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), "")


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser with a profile of its own, closed afterwards."""
    read_end, to_browser = os.pipe()
    from_browser, write_end = os.pipe()
    high = [fcntl.fcntl(end, fcntl.F_DUPFD, 20) for end in (read_end, write_end)]

    def as_three_and_four() -> None:
        os.dup2(high[0], 3)
        os.dup2(high[1], 4)

    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        process = subprocess.Popen(
            [chromium(), *FLAGS, f"--user-data-dir={profile}"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            close_fds=False,
            preexec_fn=as_three_and_four,
        )
        for end in (read_end, write_end, *high):
            os.close(end)
        try:
            page = Browser(to_browser, from_browser)
            page.attach()
            yield page
        finally:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            os.close(to_browser)
            os.close(from_browser)

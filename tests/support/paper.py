"""Pages for the printer as a browser prints them: a headless Chromium, and what stands in its PDF."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from pypdf import PdfReader

from bench.plan.stages import make_plan
from bench.writeup.sheets.publish import Job
from tests.support.kit_values import shipped
from tests.support.plans import FLOW, LOW

QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-extensions",
    "--disable-default-apps", "--metrics-recording-only", "--no-default-browser-check", "--hide-scrollbars",
)  # fmt: skip
A4 = (210, 297)
"""mm; ISO 216."""


@cache
def chromium() -> str:
    """The browser, or nothing where there is none."""
    named = os.environ.get("SOLDERSIDE_CHROMIUM", "")
    return named or next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), "")


def run_browser(html: Path, *arguments: str) -> str:
    """Run the browser on a page and return what it said; skips the test where there is no browser."""
    if not chromium():
        pytest.skip("no Chromium here; SOLDERSIDE_CHROMIUM names one")
    with TemporaryDirectory() as profile:
        done = subprocess.run(
            [chromium(), *QUIET, f"--user-data-dir={profile}", *arguments, html.as_uri()],
            capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stderr


class Printed:
    """A page of HTML, printed to PDF by a browser."""

    def __init__(self, html: str, folder: Path) -> None:
        source, pdf, net = folder / "page.html", folder / "page.pdf", folder / "net.json"
        source.write_text(html, encoding="utf-8")
        self.pdf = pdf
        self.said = run_browser(
            source, f"--print-to-pdf={pdf}", f"--log-net-log={net}", "--enable-logging=stderr", "--v=0"
        )
        self.pages = [each.extract_text() for each in PdfReader(pdf).pages]
        self.sizes = [
            tuple(round(float(side) * 25.4 / 72) for side in (each.mediabox.width, each.mediabox.height))
            for each in PdfReader(pdf).pages
        ]
        self.asked_for = sorted(_asked_for(json.loads(net.read_text(encoding="utf-8"))))

    @property
    def console(self) -> list[str]:
        """What the page said on the browser's console."""
        return [line for line in self.said.splitlines() if re.search(r"\bCONSOLE\b", line)]


def _asked_for(log: Any) -> set[str]:
    """Addresses a page asked for, by the browser's net log; what the browser asks by itself is left out."""
    asked = [event["params"] for event in log["events"] if "initiator" in event.get("params", {})]
    urls = {str(each.get("url", "")) for each in asked if each["initiator"] != "not an origin"}
    return {url for url in urls if not url.startswith(("file:", "data:", "about:"))}


def job(kit: Path, procedure: str = "low-to-high") -> Job:
    """A shipped kit under a shipped procedure."""
    found = shipped(kit)
    chosen = FLOW if procedure == "signal-flow" else LOW
    return Job(kit=found, plan=make_plan(found, chosen), procedure=chosen)

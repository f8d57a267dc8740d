"""Pages for the printer as a browser prints them, and what stands in its PDF."""

from __future__ import annotations

from pathlib import Path

from pypdf import PdfReader

from bench.plan.stages import make_plan
from bench.writeup.sheets.publish import Job
from tests.support.browser import Browser
from tests.support.kit_values import shipped
from tests.support.plans import FLOW, LOW

A4 = (210, 297)
"""mm; ISO 216."""


class Printed:
    """A page of HTML, printed to PDF by a browser."""

    def __init__(self, web: Browser, html: str, folder: Path) -> None:
        source, self.pdf = folder / "page.html", folder / "page.pdf"
        source.write_text(html, encoding="utf-8")
        web.look(1280)
        web.open(source)
        self.pdf.write_bytes(web.paper())
        read = PdfReader(self.pdf).pages
        self.pages = [each.extract_text() for each in read]
        self.sizes = [
            tuple(round(float(side) * 25.4 / 72) for side in (each.mediabox.width, each.mediabox.height))
            for each in read
        ]
        seen = web.seen()
        self.console = seen.logged
        self.asked_for = [url for url in seen.asked_for if not url.startswith(("file:", "data:", "about:"))]


def job(kit: Path, procedure: str = "low-to-high") -> Job:
    """A shipped kit under a shipped procedure."""
    found = shipped(kit)
    chosen = FLOW if procedure == "signal-flow" else LOW
    return Job(kit=found, plan=make_plan(found, chosen), procedure=chosen)

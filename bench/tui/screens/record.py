"""The builder's own record over all builds, as a page to read."""

from __future__ import annotations

from pathlib import Path

from bench.estimate.history import know
from bench.estimate.stats_text import record_lines
from bench.settings import Settings
from bench.tui.screens.pages import Page
from bench.ui.text import clean


def record_page(data: Path, settings: Settings) -> Page:
    """What all builds say of the builder."""
    return Page([(clean(text, 400), look) for text, look in record_lines(know(data, settings).record)])

"""A log that has just been opened."""

from __future__ import annotations

import pytest

from bench.log import events as ev
from tests.support.event_writer import Writer


@pytest.fixture
def log() -> Writer:
    writer = Writer()
    writer.add(ev.Started, log=1, kit="Lamp wobbler")
    writer.add(ev.Opened)
    return writer

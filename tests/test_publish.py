"""A build's retrospective on the disk, told in the zone of the machine."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bench.retro.publish import page_of, publish
from bench.retro.zone import LocalZone
from tests.samples import small_build


@pytest.mark.parametrize("month", [1, 3, 6, 10, 12])
@pytest.mark.parametrize("name", ["Europe/Berlin", "America/New_York", "UTC", "Asia/Kolkata"])
def test_the_machines_zone_has_the_offset_that_was_in_force_then(
    monkeypatch: pytest.MonkeyPatch, name: str, month: int
) -> None:
    # The IANA time zone database, through the standard library's zoneinfo, is the reference.
    monkeypatch.setenv("TZ", name)
    time.tzset()
    try:
        for day in (1, 28, 31 if month != 6 else 30):
            moment = datetime(2031, month, day, 0, 59, 30, tzinfo=UTC)
            ours, theirs = moment.astimezone(LocalZone()), moment.astimezone(ZoneInfo(name))
            assert ours.isoformat() == theirs.isoformat()
            assert ours.tzname() == theirs.tzname()
    finally:
        monkeypatch.undo()
        time.tzset()


def test_the_page_lies_beside_the_log_and_says_that_the_build_goes_on(tmp_path: Path) -> None:
    build = small_build(tmp_path / "one")
    build.opened()
    build.done()
    build.note("a tip worth keeping", "tip")
    written = publish(build)
    page = written.path.read_text(encoding="utf-8")
    assert written.path.parent == tmp_path / "one"
    assert "a tip worth keeping" in page
    assert "Lamp wobbler" in page
    assert "in progress" in page.casefold() or "not finished" in page.casefold()
    assert page_of(build).splitlines()[0] in page

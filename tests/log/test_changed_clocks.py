"""Bench time, breaks, sittings and local times over a change of clocks, against zoneinfo and ISO 8601.

The changes themselves come from the tz database (IANA, RFC 6557) through `zoneinfo`; bisection finds each of
them. A duration on screen is read again by ISO 8601-1:2019, 5.5.2 (with designators, PTnHnMnS; clause from
memory), by a pattern made from that grammar.
"""

from __future__ import annotations

import re
import time
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.clock import spell, stamp_text, utc_seconds
from bench.log.fold import fold
from bench.log.since_break import sitting_seconds
from bench.writeup.moments import Calendar
from bench.writeup.story import tell
from tests.support.story_bench import DIODES, KIT, PLAN, RESISTORS, Bench

ZONES = {
    ("Europe/Berlin", 3): 60,
    ("Europe/Berlin", 10): -60,
    ("America/New_York", 3): 60,
    ("America/New_York", 11): -60,
    ("Australia/Lord_Howe", 4): -30,
    ("Australia/Lord_Howe", 10): 30,
}
"""Zone and month of 2026 -> by how many minutes its clocks are moved."""


def change_in(zone: ZoneInfo, month: int) -> datetime:
    """The first moment, in UTC, of the other offset that a month ends with."""
    low = datetime(2026, month, 1, tzinfo=UTC)
    high = low + timedelta(days=30)
    before = low.astimezone(zone).utcoffset()
    while high - low > timedelta(seconds=1):
        middle = low + (high - low) / 2
        low, high = (middle, high) if middle.astimezone(zone).utcoffset() == before else (low, middle)
    return high.replace(microsecond=0)


@pytest.fixture(params=ZONES, ids=lambda each: f"{each[0]} {each[1]}")
def change(request: pytest.FixtureRequest) -> tuple[ZoneInfo, datetime, int]:
    name, month = request.param
    zone = ZoneInfo(name)
    return zone, change_in(zone, month), ZONES[request.param]


def test_the_clocks_are_moved_as_the_zones_say(change: tuple[ZoneInfo, datetime, int]) -> None:
    zone, at, minutes = change
    before, after = (moment.astimezone(zone).utcoffset() for moment in (at - timedelta(seconds=1), at))
    assert before is not None
    assert after is not None
    assert after - before == timedelta(minutes=minutes)


def across(at: datetime) -> Bench:
    """Ten minutes of work before the change and after it, a break of a quarter of an hour over it."""
    bench = Bench(stamp_text((at - timedelta(minutes=20)).timestamp()))
    bench.do(DIODES, 600)
    bench.add(ev.BreakBegan, 60)
    bench.add(ev.BreakEnded, 900)
    bench.do(RESISTORS, 600)
    return bench


def test_no_hour_is_won_or_lost_at_the_bench(change: tuple[ZoneInfo, datetime, int]) -> None:
    zone, at, _ = change
    bench = across(at)
    progress = fold(bench.events)
    assert progress.bench_seconds == pytest.approx(600 + 60 + 600)
    assert [each.seconds for each in progress.breaks] == pytest.approx([900])
    assert sitting_seconds(bench.events, 900) == pytest.approx(600)
    story = tell(KIT, PLAN, bench.events, zone=zone)
    assert len(story.sittings) == 1
    assert not progress.gaps


def test_every_local_time_is_that_of_zoneinfo(change: tuple[ZoneInfo, datetime, int]) -> None:
    zone, at, minutes = change
    story = tell(KIT, PLAN, across(at).events, zone=zone)
    assert story.first is not None
    assert story.last is not None
    for when in (story.first, story.last):
        known = datetime.fromisoformat(when.at).astimezone(zone)
        assert (when.day, when.time) == (f"{known:%Y-%m-%d}", f"{known:%H:%M}")
    shown = [datetime.fromisoformat(f"{when.day}T{when.time}") for when in (story.first, story.last)]
    real = timedelta(minutes=36)
    assert shown[1] - shown[0] == real + timedelta(minutes=minutes)


def test_a_program_closed_over_the_change_counts_what_was_done_in_it(
    change: tuple[ZoneInfo, datetime, int],
) -> None:
    _, at, _ = change
    bench = Bench(stamp_text((at - timedelta(hours=1)).timestamp()))
    bench.do(DIODES, 600)
    bench.come_back(stamp_text((at + timedelta(hours=1)).timestamp()))
    bench.do(RESISTORS, 600)
    assert fold(bench.events).bench_seconds == pytest.approx(1205)
    assert sitting_seconds(bench.events, 900) == pytest.approx(600)


@pytest.mark.parametrize("name", sorted({name for name, _ in ZONES}))
def test_this_machine_s_zone_agrees_with_zoneinfo_through_two_days_about_each_change(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", name)
    time.tzset()
    known, calendar = ZoneInfo(name), Calendar()
    try:
        for month in (month for each, month in ZONES if each == name):
            at = change_in(known, month)
            for minutes in range(-1440, 1441, 10):
                moment = at + timedelta(minutes=minutes)
                here, there = calendar.when(stamp_text(moment.timestamp())), moment.astimezone(known)
                assert (here.day, here.time) == (f"{there:%Y-%m-%d}", f"{there:%H:%M}")
                assert calendar.zone_names([here.at]) == there.tzname()
    finally:
        monkeypatch.undo()
        time.tzset()


DURATION = re.compile(r"PT(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?")


def iso_8601(words: str) -> str:
    """What `spell` wrote, in the format with designators."""
    return "PT" + words.replace(" h", "H").replace(" min", "M").replace(" s", "S").replace(" ", "")


def seconds_of(duration: str) -> int:
    found = DURATION.fullmatch(duration)
    assert found, duration
    hours, minutes, seconds = (int(each or 0) for each in found.groups())
    return 3600 * hours + 60 * minutes + seconds


@given(st.floats(0, 1e6))
def test_durations_read_by_the_standard_are_the_seconds_that_were_spelt(seconds: float) -> None:
    words = spell(seconds)
    assert abs(seconds_of(iso_8601(words)) - seconds) <= (0.5 if seconds < 599 else 30.5)


@pytest.mark.parametrize(
    ("seconds", "duration"),
    [(42, "PT42S"), (125, "PT2M05S"), (1800, "PT30M"), (5400, "PT1H30M"), (90_000, "PT25H00M")],
)
def test_durations_are_those_of_the_standard_in_words(seconds: float, duration: str) -> None:
    assert iso_8601(spell(seconds)) == duration


@given(st.integers(30_000_000_000, 4_102_444_800_000))
def test_stamps_are_iso_8601_and_come_back(milliseconds: int) -> None:
    """ISO 8601-1:2019, date and time of day in UTC with `Z`, read again by Python's own reader."""
    text = stamp_text(milliseconds / 1000)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", text)
    assert abs(datetime.fromisoformat(text).timestamp() * 1000 - milliseconds) <= 1.001
    assert utc_seconds(text) == pytest.approx(milliseconds / 1000, abs=1.1e-3)

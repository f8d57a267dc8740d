"""What people type about clips: seconds, claps, times of day with and without day and zone."""

from __future__ import annotations

import contextlib
from datetime import UTC, datetime, timedelta, timezone
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import Refused
from bench.log.clock import utc_seconds
from bench.writeup.film.clip_times import MOST_SECONDS, read_clip, read_seconds, read_words, start_of

BERLIN = ZoneInfo("Europe/Berlin")
EVENING = "2031-02-03T17:20:00Z"
"""18:20 in Berlin, in winter."""


def stamps(*at: str) -> list[float]:
    return [datetime.fromisoformat(each).timestamp() for each in at]


def start(text: str, *at: str, zone: Any = BERLIN, length: str = "") -> tuple[float, tuple[str, ...]]:
    """When a clip with this start begins, and what was assumed, for work at these moments."""
    named = read_clip(text, [], [], length, stamps=stamps(*(at or (EVENING,))), zone=zone)
    return datetime.fromisoformat(named.starts).timestamp(), named.remarks


def utc(text: str) -> float:
    seconds = utc_seconds(text)
    assert seconds is not None
    return seconds


# -- seconds -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "text", ["", "x", "200:00:00", "-1", "1:60", "1:60:00", "1:2:3:4", "1e3", "1 2", "٣", "9999999", "nan"]
)
def test_what_is_no_time_in_a_clip_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(Refused) as refused:
        read_seconds(text)
    assert "25:10" in refused.value.hint


@given(st.integers(0, int(MOST_SECONDS) * 1000))
def test_seconds_minutes_and_hours_say_the_same(milliseconds: int) -> None:
    whole, rest = divmod(milliseconds, 1000)
    minutes, seconds = divmod(whole, 60)
    if whole <= 999_999:
        assert read_seconds(f"{whole}.{rest:03d}") == pytest.approx(milliseconds / 1000)
    assert read_seconds(f"{minutes}:{seconds:02d}.{rest:03d}") == pytest.approx(milliseconds / 1000)
    assert read_seconds(f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d},{rest:03d}") == pytest.approx(
        milliseconds / 1000
    )


@given(st.text(max_size=30))
def test_no_text_breaks_the_reader(text: str) -> None:
    for starts, claps, shows, length in (
        (text, [], [], ""),
        ("", [text], [], ""),
        ("", [], [text], ""),
        ("", [], [], text),
    ):
        with contextlib.suppress(Refused):
            read_clip(starts, claps, shows, length, stamps=stamps(EVENING), zone=BERLIN, frames=25)
    read_words(text)


# -- claps -------------------------------------------------------------------------------------------
def read(claps: list[str], length: str = "", shows: list[str] | None = None, frames: int = 0) -> Any:
    return read_clip("", claps, shows or [], length, stamps=stamps(EVENING), zone=BERLIN, frames=frames)


def test_claps_and_a_length_are_read() -> None:
    named = read(["1=12.48", " 2 = 30:04.2 "], "31:10")
    assert named.claps == ((1, 12.48), (2, 1804.2))
    assert (named.length, named.starts, named.remarks) == (1870.0, "", ())


@pytest.mark.parametrize(
    ("claps", "length", "word"),
    [
        (["1"], "", "not a clap"), (["one=12"], "", "not a clap"), (["1=x"], "", "not a time"),
        (["=3"], "", "not a clap"),
        (["1=2", "1=3"], "", "twice"), (["1=2000"], "25:10", "past the clip's end"),
        (["1=2"], "0", "is zero"),
        ([], "25:10", "nothing says"),
    ],
)  # fmt: skip
def test_claps_that_cannot_be_are_refused(claps: list[str], length: str, word: str) -> None:
    with pytest.raises(Refused) as refused:
        read(claps, length)
    assert word in refused.value.what


def test_the_filmed_clock_is_read_in_tenths_or_in_frames() -> None:
    tenths = read([], shows=["18:20:05.3=12.48"])
    assert tenths.shows == (("2031-02-03T17:20:05.300Z", 12.48),)
    frames = read([], shows=["18:20:05:12=12.48"], frames=25)
    assert frames.shows == (("2031-02-03T17:20:05.480Z", 12.48),)
    for text, rate in (("18:20:05:12=1", 0), ("18:20:05:25=1", 25), ("25:20:05=1", 0)):
        with pytest.raises(Refused):
            read([], shows=[text], frames=rate)


def test_the_filmed_clock_is_of_the_day_on_which_somebody_was_at_the_bench_at_that_hour() -> None:
    named = read_clip(
        "", [], ["23:59:58.5=3", "0:00:01=5.5".rjust(12, "0")], "",
        stamps=stamps("2031-02-03T22:50:00Z", "2031-02-03T23:10:00Z"), zone=BERLIN,
    )  # fmt: skip
    assert [stamp for stamp, _ in named.shows] == ["2031-02-03T22:59:58.500Z", "2031-02-03T23:00:01.000Z"]


# -- starts ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "text",
    [
        "18:20:05", "18:20:05.000", "2031-02-03 18:20:05", "2031-02-03T18:20:05", "2031:02:03 18:20:05",
        "2031-02-03T18:20:05+01:00", "2031-02-03T17:20:05Z", "17:20:05Z", "18:20:05+01:00", "22:50:05+05:30",
    ],
)  # fmt: skip
def test_a_start_is_read_with_and_without_day_and_zone(text: str) -> None:
    assert start(text, "2031-02-03T17:30:00Z")[0] == utc("2031-02-03T17:20:05Z")


def test_a_start_without_a_zone_says_which_zone_it_was_taken_for() -> None:
    _, remarks = start("18:20:05", "2031-02-03T17:30:00Z")
    assert any("Europe/Berlin" in remark for remark in remarks)
    assert any("2031-02-03 18:20:05+01:00" in remark for remark in remarks)
    assert start("2031-02-03T18:20:05+01:00")[1] == ()


def test_a_clip_that_began_before_midnight_finds_the_work_after_it() -> None:
    assert start("23:50:00", "2031-02-03T23:30:00Z")[0] == utc("2031-02-03T22:50:00Z")


def test_a_short_clip_between_two_keys_finds_its_day() -> None:
    stamps = [utc("2031-02-03T17:19:00Z"), utc("2031-02-03T17:22:00Z")]
    named = read_clip("18:20:05", [], [], "0:08", stamps=stamps, zone=BERLIN)
    assert named.starts.startswith("2031-02-03T18:20:05")


def test_a_time_of_day_with_work_on_several_days_or_on_none_is_refused_with_a_way_out() -> None:
    with pytest.raises(Refused) as several:
        start("18:20:05", EVENING, "2031-02-03T17:40:00Z", "2031-02-05T17:40:00Z")
    assert "2031-02-03, 2031-02-05" in several.value.what
    assert "such as 2031-02-03 18:20:05" in several.value.hint
    with pytest.raises(Refused) as none:
        start("03:00:00")
    assert "on any day" in none.value.what
    for refused in (several, none):
        assert "add the day" in refused.value.hint
    with pytest.raises(Refused):
        read_clip("18:20:05", [], [], "", stamps=[], zone=BERLIN)


def test_a_length_narrows_down_the_day() -> None:
    at = ("2031-02-03T17:40:00Z", "2031-02-05T19:00:00Z")
    assert start("18:20:05", *at, length="25:10")[0] == utc("2031-02-03T17:20:05Z")


# -- clocks put back and forward (EU rules: last Sunday of October and of March, 1:00 UTC) -----------
def test_an_hour_that_came_twice_is_the_one_with_work_in_it() -> None:
    first, second = "2030-10-27T00:40:00Z", "2030-10-27T01:40:00Z"
    assert start("2030-10-27 02:30:00", first, length="25:00")[0] == utc("2030-10-27T00:30:00Z")
    begins, remarks = start("2030-10-27 02:30:00", second, length="25:00")
    assert begins == utc("2030-10-27T01:30:00Z")
    assert any("came twice" in remark and "second" in remark for remark in remarks)


def test_an_hour_that_never_was_belongs_to_a_camera_that_was_not_put_forward() -> None:
    begins, remarks = start("2030-03-31 02:30:00", "2030-03-31T01:40:00Z")
    assert begins == utc("2030-03-31T01:30:00Z")
    assert any("not to have followed" in remark for remark in remarks)


def test_a_clip_over_the_hour_that_is_put_back_keeps_its_seconds() -> None:
    begins, _ = start("2030-10-27 01:50:00+02:00")
    assert begins == utc("2030-10-26T23:50:00Z")


ZONES = ("Europe/Berlin", "America/New_York", "Asia/Kolkata", "Australia/Lord_Howe", "UTC")


@given(st.integers(0, 3 * 365 * 86400), st.sampled_from(ZONES))
def test_in_any_zone_a_local_time_gives_a_moment_that_shows_it_or_is_said_not_to_exist(
    seconds: int, name: str
) -> None:
    zone, bare = ZoneInfo(name), datetime.fromisoformat("2029-01-01") + timedelta(seconds=seconds)
    found = start_of(bare.isoformat(), zone, ())
    assert found is not None
    moment, remarks = datetime.fromtimestamp(found[0], UTC), found[1]
    shown = moment.astimezone(zone).replace(tzinfo=None)
    assert abs(shown - bare) < timedelta(milliseconds=1) or any("forward" in remark for remark in remarks)


def test_a_start_in_the_log_that_is_none_is_none() -> None:
    assert start_of("soon", BERLIN, ()) is None
    assert start_of("9999-12-31T23:59:59", timezone(timedelta(hours=-12)), ()) is None
    assert start_of("2031-02-03T18:20:05+01:00", BERLIN, ()) == (utc("2031-02-03T17:20:05Z"), ())


# -- short clips, midnight, changes of clocks ----------------------------------------------------------
def test_a_clip_of_eight_seconds_between_two_entries_of_a_long_step_is_of_that_evening() -> None:
    at = ("2031-02-03T17:20:00Z", "2031-02-03T18:35:00Z", "2031-02-05T17:20:00Z")
    begins, said = start("19:00:00", *at, length="8")
    assert begins == utc("2031-02-03T18:00:00Z")
    assert "read as 2031-02-03 19:00:00+01:00" in said


def test_a_short_clip_is_still_refused_where_nobody_sat_at_the_bench() -> None:
    with pytest.raises(Refused, match="nobody was at work"):
        start("23:00:00", "2031-02-03T17:20:00Z", "2031-02-03T18:35:00Z", length="8")


def test_a_clip_over_midnight_belongs_to_the_day_on_which_it_began() -> None:
    at = ("2031-02-03T23:10:00Z", "2031-02-03T23:40:00Z")  # ten past and twenty to one in Berlin, on the 4th
    assert start("23:55:00", *at, length="1:00:00")[0] == utc("2031-02-03T22:55:00Z")
    assert start("00:20:00", *at, length="8")[0] == utc("2031-02-03T23:20:00Z")


@pytest.mark.parametrize(
    ("text", "at", "begins"),
    [
        # In Berlin clocks go back on 26 October 2031 and forward on 30 March 2031 (tz database).
        ("01:30:00", ("2031-10-25T23:40:00Z", "2031-10-26T01:30:00Z"), "2031-10-25T23:30:00Z"),
        ("02:30:00", ("2031-10-26T01:20:00Z", "2031-10-26T01:45:00Z"), "2031-10-26T01:30:00Z"),
        ("03:10:00", ("2031-10-26T02:15:00Z", "2031-10-26T02:20:00Z"), "2031-10-26T02:10:00Z"),
        ("01:50:00", ("2031-03-30T00:55:00Z", "2031-03-30T01:30:00Z"), "2031-03-30T00:50:00Z"),
        ("03:05:00", ("2031-03-30T01:10:00Z", "2031-03-30T01:30:00Z"), "2031-03-30T01:05:00Z"),
    ],
)
def test_a_clip_over_a_change_of_clocks_begins_when_it_did(text: str, at: tuple[str, ...], begins: str) -> None:
    assert start(text, *at, length="20:00")[0] == utc(begins)

"""Cameras' clocks put right by photos of the bench clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.writeup.photos.camera_clock import Shot, find_dates
from bench.writeup.photos.clock_photo import ClockPhoto, clock_photo, find_file
from bench.writeup.photos.exif_time import Stamp

BERLIN = ZoneInfo("Europe/Berlin")
PLUS_1 = timezone(timedelta(hours=1))


def utc(text: str) -> float:
    """UTC seconds of a stamp with its zone, as the standard library reads it."""
    return datetime.fromisoformat(text).timestamp()


EVENING = (utc("2031-02-03T17:00:00Z"), utc("2031-02-03T19:00:00Z"))
NEXT = (utc("2031-02-04T17:00:00Z"), utc("2031-02-04T18:00:00Z"))


def shot(
    file: str, local: str = "", zone: str = "", camera: str = "K2", file_time: float = 0.0, doubt: str = ""
) -> Shot:
    """A picture whose camera showed `local`, without a zone unless one is given."""
    moment = datetime.fromisoformat(local) if local else None
    ahead = datetime.fromisoformat(f"{local}{zone}").utcoffset() if zone else None
    seconds = None if ahead is None else round(ahead.total_seconds())
    return Shot(
        file=file, stamp=Stamp(local=moment, zone=seconds, camera=camera, doubt=doubt), file_time=file_time
    )


def dated(
    shots: list[Shot], *clocks: str, zone: tzinfo = UTC, runs: tuple[tuple[float, float], ...] = (EVENING,)
) -> dict[str, float]:
    """UTC seconds by file."""
    found = find_dates(shots, [clock_photo(text) for text in clocks], zone, runs)
    return {photo.file: photo.at for photo in found.photos}


# -- zones -------------------------------------------------------------------------------------------
def test_a_photo_with_its_zone_needs_nobody_elses() -> None:
    found = dated([shot("a.jpg", "2031-02-03T18:20:05", "+01:00")], zone=ZoneInfo("Asia/Tokyo"))
    assert found == {"a.jpg": utc("2031-02-03T18:20:05+01:00")}


def test_a_photo_without_a_zone_is_read_in_the_builders_with_the_offset_of_that_day() -> None:
    shots = [shot("winter.jpg", "2031-02-03T18:20:05"), shot("summer.jpg", "2031-07-03T18:20:05")]
    found = dated(shots, zone=BERLIN)
    assert found["winter.jpg"] == utc("2031-02-03T18:20:05+01:00")
    assert found["summer.jpg"] == utc("2031-07-03T18:20:05+02:00")


def test_an_hour_that_comes_twice_is_doubted_unless_a_clock_photo_settles_it() -> None:
    """In Berlin the night of 26 October 2031 has 02:30 twice (IANA time zone database)."""
    runs = ((utc("2031-10-25T22:00:00Z"), utc("2031-10-26T03:00:00Z")),)
    shots = [shot("clock.jpg", "2031-10-26T00:30:00"), shot("a.jpg", "2031-10-26T02:30:00")]
    alone = find_dates(shots, [], BERLIN, runs)
    assert ["changed that night" in photo.doubt for photo in alone.photos] == [False, True]
    settled = find_dates(shots, [clock_photo("clock.jpg=00:30:00")], BERLIN, runs)
    assert not any(photo.doubt for photo in settled.photos)
    assert settled.photos[1].at - settled.photos[0].at == 7200, "the camera's clock ran on evenly"


def test_a_zone_that_cannot_tell_that_year_leaves_the_time_as_it_stands() -> None:
    class Failing(tzinfo):
        def utcoffset(self, moment: datetime | None) -> timedelta:
            raise OverflowError("mktime argument out of range")

        def dst(self, moment: datetime | None) -> None:
            return None

        def tzname(self, moment: datetime | None) -> str:
            return "somewhere"

    found = find_dates(
        [shot("a.jpg", "1901-01-01T00:00:00")], [clock_photo("a.jpg=2031-02-03T18:00Z")], Failing(), []
    )
    assert found.photos[0].at == utc("2031-02-03T18:00:30Z")


# -- offsets -----------------------------------------------------------------------------------------
def test_one_clock_photo_puts_a_camera_right_by_more_than_some_minutes() -> None:
    shots = [shot("clock.jpg", "2031-02-03T19:51:40"), shot("a.jpg", "2031-02-03T20:00:00")]
    found = dated(shots, "clock.jpg=18:20:05", zone=PLUS_1)
    assert found["clock.jpg"] == utc("2031-02-03T18:20:05+01:00")
    assert found["a.jpg"] == utc("2031-02-03T18:28:25+01:00")


def test_two_cameras_are_wrong_each_in_its_own_way() -> None:
    shots = [
        shot("k/clock.jpg", "2031-02-03T17:00:00", camera="K2"),
        shot("k/a.jpg", "2031-02-03T17:10:00", camera="K2"),
        shot("p/clock.jpg", "2031-02-03T18:05:00", "+00:00", camera="Phone"),
        shot("p/a.jpg", "2031-02-03T18:15:00", "+00:00", camera="Phone"),
    ]  # fmt: skip
    found = dated(shots, "k/clock.jpg=18:00:00", "p/clock.jpg=18:00:00")
    assert found["k/a.jpg"] == found["p/a.jpg"] == utc("2031-02-03T18:10:00Z")


def test_a_camera_without_a_clock_photo_is_left_as_it_is_and_that_is_said() -> None:
    shots = [shot("clock.jpg", "2031-02-03T17:00:00"), shot("b.jpg", "2031-02-03T17:10:00", camera="Phone")]
    found = find_dates(shots, [clock_photo("clock.jpg=18:00:00")], UTC, [EVENING])
    assert "is 1 h 00 min behind" in found.remarks["K2"]
    assert "taken as right" in found.remarks["Phone"]
    assert {photo.file: photo.at for photo in found.photos}["b.jpg"] == utc("2031-02-03T17:10:00Z")


def test_pictures_that_name_no_camera_go_by_their_sub_folder() -> None:
    shots = [
        shot("one/a.jpg", "2031-02-03T17:00:00", camera=""),
        shot("two/b.jpg", "2031-02-03T17:00:00", camera=""),
        shot("one/clock.jpg", "2031-02-03T17:00:00", camera=""),
    ]  # fmt: skip
    found = dated(shots, "one/clock.jpg=18:00:00")
    assert found["one/a.jpg"] - found["two/b.jpg"] == 3600


def test_two_cameras_of_one_model_are_told_apart_by_their_clock_photos_and_sub_folders() -> None:
    shots = [
        shot("one/clock.jpg", "2031-02-03T18:00:00"), shot("one/a.jpg", "2031-02-03T18:10:00"),
        shot("two/clock.jpg", "2031-02-03T18:07:00"), shot("two/a.jpg", "2031-02-03T18:17:00"),
    ]  # fmt: skip
    found = find_dates(
        shots, [clock_photo(f"{name}/clock.jpg=18:00:00") for name in ("one", "two")], UTC, [EVENING]
    )
    times = {photo.file: photo.at for photo in found.photos}
    assert times["one/a.jpg"] == times["two/a.jpg"] == utc("2031-02-03T18:10:00Z")
    assert sorted(batch.name for batch in found.batches) == ["K2 in one", "K2 in two"]


def test_two_clock_photos_of_one_camera_that_was_set_meanwhile_each_rule_what_is_near_them() -> None:
    shots = [
        shot("1.jpg", "2031-02-03T17:00:00"), shot("2.jpg", "2031-02-03T17:05:00"),
        shot("8.jpg", "2031-02-03T19:00:00"), shot("9.jpg", "2031-02-03T19:05:00"),
    ]  # fmt: skip
    found = find_dates(shots, [clock_photo("1.jpg=17:10:00"), clock_photo("9.jpg=18:55:00")], UTC, [EVENING])
    times = {photo.file: photo.at for photo in found.photos}
    assert times["2.jpg"] == utc("2031-02-03T17:15:00Z")
    assert times["8.jpg"] == utc("2031-02-03T18:50:00Z")
    assert "the nearer one" in found.remarks["K2"]


def test_a_picture_without_a_date_goes_by_its_file_and_not_by_the_cameras_error() -> None:
    shots = [
        shot("clock.jpg", "2031-02-03T17:00:00"),
        shot("plain.png", camera="", file_time=utc("2031-02-03T18:30:00Z"), doubt="its date is impossible (0)"),
    ]
    found = find_dates(shots, [clock_photo("clock.jpg=18:00:00")], UTC, [EVENING])
    plain = next(photo for photo in found.photos if photo.file == "plain.png")
    assert plain.at == utc("2031-02-03T18:30:00Z")
    assert plain.source == "file"
    assert plain.doubt == "its date is impossible (0); no date in the picture; the file's time is used"


@given(
    st.integers(-50_000, 50_000), st.integers(-14 * 4, 14 * 4), st.booleans(),
    st.lists(st.integers(-3600, 3600), min_size=1, max_size=5),
)  # fmt: skip
def test_whatever_a_cameras_error_and_zone_every_photo_comes_back_to_its_moment(
    error: int, quarters: int, zoned: bool, seconds: list[int]
) -> None:
    """Moments are written on a wrong clock in some zone with the standard library, and found again."""
    true = [utc("2031-02-03T18:00:00Z"), *(utc("2031-02-03T18:00:00Z") + each for each in seconds)]
    away = timezone(timedelta(minutes=15 * quarters))
    shots = []
    for number, moment in enumerate(true):
        shown = datetime.fromtimestamp(moment + error, UTC).astimezone(away)
        ahead = 15 * 60 * quarters if zoned else None
        shots.append(
            Shot(
                file=f"{number}",
                stamp=Stamp(local=shown.replace(tzinfo=None), zone=ahead, camera="K2"),
                file_time=0.0,
            )
        )
    found = dated(shots, "0=2031-02-03T19:00:00", zone=PLUS_1)
    assert [found[f"{number}"] for number in range(len(true))] == true


# -- which day ---------------------------------------------------------------------------------------
def test_a_camera_in_the_zone_farthest_away_is_given_the_day_on_which_the_program_was_open() -> None:
    shots = [shot("clock.jpg", "2031-02-04T08:00:00")]  # 18:00 UTC in UTC+14
    assert dated(shots, "clock.jpg=18:00:00") == {"clock.jpg": utc("2031-02-03T18:00:00Z")}


def test_a_clock_that_was_never_set_finds_the_only_day_the_program_was_open_at_that_time() -> None:
    shots = [shot("clock.jpg", "2000-01-01T00:10:00"), shot("a.jpg", "2000-01-01T00:20:00")]
    found = dated(shots, "clock.jpg=18:00:00")
    assert found["a.jpg"] == utc("2031-02-03T18:10:00Z")


def test_a_clock_that_was_never_set_and_several_days_that_fit_ask_for_the_day() -> None:
    shots = [shot("clock.jpg", "2000-01-01T00:10:00")]
    with pytest.raises(SoldersideError) as said:
        dated(shots, "clock.jpg=17:30:00", runs=(EVENING, NEXT))
    assert "several days" in said.value.what
    assert "add the day" in said.value.hint
    found = dated(shots, "clock.jpg=2031-02-04T17:30:00", runs=(EVENING, NEXT))
    assert found == {"clock.jpg": utc("2031-02-04T17:30:00Z")}
    with pytest.raises(SoldersideError, match="not open at that time"):
        dated(shots, "clock.jpg=03:00:00", runs=(EVENING, NEXT))


def test_midnight_between_the_two_clocks_is_no_day_lost() -> None:
    runs = ((utc("2031-02-03T22:00:00Z"), utc("2031-02-04T01:00:00Z")),)
    shots = [shot("clock.jpg", "2031-02-03T23:58:00")]
    assert dated(shots, "clock.jpg=00:03:00", runs=runs) == {"clock.jpg": utc("2031-02-04T00:03:00Z")}


# -- what is typed -----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("typed", "shows"),
    [
        ("a.jpg=18:20:05", "18:20:05"), ("a.jpg = 18:20:05", "18:20:05"), ("a.jpg=8:20", "08:20:30"),
        ("a.jpg=18:20:05.4", "18:20:05.400000"),
    ],
)  # fmt: skip
def test_a_time_of_day_is_read(typed: str, shows: str) -> None:
    clock = clock_photo(typed)
    assert (clock.file, clock.day, clock.time.isoformat(), clock.zone) == ("a.jpg", None, shows, None)


def test_a_day_and_a_zone_are_read() -> None:
    assert clock_photo("a=b.jpg=2031-02-03 18:20:05-08:00") == ClockPhoto(
        file="a=b.jpg",
        day=datetime.fromisoformat("2031-02-03").date(),
        time=datetime.fromisoformat("2031-02-03T18:20:05").time(),
        zone=-8 * 3600,
    )


@pytest.mark.parametrize(
    "typed",
    [
        "18:20:05", "a.jpg", "a.jpg=", "=18:20:05", "a.jpg=25:00:00", "a.jpg=18:60:00",
        "a.jpg=2031-02-30T10:00:00",
        "a.jpg=0001-01-01T10:00:00", "a.jpg=18:20:05+99:00", "a.jpg=ten past six",
    ],
)  # fmt: skip
def test_what_is_no_clock_photo_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(SoldersideError) as said:
        clock_photo(typed)
    assert "--clock IMG_0012.jpg=18:20:05" in said.value.hint


def test_a_photo_is_found_by_its_name_alone_unless_there_are_two() -> None:
    files = ["one/IMG_1.jpg", "two/IMG_1.jpg", "two/IMG_2.JPG"]
    assert find_file("img_2.jpg", files) == "two/IMG_2.JPG"
    assert find_file("one/IMG_1.jpg", files) == "one/IMG_1.jpg"
    assert find_file("two\\IMG_1.jpg", files) == "two/IMG_1.jpg"
    with pytest.raises(SoldersideError, match="several photos"):
        find_file("IMG_1.jpg", files)
    with pytest.raises(SoldersideError, match="no such photo"):
        find_file("IMG_9.jpg", files)

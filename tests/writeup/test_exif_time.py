"""When a picture says that it was taken."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags

from bench.writeup.photos import exif_time as exiftime
from bench.writeup.photos.exif_time import offset_seconds, offset_text, stamp_of


def test_tag_numbers_are_those_of_the_standard() -> None:
    """CIPA DC-008 (Exif 2.32), tables 3, 4 and 8, written down here, and Pillow's own list of them."""
    published = {
        "MAKE": (0x010F, "Make"), "MODEL": (0x0110, "Model"),
        "DATE_TIME": (0x0132, "DateTime"), "EXIF_IFD": (0x8769, "ExifOffset"),
        "DATE_TIME_ORIGINAL": (0x9003, "DateTimeOriginal"),
        "DATE_TIME_DIGITIZED": (0x9004, "DateTimeDigitized"),
        "OFFSET_TIME": (0x9010, "OffsetTime"), "OFFSET_ORIGINAL": (0x9011, "OffsetTimeOriginal"),
        "OFFSET_DIGITIZED": (0x9012, "OffsetTimeDigitized"), "SUBSEC_TIME": (0x9290, "SubsecTime"),
        "SUBSEC_ORIGINAL": (0x9291, "SubsecTimeOriginal"), "SUBSEC_DIGITIZED": (0x9292, "SubsecTimeDigitized"),
        "SERIAL": (0xA431, "BodySerialNumber"),
    }  # fmt: skip
    for name, (number, called) in published.items():
        assert getattr(exiftime, name) == number
        assert ExifTags.TAGS[number] == called


@pytest.mark.parametrize(
    ("local", "offset", "utc"),
    [
        # RFC 3339, section 5.8, examples: each pair is the same instant.
        ("1985:04:12 23:20:50", "Z", "1985-04-12T23:20:50Z"),
        ("1996:12:19 16:39:57", "-08:00", "1996-12-20T00:39:57Z"),
        ("1937:01:01 12:00:27", "+00:20", "1937-01-01T11:40:27Z"),
    ],
)
def test_the_examples_of_rfc_3339_come_out_as_published(local: str, offset: str, utc: str) -> None:
    stamp = stamp_of({0x9003: local, 0x9011: offset})
    assert stamp.local is not None
    assert stamp.zone is not None
    assert stamp.local.replace(tzinfo=UTC) - timedelta(seconds=stamp.zone) == datetime.fromisoformat(utc)


@given(st.integers(-23 * 60 - 59, 23 * 60 + 59))
def test_every_offset_there_is_comes_back_as_the_standard_library_reads_it(minutes: int) -> None:
    text = offset_text(minutes * 60)
    assert offset_seconds(text) == minutes * 60
    theirs = datetime.fromisoformat(f"2031-02-03T18:20:05{text}")
    assert theirs.tzinfo == timezone(timedelta(minutes=minutes))


@given(st.datetimes(datetime(1900, 1, 1), datetime(2199, 12, 31)), st.integers(0, 999))  # noqa: DTZ001
def test_a_date_and_its_thousandths_come_back_as_they_were_written(moment: datetime, thousandths: int) -> None:
    text = f"{moment:%Y:%m:%d %H:%M:%S}"
    stamp = stamp_of({0x9003: text, 0x9291: f"{thousandths:03d}\0"})
    assert stamp.local == moment.replace(microsecond=thousandths * 1000)
    assert not stamp.doubt


@pytest.mark.parametrize("blank", ["    :  :     :  :  ", "", "0000:00:00 00:00:00", "                   "])
def test_a_date_that_is_left_blank_is_unknown_and_no_fault(blank: str) -> None:
    """CIPA DC-008, 4.6.5 F: where the date is unknown, all but the colons are blanks."""
    stamp = stamp_of({0x9003: blank})
    assert stamp.local is None
    assert not stamp.doubt


@pytest.mark.parametrize(
    "wrong",
    ["2031:02:30 18:20:05", "2031:13:01 00:00:00", "2031:01:01 24:00:00", "1066:10:14 09:00:00", "soon"],
)
def test_a_date_that_cannot_be_is_doubted(wrong: str) -> None:
    stamp = stamp_of({0x9003: wrong})
    assert stamp.local is None
    assert wrong in stamp.doubt


def test_the_date_of_digitizing_stands_in_and_that_of_the_last_change_is_doubted() -> None:
    digitized = stamp_of({0x9004: "2031:02:03 18:20:05", 0x9012: "+01:00", 0x0132: "2032:01:01 00:00:00"})
    assert digitized.local == datetime(2031, 2, 3, 18, 20, 5)  # noqa: DTZ001
    assert digitized.zone == 3600
    assert not digitized.doubt
    changed = stamp_of({0x0132: "2031:02:03 18:20:05"})
    assert changed.local is not None
    assert "last change" in changed.doubt


@pytest.mark.parametrize("odd", ["", "+1:00", "+24:00", "01:00", "   :  ", "+01:60", "UTC"])
def test_an_offset_that_is_none_leaves_the_zone_open(odd: str) -> None:
    assert stamp_of({0x9003: "2031:02:03 18:20:05", 0x9011: odd}).zone is None


def test_the_clock_of_the_position_is_never_read() -> None:
    """GPSDateStamp and GPSTimeStamp are tags 29 and 7 of a list of their own."""
    assert stamp_of({29: "2031:02:03", 7: (18.0, 20.0, 5.0)}).local is None


ODD = st.text("0123456789: +-Z\0T²٣é", max_size=24) | st.binary(max_size=24) | st.integers() | st.none()


@given(st.dictionaries(st.sampled_from([0x9003, 0x9004, 0x0132, 0x9011, 0x9291, 0x010F]), ODD))
def test_no_tags_whatever_are_too_much(tags: dict[int, object]) -> None:
    stamp_of(tags)


def test_a_camera_is_called_by_make_model_and_serial_number() -> None:
    assert stamp_of({0x010F: "Lantern\0", 0x0110: "K2", 0xA431: "0071"}).camera == "Lantern K2 0071"
    assert stamp_of({0x010F: "LANTERN", 0x0110: "Lantern K2"}).camera == "Lantern K2"
    assert stamp_of({}).camera == ""

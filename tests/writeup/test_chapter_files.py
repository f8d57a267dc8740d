"""Chapters as files, read back by readers that know nothing of this program.

Sources: WebVTT (W3C, Candidate Recommendation of 4 April 2019), read back by webvtt-py, which passes over what
is wrong without a word, so counts are compared; RFC 4180, read back by Python's csv. The plain list: common
practice, no source.
"""

from __future__ import annotations

import csv
import html
import io
import re
from collections.abc import Sequence
from itertools import pairwise

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from bench.writeup.film.chapter_files import CSV_HEAD, csv_rows, plain_list, stamp, webvtt_file
from bench.writeup.film.chapters import Chapter, ChapterMoment, ClipSpot, set_apart
from bench.writeup.words import clock_text, one_line

TIMINGS = re.compile(r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3}) --> (\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})")
HOSTILE = [
    "--> 00:00:01.000", "00:00.000 --> 00:09.000", "<script>alert(1)</script>", "R1 & R2 &amp; <b>",
    "two\n\nlines",
    "a\r\nb\rc", "\u202etxt.exe\u2066", "WEBVTT", "NOTE x", "\x00\x1b[31m", "=1+1", "-1+1", "@x",
    '"quoted", with commas',
    "\u2028x\u0085y", "00:10 not a time", "STYLE",
]  # fmt: skip


def chapters(titles: Sequence[str], every: float = 60.0) -> tuple[Chapter, ...]:
    return tuple(
        Chapter(start=number * every, end=(number + 1) * every, title=title, kind="stage")
        for number, title in enumerate(titles)
    )


# -- WebVTT ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "00:00:00.000"), (59.9994, "00:00:59.999"), (59.9996, "00:01:00.000"),
        (3599.9999, "01:00:00.000"),
        (3600.0, "01:00:00.000"), (359_999.9996, "100:00:00.000"), (12.0004, "00:00:12.000"),
        (-0.0001, "00:00:00.000"),
    ],
)  # fmt: skip
def test_a_timestamp_has_two_digits_of_hours_or_more_and_carries_in_rounding(seconds: float, text: str) -> None:
    # WebVTT: hours of two or more digits, minutes and seconds 00 to 59, three digits.
    assert stamp(seconds) == text


def test_what_is_written_is_read_back_with_as_many_cues() -> None:
    told = chapters(HOSTILE)
    text = webvtt_file(told)
    read = webvtt.from_string(text, strict=True).captions
    assert len(read) == len(told)
    for cue, chapter in zip(read, told, strict=True):
        assert html.unescape(cue.raw_text) == one_line(chapter.title)
        assert (cue.start_in_seconds, cue.end_in_seconds) == (chapter.start, chapter.end)


def test_no_title_ends_a_cue_opens_a_tag_or_turns_the_line() -> None:
    lines = webvtt_file(chapters(HOSTILE)).split("\n")
    assert lines[:2] == ["WEBVTT", ""]
    assert sum("-->" in line for line in lines) == len(HOSTILE)
    assert all(TIMINGS.fullmatch(line) for line in lines if "-->" in line)
    payload = [line for line in lines[2:] if "-->" not in line]
    assert not any("<" in line or ">" in line for line in payload)
    assert not any(re.search(r"&(?!amp;|lt;|gt;)", line) for line in payload)
    assert all(line.isprintable() for line in lines)


@given(
    st.lists(st.tuples(st.floats(0, 20_000), st.text(min_size=1, max_size=40)), min_size=1, max_size=20),
    st.floats(1, 20_000),
)
def test_any_chapters_are_read_back_whole_rising_and_never_empty(
    drawn: list[tuple[float, str]], length: float
) -> None:
    told = set_apart([ClipSpot(at=at, title=f"x{title}", kind="stage") for at, title in drawn], length).chapters
    read = webvtt.from_string(webvtt_file(told), strict=True).captions
    assert len(read) == len(told)
    assert all(cue.end_in_seconds > cue.start_in_seconds for cue in read)
    starts = [cue.start_in_seconds for cue in read]
    assert starts == sorted(starts)
    assert starts[0] == 0
    assert [html.unescape(cue.raw_text) for cue in read] == [one_line(each.title) for each in told]


def test_a_file_without_chapters_is_still_a_webvtt_file() -> None:
    assert len(webvtt.from_string(webvtt_file(()))) == 0


# -- the plain list ----------------------------------------------------------------------------------
def test_the_plain_list_begins_at_zero_and_has_hours_where_there_are_any() -> None:
    told = chapters(["A", "B", "C"], 1800.4)
    assert plain_list(told) == "0:00 A\n30:00 B\n1:00:00 C\n"


def test_the_plain_list_has_one_line_for_each_chapter_and_no_angle_brackets() -> None:
    lines = plain_list(chapters(HOSTILE)).splitlines()
    assert len(lines) == len(HOSTILE)
    assert all(re.match(r"\d+:\d\d ", line) and line.isprintable() for line in lines)
    assert not any("<" in line or ">" in line for line in lines)


@given(st.lists(st.floats(0, 40_000), min_size=3, max_size=20), st.floats(60, 40_000))
def test_the_plain_list_obeys_what_video_sites_ask(starts: list[float], length: float) -> None:
    told = set_apart(
        [ClipSpot(at=at, title=str(n), kind="stage") for n, at in enumerate(starts)], length
    ).chapters
    seconds = []
    for line in plain_list(told).splitlines():
        parts = [int(part) for part in line.split(" ")[0].split(":")]
        seconds.append(sum(part * 60**power for power, part in enumerate(reversed(parts))))
    assert seconds[0] == 0
    assert all(later - earlier >= 10 for earlier, later in pairwise(seconds))


@given(st.floats(0, 1e6))
def test_the_clock_of_the_list_is_never_late(seconds: float) -> None:
    parts = [int(part) for part in clock_text(seconds).split(":")]
    shown = sum(part * 60**power for power, part in enumerate(reversed(parts)))
    assert 0 <= seconds - shown < 1


# -- CSV ---------------------------------------------------------------------------------------------
def test_the_csv_is_that_of_rfc_4180_and_reads_back() -> None:
    # RFC 4180: lines end in CR LF, fields with commas or quotes stand in quotes, quotes are doubled.
    told = chapters(HOSTILE)
    tip = ChapterMoment(clip="two.mov", start=1.0, end=2.5, title="t", kind="tip")
    text = csv_rows([("one.mov", told), ("two.mov", [tip])])
    assert text.count("\r\n") == text.count("\n") == len(HOSTILE) + 2
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == CSV_HEAD
    assert len(rows) == len(HOSTILE) + 2
    for row, chapter in zip(rows[1:], told, strict=False):
        assert row[4].removeprefix("'") == one_line(chapter.title)
        assert (float(row[1]), float(row[2]), row[3]) == (chapter.start, chapter.end, "stage")
        assert not row[4].startswith(("=", "+", "-", "@"))
    assert rows[-1] == ["two.mov", "1.000", "2.500", "tip", "t"]

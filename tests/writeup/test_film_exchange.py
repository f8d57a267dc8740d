"""The film for editing programs: read back by OpenTimelineIO and by its reader of CMX 3600."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.log import events as ev
from bench.log.clock import stamp_text, utc_seconds
from bench.writeup.film.cut_list import ClipPart, on_frames
from bench.writeup.film.edited import CutItem, Edited, FilmNote, Source, edited, true_rate
from bench.writeup.film.edl import MOST_EVENTS, ascii_words, edl_file, reel_names
from bench.writeup.film.exchange import otio_file
from tests.support.command_line import HOSTILE
from tests.support.filmed import footage, opened_and_clapped
from tests.support.story_bench import DIODES, RESISTORS

CUT = (
    ("close-1.mov", 0, 300, 16),
    ("close-1.mov", 300, 330, 1),
    ("wide-1.mov", 300.5, 420, 8),
    ("close-1.mov", 500, 510, 1),
)


def a_film(rate: float, cut: Sequence[tuple[str, float, float, float]] = CUT) -> Edited:
    """A film from two cameras that both begin with the clap, with a snag and a tip in it."""
    bench = opened_and_clapped()
    bench.do(DIODES, 250)
    bench.add(ev.Snagged, 60, what="a bridge at U1")
    bench.add(ev.Noted, 40, text="Ω and µ are no ASCII", mark="tip")
    bench.do(RESISTORS, 200)
    for name in ("close-1.mov", "wide-1.mov"):
        bench.add(ev.ClipNamed, 1.0, clip=name, claps=((1, 0.0),), length=600.0)
    found = footage(bench)
    clips = {each.clip.name: each.clip for each in found.clips}
    parts = [ClipPart(clip=clip, start=a, end=b, speed=speed) for clip, a, b, speed in cut]
    return edited("Oscillator", on_frames(parts, true_rate(rate)), clips, found.marks, true_rate(rate))


def cuts(track: Any) -> list[tuple[str, int, int, float]]:
    return [
        (
            clip.name,
            round(clip.source_range.start_time.value),
            round(clip.source_range.duration.value),
            round(clip.effects[0].time_scalar, 1) if clip.effects else 1.0,
        )
        for clip in track
    ]


def from_otio(film: Edited) -> Any:
    return otio.adapters.read_from_string(otio_file(film), "otio_json")


def from_edl(film: Edited) -> Any:
    return otio.adapters.read_from_string(edl_file(film), "cmx_3600", rate=film.rate)


@pytest.mark.parametrize("rate", [23.976, 24.0, 25.0, 29.97, 30.0, 50.0, 59.94, 60.0])
def test_both_files_are_read_back_with_equal_cuts_and_marks(rate: float) -> None:
    film = a_film(rate)
    wanted = [(item.clip, item.start, item.frames, item.speed) for item in film.cut]
    timeline, list_ = from_otio(film), from_edl(film)
    assert cuts(timeline.video_tracks()[0]) == wanted
    assert cuts(list_.video_tracks()[0]) == wanted
    assert round(timeline.duration().value) == round(list_.duration().value) == sum(each[2] for each in wanted)
    marks = [
        (round(mark.marked_range.start_time.value), mark.name, mark.color) for mark in timeline.tracks.markers
    ]
    zero = round(timeline.global_start_time.value)
    listed = [
        (round(mark.marked_range.start_time.value) - zero, mark.name, mark.color)
        for clip in list_.video_tracks()[0].find_clips()
        for mark in clip.markers
    ]
    assert [(frame, ascii_words(name), colour) for frame, name, colour in marks] == listed
    assert {name for _, name, _ in marks} >= {"A bridge at U1", "Tip: Ω and µ are no ASCII"}
    seconds = {name: frame / film.rate for frame, name, _ in marks}
    assert seconds["A bridge at U1"] == pytest.approx(300 / 16 + 10, abs=1 / 20)


def test_the_other_camera_runs_beside_the_film_turned_off_with_gaps_where_it_is_in_it() -> None:
    timeline = from_otio(a_film(25.0))
    film, close, wide = timeline.video_tracks()
    assert (close.name, wide.name) == ("close-1.mov", "wide-1.mov")
    assert [type(item).__name__ for item in wide] == ["Clip", "Clip", "Gap", "Clip"]
    assert [type(item).__name__ for item in close] == ["Gap", "Gap", "Clip", "Gap"]
    assert all(track.duration() == film.duration() for track in (close, wide))
    assert [clip.enabled for clip in film] == [True] * 4
    assert not any(clip.enabled for clip in wide.find_clips())
    assert wide[1].source_range == film[1].source_range


def test_a_clip_is_named_by_its_file_with_its_length() -> None:
    clip = from_otio(a_film(25.0)).video_tracks()[0][0]
    assert clip.media_reference.target_url == "close-1.mov"
    assert clip.media_reference.available_range.duration.to_seconds() == 600


@pytest.mark.parametrize("rate", [25.0, 29.97])
def test_sound_goes_with_what_plays_at_normal_speed_and_is_nowhere_else(rate: float) -> None:
    film = a_film(rate)
    picture = [(at, item.frames) for at, item in placed(film.cut) if item.speed == 1]
    timeline = from_otio(film)
    assert [track.name for track in timeline.audio_tracks()] == ["Film, sound", "wide-1.mov, sound"]
    heard = timeline.audio_tracks()[0]
    assert [
        (round(heard.range_of_child(clip).start_time.value), round(clip.duration().value))
        for clip in heard.find_clips()
    ] == picture
    assert [gap.name for gap in heard if isinstance(gap, otio.schema.Gap)] == [
        "no sound at 16x",
        "no sound at 8x",
    ]
    list_ = from_edl(film)
    for sound in list_.audio_tracks():  # AA/V: two channels
        assert [round(clip.duration().value) for clip in sound.find_clips()] == [each[1] for each in picture]
    assert len(list_.audio_tracks()) == 2
    assert edl_file(film).count("* NO SOUND AT") == 2


def placed(items: Sequence[CutItem]) -> list[tuple[int, CutItem]]:
    at, found = 0, []
    for item in items:
        found.append((at, item))
        at += item.frames
    return found


def test_source_times_count_from_the_timecode_that_the_camera_stamped() -> None:
    film = replace(
        a_film(25.0), sources={"close-1.mov": Source(length=600.0, first=90_062), "wide-1.mov": Source()}
    )
    first = from_otio(film).video_tracks()[0][0]
    assert first.source_range.start_time.to_timecode() == "01:00:02:12"
    assert first.media_reference.available_range.start_time.value == 90_062
    assert from_edl(film).video_tracks()[0][0].source_range.start_time.to_timecode() == "01:00:02:12"
    assert from_edl(film).video_tracks()[0][2].source_range.start_time.to_timecode() == "00:05:00:13"


def test_a_clip_that_runs_over_midnight_is_read_back() -> None:
    film = Edited(
        title="t", rate=25.0, sources={"a": Source(length=100.0, first=24 * 90_000 - 1025)},
        cut=tuple(CutItem(clip="a", start=start, frames=50) for start in (0, 1000, 1500)),
    )  # fmt: skip
    for timeline in (from_edl(film), from_otio(film)):
        clips = list(timeline.video_tracks()[0].find_clips())
        assert [round(clip.source_range.duration.value) for clip in clips] == [50, 50, 50]
    first, crossing, after = (line.split()[4:6] for line in edl_file(film).splitlines() if line[:3].isdecimal())
    assert (first[0], crossing[0], after[0]) == ("23:59:19:00", "23:59:59:00", "00:00:19:00")


def test_two_files_of_one_name_are_found_in_their_folders_and_kept_apart(tmp_path: Path) -> None:
    names = ("A/C 01.MP4", "B/C 01.MP4")
    film = Edited(
        title="t", rate=25.0, sources={name: Source(length=9.0) for name in names},
        cut=tuple(CutItem(clip=name, start=0, frames=50) for name in names),
    )  # fmt: skip
    for name in names:
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_text("")
    timeline = otio.adapters.read_from_string(otio_file(film, tmp_path.as_uri()), "otio_json")
    urls = [clip.media_reference.target_url for clip in timeline.video_tracks()[0]]
    assert [Path(otio.url_utils.filepath_from_url(url)) for url in urls] == [tmp_path / name for name in names]
    beside = from_otio(film).video_tracks()[0]
    assert [otio.url_utils.filepath_from_url(clip.media_reference.target_url) for clip in beside] == list(names)
    lines = edl_file(film).splitlines()
    assert [line for line in lines if "CLIP NAME" in line] == ["* FROM CLIP NAME: C 01.MP4"] * 2
    assert [line.split()[1] for line in lines if line[:3].isdecimal()] == ["AC01", "BC01"]


def test_clips_that_the_cut_has_no_such_time_for_are_inserts_with_a_mark() -> None:
    bench = opened_and_clapped()
    bench.do(DIODES, 600)
    bench.do(RESISTORS, 600)
    clapped = utc_seconds(bench.events[1].at) or 0.0
    for name, start, length in (
        ("close-1.mov", 0.0, 1300.0), ("wide.mov", 100.0, 900.0), ("phone-1.mp4", 300.0, 40.0),
        ("phone-2.mp4", 310.0, 30.0), ("phone-3.mp4", 900.0, 20.0), ("unboxing.mp4", -500.0, 60.0),
        ("last.mp4", 5000.0, 10.0),
    ):  # fmt: skip
        bench.add(
            ev.ClipNamed,
            1.0,
            clip=name,
            claps=((1, -start),) if start <= 0 else (),
            length=length,
            starts=stamp_text(clapped + start) if start > 0 else "",
        )
    found = footage(bench)
    clips = {each.clip.name: each.clip for each in found.clips}
    parts = (
        ClipPart(clip="close-1.mov", start=0, end=800, speed=16.0),
        ClipPart(clip="close-1.mov", start=895, end=910),
        ClipPart(clip="close-1.mov", start=910, end=1200, speed=8.0),
    )
    film = edited("t", on_frames(parts, 25.0), clips, found.marks, 25.0)
    beside = {track.name: [item for item in placed(track.items) if item[1].clip] for track in film.beside}
    assert [(at, each.start, each.frames) for at, each in beside["wide.mov"]] == [
        (157, 12, 1093), (1250, 19_875, 375), (1625, 20_250, 281),
    ]  # fmt: skip
    assert ("phone-3.mp4", 250) in [(each.clip, each.frames) for _, each in beside["phone-1.mp4"]]
    inserts = [
        (at / 25, each.clip, each.frames, each.speed)
        for name in beside
        if name.startswith("Inserts")
        for at, each in beside[name]
    ]
    total = sum(item.frames for item in film.cut) / 25
    assert sorted(inserts) == [
        (0.0, "unboxing.mp4", 1500, 1.0), (pytest.approx(300 / 16, abs=0.1), "phone-1.mp4", 1000, 1.0),
        (pytest.approx(310 / 16, abs=0.1), "phone-2.mp4", 750, 1.0), (total - 10, "last.mp4", 250, 1.0),
    ]  # fmt: skip
    assert [note.text for note in film.notes if note.kind == "insert"] == [
        "Insert: unboxing.mp4 (1:00)", "Insert: phone-1.mp4 (0:40)", "Insert: phone-2.mp4 (0:30)",
        "Insert: last.mp4 (0:10)",
    ]  # fmt: skip
    said = " ".join(film.remarks)
    assert all(name in said for name in clips if name != "close-1.mov")


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "file:///etc/passwd", "a\nb", f"x{HOSTILE}", '"><script>', "AX", "é.mov"]
)
def test_hostile_names_and_words_stay_words(name: str) -> None:
    note = f"001  AX V C 00:00:00:00\n* LOC: 01:00:00:00 RED x\r\n{name}"
    film = Edited(
        title=f"t\nFCM: DROP FRAME{name}", rate=25.0, cut=(CutItem(clip=name, start=0, frames=50),),
        notes=(FilmNote(frame=3, text=note, kind="tip"),), sources={name: Source(length=9.0)},
    )  # fmt: skip
    text = edl_file(film)
    assert text.isascii()
    assert all(char == "\n" or char.isprintable() for char in text)
    assert [line[:6] for line in text.splitlines()] == [
        "TITLE:",
        "FCM: N",
        "",
        "001  " + text.splitlines()[3][5],
        "* FROM",
        "* LOC:",
    ]
    (clip,) = from_edl(film).video_tracks()[0].find_clips()
    assert len(clip.markers) == 1
    (again,) = from_otio(film).video_tracks()[0].find_clips()
    url = again.media_reference.target_url
    assert not set(":\n\\") & set(url)
    assert not {"", "..", "."} & set(url.split("/"))
    json.loads(otio_file(film))


def test_every_clip_has_a_reel_of_its_own_in_eight_plain_characters() -> None:
    names = [f"a very long name {n}.mov" for n in range(120)] + [
        "BL",
        "bars.mov",
        "é",
        "ж",
        "close-1.MOV",
        "close_1.mov",
    ]
    reels = reel_names(names)
    assert len(set(reels.values())) == len(names)
    assert all(re.fullmatch(r"[A-Z0-9]{1,8}", reel) for reel in reels.values())
    assert not {"BL", "BLACK", "BARS", "AX"} & set(reels.values())


def test_an_edl_of_too_many_cuts_is_refused() -> None:
    film = Edited(
        title="t", rate=25.0, cut=(CutItem(clip="a", start=0, frames=1),) * (MOST_EVENTS + 1), sources={}
    )
    with pytest.raises(SoldersideError, match="999"):
        edl_file(film)


def test_without_the_library_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "opentimelineio", None)
    with pytest.raises(SoldersideError) as missing:
        otio_file(a_film(25.0))
    assert "solderside[film]" in missing.value.hint

"""The film for editing programs: read back by OpenTimelineIO and by its reader of CMX 3600."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Sequence
from typing import Any

import opentimelineio as otio
import pytest

from bench.errors import SoldersideError
from bench.log import events as ev
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

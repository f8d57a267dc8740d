"""One clip tells the offset and the drift of its camera's clock for the others; wild drifts are refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.errors import Refused
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.film.clips import Clip
from bench.writeup.film.clock_map import how_found
from bench.writeup.film.publish import Typed, build_footage, forget_clips, name_clip
from tests.support.samples import HandClock

BEGAN = 1_927_820_000.0
"""2031-02-02 17:33:20 UTC."""


@pytest.fixture
def build(own_data: Path, kit_file: Path) -> Build:
    """Claps after 60, 960 and 1860 s, a step in between."""
    clock = HandClock(utc=BEGAN)
    build = open_build(own_data, str(kit_file), Settings(), clock)
    build.opened()
    clock.work(60)
    for _ in range(3):
        build.clap()
        for _ in range(3):
            clock.work(300)
            build.done()
    return build


def named(build: Build, clip: str, **said: object) -> Clip:
    name_clip(build, Settings(), Typed(clip=clip, **said))  # type: ignore[arg-type]
    found = build_footage(build).clip(clip)
    assert found is not None
    return found.clip


def test_one_clap_per_camera_places_all_its_clips(build: Build) -> None:
    first = named(build, "tall-1.mov", starts="17:37:30Z", claps=["1=10"], length="10:00")
    assert first.begins == pytest.approx(BEGAN + 50)
    second = named(build, "tall-2.mov", starts="17:52:30Z", length="5:00")
    assert second.begins == pytest.approx(BEGAN + 950)  # 3 min 20 s before what the start says
    assert second.map is not None
    assert "3 min 20 s ahead of the bench clock in tall-1.mov" in how_found(second.map)
    assert any("a clap would place it to the frame" in word for word in second.doubts)
    other = named(build, "wide-1.mov", starts="17:52:30Z", length="5:00")
    assert other.begins == pytest.approx(BEGAN + 1150)  # another camera has its own clock
    assert other.doubts == ()


def test_the_drift_of_a_camera_holds_for_its_clips_with_one_clap_or_a_start(build: Build) -> None:
    named(build, "c-1.mov", starts="17:33:20Z", claps=["1=60.0", "3=1860.18"], length="40:00")  # +100 ppm
    one = named(build, "c-2.mov", claps=["2=1.5"], length="15:00")
    assert one.map is not None
    assert one.map.drift == pytest.approx(100e-6)
    assert one.map.clip(BEGAN + 1860) == pytest.approx(1.5 + 900 * 1.0001)
    assert "with the drift of c-1.mov, +100.0 ppm" in how_found(one.map)
    start = named(build, "c-3.mov", starts="17:50:00Z", length="15:00")
    assert start.map is not None
    assert start.map.drift == pytest.approx(100e-6)
    assert start.begins == pytest.approx(BEGAN + 1000 - 1000 * 100e-6, abs=0.02)


def test_of_two_offsets_the_nearest_counts_and_the_other_is_told(build: Build) -> None:
    named(build, "t-1.mov", starts="17:34:20Z", claps=["1=10"], length="2:00")  # 10 s ahead
    named(build, "t-2.mov", starts="18:04:10Z", claps=["3=0"], length="2:00")  # set anew: 10 s behind
    late = named(build, "t-3.mov", starts="18:08:10Z", length="1:00")
    assert late.begins == pytest.approx(BEGAN + 2090 + 10, abs=0.02)
    assert any("In t-1.mov it was 10 s ahead of it" in word for word in late.doubts)


@pytest.mark.parametrize(
    "claps",
    [
        ["1=10", "3=1000"],
        ["1=10", "2=20"],
        ["1=500", "2=10"],
        ["1=0", "2=3000"],
        ["1=10", "2=908", "3=1807"],
        ["1=10.0", "2=911.4"],
    ],
)
def test_claps_that_no_clock_fits_are_refused_with_what_to_check(build: Build, claps: list[str]) -> None:
    before = len(build.log.events)
    with pytest.raises(Refused) as refused:
        name_clip(build, Settings(), Typed(clip="bad.mov", claps=claps, length="60:00"))
    assert "one clap alone" in refused.value.hint
    assert "check" in str(refused.value) or "misread" in str(refused.value)
    assert len(build.log.events) == before


def test_frames_taken_for_another_rate_are_refused_in_words(build: Build) -> None:
    with pytest.raises(Refused, match=r"29\.97"):
        name_clip(build, Settings(), Typed(clip="bad.mov", claps=["1=10.0", "3=1811.802"]))


@pytest.mark.parametrize("claps", [["1=10", "3=1810"], ["1=10.0", "2=910.09"], ["1=10", "3=1811"]])
def test_claps_read_to_the_second_or_a_tenth_are_taken(build: Build, claps: list[str]) -> None:
    assert named(build, "ok.mov", claps=claps, length="60:00").map is not None


def test_what_is_said_anew_of_a_clip_replaces_only_that_and_is_told(build: Build) -> None:
    named(build, "C0001.MP4", claps=["1=10"], length="10:00", timecode="18:03:30:12")
    said = name_clip(build, Settings(), Typed(clip="C0001.MP4", starts="17:40:00Z"))
    assert said.claps == ((1, 10.0),)
    assert any("kept from before: clap 1 at 10 s" in word for word in said.remarks)
    assert any("B/C0001.MP4" in word for word in said.remarks)
    (clip,) = build.progress.clips
    assert (clip.timecode, clip.length) == ("18:03:30:12", 600.0)
    with pytest.raises(Refused, match="past the clip's end"):
        name_clip(build, Settings(), Typed(clip="C0001.MP4", length="0:05"))


def test_a_clip_is_taken_out_with_all_that_was_said_of_it(build: Build) -> None:
    named(build, "a.mov", claps=["1=10"])
    named(build, "a.mov", claps=["1=11"])
    named(build, "b.mov", claps=["1=12"])
    lines = len(build.log.events)
    forget_clips(build, "a.mov")
    assert [clip.clip for clip in build.progress.clips] == ["b.mov"]
    assert len(build.log.events) == lines + 2  # nothing is erased
    with pytest.raises(Refused, match="no clip is called"):
        forget_clips(build, "a.mov")


@pytest.mark.parametrize(
    ("code", "word"),
    [("18:03:30;12", "dropped frames"), ("18:03:30:25", "25 frames a second"), ("18:03:30", "not a timecode"),
     ("24:00:00:00", "no timecode")],
)  # fmt: skip
def test_a_timecode_that_no_timeline_can_hold_is_refused(build: Build, code: str, word: str) -> None:
    with pytest.raises(Refused, match=word):
        name_clip(build, Settings(), Typed(clip="a.mov", claps=["1=10"], timecode=code))

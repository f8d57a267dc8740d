"""Whatever clips are named, wherever they lie: the film kit is written and says what became of each."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import opentimelineio as otio
import pytest
import webvtt
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.log.clock import stamp_text
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.film.chapter_files import plain_list
from bench.writeup.film.chapters import NO_STAGE, NONE, ClipSpot, set_apart
from bench.writeup.film.cut_list import ClipPart, cut_text, film_of, on_frames, read_cut_list
from bench.writeup.film.footage import about_clip
from bench.writeup.film.kit import FilmKit, Wanted, publish_film
from bench.writeup.film.proposal import propose
from bench.writeup.film.publish import build_footage, forget_clips
from tests.support.samples import HandClock

BEGAN = 1_927_820_000.0
LASTS = 3000.0


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """Fifty minutes of work with a snag, a moment, a break."""
    data = tmp_path_factory.mktemp("data")
    clock = HandClock(utc=BEGAN)
    kit = Path(__file__).parents[2] / "kits" / "first-evening-metronome.yaml"
    build = open_build(data, str(kit), Settings(), clock)
    build.opened()
    build.clap()
    for number in range(20):
        clock.work(60 + 7 * (number % 5))
        if build.view().wants_reading:
            build.override_hold("no meter")
        build.done()
        if number == 6:
            build.snag("a bridge", "R4")
            clock.work(120)
            build.mend(build.progress.snags[-1].n, "wick", 2)
        if number == 9:
            build.note("the iron at work", "show")
        if number == 12:
            build.break_begin()
            clock.work(600)
            build.break_end()
    clock.work(BEGAN + LASTS - clock.utc)
    build.note("done for today")
    return build


SPAN = st.tuples(
    st.floats(-4000, LASTS + 4000), st.one_of(st.just(0.0), st.floats(0.2, 300), st.floats(300, 5000))
)


def kit_of(build: Build, out: Path, spans: list[tuple[float, float]], minutes: float) -> FilmKit:
    for number, (start, length) in enumerate(spans):
        clip = f"{'abc'[number % 3]}{number}/C0001.MP4"
        build.name_clip(clip, stamp_text(BEGAN + start), length=length)
    return publish_film(build, Settings(), Wanted(out=out, minutes=minutes, force=True))


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(SPAN, min_size=1, max_size=5), st.sampled_from([0.5, 3.0, 12.0, 60.0]))
def test_any_clips_at_any_time_make_a_kit_and_each_is_accounted_for(
    build: Build, tmp_path_factory: pytest.TempPathFactory, spans: list[tuple[float, float]], minutes: float
) -> None:
    out = tmp_path_factory.mktemp("kit")
    try:
        made = kit_of(build, out, spans, minutes)
        names = [clip.clip for clip in build.progress.clips]
        footage = build_footage(build)
        for each in footage.clips:
            assert about_clip(each)
            plain_list(each.chapters.chapters)
    finally:
        for clip in list(build.progress.clips):
            forget_clips(build, clip.clip)
    assert not made.problems
    told = " ".join(made.remarks)
    track = out / "timeline.otio"
    inside: set[str] = set()
    if track.exists():
        timeline = otio.adapters.read_from_file(str(track))
        cut = {clip.name for clip in timeline.video_tracks()[0].find_clips()}
        inside = {clip.name for each in timeline.video_tracks() for clip in each.find_clips()}
        for name in inside - cut:  # what is not in the cut is said to be beside it
            assert name in told
        length = timeline.video_tracks()[0].duration()
        assert all(each.duration() <= length for each in timeline.tracks)
        for each in timeline.find_clips():
            file = each.media_reference.available_range
            assert each.source_range.start_time.value >= 0
            if file and not each.effects:
                assert each.source_range.end_time_exclusive() <= file.end_time_exclusive()
    for name in names:
        assert name in inside or name in told
    for path in out.rglob("*.vtt"):
        cues = webvtt.read(str(path)).captions
        for before, after in pairwise(cues):
            assert before.start_in_seconds <= before.end_in_seconds <= after.start_in_seconds


def test_a_clip_wholly_before_the_first_step_has_no_chapters_where_no_site_asks_for_one() -> None:
    spot = ClipSpot(at=0.0, title=NO_STAGE, kind="stage")
    assert set_apart([spot], 180.0, NONE).chapters == ()
    (only,) = set_apart([spot], 180.0).chapters
    assert only.title == NO_STAGE


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.floats(-600, 600), st.floats(0.5, 60),
    st.sampled_from([23.976, 24.0, 25.0, 29.97, 30.0, 50.0, 59.94, 60.0]),
)  # fmt: skip
def test_stages_follow_each_other_in_the_film_as_they_did_at_the_bench(
    build: Build, start: float, minutes: float, rate: float
) -> None:
    build.name_clip("one.mov", stamp_text(BEGAN + start), length=LASTS)
    try:
        footage = build_footage(build)
    finally:
        forget_clips(build, "one.mov")
    clips = {each.clip.name: each.clip for each in footage.clips}
    proposed = propose(list(clips.values()), footage.marks, footage.stretches, minutes * 60)
    true = rate if rate == int(rate) else round(rate) * 1000 / 1001
    parts = on_frames(proposed.parts, true)
    for before, after in pairwise(parts):
        assert before.end <= after.start + 1e-6  # no frame twice
    again = on_frames(read_cut_list(cut_text(parts), "x", clips), true)
    assert [each.start for each in again] == pytest.approx([each.start for each in parts], abs=1e-6)
    assert [each.end for each in again] == pytest.approx([each.end for each in parts], abs=1e-6)
    stages = [mark.title for mark in footage.marks if mark.kind == "stage"]
    film = film_of(parts, clips, footage.marks, NONE)
    shown = [each.title for each in film.chapters.chapters if each.kind == "stage" and each.title in stages]
    assert shown == [title for title in stages if title in shown]
    for chapter, following in pairwise(film.chapters.chapters):
        assert chapter.end == following.start > chapter.start + 1 / 120


def test_a_part_that_begins_with_a_mark_shows_nothing_from_before_it() -> None:
    parts = (ClipPart(clip="a", start=0.0, end=314.83, speed=16.0), ClipPart(clip="a", start=314.83, end=320.0))
    fast, slow = on_frames(parts, 25.0)
    assert slow.start == pytest.approx(314.84)
    assert fast.end <= 314.83

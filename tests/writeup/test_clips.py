"""Clips on the bench's time line: where they lie, and every doubt about that."""

from __future__ import annotations

from datetime import UTC
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.clock import stamp_text, utc_seconds
from bench.log.fold import fold
from bench.writeup.film.clips import Clip, place_clips
from bench.writeup.film.footage import about_clip
from bench.writeup.markdown import write_up
from bench.writeup.publish import whole_story
from tests.support.filmed import footage, opened_and_clapped
from tests.support.story_bench import DIODES, KIT, PLAN, Bench

BEGAN = "2031-02-03T18:20:00.000Z"
"""When the test's bench opens, UTC."""


def clips_of(bench: Bench, zone: Any = UTC) -> tuple[Clip, ...]:
    progress = fold(bench.events)
    return place_clips(bench.events, progress.claps, progress.clips, zone)[0]


def clap(bench: Bench, after: float = 0.0) -> int:
    """Clap, so much later; the clap's number."""
    number = 1 + sum(isinstance(event, ev.SyncMarked) for event in bench.events)
    bench.add(ev.SyncMarked, after, number=number)
    return number


def name(bench: Bench, clip: str = "one.mov", **fields: Any) -> None:
    """Name a clip, later and at the desk."""
    bench.run = "desk"
    bench.add(ev.ClipNamed, 5.0, clip=clip, **fields)


@pytest.fixture
def bench() -> Bench:
    return Bench(BEGAN)


def at(seconds: float) -> float:
    """Bench time so long after the beginning."""
    began = utc_seconds(BEGAN)
    assert began is not None
    return began + seconds


# -- placing -----------------------------------------------------------------------------------------
def test_a_clip_with_a_clap_begins_so_long_before_it(bench: Bench) -> None:
    clap(bench, 60)
    bench.add(ev.Noted, 300, text="x")
    name(bench, claps=((1, 12.48),), length=600.0)
    (clip,) = clips_of(bench)
    assert clip.begins == pytest.approx(at(60 - 12.48))
    assert clip.ends == pytest.approx(at(60 - 12.48 + 600))
    assert (clip.length, clip.length_known, clip.doubts) == (600.0, True, ())


def test_a_clip_with_a_start_begins_there_and_without_a_zone_it_is_said(bench: Bench) -> None:
    bench.add(ev.Noted, 300, text="x")
    name(bench, "zoned", starts="2031-02-03T19:21:00+01:00", length=600.0)
    name(bench, "bare", starts="2031-02-03T19:21:00", length=600.0)
    zoned, bare = clips_of(bench, ZoneInfo("Europe/Berlin"))
    assert zoned.begins == bare.begins == at(60)
    assert zoned.doubts == ()
    assert "gives no zone" in bare.doubts[0]


def test_a_later_naming_of_a_clip_replaces_the_earlier_and_undoing_brings_it_back(bench: Bench) -> None:
    clap(bench, 60)
    name(bench, claps=((1, 5.0),), length=100.0)
    name(bench, claps=((1, 7.0),), length=100.0)
    assert [clip.begins for clip in clips_of(bench)] == [at(53)]
    bench.add(ev.Undone, 1, of=len(bench.events))
    assert [clip.begins for clip in clips_of(bench)] == [at(55)]


def test_the_filmed_clock_places_a_clip_as_a_clap_does(bench: Bench) -> None:
    bench.add(ev.Noted, 300, text="x")
    name(bench, shows=((stamp_text(at(90.3)), 12.0),), length=600.0)
    assert clips_of(bench)[0].begins == pytest.approx(at(78.3), abs=1e-3)


def test_clips_stand_in_order_of_time_and_those_without_a_place_last(bench: Bench) -> None:
    clap(bench, 60)
    clap(bench, 600)
    name(bench, "second", claps=((2, 5.0),), length=100.0)
    name(bench, "nowhere", claps=((9, 5.0),))
    name(bench, "first", claps=((1, 5.0),), length=100.0)
    assert [clip.name for clip in clips_of(bench)] == ["first", "second", "nowhere"]


def test_a_clip_of_unknown_length_ends_with_the_last_thing_that_fits_and_says_so(bench: Bench) -> None:
    clap(bench, 60)
    bench.add(ev.Noted, 300, text="in it")
    bench.add(ev.Noted, 3 * 3600, text="long after")
    name(bench, claps=((1, 10.0),))
    (clip,) = clips_of(bench)
    assert clip.ends == at(360)
    assert clip.length == pytest.approx(310)
    assert any("length is not known" in doubt for doubt in clip.doubts)


def test_a_clip_of_unknown_length_ends_before_the_next_one(bench: Bench) -> None:
    clap(bench, 60)
    bench.add(ev.Noted, 300, text="x")
    clap(bench, 60)
    bench.add(ev.Noted, 300, text="x")
    name(bench, "a", claps=((1, 10.0),))
    name(bench, "b", claps=((2, 10.0),))
    first, second = clips_of(bench)
    assert first.ends == at(360) < second.begins == at(410)


# -- what the wall clock did -------------------------------------------------------------------------
def two_claps(bench: Bench, leap: float, length: float = 1000.0) -> Clip:
    """A clip over two claps ten minutes apart on the camera, while the wall clock leapt between them."""
    clap(bench, 60)
    bench.add(ev.Noted, 200, text="x")
    mono = bench.events[-1].mono
    bench.now += leap
    for number, text in ((400, "y"), (410, "z")):
        n = len(bench.events) + 1
        kind: Any = ev.SyncMarked if number == 400 else ev.Noted
        more: dict[str, Any] = {"number": 2} if number == 400 else {"text": text}
        bench.now += 400 if number == 400 else 10
        bench.events.append(kind(n=n, at=stamp_text(bench.now), mono=mono + number, run=bench.run, **more))
    name(bench, claps=((1, 10.0), (2, 610.0)), length=length)
    return clips_of(bench)[0]


@pytest.mark.parametrize("leap", [3600.0, 90.0, 7.0, -3600.0])
def test_two_claps_of_a_clip_tell_a_clock_that_was_set_from_a_sleep(bench: Bench, leap: float) -> None:
    clip = two_claps(bench, leap)
    assert clip.map is not None
    assert clip.map.drift == pytest.approx(0.0, abs=1e-9)
    (doubt,) = clip.doubts
    assert ("set ahead" if leap > 0 else "set back") in doubt


def test_a_sleep_between_two_claps_is_believed_when_the_camera_ran_on(bench: Bench) -> None:
    clap(bench, 60)
    mono = bench.events[-1].mono
    bench.now += 1200
    number = len(bench.events) + 1
    bench.events.append(
        ev.SyncMarked(n=number, at=stamp_text(bench.now), mono=mono + 600, run=bench.run, number=2)
    )
    name(bench, claps=((1, 10.0), (2, 1210.0)), length=1500.0)
    (clip,) = clips_of(bench)
    assert clip.map is not None
    assert clip.map.drift == pytest.approx(0.0, abs=1e-9)
    assert "slept for 10 min" in " ".join(clip.doubts)


# -- doubts ------------------------------------------------------------------------------------------
def test_a_clap_that_was_taken_back_is_passed_over_and_said(bench: Bench) -> None:
    clap(bench, 60)
    taken_back = len(bench.events)
    clap(bench, 600)
    bench.add(ev.Undone, 1, of=taken_back)
    name(bench, claps=((1, 10.0), (2, 610.0)), length=700.0)
    (clip,) = clips_of(bench)
    assert clip.map is not None
    assert [pair.mark for pair in clip.map.pairs] == ["clap 2"]
    assert "Clap 1 is no longer in the log" in clip.doubts[0]


def test_a_camera_clock_that_is_off_is_told_and_the_claps_decide(bench: Bench) -> None:
    clap(bench, 60)
    name(bench, claps=((1, 10.0),), starts="2031-02-03T18:22:53+00:00", length=100.0)
    (clip,) = clips_of(bench)
    assert clip.begins == at(50)
    assert "2 min 03 s ahead of the bench clock" in clip.doubts[0]


@pytest.mark.parametrize(("starts", "word"), [("20:21:00", "2 h earlier"), ("17:21:00", "1 h later")])
def test_a_start_in_another_zone_finds_nothing_and_says_by_how_many_hours(
    bench: Bench, starts: str, word: str
) -> None:
    bench.add(ev.Noted, 300, text="x")
    name(bench, starts=f"2031-02-03T{starts}Z", length=300.0)
    (clip,) = clips_of(bench)
    assert any(word in doubt and "zone" in doubt for doubt in clip.doubts)


def test_a_clip_in_which_nothing_happened_is_not_said_to_be_off_by_no_hours(bench: Bench) -> None:
    bench.add(ev.Noted, 300, text="x")
    name(bench, "short", starts="2031-02-03T18:21:00Z", length=30.0)
    (clip,) = clips_of(bench)
    assert not any(" 0 h" in doubt for doubt in clip.doubts)


def test_what_cannot_be_placed_says_why(bench: Bench) -> None:
    clap(bench, 60)
    clap(bench, 600)
    name(bench, "backwards", claps=((1, 700.0), (2, 10.0)))
    name(bench, "no mark", claps=())
    name(bench, "no time", starts="soon")
    clips = {clip.name: clip for clip in clips_of(bench)}
    assert all(clip.map is None for clip in clips.values())
    assert "backwards" in clips["backwards"].doubts[0]
    assert "Nothing says" in clips["no mark"].doubts[0]
    assert "'soon' is not a time" in clips["no time"].doubts[0]


def test_a_stamp_from_the_end_of_time_breaks_nothing(bench: Bench) -> None:
    bench.events.append(ev.SyncMarked(n=3, at="9999-12-31T23:59:59.000Z", mono=0.0, run="z", number=1))
    name(bench, claps=((1, 0.0),), length=100.0)
    (clip,) = clips_of(bench)
    assert clip.map is None
    assert "year 9000" in clip.doubts[0]


# -- properties --------------------------------------------------------------------------------------
@given(
    ppm=st.floats(-200, 200),
    lead=st.floats(0, 120),
    spans=st.lists(st.floats(120, 2000), min_size=1, max_size=5),
    events=st.lists(st.floats(1, 500), max_size=8),
    leaps=st.lists(st.sampled_from([0.0, 0.0, 3600.0, -3600.0, 5.0, -0.7]), min_size=8, max_size=8),
)
def test_any_event_lies_within_a_few_milliseconds_of_where_the_camera_saw_it(
    ppm: float, lead: float, spans: list[float], events: list[float], leaps: list[float]
) -> None:
    """Random claps, drift and settings of the wall clock, as far as stamps of one millisecond carry."""
    bench, rate, passed = Bench(BEGAN), 1.0 + ppm * 1e-6, 0.0
    mono_zero = bench.events[-1].mono

    def add(after: float, leap: float, kind: Any, **fields: Any) -> float:
        nonlocal passed
        passed += round(after, 3)
        bench.now += round(after, 3) + leap
        bench.events.append(
            kind(
                n=len(bench.events) + 1,
                at=stamp_text(bench.now),
                mono=round(mono_zero + passed, 3),
                run=bench.run,
                **fields,
            )
        )
        return passed

    seen = [add(lead, 0.0, ev.SyncMarked, number=1)]
    truth = []
    for number, (span, leap) in enumerate(zip(spans, leaps, strict=False), 2):
        truth += [add(after, 0.0, ev.Noted, text="x") for after in events[number - 2 : number - 1]]
        seen.append(add(span, leap, ev.SyncMarked, number=number))
    began = seen[0] - 3.0
    name(bench, claps=tuple((n, (when - began) * rate) for n, when in enumerate(seen, 1)), length=20_000.0)
    progress = fold(bench.events)
    (clip,), timeline = place_clips(bench.events, progress.claps, progress.clips, UTC)
    assert clip.map is not None
    notes = [timeline.seconds[event.n] for event in bench.events if isinstance(event, ev.Noted)]
    for bench_time, when in zip(notes, truth, strict=True):
        assert abs(clip.map.clip(bench_time) - (when - began) * rate) < 1e-3


ANY_FLOAT = st.floats(allow_nan=False, allow_infinity=False)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["", "0001-01-01", "1969-12-31T23:00:00Z", BEGAN, "9999-12-31T23:59:59Z"]),
            ANY_FLOAT,
            st.integers(-3, 3),
        ),
        max_size=4,
    ),
    st.lists(st.tuples(st.integers(-3, 3), ANY_FLOAT), max_size=3),
    st.lists(
        st.tuples(st.sampled_from(["", BEGAN, "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z", "x"]), ANY_FLOAT),
        max_size=2,
    ),
    st.sampled_from(["", "soon", BEGAN, "0001-01-01", "9999-12-31T23:59:59-12:00", "2031-02-03T19:00:00"]),
    ANY_FLOAT,
)
def test_whatever_stands_in_a_log_the_footage_is_told_without_a_word_of_python(
    made: list[tuple[str, float, int]],
    claps: list[tuple[int, float]],
    shows: list[tuple[str, float]],
    starts: str,
    length: float,
) -> None:
    bench = Bench(BEGAN)
    for stamp, mono, number in made:
        n = len(bench.events) + 1
        bench.events.append(ev.SyncMarked(n=n, at=stamp, mono=mono, run="z", number=number))
    bench.add(ev.Noted, 60, text="x", mark="show")
    name(bench, claps=tuple(claps), shows=tuple(shows), starts=starts, length=length)
    told = whole_story(KIT, PLAN, bench.events)
    assert [clip.name for clip in told.clips] == ["one.mov"]
    write_up(told)
    for clip in told.clips:
        assert clip.begins is None or clip.seconds >= 0
        assert (clip.begins is None) == (clip.how == "")


def test_a_clip_of_eight_seconds_within_a_long_step_is_in_no_doubt() -> None:
    bench = opened_and_clapped()
    bench.do(DIODES, 840)
    bench.run = "desk"
    bench.add(ev.ClipNamed, 1.0, clip="short", claps=((1, 0.0),), starts="", length=8.0)
    bench.add(ev.ClipNamed, 1.0, clip="later", starts="2031-02-03T18:25:00+00:00", length=8.0)
    told = {each.clip.name: about_clip(each) for each in footage(bench).clips}
    assert [len(words) for words in told.values()] == [1, 1], told

"""Which photo shows which stage."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.log.fold import fold
from bench.log.photos import MatchedPhoto
from bench.log.progress import Progress
from bench.session.build import Build
from bench.writeup.photos.photo_map import (
    NEAR_MARK,
    likely_shift,
    marks_met,
    moments,
    shown,
    unmet_marks,
)
from bench.writeup.photos.photo_map import place_photos as placed
from bench.writeup.photos.spots import BOUNDARY, GRACE, WorkSpans
from tests.support.photographs import at, evening
from tests.support.samples import HandClock

MAIN, CONTROL, POWER = ("Flat parts", "main"), ("Flat parts", "control"), ("Before power", "")


def picture(seconds: float, file: str = "a.jpg", **more: object) -> MatchedPhoto:
    """A photo so long after the evening began."""
    fields = {"copy": f"copy-of-{file}", "source": "camera", "width": 4, "height": 3} | more
    return MatchedPhoto(file=file, at=stamp_text(at(seconds)), **fields)  # type: ignore[arg-type]


def make_build(folder: Path, clock: HandClock) -> Build:
    return evening(folder, clock)


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """The same evening, for tests that only look at it, many times over."""
    return evening(tmp_path_factory.mktemp("lamp") / "lamp")


@pytest.fixture
def line(build: Build) -> WorkSpans:
    return WorkSpans(build.events, build.progress)


# -- stages ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("seconds", "place"),
    [(1, MAIN), (150, MAIN), (299, MAIN), (300, MAIN), (301, CONTROL), (359, CONTROL), (1000, POWER)],
)
def test_a_photo_belongs_to_the_stage_whose_event_ended_its_time(
    line: WorkSpans, seconds: float, place: tuple[str, str]
) -> None:
    spot = line.spot(at(seconds))
    assert spot.kept
    assert spot.place == place


def test_near_the_change_of_a_stage_it_is_said_that_it_may_show_the_other(line: WorkSpans) -> None:
    assert line.spot(at(312)).doubt == "12 s after Flat parts, main board ended: it may show that"
    assert line.spot(at(290)).doubt == "10 s before Flat parts, control board began: it may show that"
    assert not line.spot(at(300 - BOUNDARY - 1)).doubt
    assert line.spot(at(300 + BOUNDARY - 0.5)).doubt
    assert line.spot(at(150)).doubt == ""


def test_a_photo_from_a_break_stays_with_the_stage_and_is_doubted(line: WorkSpans) -> None:
    spot = line.spot(at(600))
    assert spot.kept
    assert spot.doubt == "taken in a break"


def test_photos_from_long_before_and_long_after_have_nothing_to_do_with_the_build(line: WorkSpans) -> None:
    before, after = line.spot(at(-3 * 3600)), line.spot(at(5 * 86400))
    assert not before.kept
    assert before.why == "3 h 00 min before the build began"
    assert not after.kept
    assert after.why == "5 days after the last key"


def test_a_few_minutes_outside_still_count_and_are_doubted(line: WorkSpans) -> None:
    before, after = line.spot(at(-60)), line.spot(at(1030 + GRACE))
    assert before.kept
    assert before.place == MAIN
    assert before.doubt == "taken 1 min 00 s before the program was opened"
    assert after.kept
    assert after.place == POWER
    assert "after the program was closed" in after.doubt
    assert not line.spot(at(1030 + GRACE + 1)).kept


def test_between_two_runs_only_the_edges_count(build: Build, clock: HandClock) -> None:
    build.close()
    clock.sleep(86400)
    again = Build(build.kit, build.plan, type(build.log)(build.log.folder), clock)
    again.writer.run = "another"
    again.opened()
    clock.work(60)
    again.done()
    line = WorkSpans(again.events, again.progress)
    assert len(line.runs) == 2
    far = line.spot(at(6 * 3600))
    assert not far.kept
    assert far.why.startswith("between two runs: 5 h 43 min after one, ")
    edge = line.spot(clock.utc - 60 - 120)
    assert edge.kept
    assert "2 min 00 s before the program was opened" in edge.doubt


def test_a_long_break_leaves_its_middle_out(build: Build, clock: HandClock) -> None:
    build.break_begin()
    clock.work(9 * 3600)
    build.break_end()
    line = WorkSpans(build.events, build.progress)
    assert not line.spot(at(1030 + 4 * 3600)).kept
    assert line.spot(at(1030 + 4 * 3600)).why == "in a break of 9 h 00 min"
    assert line.spot(at(1030 + 300)).kept


def test_a_pause_that_nobody_settled_is_doubted_and_one_that_was_work_is_not(
    build: Build, clock: HandClock, tmp_path: Path
) -> None:
    clock.work(3600)
    build.note("still here")
    unsettled = WorkSpans(build.events, build.progress).spot(at(2000))
    assert unsettled.kept
    assert unsettled.doubt == "taken in a long pause"
    other = evening(tmp_path / "other", clock := HandClock())
    clock.work(3600)
    other.settle_gap(worked=True)
    worked = WorkSpans(other.events, other.progress).spot(at(2000))
    assert not worked.doubt
    assert worked.place == POWER


def test_a_clock_set_back_makes_a_time_come_twice_and_that_is_said(build: Build, clock: HandClock) -> None:
    clock.set_back(500)
    build.note("the clock was set")
    clock.work(100)
    build.note("later")
    assert "came twice" in WorkSpans(build.events, build.progress).spot(at(590)).doubt


def test_no_events_no_stage() -> None:
    assert not WorkSpans([], Progress()).spot(at(0)).kept


STEP = st.tuples(
    st.sampled_from(["done", "note", "break", "back", "undo", "settle"]),
    st.floats(0.5, 3000).map(lambda seconds: round(seconds, 1)),
)


@given(st.lists(STEP, max_size=25))
def test_bench_time_on_the_timeline_is_the_bench_time_of_the_log(steps: list[tuple[str, float]]) -> None:
    """The fold that keeps bench time is the reference: with clocks that agree both tell the same seconds."""
    now = 0.0
    events: list[ev.AnyEvent] = []

    def add(kind: type[ev.AnyEvent], after: float, **fields: object) -> None:
        nonlocal now
        now = round(now + after, 1)
        stage = f"stage {len(events) // 4}"
        events.append(
            kind(n=len(events) + 1, at=stamp_text(at(now)), mono=now, run="a", stage=stage, **fields)  # type: ignore[arg-type]
        )

    add(ev.Started, 0.0, log=1, kit="x")
    for what, seconds in steps:
        if what == "done":
            add(ev.Done, seconds, items=(f"main/R{len(events)}",))
        elif what == "note":
            add(ev.Noted, seconds, text="x")
        elif what == "undo":
            add(ev.Undone, seconds, of=len(events))
        elif what == "settle":
            add(ev.IdleResolved, seconds, seconds=seconds, worked=len(events) % 2 == 0)
        else:
            add(ev.BreakBegan if what == "break" else ev.BreakEnded, seconds)
    progress = fold(events)
    told = sum(span.ended - span.began for span in WorkSpans(events, progress).spans if span.kind == "bench")
    assert told == pytest.approx(progress.bench_seconds, abs=0.01)


@given(st.lists(st.floats(-1e6, 1e6), max_size=8))
def test_every_photo_is_told_once_in_order_of_time(once: Build, when: list[float]) -> None:
    build = once
    pictures = [picture(seconds, f"{number}.jpg") for number, seconds in enumerate(when)]
    told = placed(pictures, build.events, build.progress)
    assert sorted(each.photo.file for each in told) == sorted(each.file for each in pictures)
    assert [each.photo.at for each in told] == sorted(each.photo.at for each in told)
    assert all(each.spot.kept or not each.spot.place[0] or each.spot.why for each in told)


# -- moments and marks -------------------------------------------------------------------------------
def test_a_photo_near_a_snag_or_a_reading_is_about_it(build: Build) -> None:
    snag, plain, reading = placed(
        [picture(140, "1.jpg"), picture(300, "2.jpg"), picture(1010, "3.jpg")], build.events, build.progress
    )
    assert snag.about == "D1 sat the wrong way round"
    assert snag.of == next(event.n for event in build.events if isinstance(event, ev.Snagged))
    assert plain.about == ""
    assert reading.about == "+12 V and 0 V: 1.21 kΩ"


def test_whatever_is_worth_a_photo_is_told_in_words(build: Build, clock: HandClock) -> None:
    written: list[tuple[str, Callable[[], object]]] = [
        ("Fixed: turned", lambda: build.mend(build.progress.snags[0].n, "turned")),
        ("47k 1 % instead of R4", lambda: build.substitute("R4", "47k 1 %")),
        ("Erratum: R1 is printed R11", lambda: build.erratum("R1 is printed R11")),
        ("the glow", lambda: build.note("the glow", "show")),
    ]
    for words, write in written:
        clock.work(600)
        write()
        (told,) = placed([picture(clock.utc - at(0) + 5)], build.events, build.progress)
        assert told.about == words
    clock.work(600)
    build.note("a plain note")
    assert placed([picture(clock.utc - at(0))], build.events, build.progress)[0].about == ""


def test_a_photo_whose_stamp_cannot_be_read_is_passed_over(build: Build) -> None:
    odd = MatchedPhoto(file="a.jpg", copy="a.jpg", at="yesterday", source="camera", width=1, height=1)
    assert placed([odd], build.events, build.progress) == ()


def test_a_mark_gives_its_caption_to_the_nearest_photo_and_to_no_other(build: Build, clock: HandClock) -> None:
    build.photo_taken("the relay leans")
    now = clock.utc - at(0)
    told = placed([picture(now + 9, "near.jpg"), picture(now + 30, "next.jpg")], build.events, build.progress)
    assert {each.photo.file: each.caption for each in told} == {"near.jpg": "the relay leans", "next.jpg": ""}


def test_a_mark_without_a_photo_is_said_and_one_taken_back_is_not(build: Build, clock: HandClock) -> None:
    build.photo_taken("never found")
    far = [picture(clock.utc - at(0) + NEAR_MARK + 1)]
    assert [mark.words for mark in unmet_marks(build.events, far)] == ["never found"]
    build.undo()
    assert unmet_marks(build.events, far) == ()


def test_a_typed_caption_goes_before_that_of_the_mark_and_an_empty_one_takes_it_away(
    build: Build, clock: HandClock
) -> None:
    build.photo_taken("from the bench")
    pictures = [picture(clock.utc - at(0))]
    build.caption_photo("a.jpg", "typed later")
    assert placed(pictures, build.events, build.progress)[0].caption == "typed later"
    build.caption_photo("a.jpg", "")
    assert placed(pictures, build.events, build.progress)[0].caption == ""
    build.undo()
    build.undo()
    assert placed(pictures, build.events, build.progress)[0].caption == "from the bench"


TIMES = st.lists(st.integers(0, 1000), max_size=6, unique=True)


@given(TIMES, TIMES)
def test_each_mark_gets_one_photo_and_the_nearest_pair_finds_each_other(
    marks: list[int], photos: list[int]
) -> None:
    events = [
        ev.PhotoTaken(n=number, at=stamp_text(at(seconds)), mono=0.0, run="a")
        for number, seconds in enumerate(marks, 1)
    ]
    times = {f"{seconds}.jpg": at(seconds) for seconds in photos}
    known = moments(events)
    met = marks_met(known, times)
    assert len({mark.n for mark in met.values()}) == len(met)
    assert all(abs(mark.at - times[file]) <= NEAR_MARK for file, mark in met.items())
    pairs = [abs(mark.at - seconds) for mark in known for seconds in times.values()]
    if pairs and min(pairs) <= NEAR_MARK:
        assert min(abs(mark.at - times[file]) for file, mark in met.items()) == min(pairs)


# -- the log -----------------------------------------------------------------------------------------
def test_the_latest_match_of_a_folder_counts_and_undo_brings_the_one_before_back(build: Build) -> None:
    build.photos_matched("/camera", (picture(100, "1.jpg"),))
    build.photos_matched("/phone", (picture(150, "2.jpg"),))
    build.photos_matched("/camera", (picture(100, "1.jpg"), picture(120, "3.jpg")))
    assert [each.photo.file for each in shown(build.events, build.progress)] == ["1.jpg", "3.jpg", "2.jpg"]
    assert build.undo() == "photos matched: 2 from /camera"
    assert [each.photo.file for each in shown(build.events, build.progress)] == ["1.jpg", "2.jpg"]
    assert [event.folder for event in build.progress.photos_matched] == ["/camera", "/phone"]


def test_the_same_copy_in_two_folders_is_told_once(build: Build) -> None:
    build.photos_matched("/camera", (picture(100, "1.jpg", copy="x.jpg"),))
    build.photos_matched("/card", (picture(100, "DCIM/1.jpg", copy="x.jpg"),))
    assert len(shown(build.events, build.progress)) == 1


def test_bench_time_does_not_run_on_when_photos_are_matched_later(build: Build, clock: HandClock) -> None:
    build.close()
    before = build.progress.bench_seconds
    clock.sleep(86400)
    later = Build(build.kit, build.plan, type(build.log)(build.log.folder), clock)
    later.writer.run = "another"
    later.photos_matched("/camera", ())
    later.caption_photo("a.jpg", "x")
    assert later.progress.bench_seconds == before


def test_a_camera_an_hour_off_is_suspected_only_when_that_helps_much() -> None:
    runs = [(at(0), at(3000))]
    assert likely_shift([at(100) - 7200, at(200) - 7200, at(300)], runs) == (2, 2, 1)
    assert likely_shift([at(100), at(200), at(300) - 7200], runs)[0] == 0
    assert likely_shift([at(100) + 3600], runs)[0] == 0, "one photo is no hint"
    assert likely_shift([], runs) == (0, 0, 0)

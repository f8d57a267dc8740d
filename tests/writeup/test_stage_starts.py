"""When work on a stage begins: one time line for 'How it went', chapters, photos and the log screen."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest

from bench.log import events as ev
from bench.log.fold import fold
from bench.log.standing import log_entries, standing
from bench.log.timeline import bench_times
from bench.writeup.chronology import days_of
from bench.writeup.film.marks import marks_of
from bench.writeup.moments import Calendar
from bench.writeup.photos.spots import WorkSpans
from bench.writeup.sittings import stage_starts, turns_by_event
from bench.writeup.story import tell
from bench.writeup.story_model import Story
from tests.support.story_bench import DIODES, FLAT, KIT, PLAN, SMALL, Bench, story_of

CAPACITORS = next(step for step in PLAN.steps if step.stage == SMALL)
CAN = next(step for step in PLAN.steps if step.refs == ("C5",))


def begins(story: Story) -> list[tuple[str, str]]:
    """Time of day and words of each turn in 'How it went'."""
    return [
        (entry.when.time, entry.text)
        for day in days_of(story)
        for entry in day.entries
        if entry.what == "stage"
    ]


def rest(bench: Bench, after: float, kind: str) -> None:
    """Half an hour away from the bench, `after` seconds after the last thing done."""
    if kind == "break":
        bench.add(ev.BreakBegan, after)
        bench.add(ev.BreakEnded, 1800)
    else:
        bench.add(ev.Noted, after, text="off")
        bench.add(ev.IdleResolved, 1800, seconds=1800.0, worked=False)


@pytest.mark.parametrize("kind", ["break", "told afterwards"])
@pytest.mark.parametrize(("after", "begun"), [(20, "18:50"), (300, "18:20")])
def test_a_stage_begins_after_the_rest_that_follows_the_one_before(kind: str, after: int, begun: str) -> None:
    """A rest later than a minute after is one in the middle of the stage's first step."""
    bench = Bench()
    bench.do(DIODES, 0)
    bench.at(SMALL, "main")
    rest(bench, after, kind)
    bench.do(CAPACITORS, 120)
    assert begins(story_of(bench))[-1] == (begun, "Small capacitors, main board")


def test_a_stage_that_goes_on_the_next_day_in_one_run_does_not_begin_the_night_before() -> None:
    bench = Bench()
    bench.do(DIODES, 60)
    bench.do(CAPACITORS, 20 * 3600)
    assert [place for _, place in begins(story_of(bench))] == [
        "Parts that lie flat, main board", "Small capacitors, main board",
    ]  # fmt: skip
    assert begins(story_of(bench))[-1][0] == "14:21"


def test_goings_back_are_told() -> None:
    bench = Bench()
    bench.at(CAN.stage, CAN.board)
    bench.add(ev.HeldBack, 30, items=CAN.items, value=CAN.value, refs=CAN.refs, reason="not in the bag")
    bench.do(DIODES, 60)
    bench.do(CAPACITORS, 60)
    bench.do(PLAN.steps[1], 60)
    bench.do(CAN, 60)
    assert [said for _, said in begins(story_of(bench))] == [
        "Headers and electrolytics, main board",
        "Parts that lie flat, main board",
        "Small capacitors, main board",
        "Parts that lie flat, main board (continued)",
        "C5, held back earlier",
    ]


def long_evening() -> Bench:
    """Two sittings with a rest between two stages, a note about a stage that is over, and a step taken back."""
    bench = Bench()
    bench.do(DIODES, 300)
    rest(bench, 10, "break")
    bench.do(CAPACITORS, 200)
    bench.at(FLAT, "main")
    bench.add(ev.Noted, 40, text="the diodes sit well")
    bench.do(CAN, 90)
    bench.come_back("2031-02-05T18:00:00.000Z")
    undone = bench.do(PLAN.steps[1], 200)
    bench.add(ev.Undone, 5, of=undone or len(bench.events))
    bench.do(PLAN.steps[1], 60)
    return bench


def test_article_chapters_photos_and_log_screen_tell_the_same_beginnings() -> None:
    events = long_evening().events
    story = tell(KIT, PLAN, events)
    timeline = bench_times(events)
    chapters = {
        round(mark.at): mark.title
        for mark in marks_of(KIT, PLAN, standing(events), timeline)
        if mark.kind == "stage"
    }
    told = {round(timeline.seconds[_at(events, move.when.at)]): move for move in story.moves}
    assert set(chapters) <= set(told)
    spans = WorkSpans(events, fold(events))
    for start in stage_starts(entry.event for entry in log_entries(events) if entry.stands):
        assert spans.spot(timeline.seconds[start.since] + 1).place == start.place
    assert set(turns_by_event(standing(events)).values()) == set(chapters.values())


def _at(events: list[ev.AnyEvent], stamp: str) -> int:
    return next(event.n for event in events if event.at == stamp)


def test_a_sitting_over_a_change_of_clocks_says_so() -> None:
    """EU clocks go forward at 01:00 UTC on the last Sunday of March: Directive 2000/84/EC, article 2."""
    bench = Bench("2031-03-30T00:30:00.000Z")
    bench.do(DIODES, 0)
    bench.do(CAPACITORS, 3600)
    story = tell(KIT, PLAN, bench.events, zone=ZoneInfo("Europe/Dublin"))
    assert days_of(story)[0].title == "30 March 2031, 00:30 to 02:30 (the clocks went forward by 1 h 00 min)"


def test_the_zone_is_that_of_the_days_of_the_build() -> None:
    names = Calendar(None).zone_names(["2031-02-03T18:20:00.000Z", "2031-02-03T18:50:00.000Z"])
    assert " and " not in names

"""Chapters and moments of a clip: what begins where, what is merged, what is left out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.kit import Check, HoldPoint
from bench.log import events as ev
from bench.plan.plan import Plan
from bench.writeup.film.chapters import (
    AFTER,
    BEFORE,
    NO_STAGE,
    USUAL,
    ChapterRules,
    ClipSpot,
    set_apart,
    too_few,
)
from bench.writeup.film.footage import about_clip
from bench.writeup.film.marks import LONGEST_TITLE, RANK, shortened
from tests.support.filmed import SOCKET, filmed, footage, opened_and_clapped, titles
from tests.support.story_bench import (
    DIODES,
    KIT,
    RESISTORS,
    SOCKETS,
    Bench,
    plan_of,
    stage,
    task_step,
    whole_build,
)


@pytest.fixture
def bench() -> Bench:
    return opened_and_clapped()


# -- stages ------------------------------------------------------------------------------------------
def test_a_stage_begins_when_the_one_before_it_was_finished(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.do(RESISTORS, 200)
    bench.do(SOCKET, 150)
    assert titles(filmed(bench, 600).chapters.chapters) == [
        (0.0, "Parts that lie flat, main board"), (300.0, "IC sockets, main board"),
    ]  # fmt: skip


def test_counting_the_joints_belongs_to_the_stage_that_was_counted(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.add(ev.JointsCounted, 40, counted=6, expected=6)
    bench.do(SOCKET, 150)
    assert titles(filmed(bench, 600).chapters.chapters)[1] == (140.0, "IC sockets, main board")


def test_a_note_or_a_reading_about_another_stage_begins_no_chapter(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.add(ev.Noted, 50, text="about the sockets", stage=SOCKETS, board="main")
    bench.add(ev.ReadingTaken, 50, point="TP1", text="5", stage="Before power", board="")
    bench.do(RESISTORS, 50)
    assert len(filmed(bench, 600).chapters.chapters) == 1


def test_a_stage_after_a_night_begins_when_the_build_was_opened_at_it(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.add(ev.Closed, 5)
    bench.now += 86400
    bench.run = "b"
    bench.at(SOCKETS, "main")
    bench.add(ev.Opened)
    bench.add(ev.SyncMarked, 10, number=2)
    bench.do(SOCKET, 150)
    marks = [mark for mark in footage(bench).marks if mark.kind == "stage"]
    assert marks[-1].at == pytest.approx(bench.now - 160)


def test_a_stage_taken_up_again_says_so(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.do(SOCKET, 100)
    bench.do(RESISTORS, 100)
    assert titles(filmed(bench, 600).chapters.chapters)[2] == (
        200.0,
        "Parts that lie flat, main board (continued)",
    )


def test_what_was_undone_begins_no_chapter_and_a_correction_is_read(bench: Bench) -> None:
    snag = bench.add(ev.Snagged, 60, what="a bridg on U1")
    wrong = bench.add(ev.Snagged, 60, what="nothing at all")
    bench.add(ev.Undone, 5, of=wrong)
    bench.add(ev.Corrected, 5, of=snag, field="what", to="a bridge on U1")
    assert titles(filmed(bench, 600).chapters.chapters)[1:] == [(60.0, "A bridge on U1")]


def test_what_was_filmed_before_the_program_was_opened_has_a_chapter_of_its_own() -> None:
    bench = Bench("2031-02-03T18:20:00.000Z")
    bench.do(DIODES, 100)
    bench.run = "desk"
    bench.add(ev.ClipNamed, 1.0, clip="early", starts="2031-02-03T18:19:00Z", length=600.0)
    (told,) = footage(bench).clips
    assert titles(told.chapters.chapters) == [(0.0, NO_STAGE), (60.0, "Parts that lie flat, main board")]
    assert any("Only two chapters" in word for word in about_clip(told))


# -- snags, marks, first sound -----------------------------------------------------------------------
def test_snags_and_marks_have_chapters_tips_and_plain_notes_have_none(bench: Bench) -> None:
    bench.add(ev.Snagged, 60, what="D3 the wrong way round", part="D3")
    bench.add(ev.Noted, 60, text="the jig at work", mark="show")
    bench.add(ev.Noted, 60, text="worth showing", mark="show")
    bench.add(ev.Noted, 60, text="a tip", mark="tip")
    bench.add(ev.Noted, 60, text="a note")
    told = filmed(bench, 600)
    assert titles(told.chapters.chapters)[1:] == [
        (60.0, "D3 the wrong way round"),
        (120.0, "The jig at work"),
        (180.0, "Worth showing: Parts that lie flat, main board"),
    ]
    assert [(each.kind, each.title) for each in told.moments][-1] == ("tip", "Tip: a tip")


FUNCTION = plan_of(
    stage(
        "Does it work", "", task_step("Does it work", "every output", "check"),
        task_step("Does it work", "PITCH", "check"), hold=True,
    ),
)  # fmt: skip


def work(bench: Bench, step: Any) -> None:
    bench.at("Does it work")
    bench.add(ev.Done, 60, items=step.items, value=step.value, step=step.key)


def works(events: Sequence[ev.AnyEvent], plan: Plan = FUNCTION, kit: Any = KIT) -> list[str]:
    return [mark.title for mark in footage(events, plan, kit).marks if mark.kind == "works"]


def test_the_first_check_of_function_that_is_done_says_that_it_works(bench: Bench) -> None:
    for step in FUNCTION.steps:
        work(bench, step)
    assert works(bench.events) == ["It works: every output"]


def test_it_does_not_work_yet_while_a_later_check_of_function_fails(bench: Bench) -> None:
    first, second = FUNCTION.steps
    work(bench, first)
    snag = bench.add(ev.Snagged, 60, what="no PITCH")
    assert works(bench.events) == []
    bench.add(ev.Mended, 60, of=snag, fix="wick")
    work(bench, second)
    assert works(bench.events) == ["It works: PITCH"]


def test_a_check_that_was_gone_past_with_a_reason_does_not_say_that_it_works(bench: Bench) -> None:
    first, second = FUNCTION.steps
    bench.add(ev.HoldOverridden, 60, hold="Does it work", reason="no lead at hand", step=first.key)
    work(bench, first)
    assert works(bench.events) == []
    work(bench, second)
    assert works(bench.events) == ["It works: PITCH"]


def test_the_kits_own_hold_point_for_function_counts_in_a_stage_of_another_name(bench: Bench) -> None:
    kit = msgspec.structs.replace(
        KIT, hold_points=(HoldPoint(name="Function", checks=(Check(where="it ticks"),)),)
    )
    check = task_step("First power", "it ticks", "check")
    plan = plan_of(stage("First power", "", task_step("First power", "+12 V", "check"), check, hold=True))
    for step in plan.steps:
        work(bench, step)
    assert works(bench.events, plan, kit) == ["It works: it ticks"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("first sound, and what a sound", True), ("It works!", True), ("it works only when hot", True),
        ("it never works", False), ("this does not work yet", False), ("the works of the clock", False),
    ],
)  # fmt: skip
def test_a_note_can_say_that_it_works(bench: Bench, text: str, says: bool) -> None:
    bench.add(ev.Noted, 60, text=text)
    assert bool(works(bench.events)) is says


def test_moments_have_room_before_and_after_and_stay_inside_the_clip(bench: Bench) -> None:
    bench.add(ev.Snagged, 5, what="early")
    bench.add(ev.Noted, 100, text="middle", mark="tip")
    bench.add(ev.Noted, 100, text="late", mark="show")
    told = filmed(bench, 209.0)
    spans = [(round(each.start, 3), round(each.end, 3)) for each in told.moments]
    assert spans == [(0.0, 5 + AFTER), (105 - BEFORE, 105 + AFTER), (205 - BEFORE, 209.0)]


def test_a_whole_build_on_one_clip_is_told_from_its_first_stage_to_its_last() -> None:
    events = whole_build()
    events.append(
        ev.ClipNamed(
            n=len(events) + 1, at=events[-1].at, mono=0.0, run="x", clip="1", starts=events[1].at, length=9e3
        )
    )
    found = footage(events).clip("1")
    assert found is not None
    told = [each.title for each in found.chapters.chapters]
    assert told[0].startswith("Parts that lie flat, main board")
    assert "D3 sat the wrong way round" in told
    assert told[-1] == "Worth showing: IC sockets, main board"


# -- setting apart -----------------------------------------------------------------------------------
def spot(at: float, title: str, kind: str = "stage") -> ClipSpot:
    return ClipSpot(at=at, title=title, kind=kind)


def test_what_is_too_close_is_merged_and_told() -> None:
    found = set_apart([spot(0, "A"), spot(4, "Snag: x", "snag"), spot(30, "B"), spot(200, "C")], 300)
    assert titles(found.chapters) == [(0.0, "A; Snag: x"), (30.0, "B"), (200.0, "C")]
    assert found.remarks == ("'Snag: x' is merged into 'A', 4 s after it.",)


def test_a_chapter_too_near_the_end_is_merged_into_the_one_before() -> None:
    found = set_apart([spot(0, "A"), spot(100, "B"), spot(295, "C")], 300)
    assert titles(found.chapters) == [(0.0, "A"), (100.0, "B; C")]
    assert "too near the end" in found.remarks[0]


def test_where_both_titles_have_no_room_the_one_of_higher_rank_stays_and_the_other_is_named() -> None:
    long = "x" * 90
    found = set_apart([spot(0, long), spot(3, "Snag: y is in the holes of R4", "snag"), spot(50, "B")], 100)
    assert found.chapters[0].title == "Snag: y is in the holes of R4"
    assert f"'{long}' is dropped" in found.remarks[0]


def test_the_first_chapter_is_at_the_very_beginning() -> None:
    assert set_apart([spot(7, "A"), spot(40, "B")], 100).chapters[0].start == 0.0


def test_fewer_than_three_chapters_are_said_to_be_too_few() -> None:
    for many in range(USUAL.fewest):
        chapters = set_apart([spot(20 * n, str(n)) for n in range(many)], 100).chapters
        assert len(chapters) == many
        assert "at least three" in too_few(chapters)
    assert too_few(set_apart([spot(20 * n, str(n)) for n in range(3)], 100).chapters) == ""


@given(
    st.lists(
        st.tuples(st.floats(-50, 4000), st.text(min_size=1, max_size=60), st.sampled_from(sorted(RANK))),
        max_size=30,
    ),
    st.floats(1, 4000),
)
def test_chapters_begin_at_zero_rise_last_long_enough_and_end_with_the_clip(
    drawn: list[tuple[float, str, str]], length: float
) -> None:
    found = set_apart([spot(*each) for each in drawn], length)
    chapters = found.chapters
    assert bool(chapters) == bool(drawn)
    if chapters:
        assert (chapters[0].start, chapters[-1].end) == (0.0, length)
    for before, after in pairwise(chapters):
        assert before.end == after.start > before.start
    assert all(each.end > each.start for each in chapters)
    if len(chapters) > 1:
        assert all(each.end - each.start >= USUAL.shortest for each in chapters)


def test_a_long_title_is_cut_at_a_word() -> None:
    assert shortened("one two three", 9) == "one two…"
    assert shortened("abcdefghij", 5) == "abcd…"


def test_no_clip_without_a_place_has_chapters_or_moments(bench: Bench) -> None:
    bench.add(ev.ClipNamed, 1.0, clip="lost", starts="soon", length=30.0)
    (told,) = footage(bench).clips
    assert (told.chapters.chapters, told.moments) == ((), ())
    assert about_clip(told) == ["Its start 'soon' is not a time."]


@given(st.text(max_size=300))
def test_a_title_is_short_and_on_one_line(text: str) -> None:
    title = shortened(text)
    assert len(title) <= LONGEST_TITLE
    assert "\n" not in title
    assert "\u202e" not in title


def test_it_works_comes_after_the_last_snag_of_its_stage(bench: Bench) -> None:
    bench.at("First power", "")
    bench.add(ev.Noted, 100, text="It works!")
    bench.add(ev.Snagged, 100, what="no sound after a minute")
    bench.add(ev.Noted, 100, text="it works again, warm")
    bench.at("Panel", "")
    bench.add(ev.Snagged, 100, what="a nut is missing")
    told = titles(filmed(bench, 600).chapters.chapters)
    assert (300.0, "It works: it works again, warm") in told
    assert not any(title == "It works: It works!" for _, title in told)


def test_a_snag_lasts_until_it_was_mended_and_what_mended_it_is_no_moment_of_its_own(bench: Bench) -> None:
    bench.at("Parts that lie flat", "main")
    snag = bench.add(ev.Snagged, 100, what="D2 the wrong way round")
    bench.add(ev.Mended, 200, of=snag, fix="turned")
    moments = filmed(bench, 600).moments
    assert [(each.start, each.end, each.kind) for each in moments] == [(80.0, 310.0, "snag")]


def test_a_snag_left_open_while_work_went_on_is_two_moments(bench: Bench) -> None:
    bench.at("Parts that lie flat", "main")
    snag = bench.add(ev.Snagged, 100, what="D2 the wrong way round")
    bench.do(RESISTORS, 100)
    bench.add(ev.Mended, 200, of=snag, fix="turned")
    assert [(each.start, each.end) for each in filmed(bench, 600).moments] == [(80.0, 110.0), (380.0, 410.0)]


def test_a_snag_recorded_with_its_fix_began_when_the_time_lost_began(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.add(ev.Snagged, 300, what="a bridge", fix="wick", minutes=4)
    bench.add(ev.Snagged, 60, what="another", fix="wick", minutes=30)
    assert [(each.start, each.end) for each in filmed(bench, 600).moments] == [(140.0, 410.0), (80.0, 470.0)]


def test_a_clip_that_begins_within_a_snag_shows_the_rest_of_it(bench: Bench) -> None:
    bench.at("Parts that lie flat", "main")
    snag = bench.add(ev.Snagged, 100, what="D2 the wrong way round")
    clap = bench.add(ev.SyncMarked, 50, number=2)
    bench.add(ev.Mended, 100, of=snag, fix="turned")
    assert clap
    bench.add(ev.ClipNamed, 1.0, clip="late", claps=((2, 0.0),), length=600.0)
    (told,) = footage(bench).clips
    assert [(each.start, each.end) for each in told.moments] == [(0.0, 110.0)]


def test_a_list_need_not_begin_at_zero(bench: Bench) -> None:
    spots = [spot(0, NO_STAGE), spot(40, "A"), spot(80, "B")]
    assert set_apart(spots, 100).chapters[0].start == 0.0
    loose = set_apart(spots, 100, ChapterRules(from_zero=False))
    assert titles(loose.chapters) == [(40.0, "A"), (80.0, "B")]

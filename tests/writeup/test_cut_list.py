"""Cut lists, and the chapters of the film that one makes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import FileFaults
from bench.log import events as ev
from bench.writeup.film.cut_list import ClipPart, Film, film_of, read_cut_list
from tests.support.filmed import SOCKET, filmed, footage, opened_and_clapped, titles
from tests.support.story_bench import DIODES, FLAT, PLAN, Bench, plan_of, stage, task_step


@pytest.fixture
def bench() -> Bench:
    return opened_and_clapped()


# -- the finished film -------------------------------------------------------------------------------
def film(bench: Bench, *parts: tuple[float, float], length: float = 3600.0) -> Film:
    filmed(bench, length)
    found = footage(bench)
    clips = {each.clip.name: each.clip for each in found.clips}
    return film_of([ClipPart(clip="one.mov", start=a, end=b) for a, b in parts], clips, found.marks)


def test_chapters_move_with_the_cut_and_what_was_cut_away_is_said(bench: Bench) -> None:
    bench.do(DIODES, 100)  # stage at 100
    bench.do(SOCKET, 300)
    bench.add(ev.Snagged, 100, what="a bridge")  # at 500
    bench.add(ev.Noted, 100, text="the iron", mark="show")  # at 600
    found = film(bench, (80, 160), (560, 700))
    assert titles(found.chapters.chapters) == [
        (0.0, "Parts that lie flat, main board"),
        (20.0, "IC sockets, main board"),
        (120.0, "The iron"),
    ]
    assert found.length == 220.0
    assert found.chapters.remarks == ("Not in the film: 'A bridge' (one.mov 8:20).",)


def test_a_check_that_begins_its_stage_and_says_that_it_works_has_both_chapters() -> None:
    bench = opened_and_clapped()
    bench.do(DIODES, 100)
    bench.at("Does it work")
    step = task_step("Does it work", "every output", "check")
    bench.add(ev.Done, 60, items=step.items, value=step.value, step=step.key)
    plan = plan_of(stage(FLAT, "main", DIODES), stage("Does it work", "", step, hold=True))
    bench.run = "desk"
    bench.add(ev.ClipNamed, 1.0, clip="one.mov", claps=((1, 0.0),), length=600.0)
    found = footage(bench, plan)
    made = film_of([ClipPart(clip="one.mov", start=10, end=300)], {"one.mov": found.clips[0].clip}, found.marks)
    assert titles(made.chapters.chapters)[1:] == [(90.0, "Does it work"), (150.0, "It works: every output")]


def test_stages_that_were_cut_away_are_told_in_one_sentence(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.do(SOCKET, 300)
    assert film(bench, (0, 50)).chapters.remarks == (
        "Stages not in the film: 'IC sockets, main board' (one.mov 1:40).",
    )


def test_a_stage_that_began_off_film_has_its_chapter_where_the_film_cuts_to_it(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.do(SOCKET, 300)
    found = film(bench, (0, 50), (200, 300))
    assert titles(found.chapters.chapters) == [
        (0.0, "Parts that lie flat, main board"), (50.0, "IC sockets, main board"),
    ]  # fmt: skip


def test_parts_may_come_in_any_order_and_what_is_shown_twice_has_one_chapter(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.add(ev.Noted, 100, text="it glows", mark="show")
    found = film(bench, (150, 250), (0, 60), (150, 250))
    assert [title for _, title in titles(found.chapters.chapters)].count("It glows") == 1
    assert found.length == 260.0


def test_a_clip_that_cannot_be_placed_takes_its_time_in_the_film_and_is_told(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.do(SOCKET, 300)
    filmed(bench, 600)
    bench.add(ev.ClipNamed, 1.0, clip="titles.mov", starts="soon", length=30.0)
    found = footage(bench)
    clips = {each.clip.name: each.clip for each in found.clips}
    made = film_of(read_cut_list("titles.mov 0 0:30\none.mov 0 3:00\n", "cut.txt", clips), clips, found.marks)
    assert titles(made.chapters.chapters) == [
        (0.0, "titles.mov"),
        (30.0, "Parts that lie flat, main board"),
        (130.0, "IC sockets, main board"),
    ]
    assert "'titles.mov' cannot be placed: Its start 'soon' is not a time." in made.chapters.remarks


def test_two_cameras_make_one_film(bench: Bench) -> None:
    bench.do(DIODES, 100)
    bench.do(SOCKET, 300)
    filmed(bench, 3600, "left")
    filmed(bench, 3600, "right")
    found = footage(bench)
    clips = {each.clip.name: each.clip for each in found.clips}
    cut = read_cut_list("left 0:00 1:20\nright 1:20 3:20\nleft 3:20 end\n", "cut.txt", clips)
    assert titles(film_of(cut, clips, found.marks).chapters.chapters)[1] == (100.0, "IC sockets, main board")


@given(st.lists(st.tuples(st.floats(0, 3000), st.floats(2, 500)), min_size=1, max_size=6))
def test_whatever_is_cut_chapters_rise_and_stay_inside_the_film(parts: list[tuple[float, float]]) -> None:
    bench = Bench()
    bench.add(ev.SyncMarked, number=1)
    for number in range(20):
        bench.do(PLAN.steps[number % len(PLAN.steps)], 130)
        bench.add(ev.Noted, 20, text=f"see {number}", mark="show")
    found = film(bench, *((start, start + lasts) for start, lasts in parts))
    chapters = found.chapters.chapters
    assert found.length == pytest.approx(sum(lasts for _, lasts in parts))
    assert chapters[0].start == 0.0
    assert all(each.start < each.end <= found.length for each in chapters)
    assert all(a.end == b.start for a, b in pairwise(chapters))


# -- cut lists ---------------------------------------------------------------------------------------
def cut(text: str) -> tuple[ClipPart, ...]:
    bench = Bench()
    bench.add(ev.SyncMarked, number=1)
    bench.do(DIODES, 100)
    filmed(bench, 1870, "bench 1.mov")
    filmed(bench, 0, "open.mov")
    return read_cut_list(text, "cut.txt", {each.clip.name: each.clip for each in footage(bench).clips})


def test_a_cut_list_is_read_with_blanks_commas_remarks_and_names_with_blanks() -> None:
    text = (
        "\ufeff# short version\n\nbench 1.mov  0:00   4:30  # the start\nbench 1.mov, 12:04.5, end\n"
        "'bench 1.mov' start 10\n"
    )
    assert [(part.start, part.end) for part in cut(text)] == [(0.0, 270.0), (724.5, 1870.0), (0.0, 10.0)]


def test_every_fault_of_a_cut_list_is_told_with_its_line() -> None:
    text = (
        "open.mov 0:00\nnone.mov 0:00 1:00\nbench 1.mov 2:00 1:00\nbench 1.mov 0 99:00\n"
        "bench 1.mov x 1:00\nopen.mov 0 end\n"
    )
    with pytest.raises(FileFaults) as wrong:
        cut(text)
    faults = wrong.value.faults
    assert [fault.where for fault in faults] == [f"cut.txt:{number}" for number in range(1, 7)]
    for fault, word in zip(
        faults,
        ("an in and an out", "there is no clip", "before its start", "only 31:10", "not a time", "not known"),
        strict=True,
    ):
        assert word in fault.what
        assert fault.hint


def test_an_empty_cut_list_is_a_fault() -> None:
    with pytest.raises(FileFaults):
        cut("# nothing\n\n")

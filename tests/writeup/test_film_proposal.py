"""A proposed cut: what is left out, how fast what plays, how long it gets; several cameras."""

from __future__ import annotations

from itertools import pairwise

import pytest
from msgspec.structs import replace

from bench.errors import Refused, SoldersideError
from bench.log import events as ev
from bench.plan.plan import Step
from bench.writeup.film.cameras import cameras_of
from bench.writeup.film.clip_names import camera_name
from bench.writeup.film.clips import Clip
from bench.writeup.film.clock_map import from_start
from bench.writeup.film.cut_list import ClipPart, FilmMap, cut_text, film_of, on_frames, read_cut_list
from bench.writeup.film.footage import Footage
from bench.writeup.film.proposal import Proposal, propose
from bench.writeup.film.stretches import stretches_of
from tests.support.filmed import SOCKET, footage, opened_and_clapped
from tests.support.story_bench import DIODES, PLAN, RESISTORS, Bench


def do(bench: Bench, step: Step, seconds: float) -> None:
    bench.at(step.stage, step.board)
    bench.add(ev.Done, seconds, step=step.key, items=step.items, value=step.value, refs=step.refs)


def clips(bench: Bench, **lasts: float) -> Footage:
    """Clips that all begin with the bench's clap: name -> length."""
    bench.run = "desk"
    for name, length in lasts.items():
        bench.add(ev.ClipNamed, 1.0, clip=name, claps=((1, 0.0),), length=length)
    return footage(bench)


def proposed(found: Footage, minutes: float) -> Proposal:
    return propose([each.clip for each in found.clips], found.marks, found.stretches, minutes * 60)


def seen(found: Footage, proposal: Proposal, second: float) -> float:
    """How many times as fast a second of bench time after the clap plays; 0 when it is not in the film."""
    begins = min(each.clip.begins for each in found.clips)
    by_name = {each.clip.name: each.clip for each in found.clips}
    spans = FilmMap(proposal.parts, by_name).seen(begins + second, begins + second + 0.5)
    return round(0.5 / sum(each.end - each.start for each in spans), 3) if spans else 0.0


@pytest.fixture
def bench() -> Bench:
    """Ten minutes of diodes with a snag of three, a break of ten, a wait of five, resistors for ten."""
    bench = opened_and_clapped()
    do(bench, DIODES, 200)  # 200
    snag = bench.add(ev.Snagged, 100, what="D2 the wrong way round", part="D2")  # 300
    bench.add(ev.Mended, 180, of=snag, fix="turned")  # 480
    do(bench, DIODES, 120)  # 600
    bench.add(ev.BreakBegan)
    bench.add(ev.BreakEnded, 600)  # 1200
    bench.add(ev.WaitBegan, 0.0, seconds=300.0)
    do(bench, RESISTORS, 900)  # 2100
    return bench


def test_breaks_and_waits_are_left_out_placing_is_fast_and_a_snag_is_whole(bench: Bench) -> None:
    found = clips(bench, one=3600.0)
    told = proposed(found, 20)
    assert [seen(found, told, at) for at in (100, 290, 305, 400, 475, 485, 550, 900, 1300, 1800)] == [
        8, 1, 1, 1, 1, 1, 8, 0, 0, 8,
    ]  # fmt: skip
    assert "Left out: 10 min of breaks and pauses and 5 min 00 s of waiting." in told.remarks


def test_a_shorter_film_plays_faster_and_then_shows_the_beginning_of_each_stage(bench: Bench) -> None:
    found = clips(bench, one=3600.0)
    lengths = []
    for minutes in (20, 5.0, 3, 1.5, 0.7):
        told = proposed(found, minutes)
        lengths.append(sum(part.lasts for part in told.parts))
        assert lengths[-1] <= minutes * 60 + 1
        assert seen(found, told, 300) == 1
    assert lengths == sorted(lengths, reverse=True)
    assert any("only the beginning" in each for each in told.remarks)
    assert seen(found, proposed(found, 3), 400) > 1


def test_where_there_is_room_each_stage_begins_at_normal_speed(bench: Bench) -> None:
    do(bench, SOCKET, 300)  # from 2100 to 2400
    found = clips(bench, one=3600.0)
    told = proposed(found, 20)
    assert [seen(found, told, at) for at in (2095, 2103, 2115)] == [8, 1, 8]
    assert "Each stage begins with 10 s at normal speed." in told.remarks
    short = proposed(found, 3)
    assert seen(found, short, 2103) > 1
    assert not any("begins with" in each for each in short.remarks)


def test_what_cannot_be_shortened_is_said(bench: Bench) -> None:
    told = proposed(clips(bench, one=3600.0), 0.1)
    assert any("longer than the 6 s asked for" in each for each in told.remarks)


def test_what_no_clip_shows_is_not_in_the_film_and_a_second_camera_steps_in(bench: Bench) -> None:
    found = clips(bench, **{"close-1": 1000.0, "wide-1": 1600.0})
    told = proposed(found, 20)
    assert {part.clip for part in told.parts} == {"close-1", "wide-1"}
    assert all(part.clip == "close-1" for part in told.parts if part.end <= 1000)
    assert seen(found, told, 1550) == 8
    assert seen(found, told, 1700) == 0


def test_the_camera_to_show_is_chosen_by_its_name_or_that_of_a_clip(bench: Bench) -> None:
    found = clips(bench, **{"close-1": 1500.0, "wide-1": 2400.0})
    told = [each.clip for each in found.clips]
    for name in ("wide", "wide-1"):
        parts = propose(told, found.marks, found.stretches, 1200, name).parts
        assert {part.clip for part in parts} == {"wide-1"}
    with pytest.raises(SoldersideError) as unknown:
        propose(told, found.marks, found.stretches, 1200, "top")
    assert unknown.value.hint == "cameras so far: close, wide"


def test_a_proposal_is_read_back_as_it_was_written(bench: Bench) -> None:
    found = clips(bench, one=3600.0)
    told = proposed(found, 3)
    parts = on_frames(told.parts, 25.0)
    by_name = {each.clip.name: each.clip for each in found.clips}
    again = on_frames(read_cut_list(cut_text(parts, told.remarks, told.why), "cut.txt", by_name), 25.0)
    assert again == parts
    assert film_of(parts, by_name, found.marks).length == pytest.approx(sum(part.lasts for part in parts))


@pytest.mark.parametrize("rate", [24000 / 1001, 25.0, 30000 / 1001, 60.0])
def test_cuts_on_frames_add_up_to_whole_frames(rate: float) -> None:
    parts = on_frames(
        [ClipPart(clip="a", start=n * 1.237, end=n * 1.237 + 0.777, speed=1 + n) for n in range(50)], rate
    )
    frames = sum(part.lasts for part in parts) * rate
    assert frames == pytest.approx(round(frames), abs=1e-6)
    assert all(part.lasts * rate >= 1 - 1e-6 for part in parts)


@pytest.mark.parametrize("rate", [24000 / 1001, 25.0, 60.0])
def test_no_part_of_a_proposal_repeats_what_the_next_one_shows(rate: float, bench: Bench) -> None:
    found = clips(bench, one=3600.0)
    for minutes in (20, 3):
        parts = on_frames(proposed(found, minutes).parts, rate)
        assert all(after.start - before.end > -1.1 / rate for before, after in pairwise(parts))
        by_name = {each.clip.name: each.clip for each in found.clips}
        assert on_frames(read_cut_list(cut_text(parts), "cut.txt", by_name), rate) == tuple(
            replace(part, end=pytest.approx(part.end, abs=1e-6), start=pytest.approx(part.start, abs=1e-6))
            for part in parts
        )


def test_a_gap_that_nobody_settled_is_nobody_at_work() -> None:
    bench = opened_and_clapped()
    do(bench, DIODES, 1500)
    do(bench, RESISTORS, 60)
    found = footage(bench)
    assert [each.doing for each in stretches_of(PLAN, found.events, found.timeline)][-2:] == ["away", "placing"]


def test_time_between_two_runs_is_no_stretch() -> None:
    bench = opened_and_clapped()
    do(bench, DIODES, 60)
    bench.come_back("2031-02-05T19:02:00.000Z")
    do(bench, RESISTORS, 60)
    assert max(each.ends - each.begins for each in footage(bench).stretches) == 60


def test_of_two_waits_the_longer_one_counts_and_after_all_was_done_nobody_works() -> None:
    bench = opened_and_clapped()
    bench.add(ev.WaitBegan, 0.0, seconds=600.0)
    bench.add(ev.WaitBegan, 10.0, seconds=60.0)
    do(bench, DIODES, 700)
    bench.add(ev.Completed, 0.0, total=3)
    bench.add(ev.Noted, 300, text="it still hums")
    told = [(each.doing, each.ends - each.begins) for each in footage(bench).stretches][-4:]
    assert told == [("waiting", 10.0), ("waiting", 590.0), ("placing", 110.0), ("away", 300.0)]


# -- cameras -----------------------------------------------------------------------------------------
def clip(name: str, begins: float, lasts: float, n: int) -> Clip:
    return Clip(
        name=name,
        n=n,
        map=from_start(begins),
        begins=begins,
        ends=begins + lasts,
        length=lasts,
        length_known=True,
    )


def test_clips_of_one_name_are_of_one_camera_unless_they_run_at_the_same_time() -> None:
    found = cameras_of(
        [
            clip("wide-1.mov", 0, 100, 3), clip("close-2.mov", 120, 50, 2), clip("close-1.mov", 0, 100, 1),
            clip("close-9.mov", 10, 20, 4), clip("lost.mov", 0, 1, 5),
        ]
    )  # fmt: skip
    assert [[each.name for each in camera] for camera in found] == [
        ["close-1.mov", "close-2.mov"], ["wide-1.mov"], ["close-9.mov"], ["lost.mov"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "camera"), [("IMG_0021.MOV", "IMG"), ("2031.mov", "clips"), ("bench", "bench")]
)
def test_the_name_of_a_camera_is_what_its_clips_share(name: str, camera: str) -> None:
    assert camera_name(name) == camera


# -- speeds in a list --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "line", ["one 0:00 1:20 16x", "one, 0:00, 1:20, 16x", "one 0 80 16.0 X", "one 0:00 1:20,16x"]
)
def test_a_speed_is_read(line: str, bench: Bench) -> None:
    by_name = {each.clip.name: each.clip for each in clips(bench, one=3600.0).clips}
    assert read_cut_list(line, "cut.txt", by_name) == (ClipPart(clip="one", start=0.0, end=80.0, speed=16.0),)


def test_chapters_and_moments_follow_the_speed(bench: Bench) -> None:
    found = clips(bench, one=3600.0)
    by_name = {each.clip.name: each.clip for each in found.clips}
    film = film_of(read_cut_list("one 0 240 8x\none 240 600 4x", "cut.txt", by_name), by_name, found.marks)
    assert film.length == 120.0
    assert [(each.start, each.title) for each in film.chapters.chapters][1] == (45.0, "D2 the wrong way round")
    assert [(each.start, each.end) for each in film.moments] == [(40.0, 92.5)]


@pytest.mark.parametrize(
    "name",
    [
        "take #2.mov",
        "a, b, c.mov",
        "it's.mov",
        'the "best".mov',
        "16x",
        "x 0:00 1:00",
        "# 1",
        "a - b (2).mov",
        "é",
    ],
)
def test_any_name_of_a_clip_is_read_back_from_a_proposal(name: str, bench: Bench) -> None:
    by_name = {each.clip.name: each.clip for each in clips(bench, **{name: 3600.0}).clips}
    parts = (ClipPart(clip=name, start=1.5, end=80.0, speed=8.0), ClipPart(clip=name, start=80.0, end=90.0))
    assert read_cut_list(cut_text(parts, (), ("why # not", "16x")), "cut.txt", by_name) == parts


@pytest.mark.parametrize("name", ["a\nb", "both ' and \"", "tab\there"])
def test_a_name_that_no_list_can_hold_is_refused(name: str) -> None:
    with pytest.raises(Refused, match="cannot hold the clip name"):
        cut_text([ClipPart(clip=name, start=0.0, end=1.0)])

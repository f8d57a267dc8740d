"""Captions: what is said when, on film and in files that two other readers take."""

from __future__ import annotations

import html
from itertools import pairwise
from typing import Any

import pytest
import srt
import webvtt
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from bench.log import events as ev
from bench.log.fold import fold
from bench.plan.plan import Step
from bench.writeup.film.captions import (
    FASTEST,
    LINES,
    STANDS,
    WIDEST,
    Caption,
    broken,
    captions_in,
    moment_words,
    spoken_of,
)
from bench.writeup.film.chapter_files import subrip_captions, webvtt_captions
from bench.writeup.film.cut_list import ClipPart
from bench.writeup.words import one_line
from tests.support.command_line import HOSTILE
from tests.support.filmed import filmed, footage, opened_and_clapped
from tests.support.story_bench import DIODES, FLAT, KIT, RESISTORS, Bench, part_step, plan_of, stage

CAP = part_step(
    FLAT, "main", "C1 C2", "22u", "electrolytic capacitor", 2, orientation="Stripe is minus; long leg to +."
)
PLAN = plan_of(stage(FLAT, "main", DIODES, RESISTORS, CAP))


def do(bench: Bench, step: Step, seconds: float, refs: tuple[str, ...] = ()) -> None:
    bench.at(step.stage, step.board)
    names = refs or step.refs
    items = tuple(f"{step.board}/{ref}" for ref in names)
    bench.add(ev.Done, seconds, step=step.key, items=items, value=step.value, refs=names)


def captions(bench: Bench, *parts: tuple[float, float, float], kit: Any = KIT) -> tuple[Caption, ...]:
    """The captions of a film from one clip that begins with the bench's clap."""
    filmed(bench, 3600.0)
    found = footage(bench, PLAN, kit)
    spoken = spoken_of(kit, PLAN, found.events, fold(bench.events), found.timeline, found.stretches)
    cut = [ClipPart(clip="one.mov", start=a, end=b, speed=s) for a, b, s in parts or ((0.0, 3600.0, 1.0),)]
    return captions_in(spoken, cut, {each.clip.name: each.clip for each in found.clips})


def told(found: tuple[Caption, ...]) -> list[tuple[float, float, str]]:
    return [(round(each.start, 2), round(each.end, 2), " ".join(each.lines)) for each in found]


@pytest.fixture
def bench() -> Bench:
    return opened_and_clapped()


def test_value_designators_and_way_round_stand_while_a_part_is_placed(bench: Bench) -> None:
    do(bench, DIODES, 100)
    do(bench, CAP, 60, ("C1",))
    do(bench, CAP, 40, ("C2",))
    assert told(captions(bench)) == [
        (0.0, 6.0, "D1-D3: 1N4148 diode"),
        (100.0, 106.0, "C1: 22u electrolytic capacitor. Stripe is minus; long leg to +"),
        (160.0, 166.0, "C2: 22u electrolytic capacitor. Stripe is minus; long leg to +"),
    ]


def test_a_break_has_no_caption_and_a_moment_stands_in_place_of_the_step(bench: Bench) -> None:
    bench.add(ev.BreakBegan, 20)
    bench.add(ev.BreakEnded, 600)
    bench.add(ev.Snagged, 30, what="D2 is the wrong way round", part="D2")
    do(bench, DIODES, 50)
    assert told(captions(bench)) == [
        (0.0, 6.0, "D1-D3: 1N4148 diode"),
        (620.0, 626.0, "D1-D3: 1N4148 diode"),
        (650.0, 653.0, "Snag: D2 is the wrong way round"),
    ]


def test_of_a_part_that_was_replaced_the_listed_way_round_is_not_told(bench: Bench) -> None:
    bench.at(FLAT, "main")
    bench.add(ev.Substituted, 10, part="C1 C2", instead="22u ceramic capacitor", items=("main/C1", "main/C2"))
    do(bench, CAP, 60)
    said = " / ".join(words for _, _, words in told(captions(bench)))
    assert "replaced by 22u ceramic capacitor" in said
    assert "Stripe" not in said


def test_where_the_log_names_another_value_than_the_plan_nothing_is_said_of_its_way_round(bench: Bench) -> None:
    do(bench, replace(CAP, value="47u"), 60)
    assert told(captions(bench)) == [(0.0, 6.0, "C1, C2: 47u")]


@pytest.mark.parametrize(
    ("verdict", "words"),
    [
        ("in", "TP1: 5.02 V, within limits"),
        ("out", "TP1: 5.02 V, OUT of limits"),
        ("too close to call", "TP1: 5.02 V, too close to call for this meter"),
        ("", "TP1: 5.02 V"),
    ],
)
def test_a_reading_is_told_with_its_unit_and_verdict(verdict: str, words: str) -> None:
    event = ev.ReadingTaken(
        n=1, at="2031-02-03T18:20:00.000Z", mono=0.0, run="a", point="TP1", text="5.02", expect="5 V ± 4 %",
        verdict=verdict,
    )  # fmt: skip
    assert moment_words(event) == words


def test_in_a_fast_part_a_moment_is_read_at_its_own_pace_and_readings_within_limits_give_way(
    bench: Bench,
) -> None:
    for number in range(12):
        bench.add(ev.ReadingTaken, 4, point=f"TP{number}", text="5", expect="5 V ± 4 %", verdict="in")
    bench.add(ev.ReadingTaken, 4, point="TP99", text="9", expect="5 V ± 4 %", verdict="out")
    do(bench, DIODES, 600)
    found = told(captions(bench, (0.0, 640.0, 16.0)))
    assert found[0][:2] == (0.25, 3.25)
    assert len(found) < 10
    assert any("OUT of limits" in words for _, _, words in found)


def test_where_a_part_flies_by_less_is_said_of_it_and_never_half_its_way_round(bench: Bench) -> None:
    do(bench, CAP, 60)
    for speed, words in (
        (1.0, ["C1, C2: 22u electrolytic capacitor. Stripe is minus; long leg to +"]),
        (16.0, ["C1, C2: 22u electrolytic capacitor. Stripe is minus; long leg to +"]),  # 3.75 s
        (24.0, ["C1, C2: 22u electrolytic capacitor"]),  # 2.5 s
        (50.0, ["C1, C2: 22u"]),  # 1.2 s
        (100.0, []),
    ):
        assert [line for _, _, line in told(captions(bench, (0.0, 60.0, speed)))] == words


@given(
    st.lists(st.tuples(st.text("abcd efgh", min_size=1, max_size=400), st.floats(1, 90)), max_size=6),
    st.sampled_from([1.0, 4.0, 8.0, 16.0, 60.0]),
)
def test_captions_can_be_read(notes: list[tuple[str, float]], speed: float) -> None:
    bench = opened_and_clapped()
    for text, seconds in notes:
        do(bench, CAP, seconds)
        bench.add(ev.Noted, seconds, text=text, mark="tip")
    for each in captions(bench, (0.0, 3600.0, speed)):
        assert len(each.lines) <= LINES
        if each.end < 3600 / speed - 1e-6:  # the film's end cuts what was begun
            assert sum(map(len, each.lines)) <= FASTEST * (each.end - each.start) + 1e-6
        if "electrolytic" in each.lines[0]:
            assert each.end - each.start <= STANDS + 1e-6


def test_a_deadly_kit_begins_with_its_caution(bench: Bench) -> None:
    do(bench, DIODES, 100)
    assert told(captions(bench, kit=replace(KIT, hazards=("mains",))))[0][2].startswith("Caution: Mains")


def test_no_caption_is_cut_short() -> None:
    text = "C1 to C9: 100n. " + "The flat side goes to the printed line, never the other way round. " * 4
    assert " ".join(broken(text)) == text.strip()
    assert all(len(line) <= WIDEST for line in broken(text))


# -- files -------------------------------------------------------------------------------------------
NASTY = [
    HOSTILE, "<b>R1</b> & <i>C1", "a --> b", "00:00:01.000 --> 00:00:02.000", "{\\an8}top {y:i}", "1\n\n2",
    "WEBVTT", "NOTE x", "\ud800", "\u2028\u2029", "\x00",
]  # fmt: skip


def cues(texts: list[str]) -> list[Caption]:
    made = [Caption(start=2.0 * n, end=2.0 * n + 1.5, lines=broken(text)) for n, text in enumerate(texts)]
    return [each for each in made if each.lines]


@pytest.mark.parametrize("text", NASTY)
def test_hostile_words_end_no_caption_and_open_no_tag(text: str) -> None:
    made = cues([text, "second", text])
    as_vtt = webvtt.from_string(webvtt_captions(made), strict=True).captions
    as_srt = list(srt.parse(subrip_captions(made), ignore_errors=False))
    assert len(as_vtt) == len(as_srt) == len(made)
    for cue, line, caption in zip(as_vtt, as_srt, made, strict=True):
        said = "\n".join(map(one_line, caption.lines))
        assert html.unescape(cue.raw_text) == said
        assert (line.start.total_seconds(), line.end.total_seconds()) == (caption.start, caption.end)
        assert not set("<>{}") & set(line.content)
    assert all(char == "\n" or char.isprintable() for char in subrip_captions(made) + webvtt_captions(made))


@given(st.lists(st.text(min_size=1, max_size=90), max_size=12))
def test_two_other_readers_take_the_same_captions_out_of_both_files(texts: list[str]) -> None:
    made = cues([f"x {text}" for text in texts])
    vtt = webvtt.from_string(webvtt_captions(made), strict=True).captions
    lines = list(srt.parse(subrip_captions(made), ignore_errors=False))
    assert [each.index for each in lines] == list(range(1, len(made) + 1))
    as_comma = [(cue.start.replace(".", ","), cue.end.replace(".", ",")) for cue in vtt]
    assert [
        (srt.timedelta_to_srt_timestamp(each.start), srt.timedelta_to_srt_timestamp(each.end)) for each in lines
    ] == as_comma


@given(
    st.lists(
        st.tuples(st.floats(0, 900), st.floats(2, 300), st.sampled_from([1.0, 8.0, 16.0])),
        min_size=1,
        max_size=5,
    )
)  # fmt: skip
def test_whatever_is_cut_no_two_captions_overlap(parts: list[tuple[float, float, float]]) -> None:
    bench = opened_and_clapped()
    for number in range(8):
        do(bench, (DIODES, RESISTORS, CAP)[number % 3], 90)
        bench.add(ev.Noted, 10, text=f"tip {number}", mark="tip")
    found = captions(bench, *((start, start + lasts, speed) for start, lasts, speed in parts))
    length = sum(lasts / speed for _, lasts, speed in parts)
    assert all(0 <= each.start < each.end <= length + 1e-6 for each in found)
    assert all(before.end <= after.start + 1e-9 for before, after in pairwise(found))

"""A story in short, the advice in it, and that any log at all can be told."""

from __future__ import annotations

import sys
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from bench.log import events as ev
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.writeup.story import tell
from bench.writeup.story_model import ADVICE_SOURCES, Story
from bench.writeup.summary import byline, figures
from tests.support.story_bench import (  # fmt: skip
    DIODES,
    FLAT,
    HOLD,
    KIT,
    PLAN,
    Bench,
    part_step,
    plan_of,
    stage,
    story_of,
    whole_story,
)


# -- in short ----------------------------------------------------------------------------------------
def test_line_and_figures_sum_up_a_finished_build() -> None:
    story = whole_story()
    assert byline(story) == ("Built on 3, 5 and 8 February 2031; a kit by Lantern Yard Workshop, revision B")
    assert figures(story) == (
        ("1 h 40 min", "at the bench", "three sittings"),
        ("30", "parts fitted", ""),
        ("72", "solder joints", ""),
        ("3", "snags", "19.5 min lost, 1 still open"),
    )
    assert story.summary == ()


def test_line_and_figures_sum_up_a_build_in_progress() -> None:
    bench = Bench()
    assert figures(story_of(bench)) == ()
    bench.do(DIODES, 600)
    bench.add(ev.Noted, 5, text="Ada, at the window", mark="who")
    story = replace(story_of(bench), beside="unit B")
    assert byline(story) == (
        "By Ada, at the window, begun on 3 February 2031, side by side with unit B; "
        "a kit by Lantern Yard Workshop, revision B"
    )
    assert figures(story)[1] == ("3", "parts fitted", "28 to go")
    assert story.summary == ()


@pytest.mark.parametrize(
    ("stages", "said"),
    [
        ("", ()),
        ("HH", ()),
        ("HHF", ("Most of the trouble came at ‘Before power’.",)),
        ("HHH", ("All of the trouble came at ‘Before power’.",)),
        ("FFH", ()),
        ("HHFF", ()),
        ("FFHHFHH", ("Most of the trouble came at ‘Before power’.",)),
    ],
)
def test_a_hold_point_at_which_most_snags_came_up_is_named(stages: str, said: tuple[str, ...]) -> None:
    bench = Bench()
    bench.do(next(step for step in PLAN.steps if step.action == "check"))
    for each in stages:
        bench.at(HOLD if each == "H" else FLAT)
        bench.add(ev.Snagged, what="x", fix="wick")
    assert story_of(bench).summary == said


WITHIN = ("Nothing went wrong, and every reading was within its limits.",)


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        (ev.Noted, {"text": "x"}, WITHIN),
        (ev.ReadingTaken, {"point": "TP3", "text": "5"}, WITHIN),
        (ev.ReadingTaken, {"point": "TP3", "text": "0", "verdict": "out"}, ()),
        (ev.ReadingTaken, {"point": "TP3", "text": "0", "verdict": "too close to call"}, ()),
        (ev.Snagged, {"what": "x", "fix": "y"}, ()),
        (ev.ErratumFound, {"text": "x"}, ()),
        (ev.JointsCounted, {"counted": 5, "expected": 6}, ()),
        (ev.BagCounted, {"items": ("main/R1",), "value": "1k", "kind": "resistor", "found": 0}, ()),
        (ev.SuspicionSettled, {"suspicion": "x", "found": False}, ()),
        (ev.HoldOverridden, {"hold": "Before power", "reason": "x"}, ()),
    ],
)
def test_nothing_went_wrong_only_where_the_log_holds_nothing_of_it(
    kind: type[ev.AnyEvent], fields: dict[str, Any], said: tuple[str, ...]
) -> None:
    only = plan_of(stage("Link", "main", part_step("Link", "main", "W1", "link", "wire link", 1)))
    bench = Bench()
    bench.do(only.steps[0], 30)
    for point in ("TP1", "TP2"):
        assert tell(KIT, only, bench.events).summary == ()
        bench.add(ev.ReadingTaken, 5, point=point, text="5", verdict="in")
    bench.add(kind, 5, **fields)
    assert tell(KIT, only, bench.events).summary == said


def test_advice_says_what_it_is_drawn_from() -> None:
    advice = [(piece.drawn_from, piece.text) for piece in whole_story().advice]
    assert advice == [
        ("tip", "R9 stands alone beside the header; easy to overlook"),
        ("kit's erratum", "R31 is printed R13 on the front board"),
        ("erratum found", "the guide's photo of the front board shows revision A"),
        ("substitution", "C5: 22 µF, 25 V; 10 µF did not come with the kit; same height"),
    ]


# -- any log at all ----------------------------------------------------------------------------------
ITEMS = st.lists(
    st.sampled_from([item for step in PLAN.steps for item in step.items] + ["x/R1", "x/!y"]), max_size=5
)
WORDS = st.text(max_size=12)
NUMBERS = st.integers(0, 40)
ANY_EVENT = st.one_of(
    st.tuples(
        st.sampled_from([ev.Done, ev.HeldBack]),
        st.fixed_dictionaries({"items": ITEMS.map(tuple), "value": WORDS}),
    ),
    st.tuples(st.just(ev.Resumed), st.fixed_dictionaries({"items": ITEMS.map(tuple)})),
    st.tuples(st.just(ev.Undone), st.fixed_dictionaries({"of": NUMBERS})),
    st.tuples(
        st.just(ev.Corrected),
        st.fixed_dictionaries(
            {
                "of": NUMBERS,
                "field": st.sampled_from(["text", "minutes", "counted", "?"]),
                "to": WORDS | st.just("4"),
            }
        ),
    ),
    st.tuples(
        st.just(ev.Noted), st.fixed_dictionaries({"text": WORDS, "mark": st.sampled_from(["tip", "show", "?"])})
    ),
    st.tuples(
        st.just(ev.Snagged),
        st.fixed_dictionaries({"what": WORDS, "part": WORDS, "fix": WORDS, "minutes": st.floats()}),
    ),
    st.tuples(st.just(ev.Mended), st.fixed_dictionaries({"of": NUMBERS, "fix": WORDS, "minutes": st.floats()})),
    st.tuples(st.just(ev.JointsCounted), st.fixed_dictionaries({"counted": NUMBERS, "expected": NUMBERS})),
    st.tuples(
        st.just(ev.IdleResolved),
        st.fixed_dictionaries({"seconds": st.floats(allow_nan=False), "worked": st.booleans()}),
    ),
    st.tuples(st.sampled_from([ev.BreakBegan, ev.BreakEnded, ev.Opened, ev.Closed]), st.just({})),
)
ANY_LOG = st.lists(
    st.tuples(ANY_EVENT, st.floats(0, 20000), st.sampled_from([each.key for each in PLAN.stages] + [("", "")])),
    max_size=40,
)


@given(ANY_LOG)
@settings(max_examples=150)
def test_any_log_gives_a_story_that_adds_up_and_survives_json(log: list[Any]) -> None:
    bench = Bench()
    for (kind, fields), after, place in log:
        bench.at(*place)
        bench.add(kind, after, **fields)
    story = story_of(bench)
    assert msgspec.json.decode(msgspec.json.encode(story), type=Story) == story
    assert story == tell(KIT, PLAN, bench.events, fold(bench.events))
    assert sum(row.minutes for row in story.stages) == story.minutes
    assert sum(row.parts for row in story.stages) == story.parts_placed
    assert sum(row.joints for row in story.stages) == story.joints
    assert sum(row.steps_done for row in story.stages) + sum(row.steps for row in story.left) + len(
        story.left_out
    ) == len(PLAN.steps)
    assert story.finished == (not story.left)
    assert {piece.drawn_from for piece in story.advice} <= set(ADVICE_SOURCES)
    assert len(story.summary) <= 1
    assert all(sentence.endswith(".") for sentence in story.summary)


def test_the_work_of_telling_grows_with_the_log_and_not_with_its_square() -> None:
    def calls(turns: int) -> int:
        bench = Bench()
        for turn in range(turns):
            bench.add(ev.HeldBack, 1, items=(f"x/R{turn}",), value="1k")
            bench.add(ev.Noted, 1, text="a note")
        counted = 0

        def count(*_: object) -> None:
            nonlocal counted
            counted += 1

        before = sys.getprofile()
        sys.setprofile(count)
        try:
            tell(KIT, PLAN, bench.events, Progress())
        finally:
            sys.setprofile(before)
        return counted

    assert calls(800) < calls(8000) < 11 * calls(800)

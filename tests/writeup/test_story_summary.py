"""A story in short, the advice in it, and that any log at all can be told."""

from __future__ import annotations

import sys
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.writeup.story import tell
from bench.writeup.story_model import ADVICE_SOURCES, Story
from tests.support.story_bench import (  # fmt: skip
    DIODES,
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
def test_three_sentences_sum_up_a_finished_build() -> None:
    assert whole_story().summary == (
        "The Twin-board oscillator, a kit by Lantern Yard Workshop (revision B), took me nearly an hour "
        "and three quarters, in three sittings from 3 to 8 February 2031.",
        "It has 30 parts and 72 solder joints on two boards; one optional part is left out.",
        "Three things went wrong and cost a little over a quarter of an hour, most of it at J2; "
        "one is still open.",
    )


def test_three_sentences_sum_up_a_build_in_progress() -> None:
    bench = Bench()
    bench.do(DIODES, 600)
    assert story_of(bench).summary == (
        "I have spent ten minutes so far on the Twin-board oscillator, a kit by Lantern Yard Workshop "
        "(revision B), in one sitting on 3 February 2031.",
        "3 of 31 parts are in.",
        "Nothing has gone wrong so far.",
    )


@pytest.mark.parametrize(
    ("snags", "said"),
    [
        ([{"fix": "wick", "minutes": 3}], "One thing went wrong and cost three minutes."),
        ([{}], "One thing went wrong; it is still open."),
        ([{"fix": "wick"}, {"fix": "wick"}], "Two things went wrong."),
        ([{}, {}], "Two things went wrong; all are still open."),
        (
            [{"fix": "x"}, {}, {"minutes": 90}],
            "Three things went wrong and cost an hour and a half; two are still open.",
        ),
    ],
)
def test_snags_are_summed_up_in_the_right_number(snags: list[dict[str, Any]], said: str) -> None:
    bench = Bench()
    for fields in snags:
        bench.add(ev.Snagged, what="x", **fields)
    assert story_of(bench).summary[2] == said


def test_one_part_and_one_joint_are_singular() -> None:
    only = plan_of(stage("Link", "main", part_step("Link", "main", "W1", "link", "wire link", 1)))
    bench = Bench()
    bench.do(only.steps[0], 30)
    kit = Kit(name="The Link", boards=KIT.boards[:1])
    story = tell(kit, only, bench.events)
    assert story.summary[:2] == (
        "I built the Link in one go on 3 February 2031; it took under a minute.",
        "It has 1 part and 1 solder joint.",
    )
    assert tell(kit, only, []).summary[1] == "It will have 1 part and 1 solder joint."


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
    assert len(story.summary) == 3
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

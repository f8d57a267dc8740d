"""Several builds side by side: order, pace, snags, and pages that say so."""

from __future__ import annotations

import msgspec
import pytest

from bench.log import events as ev
from bench.plan.plan import Plan
from bench.writeup.compare_builds import paces, sides_of, together
from bench.writeup.markdown import set_in_markdown
from bench.writeup.page import html_together
from bench.writeup.story import tell
from bench.writeup.story_model import Story
from tests.support.pages import assert_inert, section_text
from tests.support.story_bench import FLAT, KIT, Bench, part_step, plan_of, stage, whole_story

SMALL = "Small capacitors"


def plan_with(resistors: int) -> Plan:
    """A stage of resistors, and one with too few parts to tell a pace."""
    refs = " ".join(f"R{number}" for number in range(1, resistors + 1))
    return plan_of(
        stage(FLAT, "main", part_step(FLAT, "main", refs, "4k7", "resistor", 2)),
        stage(SMALL, "main", part_step(SMALL, "main", "C1", "100n", "ceramic capacitor", 2)),
    )


def built(start: str, resistors: int, seconds: float) -> Story:
    """A build whose resistors took this long in all."""
    plan, bench = plan_with(resistors), Bench(start)
    bench.at(FLAT, "main")
    bench.add(ev.HeldBack, 0, items=("x",), value="x")
    bench.do(plan.steps[0], seconds)
    bench.do(plan.steps[1], 60)
    return tell(KIT, plan, bench.events)


FIRST, SECOND = built("2031-02-01T10:00:00.000Z", 10, 400), built("2031-03-01T10:00:00.000Z", 20, 600)


def test_builds_stand_in_the_order_in_which_they_were_begun() -> None:
    unbegun = tell(KIT, plan_with(3), [])
    sides = sides_of([("c", unbegun), ("b", SECOND), ("a", FIRST)])
    assert [side.story for side in sides] == [FIRST, SECOND, unbegun]
    assert [side.name for side in sides] == [
        f"{KIT.title}, no. 1", f"{KIT.title}, no. 2", f"{KIT.title}, no. 3",
    ]  # fmt: skip
    assert sides_of([("a", FIRST)])[0].name == KIT.title


def test_pace_is_seconds_for_a_part_in_stages_that_are_through() -> None:
    (pace,) = paces(sides_of([("b", SECOND), ("a", FIRST)]))
    assert pace.stage == FLAT
    assert pace.seconds == pytest.approx((40.0, 30.0))
    assert pace.change == pytest.approx(-25.0)


def test_a_stage_that_is_not_through_or_has_few_parts_tells_no_pace() -> None:
    bench = Bench()
    plan = plan_with(10)
    bench.do(plan.steps[0], 300, plan.steps[0].items[:5])
    assert paces(sides_of([("a", FIRST), ("b", tell(KIT, plan, bench.events))])) == ()


def test_the_page_says_what_got_faster_and_by_how_much() -> None:
    page = set_in_markdown(together([("a", FIRST), ("b", SECOND)]))
    assert "| Parts that lie flat | 40 s | 30 s | 25 % faster |" in page
    turned = set_in_markdown(together([("a", SECOND), ("b", FIRST)]))
    assert turned == page


@pytest.mark.parametrize(("seconds", "said"), [(800.0, "the same"), (880.0, "10 % slower")])
def test_no_gain_is_said_too(seconds: float, said: str) -> None:
    other = built("2031-03-01T10:00:00.000Z", 20, seconds)
    page = set_in_markdown(together([("a", FIRST), ("b", other)]))
    assert said in page


def test_snags_stand_by_kind_and_tips_with_their_builds() -> None:
    whole = whole_story()
    page = set_in_markdown(together([("a", whole), ("b", FIRST)]))
    assert "| Bad joint or bridge |  | 1 |" in page
    assert f"- R9 stands alone beside the header; easy to overlook ({KIT.title}, no. 2)" in page
    assert "easy to overlook\n" in set_in_markdown(together([("a", whole), ("b", whole)]))


def test_the_builders_record_stands_where_there_is_one() -> None:
    told = [("a", FIRST), ("b", SECOND)]
    assert "builder's record" not in set_in_markdown(together(told))
    document = assert_inert(html_together(told, [("Snags", ["Bridges: 2 in 9 builds"])]))
    assert section_text(document, "record") == (
        "The builder's record Of all builds in this builder's data, not only of those on this page. "
        "Snags Bridges: 2 in 9 builds"
    )


def test_only_finished_builds_of_one_kit_one_after_the_other_are_compared() -> None:
    other = msgspec.structs.replace(SECOND, name="Another kit", title="Another kit")
    for second in (
        other,
        msgspec.structs.replace(SECOND, finished=False),
        msgspec.structs.replace(SECOND, beside="unit A"),
    ):
        page = set_in_markdown(together([("a", FIRST), ("b", second)]))
        assert "## Pace" not in page
        assert "the first time" not in page
    page = set_in_markdown(together([("a", FIRST), ("b", SECOND)]))
    assert "\n\n8 min the first time and 11 min the second time.\n\n" in page
    assert "## Pace, build by build" in page


def test_time_lost_in_snags_is_no_soldering_pace() -> None:
    snag = whole_story().snags[0]
    lost = msgspec.structs.replace(snag, minutes=5.0, stage=FLAT, board="main")
    slow = msgspec.structs.replace(FIRST, snags=(lost,))
    page = set_in_markdown(together([("a", FIRST), ("b", slow)]))
    row = next(line for line in page.splitlines() if line.startswith("| Seconds per joint"))
    free, held_up = (float(cell) for cell in row.split("|")[2:4])
    assert held_up < free

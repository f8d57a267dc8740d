"""A story as CommonMark: what stands in its sections, checked with a CommonMark parser."""

from __future__ import annotations

import re

import pytest

from bench.log import events as ev
from bench.writeup.markdown import write_up
from bench.writeup.story import tell
from tests.support.markdown_pages import article, assert_harmless, section
from tests.support.story_bench import (
    DIODES,
    FLAT,
    KIT,
    PLAN,
    RESISTORS,
    Bench,
    part_step,
    plan_of,
    stage,
    whole_build,
)


def test_the_finished_article_has_its_sections_in_order_and_every_number() -> None:
    page = write_up(tell(KIT, PLAN, whole_build()))
    assert_harmless(page)
    assert page.startswith("# Building the Twin-board oscillator\n\nTwo triangle-core oscillators")
    assert [line[3:] for line in page.splitlines() if line.startswith("## ")] == [
        "What I learned", "The story", "What was measured", "Not as in the guide",
        "For the next builder", "Where the time went", "About this build", "Minute by minute", "Time by stage",
        "Snags by kind", "Every reading", "What went in", "Held back",
    ]  # fmt: skip
    assert "in progress" not in page
    assert "| Parts that lie flat, main board | 10 | 20 | 32 min |" in page
    assert "| **All** | 30 | 72 | **1 h 40 min** |" in page
    assert "| TP1 | 5 V ± 4 % | 4.71 V, then 4.73 V |" in page
    assert page.endswith("*\n")


def test_minutes_in_the_table_add_up_to_the_total_in_the_text() -> None:
    page = write_up(tell(KIT, PLAN, whole_build()))
    told = section(page, "Time by stage")
    rows = re.findall(r"^\| .* \| (?:(\d+) h )?(?:(\d+)|under 1) min \|$", told, re.MULTILINE)
    assert sum(int(hours or 0) * 60 + int(minutes or 0) for hours, minutes in rows) == 100
    assert page.count("1 h 40 min") == 2


def test_a_build_in_progress_says_so_at_the_top_and_what_is_left() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.HeldBack, 5, items=RESISTORS.items, value="4k7", refs=RESISTORS.refs, reason="no bag")
    page = article(bench, now="2031-02-04T10:00:00.000Z")
    assert page.split("\n\n")[1] == (
        "> **This build is still in progress as of 4 February 2031.** 17 steps, 28 parts and 68 "
        "solder joints are left; one step is held back."
    )
    assert "- Parts that lie flat, main board: 2 steps (7 parts, 14 joints)" in section(page, "Still to do")
    assert section(page, "Held back") == (
        "- R1-R4, R9 (4k7), in Parts that lie flat, main board: no bag. **Still held back.**"
    )


def test_a_build_not_yet_begun_says_so() -> None:
    page = article(Bench())
    assert "> **This build is not started yet.** 18 steps, 31 parts" in page
    assert "## Where the time went" not in page
    assert "## What went in" not in page


def test_no_section_is_empty() -> None:
    for length in range(len(whole_build()) + 1):
        page = write_up(tell(KIT, PLAN, whole_build()[:length]))
        bare = re.sub(r"<!--.*?-->\n?", "", page)
        assert not re.search(r"^#+ [^\n]*\n+(## |\*The figures)", bare, re.MULTILINE)


def test_no_snags_is_said_in_words_and_takes_no_section() -> None:
    events = [event for event in whole_build() if not isinstance(event, ev.Snagged | ev.Mended)]
    page = write_up(tell(KIT, PLAN, events))
    assert "Nothing went wrong." in page
    assert "## Snags by kind" not in page
    assert "Worth a second look" not in page


def test_snags_stand_under_their_kinds_with_what_they_cost_and_open_ones_are_marked() -> None:
    assert section(write_up(tell(KIT, PLAN, whole_build())), "Snags by kind") == (
        "| Kind | Snags | Time lost |\n"
        "| --- | ---: | ---: |\n"
        "| Bad joint or bridge | 1 | 12.5 min |\n"
        "| Wrong way round | 1 | 7 min |\n"
        "| Other | 1 | not recorded |\n"
        "| **All** | 3 | **19.5 min** |\n\n"
        "### Bad joint or bridge\n\n"
        "- **A hair of solder between two lugs of J2.** Fix: wick. (Panel parts, front board; 12.5 min lost)"
        "\n\n"
        "### Wrong way round\n\n"
        "- **D3 sat the wrong way round.** Fix: wick, and a second pass with fresh solder. "
        "(Parts that lie flat, main board; 7 min lost)\n\n"
        "### Other\n\n"
        "- **The left oscillator drifts for its first ten minutes.** **Still open.** "
        "(Panel, nuts, knobs, front board)"
    )


def test_snags_of_one_kind_are_numbered_and_need_no_table() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Snagged, 5, what="D1 the wrong way round", part="D1", fix="turned")
    bench.add(ev.Snagged, 5, what="D2 backwards")
    assert section(article(bench), "Snags by kind") == (
        "1. **D1 the wrong way round.** Fix: turned. (Parts that lie flat, main board)\n"
        "2. **D2 backwards.** **Still open.** (Parts that lie flat, main board)"
    )


def test_a_kit_of_one_board_does_not_name_it_in_every_line() -> None:
    sockets = part_step("Sockets", "main", "U1 U2", "DIP-8", "IC socket", 8)
    plan = plan_of(stage(FLAT, "main", DIODES), stage("Sockets", "main", sockets))
    bench = Bench()
    bench.do(DIODES)
    bench.do(sockets)
    bench.add(ev.Noted, 5, text="x", mark="tip")
    page = article(bench, plan=plan)
    assert "main" not in page
    assert "| Stage | Parts | Joints | Time |" in page


def test_time_in_one_stage_only_needs_no_table() -> None:
    bench = Bench()
    bench.at(FLAT, "main")
    bench.do(DIODES, 600)
    said = "10 min at the bench, in Parts that lie flat, main board."
    assert section(article(bench), "Where the time went") == said
    assert "## Time by stage" not in article(bench)


def test_breaks_and_unsettled_pauses_are_told_apart() -> None:
    bench = Bench()
    bench.do(DIODES)
    for _ in range(2):
        bench.add(ev.BreakBegan, 5)
        bench.add(ev.BreakEnded, 600)
    bench.add(ev.Noted, 3000, text="x")
    assert section(article(bench), "Where the time went").endswith(
        "Breaks took another 20 min, and for 50 min nobody noted whether it was work or rest."
    )


def test_one_of_a_kind_is_told_with_the_others_that_stand_alone() -> None:
    names = ("fuse", "relay", "LED", "display")
    steps = [part_step("All", "main", f"X{name}", name, name, 2) for name in names]
    two = part_step("All", "main", "S1 S2", "on-on", "toggle switch", 3)
    plan = plan_of(stage("All", "main", *steps, two))
    bench = Bench()
    for step in plan.steps:
        bench.do(step)
    told = section(article(bench, plan=plan), "What went in")
    assert told == "6 parts went in: 2 toggle switches, and one each of fuse, relay, LED and display."
    fewer = plan_of(stage("All", "main", *steps[:3]))
    assert section(article(bench, plan=fewer), "What went in").startswith(
        "3 parts went in: 1 fuse, 1 relay and 1 LED."
    )
    alone = plan_of(stage("All", "main", *steps))
    assert section(article(bench, plan=alone), "What went in").startswith(
        "4 parts went in: one each of fuse, relay, LED and"
    )


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        (
            [(20, 20)],
            "The joints of one stage were counted blind: the count was right at once.",
        ),
        ([(21, 20)], "- Parts that lie flat, main board: 21 counted, 20 expected, one too many."),
        ([(20, 20), (19, 20)], ": the count was right at once."),
    ],
)
def test_counts_of_joints_are_told(counts: list[tuple[int, int]], said: str) -> None:
    bench = Bench()
    bench.do(DIODES)
    for counted, expected in counts:
        bench.add(ev.JointsCounted, 5, counted=counted, expected=expected)
    assert section(article(bench), "What went in").endswith(said)


def test_a_hold_point_that_is_not_through_says_how_far_it_is() -> None:
    bench = Bench()
    bench.do(next(step for step in PLAN.steps if step.action == "check"))
    assert section(article(bench), "What was measured") == "Of ‘Before power’ 1 of 3 checks is done."


def test_a_trim_without_a_reading_is_told_as_such() -> None:
    bench = Bench()
    bench.do(next(step for step in PLAN.steps if step.action == "adjust"))
    assert section(article(bench), "What was measured") == "I wrote no figure down for Scale (RV4)."


def test_readings_without_expectations_need_no_column_for_them() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.ReadingTaken, 5, point="R9", text="4k69")
    assert "| Where | Reading |\n| --- | --- |\n| R9 | 4k69 |" in article(bench)


def test_parts_that_the_kit_no_longer_has_are_said() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Done, 5, items=("main/R70",), value="1k", joints=2)
    assert "One more part is fitted that the parts list no longer has." in article(bench)
    bench.add(ev.Done, 5, items=("main/R71",), value="1k", joints=2)
    assert "Two more parts are fitted that" in article(bench)


@pytest.mark.parametrize(("times", "said"), [(1, "once"), (2, "twice"), (3, "three times")])
def test_revisions_on_the_way_are_said(times: int, said: str) -> None:
    bench = Bench()
    for _ in range(times):
        bench.add(ev.Revised, kit_digest="x")
    assert f"changed {said} on the way." in article(bench)


def test_bare_events_without_words_leave_no_holes() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Snagged, 5, what=" ")
    bench.add(ev.HoldOverridden, 5, hold="", reason="")
    bench.add(ev.Noted, 5, text=" ")
    bench.add(ev.Noted, 5, text="", mark="tip")
    bench.add(ev.Substituted, 5, part="", instead="")
    page = article(bench)
    assert "1. **Not described.** **Still open.** (Parts that lie flat, main board)" in page
    assert "A hold point was overridden, without a reason." in page
    assert "### Tips" not in page
    assert "- One part: another part" in page


def test_an_empty_plan_is_said() -> None:
    assert "The plan has no steps." in article(Bench(), plan=plan_of())

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
        "Lessons learned", "The story", "What was measured", "Not as in the guide", "For the next builder",
        "About this build", "Where the time went", "Minute by minute, times in UTC", "Snags by kind",
        "Every reading", "What went in",
    ]  # fmt: skip
    assert "in progress" not in page
    assert "| Parts that lie flat, main board | 10 | 20 | 32 min |" in page
    assert "| **All** | 30 | 72 | **1 h 40 min** |" in page
    assert "| TP1 | 5 V ± 4 % | 4.71 V, then 4.73 V |" in page
    assert "**30** parts fitted · **72** solder joints · **3** snags, 19.5 min lost, 1 still open\n" in page


def test_minutes_in_the_table_add_up_to_the_total_in_the_text() -> None:
    page = write_up(tell(KIT, PLAN, whole_build()))
    told = section(page, "Where the time went")
    rows = re.findall(r"^\| .* \| (?:(\d+) h )?(?:(\d+)|under 1) min \|$", told, re.MULTILINE)
    assert sum(int(hours or 0) * 60 + int(minutes or 0) for hours, minutes in rows) == 100
    assert page.count("1 h 40 min") == 2


def test_a_build_in_progress_says_so_at_the_top_and_what_is_left() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.HeldBack, 5, items=RESISTORS.items, value="4k7", refs=RESISTORS.refs, reason="no bag")
    page = article(bench, now="2031-02-04T10:00:00.000Z")
    assert page.split("\n\n")[1] == ("> **This build is still in progress as of 4 February 2031.**")
    left = section(page, "Still to do")
    assert "- Parts that lie flat, main board: 7 parts, 14 joints\n" in left
    assert "- Before power: 3 checks" in left
    assert "Trim" not in left
    assert section(page, "The story").endswith("R1-R4 and R9 (4k7) are still to go in: no bag.")


def test_where_only_checks_are_left_they_are_what_is_still_to_do() -> None:
    bench = Bench()
    for step in PLAN.steps:
        if step.action not in ("check", "adjust"):
            bench.do(step)
    page = article(bench)
    assert "4 steps to go; every part is in." in page
    assert section(page, "Still to do") == "- Before power: 3 checks"


def test_a_build_not_yet_begun_says_so() -> None:
    page = article(Bench())
    assert "> **This build is not started yet.** It will have 31 parts and 74 solder joints." in page
    assert "## Where the time went" not in page
    assert "## What went in" not in page


def test_no_section_is_empty() -> None:
    for length in range(len(whole_build()) + 1):
        page = write_up(tell(KIT, PLAN, whole_build()[:length]))
        bare = re.sub(r"<!--.*?-->\n?", "", page)
        assert not re.search(r"^#+ [^\n]*\n+(## )", bare, re.MULTILINE)


def test_no_snags_take_no_section() -> None:
    events = [event for event in whole_build() if not isinstance(event, ev.Snagged | ev.Mended)]
    page = write_up(tell(KIT, PLAN, events))
    assert "## Snags by kind" not in page
    assert "**0** snags" in page


def test_snags_of_several_kinds_are_counted_with_what_they_cost() -> None:
    assert section(write_up(tell(KIT, PLAN, whole_build())), "Snags by kind") == (
        "| Kind | Snags | Time lost |\n"
        "| --- | ---: | ---: |\n"
        "| Bad joint or bridge | 1 | 12.5 min |\n"
        "| Wrong way round | 1 | 7 min |\n"
        "| Other | 1 | not recorded |\n"
        "| **All** | 3 | **19.5 min** |"
    )


def test_snags_of_one_kind_need_no_table() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Snagged, 5, what="D1 the wrong way round", part="D1", fix="turned")
    bench.add(ev.Snagged, 5, what="D2 backwards")
    page = article(bench)
    assert "## Snags by kind" not in page
    assert section(page, "The story").endswith("D1 the wrong way round; turned. D2 backwards; still open.")


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
    assert "## Where the time went" not in article(bench)
    assert "**10 min** at the bench, one sitting" in article(bench)


def test_breaks_and_unsettled_pauses_are_told_apart() -> None:
    bench = Bench()
    bench.do(DIODES)
    for _ in range(2):
        bench.add(ev.BreakBegan, 5)
        bench.add(ev.BreakEnded, 600)
    bench.add(ev.Noted, 3000, text="x")
    assert section(article(bench), "Where the time went") == (
        "Breaks took another 20 min, and for 50 min nobody noted whether it was work or rest."
    )


def test_what_went_in_is_a_table_of_kinds_the_most_first() -> None:
    steps = [part_step("All", "main", f"X{name}", name, name, 2) for name in ("fuse", "LED")]
    two = part_step("All", "main", "S1 S2", "on-on", "toggle switch", 3)
    plan = plan_of(stage("All", "main", *steps, two))
    bench = Bench()
    for step in plan.steps:
        bench.do(step)
    assert section(article(bench, plan=plan), "What went in") == (
        "| Kind | Parts |\n| --- | ---: |\n"
        "| Toggle switch | 2 |\n| Fuse | 1 |\n| LED | 1 |\n| **All** | **4** |"
    )


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ([(20, 20)], "| **All** | **3** |"),
        ([(21, 20)], "\n\n- Parts that lie flat, main board: 21 joints counted, 20 expected."),
        (
            [(20, 20), (19, 20)],
            ": 20 joints counted, as expected; then 19 joints counted, 20 expected.",
        ),
    ],
)
def test_counts_of_joints_are_told_where_one_was_off(counts: list[tuple[int, int]], said: str) -> None:
    bench = Bench()
    bench.do(DIODES)
    for counted, expected in counts:
        bench.add(ev.JointsCounted, 5, counted=counted, expected=expected)
    assert section(article(bench), "What went in").endswith(said)


def test_a_hold_point_that_is_not_through_says_how_far_it_is() -> None:
    bench = Bench()
    bench.do(next(step for step in PLAN.steps if step.action == "check"))
    assert section(article(bench), "What was measured") == "1 of the 3 checks of ‘Before power’ is done."


def test_a_trim_stands_with_what_was_read_last_and_not_without() -> None:
    bench = Bench()
    bench.do(next(step for step in PLAN.steps if step.action == "adjust"))
    assert "## What was measured" not in article(bench)
    bench.add(ev.ReadingTaken, 5, point="Scale", text="0.998", expect="1 V per octave")
    bench.add(ev.ReadingTaken, 5, point="current from +12 V", text="31mA", expect="38 mA ± 30 %")
    assert section(article(bench), "What was measured") == (
        "| Measured | Wanted | Read last |\n| --- | --- | --- |\n"
        "| Current from +12 V | 38 mA ± 30 % | 31 mA |\n| Scale (RV4) | 1 V per octave | 0.998 |"
    )


def test_a_reading_that_is_out_to_the_last_is_said() -> None:
    bench = Bench()
    bench.at("Before power")
    for text, verdict in (("4.7", "out"), ("4.73", "out")):
        bench.add(ev.ReadingTaken, 5, point="TP1", text=text, expect="5 V ± 4 %", verdict=verdict)
    assert section(article(bench), "What was measured") == (
        "Out of limits to the last: TP1 read 4.73 V instead of 5 V."
    )


def test_a_reading_taken_again_with_the_same_result_stands_once() -> None:
    bench = Bench()
    bench.at("Before power")
    for text, verdict in (("5.3", "out"), ("5.2", "too close to call"), ("5.2", "too close to call")):
        bench.add(ev.ReadingTaken, 5, point="TP1", text=text, expect="5 V ± 4 %", verdict=verdict)
    step = next(step.key for step in PLAN.steps if step.value == "TP1")
    why = "5.2: accepted as too close to call"
    bench.add(ev.HoldOverridden, 5, hold="Before power", step=step, about="too close", reason=why)
    assert "| TP1 | 5 V ± 4 % | 5.3 V, then 5.2 V | out, then too close to call, accepted |" in article(bench)


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
    assert "Something went wrong here; still open." in page
    assert "A hold point was overridden, without a reason." in page
    assert "### Tips" not in page
    assert "- One part: another part" in page


def test_an_empty_plan_is_said() -> None:
    assert "The plan has no steps." in article(Bench(), plan=plan_of())

"""A story as CommonMark, checked with a CommonMark parser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import msgspec
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from bench.kit.model import Kit
from bench.log import events as ev
from bench.plan.model import Plan, Step
from bench.retro.commonmark import bullets, inert, numbered, table
from bench.retro.markdown import write_up
from bench.retro.story import tell
from bench.retro.words import one_line
from tests.retro_bench import (
    FLAT,
    KIT,
    MAIN,
    PLAN,
    Bench,
    part_step,
    plan_of,
    stage,
    task_step,
    whole_build,
)

DIODES = PLAN.steps[0]
RESISTORS = PLAN.steps[1]


def parser() -> MarkdownIt:
    return MarkdownIt("commonmark").enable("table")


def github_parser() -> MarkdownIt:
    """With strikethrough and links that nobody marked, as in GitHub Flavored Markdown 0.29, 6.5 and 6.9."""
    parser = MarkdownIt("gfm-like")
    assert parser.linkify is not None
    parser.linkify.set({"fuzzy_link": False, "fuzzy_email": False})
    return parser


def leaves(tokens: list[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from leaves(token.children or [])


def shown(tokens: list[Token]) -> str:
    """All text that a reader sees, one inline run a line."""
    runs = [token for token in tokens if token.type == "inline"]
    return "\n".join("".join(leaf.content for leaf in leaves([run]) if leaf.type == "text") for run in runs)


def tidy(text: str) -> str:
    """What `inert` promises to show of a text: blanks run together and cut off at the ends."""
    return one_line(text).strip()


def article(bench: Bench, kit: Kit = KIT, plan: Plan = PLAN, **more: Any) -> str:
    return write_up(tell(kit, plan, bench.events, **more))


def section(page: str, title: str) -> str:
    found = re.search(rf"^## {title}\n(.*?)(?=^## |\n\*The figures)", page, re.MULTILINE | re.DOTALL)
    return re.sub(r"<!--.*?-->\n?", "", found[1]).strip() if found else ""


# -- texts made inert --------------------------------------------------------------------------------
@pytest.mark.parametrize("mark", list("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~"))
def test_every_ascii_punctuation_mark_is_shown_as_itself(mark: str) -> None:
    """The marks are those that CommonMark 0.31.2, section 2.4, calls ASCII punctuation."""
    for text in (mark, f"{mark} x", f"a{mark}b", f"a {mark}{mark}{mark} b{mark}", mark * 3):
        for made in (inert(text), bullets([inert(text)]), numbered([inert(text)]), f"# {inert(text)}"):
            assert shown(parser().parse(made)) == text


@pytest.mark.parametrize(
    "text",
    [
        "*not emphasized*", "<br/> not a tag", "[not a link](/foo)", "`not code`", "1. not a list",
        "* not a list", "# not a heading", '[foo]: /url "not a reference"', "&ouml; not a character entity",
    ],
)  # fmt: skip
def test_the_specifications_own_list_stays_text(text: str) -> None:
    """Nine lines of an example in CommonMark 0.31.2, section 2.4, without their backslashes (from memory)."""
    tokens = parser().parse(inert(text))
    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"]
    assert {leaf.type for leaf in leaves(tokens[1].children or [])} == {"text"}
    assert shown(tokens) == text


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>", "![x](y)", "](javascript:alert(1))", "[x](javascript:alert(1))",
        "<a href=x>", "<javascript:alert(1)>", "a\n# b", "a\n\n- b", "a\n---", "a\n===", "```\ncode",
        "    code", "\tcode", "~~~", "> quote", "--- | ---", "- [ ] task", "a  \nb", "a\\\nb", "1) x", "10. x",
        "+ x", "- - -", "<!-- x", "-->", "<?php ?>", "<![CDATA[x]]>", "&#60;b&#62;", "&lt;b&gt;", "\\",
        "\\\\|", "a\\", "a | b", "| --- |", ":--", "www.example.org", "http://example.org/a_b",
        "mailto:a@example.org", "~~gone~~", "[^1]: x", "a*b*c _d_",
    ],
)  # fmt: skip
def test_hostile_texts_stay_text(text: str) -> None:
    made = inert(text)
    for page, blocks in ((made, 3), (bullets([made]), 7), (table(["a"], [[made]]), 16)):
        for reader in (parser(), github_parser()):
            tokens = reader.parse(page)
            assert len(tokens) == blocks
            assert {leaf.type for run in tokens for leaf in leaves(run.children or [])} == {"text"}
            assert tidy(text) in shown(tokens)


def test_a_bar_in_a_table_cell_is_shown_and_makes_no_column() -> None:
    """As in GitHub Flavored Markdown 0.29, section 4.10, where a bar in a cell is escaped."""
    tokens = parser().parse(table(["foo"], [["b \\| az"], [inert("b | az")], [inert("b \\| az")]]))
    assert sum(token.type == "td_open" for token in tokens) == 3
    assert shown(tokens).split("\n")[-3:] == ["b | az", "b | az", "b \\| az"]


@pytest.mark.parametrize(
    "reading", ["-11.98", "+12 V", "4.71", "1k2", "5 V ± 4 %", "2.2 (2nd try)", "TP1: 5 V"]
)
def test_readings_are_not_cluttered_with_escapes(reading: str) -> None:
    assert inert(reading) == reading


def test_characters_that_turn_the_writing_or_show_nothing_are_dropped() -> None:
    """U+202A-202E and U+2066-2069 are the controls of Unicode Standard Annex 9, section 2."""
    turned = "".join(map(chr, [*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x061C]))
    assert inert(f"a{turned}b") == "ab"
    assert inert("a\x00\x1b[31m\x7f\x9bb\u200b\ufeff") == "a\\[31mb"
    assert inert("\ud800") == "\ufffd"
    assert inert("a\u2028b\u2029c\x85d\re") == "a b c d e"
    assert inert("\u0644\u200c\u0645") == "\u0644\u200c\u0645"


@given(st.text())
@example("a\u00a0")
@settings(max_examples=400)
def test_any_text_is_shown_whole_and_does_nothing(text: str) -> None:
    made = inert(text)
    assert "\n" not in made
    for reader in (parser(), github_parser()):
        tokens = reader.parse(f"x {made} x\n\n- {made} x\n\n| a |\n| --- |\n| {made} x |\n")
        assert {leaf.type for run in tokens for leaf in leaves(run.children or [])} <= {"text"}
        told = shown(tokens).split("\n")
        assert told == [
            f"x {one_line(text)} x",
            f"{one_line(text)} x".strip(),
            "a",
            f"{one_line(text)} x".strip(),
        ]


# -- the article -------------------------------------------------------------------------------------
KINDS_OF_TOKENS = {
    "heading_open", "heading_close", "paragraph_open", "paragraph_close", "inline", "text", "html_block",
    "blockquote_open", "blockquote_close", "bullet_list_open", "bullet_list_close", "ordered_list_open",
    "ordered_list_close", "list_item_open", "list_item_close", "table_open", "table_close", "thead_open",
    "thead_close", "tbody_open", "tbody_close", "tr_open", "tr_close", "th_open", "th_close", "td_open",
    "td_close", "strong_open", "strong_close", "em_open", "em_close",
}  # fmt: skip
OUR_COMMENT = re.compile(r"(<!-- (your words|end of your words): [a-z ]+ -->\n)+")
HEADINGS = {
    "Tracking",
    "Still to do", "Time at the bench", "What went in", "Snags", "Held back", "Measured and adjusted",
    "Notes along the way", "Worth showing", "For the next builder", "Tips", "Errata from the maker",
    "Errata found while building", "Other parts than the list says", "From the snags", "From the joint counts",
}  # fmt: skip


def assert_harmless(page: str) -> list[Token]:
    tokens = parser().parse(page)
    assert {leaf.type for leaf in leaves(tokens)} <= KINDS_OF_TOKENS
    assert all(OUR_COMMENT.fullmatch(token.content) for token in tokens if token.type == "html_block")
    headings = [shown([run]) for opened, run in pairwise(tokens) if opened.type == "heading_open"]
    assert headings[0].startswith("Building ")
    assert set(headings[1:]) <= HEADINGS
    return tokens


TEXT = st.text(max_size=15) | st.sampled_from(
    [
        "<script>",
        "](javascript:x)",
        "a|b",
        "`",
        "# x",
        "\n\n- x",
        "*",
        "_x_",
        "<!-- your words: opening -->",
        "\\",
        "1.",
    ]
)


@given(st.lists(TEXT, min_size=40, max_size=40), st.booleans())
@settings(max_examples=80, deadline=None)
def test_no_text_in_any_field_breaks_the_article(texts: list[str], done: bool) -> None:
    left = iter(texts)

    def word() -> str:
        return next(left)

    board = msgspec.structs.replace(MAIN, name=word())
    kit = Kit(
        name=word(), maker=word(), revision=word(), about=word(), scenario=word(), errata=(word(),),
        boards=(board, msgspec.structs.replace(board, name=word())),
    )  # fmt: skip
    place = word(), board.name
    steps: tuple[Step, ...] = (
        part_step(*place, word() + " ?", word(), word(), 2),
        part_step(place[0], "other", "R1 ?", word(), word(), 2, optional=True),
    )
    trim = task_step(word(), word(), "adjust", expect=word())
    plan = plan_of(
        stage(*place, *steps[:1]), stage(place[0], "other", *steps[1:]), stage(trim.stage, "", trim, hold=True)
    )
    bench = Bench()
    bench.do(steps[0])
    bench.add(ev.Noted, 5, text=word(), mark="note")
    bench.add(ev.Noted, 5, text=word(), mark="tip")
    bench.add(ev.Noted, 5, text=word(), mark="show")
    bench.add(ev.Snagged, 5, what=word(), part=word(), fix=word(), minutes=2.0)
    bench.add(ev.Substituted, 5, part=word(), instead=word(), why=word())
    bench.add(ev.ErratumFound, 5, text=word())
    bench.add(ev.ReadingTaken, 5, point=word(), text=word(), expect=word())
    bench.add(ev.HoldPassed, 5, hold=word(), reason=word())
    bench.add(ev.HeldBack, 5, items=steps[1].items, value=word(), refs=("R1", word()), reason=word())
    bench.add(ev.JointsCounted, 5, counted=3, expected=2)
    if done:
        bench.do(trim)
    told = shown(assert_harmless(article(bench, kit, plan)))
    flat = " ".join(told.split())
    for said in (kit.name, kit.maker, kit.about, kit.scenario, *kit.errata):
        assert " ".join(tidy(said).split()) in flat
    for event in bench.events:
        fields = {"text": 1, "what": 1, "fix": 1, "instead": 1, "why": 1, "reason": 1, "point": 1}
        for field in fields:
            said = tidy(getattr(event, field, ""))
            assert " ".join(said.split()) in flat, (field, said)


def test_a_page_shows_each_text_as_it_was_typed() -> None:
    bench = Bench()
    bench.do(DIODES)
    typed = "R5 | <b>47k</b>, not 4k7 `see` [sheet](2) & *mind* the _band_"
    bench.add(ev.Noted, 5, text=typed)
    assert typed in shown(parser().parse(article(bench)))


def test_the_finished_article_has_its_sections_in_order_and_every_number() -> None:
    page = write_up(tell(KIT, PLAN, whole_build()))
    assert_harmless(page)
    assert page.startswith("# Building the Twin-board oscillator\n\nTwo triangle-core oscillators")
    assert [line[3:] for line in page.splitlines() if line.startswith("## ")] == [
        "Time at the bench", "What went in", "Snags", "Held back", "Measured and adjusted",
        "Notes along the way", "Worth showing", "For the next builder",
    ]  # fmt: skip
    assert "in progress" not in page
    assert "| Parts that lie flat | main | 10 | 20 | 32 min |" in page
    assert "| **All** |  | 30 | 72 | **1 h 40 min** |" in page
    assert "| TP1 | 5 V ± 4 % | 4.71, then 4.73 | Before power |" in page
    assert page.endswith("*\n")


def test_minutes_in_the_table_add_up_to_the_total_in_the_text() -> None:
    page = write_up(tell(KIT, PLAN, whole_build()))
    rows = re.findall(r"^\| .* \| (?:(\d+) h )?(?:(\d+)|under 1) min \|$", page, re.MULTILINE)
    assert sum(int(hours or 0) * 60 + int(minutes or 0) for hours, minutes in rows) == 100
    assert page.count("1 h 40 min") == 3


def test_a_build_in_progress_says_so_at_the_top_and_what_is_left() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.HeldBack, 5, items=RESISTORS.items, value="4k7", refs=RESISTORS.refs, reason="no bag")
    page = article(bench, now="2031-02-04T10:00:00.000Z")
    assert page.split("\n\n")[1] == (
        "> **This build is still in progress as of 4 February 2031.** 17 steps are left, with 28 parts and "
        "68 solder joints; one step is held back."
    )
    assert "- Parts that lie flat, main board: 2 steps (7 parts, 14 joints)" in section(page, "Still to do")
    assert section(page, "Held back") == (
        "- R1-R4, R9 (4k7), in Parts that lie flat, main board: no bag. **Still held back.**"
    )


def test_a_build_not_yet_begun_says_so() -> None:
    page = article(Bench())
    assert "> **This build is not yet begun.** 18 steps are left" in page
    assert "## Time at the bench" not in page
    assert "## What went in" not in page


def test_no_section_is_empty() -> None:
    for length in range(len(whole_build()) + 1):
        page = write_up(tell(KIT, PLAN, whole_build()[:length]))
        bare = re.sub(r"<!--.*?-->\n?", "", page)
        assert not re.search(r"^#+ [^\n]*\n+(## |\*The figures)", bare, re.MULTILINE)


def test_no_snags_is_said_in_words_and_takes_no_section() -> None:
    events = [event for event in whole_build() if not isinstance(event, ev.Snagged | ev.Mended)]
    page = write_up(tell(KIT, PLAN, events))
    assert "No snags were recorded." in page
    assert "## Snags" not in page
    assert "From the snags" not in page


def test_snags_are_numbered_and_open_ones_marked() -> None:
    assert section(write_up(tell(KIT, PLAN, whole_build())), "Snags") == (
        "1. **Parts that lie flat, main board (D3):** D3 sat the wrong way round. Time lost: 7 min. "
        "Fix: wick, and a second pass with fresh solder.\n"
        "2. **Panel parts, front board (J2):** a hair of solder between two lugs of J2. Time lost: 12.5 min. "
        "Fix: wick.\n"
        "3. **Panel, nuts, knobs, front board:** the left oscillator drifts for its first ten minutes. "
        "**Still open.**"
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
    assert (
        section(article(bench), "Time at the bench")
        == "All of the 10 min went to Parts that lie flat, main board."
    )


def test_breaks_and_unsettled_pauses_are_told_apart() -> None:
    bench = Bench()
    bench.do(DIODES)
    for _ in range(2):
        bench.add(ev.BreakBegan, 5)
        bench.add(ev.BreakEnded, 600)
    bench.add(ev.Noted, 3000, text="x")
    assert section(article(bench), "Time at the bench").endswith(
        "Not counted: two breaks of 20 min in all and one pause of 50 min that nobody has settled as work or "
        "break."
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
    assert told == ("In went 2 toggle switches, and one each of fuse, relay, LED and display: 6 parts in all.")
    fewer = plan_of(stage("All", "main", *steps[:3]))
    assert section(article(bench, plan=fewer), "What went in").startswith(
        "In went 1 fuse, 1 relay and 1 LED: 3 parts"
    )
    alone = plan_of(stage("All", "main", *steps))
    assert section(article(bench, plan=alone), "What went in").startswith(
        "In went one each of fuse, relay, LED and"
    )


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        (
            [(20, 20)],
            "The joints of one stage were counted without knowing how many there should be: the count agreed.",
        ),
        ([(21, 20)], "- Parts that lie flat, main board: counted 21 where 20 were expected, one too many."),
        ([(20, 20), (19, 20)], ": the count agreed."),
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
    assert section(article(bench), "Measured and adjusted") == "Checks carried out: Before power (1 of 3)."


def test_a_trim_without_a_reading_keeps_its_target() -> None:
    bench = Bench()
    bench.do(next(step for step in PLAN.steps if step.action == "adjust"))
    assert section(article(bench), "Measured and adjusted") == "Adjusted:\n\n- Scale (RV4): 1 V per octave"


def test_readings_without_expectations_need_no_column_for_them() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.ReadingTaken, 5, point="R9", text="4k69")
    assert "| Where | Read | During |\n| --- | --- | --- |\n| R9 | 4k69 |" in article(bench)


def test_parts_that_the_kit_no_longer_has_are_said() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Done, 5, items=("main/R70",), value="1k", joints=2)
    assert "One more part is in that the kit's list, as it now stands, does not have." in article(bench)
    bench.add(ev.Done, 5, items=("main/R71",), value="1k", joints=2)
    assert "Two more parts are in that" in article(bench)


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
    bench.add(ev.HoldPassed, 5, hold="", reason="")
    bench.add(ev.Noted, 5, text=" ")
    bench.add(ev.Noted, 5, text="", mark="tip")
    bench.add(ev.Substituted, 5, part="", instead="")
    page = article(bench)
    assert "1. **Parts that lie flat, main board:** (no words) **Still open.**" in page
    assert "- no name: no reason given." in page
    assert "## Notes" not in page
    assert "### Tips" not in page
    assert "- another part instead of the part listed" in page


def test_an_empty_plan_is_said() -> None:
    assert "The plan has no steps." in article(Bench(), plan=plan_of())

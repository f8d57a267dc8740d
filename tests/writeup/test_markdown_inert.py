"""Texts made inert in CommonMark, alone and in an article, checked with a CommonMark parser."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.plan.plan import Step
from bench.writeup.commonmark import bullets, inert, numbered, table
from bench.writeup.words import one_line
from tests.support.markdown_pages import article, assert_harmless, leaves, parser, shown
from tests.support.story_bench import DIODES, MAIN, Bench, part_step, plan_of, stage, task_step


def github_parser() -> MarkdownIt:
    """With strikethrough and links that nobody marked, as in GitHub Flavored Markdown 0.29, 6.5 and 6.9."""
    parser = MarkdownIt("gfm-like")
    assert parser.linkify is not None
    parser.linkify.set({"fuzzy_link": False, "fuzzy_email": False})
    return parser


def tidy(text: str) -> str:
    """What `inert` promises to show of a text: blanks run together and cut off at the ends."""
    return one_line(text).strip()


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
@settings(max_examples=80)
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
    bench.add(ev.HoldOverridden, 5, hold=word(), reason=word())
    bench.add(ev.HeldBack, 5, items=steps[1].items, value=word(), refs=("R1", word()), reason=word())
    bench.add(ev.JointsCounted, 5, counted=3, expected=2)
    if done:
        bench.do(trim)
    told = shown(assert_harmless(article(bench, kit, plan)))
    flat = " ".join(told.split()).casefold()
    for said in (kit.name, kit.maker, kit.about, kit.scenario, *kit.errata):
        assert " ".join(tidy(said).split()).casefold() in flat
    for event in bench.events:
        fields = {"text": 1, "what": 1, "fix": 1, "instead": 1, "why": 1, "reason": 1, "point": 1}
        for field in fields:
            said = tidy(getattr(event, field, ""))
            assert " ".join(said.split()).casefold() in flat, (field, said)


def test_a_page_shows_each_text_as_it_was_typed() -> None:
    bench = Bench()
    bench.do(DIODES)
    typed = "R5 | <b>47k</b>, not 4k7 `see` [sheet](2) & *mind* the _band_"
    bench.add(ev.Noted, 5, text=typed)
    assert typed in shown(parser().parse(article(bench)))

"""The builder's own words on the page: a small part of CommonMark, and nothing that does anything."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.writeup.own_words import Code, Inlines, Items, PlainText, Prose, Table, read
from bench.writeup.page import html_page
from bench.writeup.story import tell
from tests.support.markdown_pages import leaves, parser
from tests.support.pages import assert_inert, body_text
from tests.support.retro_bench import KIT, PLAN, whole_build


def told(line: Inlines) -> str:
    return "".join(each.text for each in line)


def one(text: str) -> Inlines:
    """The only paragraph of a text."""
    (block,) = read(text)
    assert isinstance(block, Prose)
    return block.line


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("It *works*.", (PlainText("It "), PlainText("works", "em"), PlainText("."))),
        ("It __works__!", (PlainText("It "), PlainText("works", "strong"), PlainText("!"))),
        ("`4k7` here", (PlainText("4k7", "code"), PlainText(" here"))),
        ("[a b](https://x.org/y?z=1&w)", (PlainText("a b", link="https://x.org/y?z=1&w"),)),
        ("<http://x.org/>", (PlainText("http://x.org/", link="http://x.org/"),)),
        ("2 * 3 * 4", (PlainText("2 * 3 * 4"),)),
        ("snake_case_name", (PlainText("snake_case_name"),)),
        (r"\*no\* \[no\](https://x.org)", (PlainText("*no* [no](https://x.org)"),)),
        ("![the front](front.jpg) seen", (PlainText("(picture: the front) seen"),)),
        ("a <!-- hidden --> b", (PlainText("a b"),)),
    ],
)
def test_a_line_reads_as_commonmark_reads_it(typed: str, shown: Inlines) -> None:
    assert one(typed) == shown


@pytest.mark.parametrize(
    "typed",
    [
        "[x](javascript:alert(1))", "[x](JAVASCRIPT:alert)", "[x](data:text/html,y)", "[x](//evil.example)",
        "[x](/etc/passwd)", "<javascript:x>", "[x](https://a.org\" onclick=\"x)", "[x](https://a.org/<b>)",
        "[x]( https://a.org)", "[x](ftp://a.org)", "[x](mailto:a@b.org)", "[x](file:///etc/passwd)",
    ],
)  # fmt: skip
def test_only_links_with_http_or_https_are_links(typed: str) -> None:
    assert not any(text.link for text in one(typed))


def test_paragraphs_lists_headings_and_quotes() -> None:
    blocks = read("# Head\n\none\ntwo\n\n- a\n- b\n  more\n\n1. c\n2. d\n\n> said\n> so\n\n---\nend")
    assert [(type(each).__name__, getattr(each, "role", "")) for each in blocks] == [
        ("Prose", "heading"), ("Prose", ""), ("Items", ""), ("Items", ""), ("Prose", "quote"), ("Prose", ""),
    ]  # fmt: skip
    lists = [each for each in blocks if isinstance(each, Items)]
    assert [[told(item) for item in each.items] for each in lists] == [["a", "b more"], ["c", "d"]]
    assert [each.numbered for each in lists] == [False, True]


WORD = st.sampled_from(["one", "two,", "3k3", "(four)", "five.", "six_7", "a-b"])
RUN = st.builds(" ".join, st.lists(WORD, min_size=1, max_size=4))
STYLED = st.one_of(
    RUN,
    st.sampled_from(["alpha", "beta gamma"]).map(lambda words: f"*{words}*"),
    st.sampled_from(["alpha", "beta gamma"]).map(lambda words: f"**{words}**"),
    st.sampled_from(["alpha", "beta"]).map(lambda words: f"`{words}`"),
    st.sampled_from(["alpha", "beta"]).map(lambda words: f"[{words}](https://example.org/{words})"),
)
LINE = st.builds(" ".join, st.lists(STYLED, min_size=1, max_size=4))


@given(st.lists(LINE, min_size=1, max_size=3))
@settings(max_examples=150)
def test_paragraphs_of_the_subset_read_as_a_commonmark_parser_reads_them(lines: list[str]) -> None:
    """markdown-it-py, which passes the tests of the CommonMark specification, is the reference."""
    text = "\n\n".join(lines)
    theirs = [token for token in parser().parse(text) if token.type == "inline"]
    ours = read(text)
    assert len(theirs) == len(ours)
    styles = {"em_open": "em", "strong_open": "strong", "code_inline": "code"}
    for run, block in zip(theirs, ours, strict=True):
        assert isinstance(block, Prose)
        assert told(block.line) == "".join(leaf.content for leaf in leaves([run]) if not leaf.children)
        expected = [styles[leaf.type] for leaf in leaves([run]) if leaf.type in styles]
        assert [each.style for each in block.line if each.style] == expected
        links = [leaf.attrs["href"] for leaf in leaves([run]) if leaf.type == "link_open"]
        assert [each.link for each in block.line if each.link] == links


@given(st.text(max_size=200) | st.text(alphabet="*_`[]()<>!\\- \n1.#>ahtps:/", max_size=200))
@settings(max_examples=300)
def test_any_text_is_read_and_links_lead_only_to_the_web(text: str) -> None:
    for block in read(text):
        if isinstance(block, Code):
            continue
        lines = block.items if isinstance(block, Items) else ()
        lines = (block.line,) if isinstance(block, Prose) else lines
        for line in lines:
            assert told(line).strip()
            assert all(each.link.startswith(("http://", "https://")) for each in line if each.link)


def test_a_long_text_of_marks_takes_no_long_time() -> None:
    """A pattern that tried every way to pair them would not end; this ends, or the suite hangs."""
    for mark in ("*", "_", "`", "[", "![", "<!--", "[a](", "**a", "> ", "<http://a"):
        read(mark * 20_000)


def test_tables_and_code_are_set_as_such_and_do_nothing() -> None:
    rows = "| part | *value* |\n|---|---|\n| R1 | <b>4k7</b> |\n| R2 |"
    text = f"Before\n\n{rows}\n\n```py\n  x = '<i>'\n```\nafter"
    before, table, code, after = read(text)
    assert isinstance(table, Table)
    assert [len(row) for row in (table.head, *table.rows)] == [2, 2, 2]
    assert code == Code(text="  x = '<i>'")
    page = html_page(tell(KIT, PLAN, whole_build()), {"opening": text})
    document = assert_inert(page)
    assert "<pre" in page
    assert "x = '<i>'" in body_text(document)
    assert "<b>4k7</b>" in body_text(document)
    assert (before.form, after.form) == ("prose", "prose")
    assert read("a | b\nc") != read("")

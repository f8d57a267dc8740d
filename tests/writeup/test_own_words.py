"""The builder's own words on the page: CommonMark, read by markdown-it-py, and nothing that does anything."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.session.build import Build
from bench.writeup.own_words import as_html, picture_paths, readdressed
from bench.writeup.page import html_page
from bench.writeup.publish import html_of, publish
from bench.writeup.story import tell
from tests.support.pages import assert_inert, elements, text
from tests.support.photographs import photo
from tests.support.story_bench import KIT, PLAN, whole_build

STORY = tell(KIT, PLAN, whole_build())


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("It *works*.", "It <em>works</em>."),
        ("`4k7` here", "<code>4k7</code> here"),
        ("[a b](https://x.org/y?z=1&w)",
         '<a href="https://x.org/y?z=1&amp;w" rel="noopener noreferrer">a b</a>'),
        ("2 * 3 * 4", "2 * 3 * 4"),
        (r"\*no\* \[no\](https://x.org)", "*no* [no](https://x.org)"),
        ("<b>4k7</b>", "&lt;b&gt;4k7&lt;/b&gt;"),
        ("![the front](front.jpg) seen", "(picture: the front) seen"),
        ("![](front.jpg) seen", "(a picture) seen"),
        ("![the front](https://x.org/front.jpg)", "(picture: the front)"),
        ("a <!-- hidden --> b", "a  b"),
        ("see [there](other.html)", "see there"),
        ("turned &#x202e;round", "turned round"),
    ],
)  # fmt: skip
def test_a_line_is_set_as_it_was_meant(typed: str, shown: str) -> None:
    assert as_html(typed) == f"<p>{shown}</p>\n"


@pytest.mark.parametrize(
    "typed",
    [
        "[x](javascript:alert(1))", "[x](JAVASCRIPT:alert)", "[x](data:text/html,y)", "[x](//evil.example)",
        "<javascript:x>", "[x](https://a.org\" onclick=\"x)", "[x](ftp://a.org)", "[x](mailto:a@b.org)",
        "[x](file:///etc/passwd)", "[x](/etc/passwd)", "[x](&#106;avascript:y)", "[x](vbscript:y)",
        "[x][y]\n\n[y]: data:z",
    ],
)  # fmt: skip
def test_only_addresses_of_the_web_are_links(typed: str) -> None:
    document = assert_inert(html_page(STORY, {"opening": typed}))
    assert not list(
        elements(next(each for each in elements(document, "div") if each.get("class") == "own"), "a")
    )


def test_lists_headings_quotes_tables_and_code_are_set_as_such_and_do_nothing() -> None:
    typed = (
        "# Head\n\n- a\n- b\n\n1. c\n\n> said\n\n---\n\n"
        "| part | *value* |\n|---|--:|\n| R1 | <b>4k7</b> |\n| R2 |\n"
        "\n```py\n  x = '<i>'\n```\n<script>alert(1)</script>\n\n    set in"
    )
    document = assert_inert(html_page(STORY, {"opening": typed}))
    own = next(each for each in elements(document, "div") if each.get("class") == "own")
    assert [text(each) for each in elements(own, "h3", "li", "blockquote", "th", "td", "pre")] == [
        "Head", "a", "b", "c", "said", "part", "value", "R1", "<b>4k7</b>", "R2", "", "x = '<i>'", "set in",
    ]  # fmt: skip
    assert "<script>alert(1)</script>" in text(own)


@given(st.text(max_size=200) | st.text(alphabet="*_`[]()<>!\\- \n1.#>ahtps:/|~&;", max_size=200))
@settings(max_examples=60, deadline=None)
def test_any_text_is_inert(typed: str) -> None:
    assert_inert(html_page(STORY, {"opening": typed}))


def test_a_long_text_of_marks_takes_no_long_time() -> None:
    """A reader that tried every way to pair them would not end; this ends, or the suite hangs."""
    for mark in ("*", "_", "`", "[", "![", "<!--", "[a](", "**a", "> ", "<http://a", "a|b\n", "![a](b)"):
        as_html(mark * 20_000)


# -- pictures ------------------------------------------------------------------------------------------
def test_pictures_beside_the_page_stand_in_it_and_in_the_post_without_their_position(
    build: Build, tmp_path: Path
) -> None:
    folder = build.log.folder
    photo(folder / "front.png")
    (folder / "more").mkdir()
    photo(folder / "more" / "the back.jpg")
    photo(tmp_path / "secret.png")
    (folder / "link.png").symlink_to(tmp_path / "secret.png")
    (folder / "notes.png").write_text("no picture")
    outside = [
        "../secret.png", f"{tmp_path}/secret.png", "link.png", "notes.png", "gone.png", "more/../front.png",
        "log.jsonl", "data:image/png;base64,AA", "file:///etc/passwd", "https://x.org/a.png", "//x.org/a.png",
    ]  # fmt: skip
    page, post = folder / "article.md", tmp_path / "out" / "built.md"
    post.parent.mkdir()
    publish(build, {"markdown": page})
    opening = "![front](front.png) ![back](<more/the back.jpg>)\n\n" + "\n\n".join(
        f"![o]({way})" for way in outside
    )
    words = "<!-- your words: opening -->"
    page.write_text(page.read_text().replace(words, f"{words}\n{opening}", 1))

    document = assert_inert(html_of(build))
    assert [each.get("alt") for each in elements(document, "img")] == ["front", "back"]
    assert all(
        (each.get("src") or "").startswith("data:image/jpeg;base64,") for each in elements(document, "img")
    )

    (outcome,) = publish(build, {"post": post})
    assert outcome.problem is None
    copies = sorted(path.name for path in (tmp_path / "out" / "built-photos").iterdir())
    assert [name.rpartition("-")[0] for name in copies] == ["front", "the-back"]
    assert all(f"](built-photos/{name})" in post.read_text() for name in copies)


def test_pictures_are_found_and_readdressed_where_they_stand() -> None:
    typed = "![a](x.png) `![b](y.png)` ![c](<z 1.png>) [x.png](x.png)"
    assert picture_paths({"opening": typed}) == ("x.png", "z 1.png")
    assert readdressed(typed, {"x.png": "p/x-1.jpg"}) == typed.replace("![a](x.png)", "![a](p/x-1.jpg)")

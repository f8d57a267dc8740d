"""Articles written from a bench, their sections, and what a CommonMark parser makes of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token

from bench.kit.kit import Kit
from bench.plan.plan import Plan
from bench.writeup.markdown import write_up
from bench.writeup.story import tell
from tests.support.story_bench import KIT, PLAN, Bench


def parser() -> MarkdownIt:
    return MarkdownIt("commonmark").enable("table")


def leaves(tokens: list[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from leaves(token.children or [])


def shown(tokens: list[Token]) -> str:
    """All text that a reader sees, one inline run a line."""
    runs = [token for token in tokens if token.type == "inline"]
    return "\n".join("".join(leaf.content for leaf in leaves([run]) if leaf.type == "text") for run in runs)


def article(bench: Bench, kit: Kit = KIT, plan: Plan = PLAN, **more: Any) -> str:
    return write_up(tell(kit, plan, bench.events, **more))


def section(page: str, title: str) -> str:
    found = re.search(rf"^## {title}[^\n]*\n(.*?)(?=^## |\Z)", page, re.MULTILINE | re.DOTALL)
    return re.sub(r"<!--.*?-->\n?", "", found[1]).strip() if found else ""


KINDS_OF_TOKENS = {
    "heading_open", "heading_close", "paragraph_open", "paragraph_close", "inline", "text", "html_block",
    "blockquote_open", "blockquote_close", "bullet_list_open", "bullet_list_close", "ordered_list_open",
    "ordered_list_close", "list_item_open", "list_item_close", "table_open", "table_close", "thead_open",
    "thead_close", "tbody_open", "tbody_close", "tr_open", "tr_close", "th_open", "th_close", "td_open",
    "td_close", "strong_open", "strong_close", "em_open", "em_close",
}  # fmt: skip
OUR_COMMENT = re.compile(r"(<!-- (your words|end of your words): [a-z ]+ -->\n)+")
HEADINGS = {
    "Lessons learned", "The story", "What was measured", "Not as in the guide", "For the next builder",
    "About this build", "Where the time went", "Snags by kind", "Every reading", "What went in", "The bag",
    "Mixed up", "Photos not shown", "Photo to add", "On film", "Still to do", "Tips",
    "Known mistakes in the guide", "Mistakes found in the guide",
    "Substitutes",
}  # fmt: skip
DAY = re.compile(
    r"Minute by minute, times in |"
    r"The \w+ (morning|afternoon|evening|night|sitting), |[0-9]{1,2} [A-Z][a-z]+ [0-9]{4}, |an unknown day$"
)


def assert_harmless(page: str) -> list[Token]:
    tokens = parser().parse(page)
    assert {leaf.type for leaf in leaves(tokens)} <= KINDS_OF_TOKENS
    assert all(OUR_COMMENT.fullmatch(token.content) for token in tokens if token.type == "html_block")
    headings = [shown([run]) for opened, run in pairwise(tokens) if opened.type == "heading_open"]
    assert headings[0].startswith("Building ")
    assert {each for each in headings[1:] if not DAY.match(each)} <= HEADINGS
    return tokens

"""Invented lists printed by a browser in many styles: each designator is found, with its value."""

from __future__ import annotations

from pathlib import Path

from bench.papers.paper import read_paper
from tests.support.browser import Browser
from tests.support.printed_lists import STYLES, printed_list
from tests.support.reading_samples import found_in, plain

HARD = ("tight",)
"""Rows that follow each other as closely as the lines of a cell."""


def test_lists_printed_in_any_style_are_read(web: Browser, tmp_path: Path) -> None:
    missed = {}
    web.look(1280)
    for style in STYLES:
        text, want = printed_list(style, 1)
        (tmp_path / "list.html").write_text(text, encoding="utf-8")
        web.open(tmp_path / "list.html")
        got = {ref: value for (_, ref), value in found_in(read_paper(web.paper(), "list.pdf")).items()}
        assert not got.keys() - want.keys(), style
        wrong = {ref for ref in want if got.get(ref) != plain(want[ref])}
        if len(wrong) > (len(want) if style in HARD else 0.03 * len(want)):
            missed[style] = sorted(wrong)
    assert not missed

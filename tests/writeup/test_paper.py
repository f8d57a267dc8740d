"""The style sheet of all pages: every colour can be read where it stands, in light, in dark and on paper."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import bench.writeup
from tests.tui.test_themes import contrast

TEMPLATES = Path(bench.writeup.__file__).parent / "templates"
PAPER = (TEMPLATES / "paper.css").read_text(encoding="utf-8")
PAGE = (TEMPLATES / "page.css").read_text(encoding="utf-8")
TEXT, SIGN = 4.5, 3.0
"""WCAG 2.1: 1.4.3 for text, 1.4.11 for what is needed to understand a drawing."""
ROLES = {"paper", "sheet", "ink", "faint", "rule", "edge", "copper", "mask", "warn"}


def palettes() -> dict[str, dict[str, str]]:
    """The colours of each of the three blocks that name all of them."""
    blocks = re.findall(r"(@media[^{]*\{)?\s*:root\s*\{([^}]*)\}", PAPER)
    named = {}
    for media, body in blocks:
        colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", body))
        name = "dark" if "dark" in media else "print" if "print" in media else "light"
        named[name] = colours
    return named


@pytest.mark.parametrize("name", ["light", "dark", "print"])
def test_text_and_signs_stand_out_from_every_ground(name: str) -> None:
    colours = palettes()[name]
    assert set(colours) == ROLES
    for ground in ("paper", "sheet"):
        for role in ("ink", "faint", "copper", "warn"):
            assert contrast(colours[role], colours[ground]) >= TEXT, (role, ground)
        for role in ("edge", "mask"):
            assert contrast(colours[role], colours[ground]) >= SIGN, (role, ground)


def test_text_is_set_in_colours_of_text_and_only_in_those_of_the_palette() -> None:
    for sheet in (PAPER, PAGE):
        rules = re.sub(r":root\s*\{[^}]*\}", "", sheet)
        assert not re.search(r"#[0-9a-f]{3,8}\b(?![^;{}]*\{)", rules.replace("url(#hatch)", ""))
        assert set(re.findall(r"(?<!-)\bcolor: var\(--(\w+)\)", rules)) <= {"ink", "faint", "copper", "paper"}
        assert set(re.findall(r"var\(--(\w+)\)", rules)) <= ROLES | {"body", "plain", "mono"}


def test_nothing_in_the_sheets_is_fetched() -> None:
    for sheet in (PAPER, PAGE):
        assert set(re.findall(r"url\([^)]*\)", sheet)) <= {"url(#hatch)"}
        assert "@import" not in sheet
        assert "@font-face" not in sheet

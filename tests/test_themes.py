"""Every colour of every theme can be read on its ground."""

from __future__ import annotations

import pytest

from bench.tui.blocks import LOOKS
from bench.tui.themes import PALETTES, choose

LEAST = 4.5
"""Contrast ratio for text, W3C WCAG 2.1, success criterion 1.4.3 (AA)."""


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, as WCAG 2.1 defines it."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_published_extremes() -> None:
    # WCAG 2.1, definition of contrast ratio: 21 for black on white, 1 for a colour on itself.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1
    # #767676 is the darkest-known example grey that passes on white: 4.54 (common practice, no source).
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", PALETTES)
def test_every_role_can_be_read_on_every_ground_it_stands_on(theme: str) -> None:
    palette = PALETTES[theme]
    for role, colour in palette.items():
        if role in ("ground", "raised") or role.endswith("-ground"):
            continue
        own = palette.get(f"{role}-ground")
        for ground in [own] if own else [palette["ground"], palette["raised"]]:
            assert contrast(colour, ground) >= LEAST, (role, ground)


def test_all_themes_have_the_same_roles_and_every_look_has_one() -> None:
    roles = [set(palette) for palette in PALETTES.values()]
    assert all(each == roles[0] for each in roles)
    assert set(LOOKS) <= roles[0]


def test_the_theme_follows_the_terminal_unless_one_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLORFGBG", "0;15")
    assert choose("auto") == "bench-light"
    monkeypatch.setenv("COLORFGBG", "15;0")
    assert choose("auto") == "bench-dark"
    assert choose("contrast") == "bench-contrast"

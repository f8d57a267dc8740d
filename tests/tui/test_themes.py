"""Every colour of every theme can be read on its ground."""

from __future__ import annotations

import pytest
from rich.color import Color, ColorSystem
from textual.theme import Theme

from bench.tui.themes import BANDS_16, BOLD, NO_SUCH_COLOUR, PALETTES, choose, may_be_bold, themes
from bench.ui.bands import BAND_LOOKS
from bench.ui.card_blocks import LOOKS

LEAST = 4.5
"""Contrast ratio for text, W3C WCAG 2.1, success criterion 1.4.3 (AA)."""
MOST = 7.0
"""The same, success criterion 1.4.6 (AAA), for the look of high contrast."""


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
    assert choose("auto", sixteen=True) == choose("dark", sixteen=True) == "bench-dark-16"
    assert choose("light", sixteen=True) == "bench-light-16"
    assert choose("contrast", sixteen=True) == "bench-contrast-16"


XTERM = (
    "#000000", "#cd0000", "#00cd00", "#cdcd00", "#0000ee", "#cd00cd", "#00cdcd", "#e5e5e5",
    "#7f7f7f", "#ff0000", "#00ff00", "#ffff00", "#5c5cff", "#ff00ff", "#00ffff", "#ffffff",
)  # fmt: skip
"""The 16 colours as xterm shows them unless told otherwise: its resource file XTerm-color, names of colours as
in X.Org's rgb.txt."""
VGA = (
    "#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa",
    "#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff",
)  # fmt: skip
"""The 16 colours of text modes and of the Linux console (default_red, default_grn and default_blu in
drivers/tty/vt/vt.c of the Linux kernel; from memory)."""


def on_a_console(ground: int) -> int:
    """The number of a ground as the Linux console shows it.

    "100..107 set background, same as 40..47 (bright not supported)": console_codes(4) of the Linux man-pages.
    """
    return ground % 8


def brightened(ink: int, *, bold: bool) -> int:
    """The number of an ink where bold brightens: colours 0 to 7 become 8 to 15 (xterm(1), boldColors)."""
    return ink + 8 if bold and ink < 8 else ink


def number(colour: str) -> int:
    """Which of the 16 colours a colour becomes on a terminal that has no more."""
    found = Color.parse(colour).downgrade(ColorSystem.STANDARD).number
    assert found is not None
    return found


@pytest.mark.parametrize("shown", [XTERM, VGA], ids=["xterm", "vga"])
@pytest.mark.parametrize("theme", [name for name in PALETTES if name.endswith("-16")])
def test_a_terminal_of_16_colours_shows_every_role_readably(theme: str, shown: tuple[str, ...]) -> None:
    palette = PALETTES[theme]
    for role, colour in palette.items():
        if role in ("ground", "raised") or role.endswith("-ground"):
            continue
        own = palette.get(f"{role}-ground")
        ink = brightened(number(colour), bold=role in BOLD and may_be_bold(theme, colour))
        for ground in [own] if own else [palette["ground"], palette["raised"]]:
            least = MOST if "contrast" in theme else LEAST
            assert contrast(shown[ink], shown[on_a_console(number(ground))]) >= least, (role, ground)


@pytest.mark.parametrize("shown", [XTERM, VGA], ids=["xterm", "vga"])
def test_digit_and_name_on_a_colour_band_can_be_read_in_16_colours(shown: tuple[str, ...]) -> None:
    assert {f"band-{name}" for name in BANDS_16} == set(BAND_LOOKS)
    for name, (ink, ground) in BANDS_16.items():
        bold = brightened(number(ink), bold=may_be_bold("bench-dark-16", ink))
        assert contrast(shown[bold], shown[on_a_console(number(ground))]) >= LEAST, name


def test_no_band_is_drawn_in_the_colour_of_another_in_16_colours() -> None:
    own = [look[1] for look in BANDS_16.values() if look != NO_SUCH_COLOUR]
    assert len(own) == len(set(own))
    assert NO_SUCH_COLOUR[1] not in own
    assert BANDS_16["brown"] != BANDS_16["red"]


def test_digit_and_name_on_a_colour_band_can_be_read_in_full_colour() -> None:
    for look, (ink, ground) in BAND_LOOKS.items():
        assert contrast(ink, ground) >= LEAST, look


@pytest.mark.parametrize("theme", themes(), ids=lambda theme: theme.name)
def test_what_is_selected_in_a_line_to_type_can_be_read_in_bold(theme: Theme) -> None:
    ink, ground = (theme.variables[f"input-selection-{part}"] for part in ("foreground", "background"))
    assert may_be_bold(theme.name, ink)
    assert contrast(ink, ground) >= LEAST
    if theme.name.endswith("-16"):
        assert number(ground) < 8, "a Linux console has no bright grounds"
        assert all(contrast(shown[number(ink)], shown[number(ground)]) >= LEAST for shown in (XTERM, VGA))

"""Colours. Each look has one in every theme; none carries a meaning that a word does not carry too."""

from __future__ import annotations

import os

from textual.theme import Theme

PALETTES: dict[str, dict[str, str]] = {
    "bench-dark": {
        "ground": "#16191d",
        "raised": "#20252b",
        "plain": "#e9e5da",
        "faint": "#a8a498",
        "head": "#cdd6df",
        "value": "#ffd479",
        "refs": "#9be3c6",
        "way": "#a9d1ff",
        "caution": "#ffb59c",
        "loud": "#16191d",
        "loud-ground": "#ffd479",
        "hold": "#16191d",
        "hold-ground": "#ffb59c",
        "next": "#b9b5a8",
        "key": "#ffd479",
        "here": "#16191d",
        "here-ground": "#9be3c6",
    },
    "bench-light": {
        "ground": "#f7f4ec",
        "raised": "#e8e3d6",
        "plain": "#23262a",
        "faint": "#5c5a52",
        "head": "#33414f",
        "value": "#7a3d00",
        "refs": "#0b5a42",
        "way": "#134f86",
        "caution": "#9c2410",
        "loud": "#fffdf7",
        "loud-ground": "#7a3d00",
        "hold": "#fffdf7",
        "hold-ground": "#9c2410",
        "next": "#54524a",
        "key": "#7a3d00",
        "here": "#fffdf7",
        "here-ground": "#0b5a42",
    },
    "bench-contrast": {
        "ground": "#000000",
        "raised": "#000000",
        "plain": "#ffffff",
        "faint": "#e6e6e6",
        "head": "#ffffff",
        "value": "#ffff66",
        "refs": "#66ffff",
        "way": "#ffffff",
        "caution": "#ffd0a0",
        "loud": "#000000",
        "loud-ground": "#ffff66",
        "hold": "#000000",
        "hold-ground": "#ffffff",
        "next": "#ffffff",
        "key": "#ffff66",
        "here": "#000000",
        "here-ground": "#66ffff",
    },
    "bench-dark-16": {
        "ground": "#000000",
        "raised": "#000000",
        "plain": "#ffffff",
        "faint": "#aaaaaa",
        "head": "#ffffff",
        "value": "#ffff55",
        "refs": "#55ffff",
        "way": "#55ff55",
        "caution": "#ff5555",
        "loud": "#000000",
        "loud-ground": "#aaaaaa",
        "hold": "#ffffff",
        "hold-ground": "#aa0000",
        "next": "#aaaaaa",
        "key": "#ffff55",
        "here": "#000000",
        "here-ground": "#00aaaa",
    },
    "bench-light-16": {
        "ground": "#aaaaaa",
        "raised": "#aaaaaa",
        "plain": "#000000",
        "faint": "#000000",
        "head": "#000000",
        "value": "#0000aa",
        "refs": "#000000",
        "way": "#0000aa",
        "caution": "#000000",
        "loud": "#ffffff",
        "loud-ground": "#0000aa",
        "hold": "#ffffff",
        "hold-ground": "#aa0000",
        "next": "#000000",
        "key": "#0000aa",
        "here": "#ffffff",
        "here-ground": "#000000",
    },
    "bench-contrast-16": {
        "ground": "#000000",
        "raised": "#000000",
        "plain": "#ffffff",
        "faint": "#ffffff",
        "head": "#ffffff",
        "value": "#ffff55",
        "refs": "#55ffff",
        "way": "#ffffff",
        "caution": "#ffff55",
        "loud": "#ffffff",
        "loud-ground": "#0000aa",
        "hold": "#000000",
        "hold-ground": "#aaaaaa",
        "next": "#ffffff",
        "key": "#ffff55",
        "here": "#000000",
        "here-ground": "#00aaaa",
    },
}
"""Theme -> role -> sRGB colour. A role `X` is written on `X-ground` where there is one, else on `ground`
and `raised`. The themes that end in 16 use the values that Rich knows the terminal's 16 colours by, so that
each role comes out as one of them; what colour that is, is up to the terminal. Their grounds are of the first
eight: the Linux console has no bright ones (console_codes(4) of the Linux man-pages, 100..107)."""

NO_SUCH_COLOUR = ("#000000", "#00aaaa")
"""Stands for a band whose colour is none of the eight grounds: cyan, which no band has. Yellow counts as one:
the Linux console shows it as brown, and brown drawn in red would be taken for red. Digit and name tell the
colour, here as everywhere."""
BANDS_16 = {
    "black": ("#ffffff", "#000000"),
    "brown": NO_SUCH_COLOUR,
    "red": ("#ffffff", "#aa0000"),
    "orange": NO_SUCH_COLOUR,
    "yellow": NO_SUCH_COLOUR,
    "green": ("#000000", "#00aa00"),
    "blue": ("#ffffff", "#0000aa"),
    "violet": ("#ffffff", "#aa00aa"),
    "grey": NO_SUCH_COLOUR,
    "white": ("#000000", "#aaaaaa"),
    "gold": NO_SUCH_COLOUR,
    "silver": NO_SUCH_COLOUR,
    "pink": NO_SUCH_COLOUR,
}
"""Ink and ground of colour bands out of 16; no two bands share a ground but those that have none."""

BRIGHT_16 = ("#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff")
"""The second eight of the 16. Bold makes these of the first eight on many terminals, black into grey."""


ON_GROUND = ("loud", "hold", "here")
"""Roles with a ground of their own; in reverse video where there are no colours."""
BOLD = ("value", "refs", "key", "caution", *ON_GROUND)
"""Roles in bold type."""


def themes() -> list[Theme]:
    """The themes as Textual wants them, with one CSS variable `$b-ROLE` for each role."""
    return [
        Theme(
            name=name,
            primary=palette["refs"],
            secondary=palette["way"],
            warning=palette["caution"],
            error=palette["caution"],
            success=palette["refs"],
            accent=palette["value"],
            foreground=palette["plain"],
            background=palette["ground"],
            surface=palette["raised"],
            panel=palette["raised"],
            dark="light" not in name,
            variables={f"b-{role}": colour for role, colour in palette.items()} | _of_textual(name),
        )
        for name, palette in PALETTES.items()
    ]


def _of_textual(theme: str) -> dict[str, str]:
    """Variables of Textual's own line to type: what is selected in it.

    It is set in bold, so that its ink is a bright one where there are 16 colours.
    """
    here = PALETTES[theme]["here"], PALETTES[theme]["here-ground"]
    ink, ground = ("#ffffff", "#0000aa") if theme.endswith("-16") else here
    parts = {"foreground": ink, "background": ground, "text-style": "none"}
    return {f"input-selection-{part}": colour for part, colour in parts.items()}


def choose(setting: str, *, sixteen: bool = False) -> str:
    """The theme for a setting; `auto` is dark unless the terminal says that its ground is light.

    `sixteen`: the terminal has 16 colours and no more.
    """
    if setting == "auto":
        ground = os.environ.get("COLORFGBG", "").rsplit(";", 1)[-1]
        setting = "light" if ground in ("7", "15") else "dark"
    return f"bench-{setting}-16" if sixteen else f"bench-{setting}"


def may_be_bold(theme: str, ink: str) -> bool:
    """Whether bold leaves an ink as it is: with 16 colours only where it is bright already.

    >>> may_be_bold("bench-dark", "#16191d"), may_be_bold("bench-dark-16", "#000000")
    (True, False)
    """
    return not theme.endswith("-16") or ink in BRIGHT_16


LOOKS_IN_TURN = ("dark", "light", "contrast")


def next_look(theme: str) -> str:
    """The setting of the look after that of a theme.

    >>> next_look("bench-dark"), next_look("bench-contrast-16")
    ('light', 'dark')
    """
    now = theme.removeprefix("bench-").removesuffix("-16")
    return LOOKS_IN_TURN[(LOOKS_IN_TURN.index(now) + 1) % len(LOOKS_IN_TURN)]

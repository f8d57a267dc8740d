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
}
"""Theme -> role -> sRGB colour. A role `X` is written on `X-ground` where there is one, else on `ground`
and `raised`."""


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
            dark=name != "bench-light",
            variables={f"b-{role}": colour for role, colour in palette.items()},
        )
        for name, palette in PALETTES.items()
    ]


def choose(setting: str) -> str:
    """The theme for a setting; `auto` is dark unless the terminal says that its ground is light."""
    if setting == "auto":
        ground = os.environ.get("COLORFGBG", "").rsplit(";", 1)[-1]
        setting = "light" if ground in ("7", "15") else "dark"
    return f"bench-{setting}"

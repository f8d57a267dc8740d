"""The screen in ASCII: every sign that the program draws has one as wide; other letters lose no room."""

from __future__ import annotations

import io
import tokenize
from pathlib import Path

import pytest

from bench.ui.ascii_look import encoding_of, in_ascii
from bench.ui.text import cells

ROOT = Path(__file__).parents[2] / "bench"


def signs_of(folder: str) -> set[str]:
    """The characters of all texts in a folder's code that are not ASCII; comments and docstrings too."""
    found: set[str] = set()
    for path in (ROOT / folder).rglob("*.py"):
        for token in tokenize.generate_tokens(io.StringIO(path.read_text(encoding="utf-8")).readline):
            if token.type == tokenize.STRING:
                found |= {char for char in token.string if not char.isascii()}
    return found


@pytest.mark.parametrize("folder", ["ui", "tui", "suspects", "session", "plan", "measure", "estimate", "batch"])
def test_every_sign_that_is_drawn_has_one_in_ascii_as_wide(folder: str) -> None:
    drawn = {char for char in signs_of(folder) if char.isprintable() and not unknown_script(char)}
    lost = {char for char in drawn if in_ascii(char) == "?" or not in_ascii(char).isascii()}
    assert not lost
    assert all(len(in_ascii(char)) == cells(char) for char in drawn)


def unknown_script(char: str) -> bool:
    """Whether a character is of a script that ASCII cannot hold: examples of hostile text in docstrings."""
    return ord(char) > 0x2E7F or (0x0370 <= ord(char) <= 0x03FF and char not in "Ωμ")


def test_texts_keep_their_width_and_sequences_pass() -> None:
    for text in ("Störung ± 5 %, 350 °C", "≠ 4k7 · 470 Ω", "日本 ok", "┌─┐│▲▼◆»…"):
        assert cells(in_ascii(text)) == cells(text), text
        assert in_ascii(text).isascii()
    assert in_ascii("\x1b[1mΩ\x1b[0m") == "\x1b[1mR\x1b[0m"


@pytest.mark.parametrize(
    ("environment", "stream", "shown"),
    [
        ({"LC_ALL": "C"}, "utf-8", "ascii"),
        ({"LC_ALL": "", "LANG": "POSIX"}, "utf-8", "ascii"),
        ({"LC_ALL": "de_DE.UTF-8", "LANG": "C"}, "utf-8", "utf-8"),
        ({"LANG": "C.UTF-8"}, "utf-8", "utf-8"),
        ({"LANG": "de_DE@euro"}, "iso8859-15", "iso8859-15"),
        ({}, None, "utf-8"),
    ],
)
def test_the_locale_says_what_a_terminal_can_show(
    environment: dict[str, str], stream: str | None, shown: str
) -> None:
    """LC_ALL wins over LC_CTYPE and LANG, an empty one counts as unset: POSIX.1-2017, 8.2."""
    assert encoding_of(environment, stream) == shown


def test_letters_that_the_encoding_has_stay() -> None:
    assert in_ascii("Störung ≠ Ω", "latin-1") == "Störung ! R"

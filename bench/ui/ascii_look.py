"""The screen in ASCII, for terminals that show no more: each sign by one as wide; nothing moves; pure."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping

from bench.ui.text import cells

_WORDS = (("± ", "+-"), (" °C", "deg"), ("…", "."))
"""Signs with what stands beside them, and as wide in ASCII."""
_SIGNS = str.maketrans(
    {
        "▀": '"', "▄": "o", "█": "#", "■": "#", "─": "-", "━": "=", "═": "=", "│": "|", "║": "|", "▲": "!",
        "▼": "v", "◆": "*", "◇": "o", "▸": ">", "»": ">", "«": "<", "≠": "!", "·": "-", "•": "*", "✓": "+",
        "✗": "x", "Ω": "R", "\u2126": "R", "µ": "u", "μ": "u", "×": "x", "±": "~", "°": "'", "–": "-", "—": "-",
        "−": "-", "²": "2", "≤": "<", "≥": ">", "→": ">", "←": "<", "∶": ":", "˙": "'", "≈": "~",
        "╌": ".", "┄": ".", "┈": ".", "╍": "=", "┅": "=", "╎": "|", "┆": "|", "┊": "|", "┃": "|",
        "∿": "~", "⎓": "=", "⏦": "~", "⟨": "<", "⟩": ">",
        "‘": "'", "’": "'", "“": '"', "”": '"',
    }
)  # fmt: skip
_BOXES = range(0x2500, 0x2580)
"""Unicode's block of lines and corners."""
_CONTROLS = range(0x2400, 0x2440)
"""Unicode's pictures of control characters."""


def in_ascii(text: str, encoding: str = "ascii") -> str:
    """A text with our signs in ASCII; of other letters those stay that the encoding has.

    Terminal sequences pass as they are. Of a letter that the encoding lacks the accent falls off, or it is `?`.

    >>> in_ascii("≠ 4k7 ± 5 %, 350 °C, 470 Ω"), in_ascii("Störung, 日本"), in_ascii("é", "latin-1")
    ('! 4k7 +-5 %, 350deg, 470 R', 'Storung, ????', 'é')
    """
    if text.isascii():
        return text
    for sign, word in _WORDS:
        text = text.replace(sign, word)
    return "".join(char if char.isascii() else _shown(char, encoding) for char in text.translate(_SIGNS))


def _shown(char: str, encoding: str) -> str:
    if ord(char) in _BOXES:
        return "+"
    if ord(char) in _CONTROLS:
        return "^"
    try:
        char.encode(encoding)
    except UnicodeEncodeError:
        bare = unicodedata.normalize("NFD", char)[0]
        return bare if bare.isascii() else "?" * cells(char)
    return char


def encoding_of(environment: Mapping[str, str], stream: str | None) -> str:
    """What a terminal can show: by the locale, where one is named, else by the stream's encoding.

    Python writes UTF-8 in the locales `C` and `POSIX` too; the terminal of somebody who sets them shows none.

    >>> encoding_of({"LC_ALL": "C"}, "utf-8"), encoding_of({"LANG": "de_DE.UTF-8"}, "utf-8")
    ('ascii', 'utf-8')
    """
    for name in ("LC_ALL", "LC_CTYPE", "LANG"):
        if named := environment.get(name):
            if named in ("C", "POSIX"):
                return "ascii"
            break
    return stream or "utf-8"

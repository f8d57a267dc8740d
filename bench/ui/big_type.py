"""Large type for values and designators, drawn in half blocks; readable at arm's length.

Capitals and digits are seven dots high, small letters five, and what hangs below the line takes an eighth
row; a dot is half a cell high and one cell wide, so dots are about square. Every stroke is one dot wide, and a
letter is only as wide as it needs. What is mistaken for one another differs in its outline: zero has a bar in
it, B and D have spurs, 5 is square where S is round, 1 has no foot, I has two, l has a tail.
"""

from __future__ import annotations

from functools import cache

_GLYPHS = """
0     1   2     3     4     5     6     7     8     9     +     -     .  ,  /     %     ±     (   )   :  ∶
.###. ..# ####. ####. #..#. ##### .###. ##### .###. .###. ..... ..... .. .. ....# ##..# ..#.. .## ##. .. .
#...# .## ....# ....# #..#. #.... #.... ....# #...# #...# ..#.. ..... .. .. ....# ##.#. ..#.. #.. ..# ## .
#.#.# #.# ....# ....# #..#. ####. #.... ...#. #...# #...# ..#.. ..... .. .. ...#. ...#. ##### #.. ..# ## #
#.#.# ..# .###. .###. #..#. ....# ####. ...#. .###. .#### ##### ##### .. .. ..#.. ..#.. ..#.. #.. ..# .. .
#.#.# ..# #.... ....# ##### ....# #...# ..#.. #...# ....# ..#.. ..... .. ## .#... .#... ..#.. #.. ..# .. #
#...# ..# #.... ....# ...#. ....# #...# ..#.. #...# ....# ..#.. ..... ## .# #.... .#.## ..... #.. ..# ## .
.###. ..# ##### ####. ...#. ####. .###. ..#.. .###. .###. ..... ..... ## #. #.... #..## ##### .## ##. ## .

A     B     C     D     E     F     G     H     I   J     K     L     M     N     O     P     Q     R
..#.. ####. .#### ####. ##### ##### .#### #...# ### ....# #...# #.... #...# #...# .###. ####. .###. ####.
.#.#. .#..# #.... .#..# #.... #.... #.... #...# .#. ....# #...# #.... ##.## ##..# #...# #...# #...# #...#
.#.#. .#..# #.... .#..# #.... #.... #.... #...# .#. ....# #..#. #.... #.#.# #.#.# #...# #...# #...# #...#
#...# .###. #.... .#..# ###.. ###.. #..## ##### .#. ....# ###.. #.... #.#.# #.#.# #...# #...# #.#.# ####.
##### .#..# #.... .#..# #.... #.... #...# #...# .#. ....# #..#. #.... #.#.# #.#.# #...# ####. #..## #..#.
#...# .#..# #.... .#..# #.... #.... #...# #...# .#. #...# #...# #.... #...# #..## #...# #.... .###. #...#
#...# ####. .#### ####. ##### #.... .#### #...# ### .###. #...# ##### #...# #...# .###. #.... ....# #...#

S     T     U     V     W     X     Y     Z     Ω     #     $     &     *     ?     ! _     <    >    ²
.###. ##### #...# #...# #...# #...# #...# ##### .###. .#.#. ..#.. .##.. ..... ####. # ..... .... .... ###
#...# ..#.. #...# #...# #...# .#.#. #...# ...#. #...# ##### .#### #..#. .#.#. ....# # ..... ..## ##.. ..#
#.... ..#.. #...# #...# #.#.# .#.#. .#.#. ...#. #...# .#.#. #.... #..#. ..#.. ....# # ..... .#.. ..#. ###
.###. ..#.. #...# .#.#. #.#.# ..#.. .#.#. ..#.. #...# .#.#. .###. .##.. ##### ..##. # ..... #... ...# #..
....# ..#.. #...# .#.#. #.#.# .#.#. ..#.. .#... #...# .#.#. ....# #..## ..#.. ..#.. # ..... .#.. ..#. ###
#...# ..#.. #...# .#.#. #.#.# .#.#. ..#.. .#... .#.#. ##### ####. #..#. .#.#. ..... . ..... ..## ##.. ...
.###. ..#.. .###. ..#.. .#.#. #...# ..#.. ##### ##.## .#.#. ..#.. .##.# ..... ..#.. # ##### .... .... ...

a     b     c     d     e     f     h     i   k    l   m     n     o     r     s     t     u     v     w
..... #.... ..... ....# ..... ..### #.... .#. #... #.. ..... ..... ..... ..... ..... .#... ..... ..... .....
..... #.... ..... ....# ..... .#... #.... ... #... #.. ..... ..... ..... ..... ..... .#... ..... ..... .....
####. ####. .#### .#### .###. ####. ####. ##. #..# #.. ####. ####. .###. #.### .#### ##### #...# #...# #...#
....# #...# #.... #...# #...# .#... #...# .#. #.#. #.. #.#.# #...# #...# ##... #.... .#... #...# #...# #.#.#
.#### #...# #.... #...# ##### .#... #...# .#. ###. #.. #.#.# #...# #...# #.... .###. .#... #...# .#.#. #.#.#
#...# #...# #.... #...# #.... .#... #...# .#. #..# #.. #.#.# #...# #...# #.... ....# .#... #...# .#.#. #.#.#
.#### ####. .#### .#### .#### .#... #...# .## #..# .## #.#.# #...# .###. #.... ####. ..### .#### ..#.. .#.#.

x     z     =     ~     °    ' ×     [   ]
..... ..... ..... ..... .##. # ..... ### ###
..... ..... ..... ..... #..# # #...# #.. ..#
#...# ##### ##### ..... #..# # .#.#. #.. ..#
.#.#. ...#. ..... .#..# .##. . ..#.. #.. ..#
..#.. ..#.. ##### #.##. .... . .#.#. #.. ..#
.#.#. .#... ..... ..... .... . #...# #.. ..#
#...# ##### ..... ..... .... . ..... ### ###

g     j    p     q     y     µ
..... ...# ..... ..... ..... .....
..... .... ..... ..... ..... .....
.#### ..## ####. .#### #...# #...#
#...# ...# #...# #...# #...# #...#
#...# ...# #...# #...# .#.#. #...#
.#### ...# ####. .#### .#.#. #..##
....# ...# #.... ....# ..#.. ###.#
####. ###. #.... ....# ##... #....
"""

_ALIKE = {"\u03bc": "µ", "\u2126": "Ω", "–": "-", "−": "-", "…": "."}
"""Greek mu, the ohm sign, dashes and the minus sign are drawn as what they look like."""
_HIGH = 7
"""Dots that capitals and digits are high, down to the line that they stand on."""


@cache
def glyphs() -> dict[str, tuple[str, ...]]:
    """Every drawing: rows of `#` and `.` from the top, seven, or eight where something hangs below the line."""
    found: dict[str, tuple[str, ...]] = {}
    for block in _GLYPHS.strip().split("\n\n"):
        names, *rows = (line.split() for line in block.splitlines())
        found |= zip(names, zip(*rows, strict=True), strict=True)
    return found


@cache
def _glyph(char: str) -> tuple[str, ...] | None:
    """Rows of dots (`#` and `.`); None when it has no drawing."""
    return ("..",) * _HIGH if char == " " else glyphs().get(_ALIKE.get(char, char))


def can_draw(text: str) -> bool:
    """True when every character has a drawing."""
    return all(_glyph(char) is not None for char in text)


def width_of(text: str, scale: int = 1) -> int:
    """Width in cells of text in large type; 0 for no text, and a huge number when it cannot be drawn."""
    total = 0
    for char in text:
        glyph = _glyph(char)
        if glyph is None:
            return 1_000_000
        total += (len(glyph[0]) + 1) * scale
    return max(0, total - scale)


def height_of(scale: int = 1, text: str = "") -> int:
    """Height in cells; more from scale 2 on where a letter of the text hangs below the line.

    >>> height_of(1, "100n"), height_of(1, "100p"), height_of(2, "100n"), height_of(2, "100p")
    (4, 4, 7, 8)
    """
    return (max([_HIGH, *(len(_glyph(char) or ()) for char in text)]) * scale + 1) // 2


def draw(text: str, scale: int = 1) -> tuple[str, ...]:
    """The text in large type: `height_of(scale, text)` rows of `width_of(text, scale)` cells.

    >>> print("\\n".join(row.rstrip() for row in draw("4k")))
    █  █  █
    █  █  █ ▄▀
    ▀▀▀█▀ █▀▀▄
       ▀  ▀  ▀
    """
    height = height_of(scale, text)
    drawn = [_drawn(char, scale, height) for char in text if _glyph(char)]
    return tuple((" " * scale).join(rows[row] for rows in drawn) for row in range(height))


@cache
def _drawn(char: str, scale: int, height: int) -> tuple[str, ...]:
    """One character in large type, in so many cells of height."""
    dots = [line for row in _glyph(char) or () for line in ["".join(dot * scale for dot in row)] * scale]
    dots += ["." * len(dots[0])] * (2 * height - len(dots))
    return tuple(
        "".join(_CELL[upper + lower] for upper, lower in zip(dots[row], dots[row + 1], strict=True))
        for row in range(0, len(dots), 2)
    )


_CELL = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}
IN_ASCII = str.maketrans({"▀": '"', "▄": "o", "█": "#"})
"""The same cells for a terminal that has no block characters."""


def in_blocks(chosen: str, encoding: str) -> bool:
    """Whether large type is drawn in block characters: as `chosen`, or where the encoding has them with `auto`.

    >>> in_blocks("auto", "utf-8"), in_blocks("auto", "cp437"), in_blocks("auto", "iso8859-15")
    (True, True, False)
    """
    if chosen != "auto":
        return chosen == "blocks"
    try:
        return bool("".join(_CELL.values()).encode(encoding))
    except (LookupError, UnicodeEncodeError):
        return False

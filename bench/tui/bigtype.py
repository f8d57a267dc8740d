"""Large type for values and designators, drawn in half blocks; readable at arm's length.

Each letter is seven dots high; a dot is half a cell high and one cell wide, so dots are about square.
Letters keep only the columns that they use. Zero is slashed, and I, l and 1 differ.
"""

from __future__ import annotations

import math
from functools import cache

_GLYPHS = """
0 0E11131519110E  1 040C040404040E  2 0E11010204081F  3 1F02040201110E  4 02060A121F0202
5 1F101E0101110E  6 0608101E11110E  7 1F010204080808  8 0E11110E11110E  9 0E11110F01020C
A 0E1111111F1111  B 1E11111E11111E  C 0E11101010110E  D 1C12111111121C  E 1F10101E10101F
F 1F10101E101010  G 0E11101711110F  H 1111111F111111  I 0E04040404040E  J 0702020202120C
K 11121418141211  L 1010101010101F  M 111B1515111111  N 11111915131111  O 0E11111111110E
P 1E11111E101010  Q 0E11111115120D  R 1E11111E141211  S 0F10100E01011E  T 1F040404040404
U 1111111111110E  V 11111111110A04  W 1111111515150A  X 11110A040A1111  Y 1111110A040404
Z 1F01020408101F  a 00000E010F110F  b 10101619111 11E  c 00000E1010110E  d 01010D1311110F
e 00000E111F100E  f 0609081C080808  g 000F11110F010E  h 10101619111111  i 04000C0404040E
j 0200060202120C  k 10101214181412  l 0C04040404040E  m 00001A15151111  n 00001619111111
o 00000E1111110E  p 00001E111E1010  q 00000D130F0101  r 00001619101010  s 00000E100E011E
t 08081C08080906  u 0000111111130D  v 00001111110A04  w 0000111115150A  x 0000110A040A11
y 000011110F010E  z 00001F0204081F  µ 00001111131D10  Ω 0E1111110A0A1B  - 0000001F000000
+ 0004041F040400  . 0000000000 0C0C  , 000000000C0408  / 00010204081000  % 18190204081303
± 04041F0404001F  ( 02040808080402  ) 08040202020408  : 000C0C000C0C00  # 0A0A1F0A1F0A0A
_ 0000000000001F  = 00001F001F0000  < 02040810080402  > 08040201020408  ~ 00000815020000
° 0C12120C000000  ' 04040000000000  $ 040F140E051E04  & 0C120A0409120D  × 00110A040A1100
∶ 00000400040000  ! 04040404040004
? 0E110102040004  * 00150E1F0E1500  [ 0E08080808080E  ] 0E02020202020E
"""

_ALIKE = {"μ": "µ", "Ω": "Ω", "–": "-", "−": "-", "…": "."}
ROWS = 4
"""Height in cells at scale 1."""


COMFORTABLE_MINUTES = 20.0
"""Height of a letter in minutes of arc at which reading is easy; 16 is the least.

ISO 9241-3, seen via a maker of screens; NUREG-0700 revision 2, 1.3.1-4, has the same.
"""


def legible_metres(cells_high: float, cell_millimetres: float, minutes: float = COMFORTABLE_MINUTES) -> float:
    """The farthest eye from which a letter is legible, in metres.

    `cells_high`: the letter's height in cells: 3.5 for large type at scale 1 (seven half cells), 7 at scale 2,
    about 0.7 for a capital in plain type. `cell_millimetres` is the height of one line of text on the glass.

    >>> round(legible_metres(3.5, 4.5), 1), round(legible_metres(0.7, 4.5), 2)
    (2.7, 0.54)
    """
    return cells_high * cell_millimetres / 1000 / (2 * math.tan(math.radians(minutes / 120)))


def _parse() -> dict[str, tuple[int, ...]]:
    words = _GLYPHS.split()
    glyphs: dict[str, tuple[int, ...]] = {}
    position = 0
    while position < len(words):
        char, code = words[position], words[position + 1]
        position += 2
        while len(code) < 14:
            code += words[position]
            position += 1
        glyphs[char] = tuple(bytes.fromhex(code))
    return glyphs


@cache
def _glyph(char: str) -> tuple[str, ...] | None:
    """Seven rows of dots (`#` and blank), as narrow as the letter allows; None when it has no drawing."""
    if char == " ":
        return ("  ",) * 7
    codes = _table().get(_ALIKE.get(char, char))
    if codes is None:
        return None
    rows = [f"{code:05b}".replace("0", " ").replace("1", "#") for code in codes]
    used = [column for column in range(5) if any(row[column] == "#" for row in rows)]
    return tuple(row[min(used) : max(used) + 1] for row in rows)


@cache
def _table() -> dict[str, tuple[int, ...]]:
    return _parse()


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


def height_of(scale: int = 1) -> int:
    """Height in cells."""
    return (7 * scale + 1) // 2


def draw(text: str, scale: int = 1) -> tuple[str, ...]:
    """The text in large type: `height_of(scale)` rows of `width_of(text, scale)` cells.

    >>> print("\\n".join(row.rstrip() for row in draw("4k")))
      ▄█  █
    ▄▀ █  █ ▄▀
    ▀▀▀█▀ █▀▄
       ▀  ▀  ▀
    """
    drawn = [rows for char in text if (rows := _drawn(char, scale))]
    return tuple((" " * scale).join(rows[row] for rows in drawn) for row in range(height_of(scale)))


@cache
def _drawn(char: str, scale: int) -> tuple[str, ...]:
    """One character in large type; no rows when it has no drawing."""
    dots = [line for row in _glyph(char) or () for line in ["".join(dot * scale for dot in row)] * scale]
    if len(dots) % 2:
        dots.append(" " * len(dots[0]))
    return tuple(
        "".join(_CELL[upper + lower] for upper, lower in zip(dots[row], dots[row + 1], strict=True))
        for row in range(0, len(dots), 2)
    )


_CELL = {"  ": " ", "# ": "▀", " #": "▄", "##": "█"}

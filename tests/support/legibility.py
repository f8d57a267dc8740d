"""From how far away a letter is legible, by the angle that it fills."""

from __future__ import annotations

import math

COMFORTABLE_MINUTES = 20.0
"""Height of a letter in minutes of arc at which reading is easy; 16 the least (ISO 9241-303, from memory)."""


def legible_metres(cells_high: float, cell_millimetres: float, minutes: float = COMFORTABLE_MINUTES) -> float:
    """The farthest eye from which a letter is legible, in metres.

    `cells_high`: the letter's height in cells: 3.5 for large type at scale 1 (seven half cells), 7 at scale 2,
    about 0.7 for a capital in plain type. `cell_millimetres` is the height of one line of text on the glass.

    >>> round(legible_metres(3.5, 4.5), 1), round(legible_metres(0.7, 4.5), 2)
    (2.7, 0.54)
    """
    return cells_high * cell_millimetres / 1000 / (2 * math.tan(math.radians(minutes / 120)))

"""Panels into the rows of a case. Pure."""

from __future__ import annotations

from collections.abc import Sequence

MOST_TRIES = 20_000
"""Positions looked at before the search for a packing is given up."""


def pack(panels: Sequence[int], rows: Sequence[int]) -> tuple[int | None, ...]:
    """The row, from 0, in which each panel goes, all in HP; None for a panel that finds no place.

    Where all can be placed they are, unless that takes more than `MOST_TRIES` positions to find out; else the
    widest come first and what is left over is as narrow as that leaves it.

    >>> pack((12, 8, 8, 6, 6), (20, 20))
    (0, 0, 1, 1, 1)
    >>> pack((12, 10, 4), (14,))
    (None, 0, 0)
    """
    widest_first = sorted(range(len(panels)), key=lambda at: -panels[at])
    search = _Search([panels[at] for at in widest_first], list(rows))
    found = search.everything() if sum(panels) <= sum(rows) else None
    if found is None:
        found = _most(search.panels, rows)
    places: list[int | None] = [None] * len(panels)
    for at, row in zip(widest_first, found, strict=True):
        places[at] = row
    return tuple(places)


class _Search:
    """Depth first, widest panel first, rows of equal room tried once."""

    def __init__(self, panels: list[int], rows: list[int]) -> None:
        self.panels, self.free = panels, rows
        self.tries = 0

    def everything(self) -> list[int | None] | None:
        """A row for each panel; None when there is no such packing, or none was found in time."""
        found: list[int | None] = []
        return found if self._place(0, found) else None

    def _place(self, at: int, found: list[int | None]) -> bool:
        if at == len(self.panels):
            return True
        self.tries += 1
        if self.tries > MOST_TRIES:
            return False
        tried: set[int] = set()
        for row, room in enumerate(self.free):
            if room < self.panels[at] or room in tried:
                continue
            tried.add(room)
            self.free[row] -= self.panels[at]
            found.append(row)
            if self._place(at + 1, found):
                return True
            found.pop()
            self.free[row] += self.panels[at]
        return False


def _most(panels: Sequence[int], rows: Sequence[int]) -> list[int | None]:
    """Row after row, the widest row first, filled as far as it can be filled."""
    places: list[int | None] = [None] * len(panels)
    for row in sorted(range(len(rows)), key=lambda at: -rows[at]):
        for at in _fullest([(at, panels[at]) for at in range(len(panels)) if places[at] is None], rows[row]):
            places[at] = row
    return places


def _fullest(panels: Sequence[tuple[int, int]], room: int) -> tuple[int, ...]:
    """The panels that together fill the room best, the first found of equals."""
    sums: dict[int, tuple[int, ...]] = {0: ()}
    for at, hp in panels:
        for total, chosen in list(sums.items()):
            if total + hp <= room:
                sums.setdefault(total + hp, (*chosen, at))
    return sums[max(sums)]

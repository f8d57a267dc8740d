"""The columns of a stretch, as a person is shown them."""

from __future__ import annotations

from collections.abc import Iterator

from bench.papers.lists.draft import ListColumn
from bench.papers.lists.headings import heading_at
from bench.papers.lists.roles import Roles
from bench.papers.lists.table_sections import Segment

_SAMPLES, _LONGEST_SAMPLE = 4, 40
_LOOKED_AT = 60
"""Rows that samples are taken from."""
_MOST = 60
"""Columns that are shown."""


def headings(segment: Segment, roles: Roles) -> tuple[tuple[str, str], ...]:
    """Heading of each column that has a role, with the role."""
    named = sorted(roles.places.items(), key=lambda pair: pair[1])
    return tuple((heading_at(segment.header, at), role) for role, at in named)


def seen_columns(segment: Segment, roles: Roles) -> Iterator[ListColumn]:
    """All columns of a stretch from left to right, with what stands in them and what it was taken for."""
    rows = [row.cells for row in segment.rows[:_LOOKED_AT] if sum(map(bool, row.cells)) > 1]
    width = max([len(segment.header), *map(len, rows)], default=0)
    held = {at: role for role, at in roles.places.items()} | dict.fromkeys(roles.more_refs, "ref")
    for at in range(min(width, _MOST)):
        cells = (" ".join(cells[at].split()) for cells in rows if at < len(cells))
        samples = tuple(dict.fromkeys(cell[:_LONGEST_SAMPLE] for cell in cells if cell))[:_SAMPLES]
        if samples or at < len(segment.header):
            yield ListColumn(heading=heading_at(segment.header, at), role=held.get(at, ""), samples=samples)

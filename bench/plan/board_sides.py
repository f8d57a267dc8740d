"""The two sides of a board: what sits on the other one is placed apart. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from bench.kit.kit import PartLine


def each_side(lines: Sequence[PartLine]) -> Iterator[tuple[PartLine, str]]:
    """The lines of a board with the side their parts sit on; a line with parts on both gives two."""
    for line in lines:
        sides = dict.fromkeys(line.sides)
        if len(sides) < 2:
            yield line, line.sides[0] if line.sides else ""
            continue
        for side in sides:
            chosen = [at for at, each in enumerate(line.sides) if each == side]
            part = replace(
                line,
                refs=tuple(line.refs[at] for at in chosen),
                quantity=len(chosen),
                positions=tuple(line.positions[at] for at in chosen) if line.positions else (),
                sides=(side,) * len(chosen),
            )
            yield part, side

"""A board file as a list of parts with their places. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bench.papers.boards.drawn import BoardFile, DrawnPart
from bench.papers.lists.draft import Doubt, ListPart, ListReading, PlacementFile, PlacementRecord, Skipped
from bench.parts.designators import class_letters, natural_key
from bench.parts.english import counted
from bench.parts.footprints import package_said, surface
from bench.parts.guessing import guess_kind

ONLY_DRAWN = "only drawn on the board"
_LEFT_OUT = re.compile(r"DN[PFMI]|NF|N/?C|do not (?:fit|populate|place)|not fitted", re.IGNORECASE)
_NAMELESS = re.compile(r"net-\(.*|unconnected-\(.*|N\$[0-9]+|no_connect.*", re.IGNORECASE)


def reading_of(board: BoardFile) -> ListReading:
    """The board's parts as a list: what has one value, package and side goes into one line."""
    grouped: dict[tuple[str, str, str, bool], list[DrawnPart]] = {}
    for part in board.parts:
        if not part.drawn_only:
            fitted = part.fitted and not _LEFT_OUT.fullmatch(part.value)
            key = (class_letters(part.ref), part.value, part.package, fitted)
            grouped.setdefault(key, []).append(part)
    parts = tuple(_line(each, key[-1]) for key, each in grouped.items())
    skipped = tuple(
        Skipped(line=part.line, text=f"{part.ref} {part.value}".strip(), why=ONLY_DRAWN)
        for part in board.parts
        if part.drawn_only
    )
    doubts = list(board.doubts)
    if not parts:
        doubts.append(Doubt(line=0, what="no parts were found on this board"))
    number = sum(len(part.refs) for part in parts)
    article = "an" if board.format[0] in "AEIOU" else "a"
    found = f"{counted(number, 'designator')} in {counted(len(parts), 'line')}"
    return ListReading(
        name=board.name, parts=parts, doubts=tuple(doubts), skipped=skipped, form=board.format,
        why=f"read as {article} {board.format}; {found}",
        placement=placement_of(board) if board.placed else None, partly=board.partly,
        nets=tuple(board.nets.items()),
    )  # fmt: skip


def _line(parts: Sequence[DrawnPart], fitted: bool) -> ListPart:
    first = min(parts, key=lambda part: part.line)
    named = f"{first.library}:{first.package}" if first.library else first.package
    package = package_said(named)
    if first.surface and surface(package, first.value) is None:
        package = f"{package} SMD".strip()
    letters = class_letters(first.ref)
    kind = guess_kind(letters, first.value, named) or ""
    socket = "socket" in first.package.casefold() and package.startswith("DIP-")
    return ListPart(
        refs=tuple(sorted((part.ref for part in parts), key=natural_key)), value_text=first.value,
        quantity=len(parts), line=first.line, package=package, fitted=fitted,
        kind="" if kind == guess_kind(letters, first.value, package) else kind,
        description=f"with {package.removeprefix('DIP-')}-pin socket" if socket else "",
    )  # fmt: skip


def placement_of(board: BoardFile) -> PlacementFile:
    """Where the parts sit, with their joints and named nets."""
    return PlacementFile(
        name=board.name,
        unit="mm",
        has_sides=True,
        size=board.size,
        upwards=True,
        places=tuple(
            PlacementRecord(
                ref=part.ref, x=part.x, y=part.y, rotation=part.rotation,
                side="bottom" if part.side == "back" else "top", line=part.line,
                joints=part.joints, surface=part.surface,
                nets=tuple(net.removeprefix("/") for net in part.nets if not _NAMELESS.fullmatch(net)),
            )
            for part in board.parts
        ),
    )  # fmt: skip

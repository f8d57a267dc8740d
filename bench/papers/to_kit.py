"""From a maker's list to a kit file: every part, and every doubt beside the line it concerns."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import FileFaults, SoldersideError
from bench.kit.kit import Board, Check, HoldPoint, Kit, PartLine
from bench.kit.load import parse_kit
from bench.kit.part_lines import MOST_PARTS, usual_joints, usual_mount
from bench.kit.write import kit_text, write_text
from bench.papers.doubts.decisions import BY_HAND
from bench.papers.doubts.kinds import kind_of, usual_kind, writable
from bench.papers.lists import Doubt, ListPart, ListReading
from bench.papers.lists.draft import GuideCheck, PlacementFile
from bench.papers.lists.guide_checks import BEFORE, FIRST
from bench.papers.lists.normalize_values import family_of
from bench.papers.lists.value_text import from_description
from bench.papers.placement import add_positions
from bench.parts.designators import DesignatorError, class_letters, natural_key, parse_refs
from bench.parts.english import counted
from bench.parts.guessing import WITH_SOCKET
from bench.parts.kinds import KINDS, height_for
from bench.parts.pins import joints_for

_NOT_IN_NAMES = re.compile(r"[^\w$#.+'-]+")
_GENERIC = re.compile(
    r"[\W\d_v]*(?:(?:bom|bill[ _]of[ _]materials?|"
    r"parts?[ _-]?list|parts?|list|components?|assembly|schematic|kit)[\W\d_v]*)+",
    re.IGNORECASE,
)
"""Names that say only what sort of paper it is."""
_BARE = re.compile(r"[0-9.,]+")
_MOST_REMARKS = 40
_ON_BOARD = 5
"""Height class of a part with a designator of which nothing is known: it is soldered among the headers."""
_LONGEST_VALUE = 60
_PART = "      - {"


class _Line(Struct, kw_only=True):
    """One entry on its way into the file."""

    part: PartLine
    comments: list[str]
    empty: tuple[str, ...] = ()
    """Its designators, where the list says that nothing is fitted there."""
    left_out: bool = False
    """True when the entry is written as a comment."""
    heading: str = ""


def kit_file_from(reading: ListReading, name: str = "", maker: str = "") -> str:
    """The text of a kit file with the parts of a list; it loads without a fault.

    `name` is the kit's name, else the list's title, else its file name. What contradicts, what was changed and
    what is left for a person to settle stands in comments. Raises SoldersideError when the list has no parts.
    """
    return kit_file_with(reading, None, name, maker)[0]


def kit_file_with(
    reading: ListReading, placement: PlacementFile | None, name: str = "", maker: str = ""
) -> tuple[str, tuple[str, ...]]:
    """The same with the positions of a placement file, and what of it did not fit, each with its line.

    Without one, those of the list's own file are taken where it has some.

    Raises SoldersideError too when the placement file fits no board of the list, or two as well.
    """
    if not reading.parts:
        raise SoldersideError(
            "there are no parts in this list", reading.name, "look at what was skipped, and why"
        )
    boards = _boards(reading)
    kit = Kit(
        name=name_from(reading, name),
        maker=writable(maker)[:80],
        errata=tuple(writable(each)[:300] for each in reading.errata),
        hold_points=tuple(_hold_points(reading.checks)),
        boards=tuple(
            Board(
                name=board,
                parts=tuple(line.part for line in lines),
                not_fitted=_empty(lines),
            )
            for board, lines in boards.items()
        ),
    )
    amiss: tuple[str, ...] = ()
    placement = placement or reading.placement
    if placement is not None:
        kit, doubts = add_positions(kit, placement)
        amiss = tuple(
            f"{placement.name}{f':{doubt.line}' if doubt.line else ''}: {doubt.what}"
            for doubt in (*placement.doubts, *doubts)
        )
    remarks = (*_remarks(reading), *(f"? {writable(each)}" for each in amiss))
    text = _with_comments(kit_text(kit, remarks), list(boards.values()))
    return _settled(text, reading.name), amiss


def _empty(lines: Sequence[_Line]) -> tuple[str, ...]:
    """Places that stay empty, by the list."""
    taken = {ref for line in lines if not line.left_out for ref in line.part.refs}
    return tuple(sorted({ref for line in lines for ref in line.empty} - taken, key=natural_key))


def _hold_points(checks: Sequence[GuideCheck]) -> Iterator[HoldPoint]:
    """The hold points that checks of a guide go to, each with those that were taken."""
    for name in (BEFORE, FIRST):
        mine = tuple(
            Check(where=writable(each.where)[:160], expect=writable(each.expect))
            for each in checks
            if each.point == name
        )
        if mine:
            yield HoldPoint(name=name, checks=mine)


def name_from(reading: ListReading, name: str = "") -> str:
    """The kit's name: the one given, else the list's title, its file name, the board file's, the folder's.

    A name that only says what sort of paper it is (`BOM`) is passed over.
    """
    path = Path(reading.name)
    board = Path(reading.placement.name).stem if reading.placement else ""
    names = [reading.title, path.stem, board.replace("_", " "), path.parent.name]
    telling = [each for each in names if each and not _GENERIC.fullmatch(each)]
    return writable(name or next(iter(telling), "") or path.stem or "kit")[:80] or "kit"


def write_kit_file(
    reading: ListReading, path: Path, name: str = "", maker: str = "", *, overwrite: bool = False
) -> None:
    """Write `kit_file_from` to a file, all of it or nothing.

    Raises Refused when the file is there and `overwrite` is false, SoldersideError when it cannot be written.
    """
    write_text(kit_file_from(reading, name, maker), path, overwrite=overwrite)


def _remarks(reading: ListReading) -> Iterator[str]:
    """What stands at the top of the file."""
    yield f"From the list {reading.name}: {reading.why}."
    yield "Look over every comment that begins with a question mark, answer it, and delete it."
    lines = {part.line for part in reading.parts}
    near = sorted(lines)
    for doubt in reading.doubts:
        if not doubt.line or not near or doubt.line < near[0]:
            yield _remark(doubt)
    shown = [each for each in reading.skipped if each.why not in ("rule", "heading of the columns", "heading")]
    shown.sort(key=lambda each: each.why != BY_HAND)
    if shown:
        no_parts = "is not a part" if len(shown) == 1 else "are not parts"
        yield f"{counted(len(shown), 'line')} of the list {no_parts}:"
        for each in shown[:_MOST_REMARKS]:
            yield f"  line {each.line} ({each.why}): {each.text}"
        if len(shown) > _MOST_REMARKS:
            yield f"  and {len(shown) - _MOST_REMARKS} more"


def _remark(doubt: Doubt) -> str:
    """A doubt as a comment; one that is still open begins with a question mark."""
    at = f"line {doubt.line} of the list: " if doubt.line else ""
    return f"{at}{doubt.what}" if doubt.kind == "settled" else f"? {at}{doubt.what}"


def _boards(reading: ListReading) -> dict[str, list[_Line]]:
    """The entries board by board, with their comments."""
    names = _board_names(reading.boards)
    comments = _comments(reading)
    found: dict[str, list[_Line]] = {name: [] for name in names.values()}
    taken: dict[str, dict[str, int]] = defaultdict(dict)
    headings: dict[str, str] = {}
    said: set[int] = set()
    for part in reading.parts:
        board = names[part.board]
        line = _line(part, taken[board])
        if part.line not in said:
            line.comments[:0] = comments.get(part.line, [])
            said.add(part.line)
        if part.section and headings.get(board) != part.section:
            headings[board] = line.heading = writable(part.section)[:70]
        found[board].append(line)
    for lines in found.values():
        if all(line.left_out for line in lines):
            lines[0] = _kept(lines[0])
    return found


def _kept(line: _Line) -> _Line:
    """The first entry of a board of which nothing else is left: a board needs one."""
    part = line.part if line.part.refs else replace(line.part, quantity=max(line.part.quantity, 1))
    line.comments.append("? kept because a board needs at least one part")
    return _Line(part=replace(part, optional=True), comments=line.comments, heading=line.heading)


def _board_names(boards: Sequence[str]) -> dict[str, str]:
    """A name that a kit file may have for each of the list's boards."""
    names: dict[str, str] = {}
    used: set[str] = set()
    for board in boards:
        plain = writable(board.replace("/", "-"))[:60] or ("main" if len(boards) == 1 else "other")
        name, number = plain, 2
        while name.casefold() in used:
            name, number = f"{plain} {number}", number + 1
        used.add(name.casefold())
        names[board] = name
    return names


def _comments(reading: ListReading) -> dict[int, list[str]]:
    """The doubts for each entry's line: those of its own line and of lines before the next entry."""
    lines = sorted({part.line for part in reading.parts})
    found: dict[int, list[str]] = defaultdict(list)
    for doubt in reading.doubts:
        before = bisect_right(lines, doubt.line)
        if doubt.line and before:
            found[lines[before - 1]].append(_remark(doubt))
    return found


def _line(part: ListPart, taken: dict[str, int]) -> _Line:
    """One entry as a parts line, with what had to be changed in comments; its designators become `taken`."""
    comments: list[str] = []
    refs = _free_refs(part, taken, comments)
    twice = bool(part.refs) and not refs
    refs = refs or list(dict.fromkeys(map(_name, part.refs)))
    left_out = twice or not part.fitted or (not refs and part.quantity < 1)
    if not left_out:
        taken.update(dict.fromkeys(refs, part.line))
    line = _part_line(part, refs, comments)
    empty = () if part.fitted or twice else tuple(refs)
    said = [writable(comment) for comment in comments]
    return _Line(part=line, comments=said, left_out=left_out, empty=empty)


def _free_refs(part: ListPart, taken: dict[str, int], comments: list[str]) -> list[str]:
    """The designators that no entry before has, as a kit file can hold them; adds what was changed."""
    refs: list[str] = []
    for ref in part.refs:
        plain = _name(ref)
        if plain != ref:
            comments.append(f"'{ref}' in the list; a kit file needs a name like {plain}")
        if plain in taken or plain in refs:
            comments.append(
                f"? {plain} stands here again and is left out; line {taken.get(plain, part.line)} had it first"
            )
        else:
            refs.append(plain)
    return refs


def _part_line(part: ListPart, refs: Sequence[str], comments: list[str]) -> PartLine:
    """The entry under these designators; adds what was changed and what is missing to the comments."""
    value, more = _value(part, refs)
    if value != writable(part.value_text) and part.value_text:
        comments.append(f"the list has: {writable(part.value_text)[:200]}")
    kind, guessed = kind_of(part, tuple(refs), value)
    unknown = kind is None and bool(refs) and usual_kind(refs) == "hardware"
    if kind is None:
        kind = usual_kind(refs)
        comments.append("? its kind cannot be told from the list: put the right one here")
    if not value and (KINDS[kind].needs_value or not refs):
        value = "?"
        comments.append("? its value is missing in the list")
    if not part.fitted:
        comments.append("the list says that it is not fitted")
    socket = _socket(part, kind, value)
    if socket:
        comments.append(f"the list names a socket with it: {socket}")
    mount = usual_mount(kind, value, writable(part.package))
    soldered = usual_joints(kind, writable(part.package), value, socket)
    return PartLine(
        refs=tuple(refs), value=value, kind=kind, kind_guessed=guessed,
        quantity=len(refs) or min(max(part.quantity, 1), MOST_PARTS),
        joints=0 if socket else soldered, joints_guessed=True,
        socket=socket, socket_joints=soldered if socket else 0,
        mount=mount, height=_ON_BOARD if unknown else height_for(kind, mount),
        package=writable(part.package)[:80],
        tolerance=writable(part.tolerance)[:40], voltage=writable(part.voltage)[:40],
        marking=writable(part.marking)[:80],
        note=writable(", ".join(filter(None, (more, part.description, part.note))))[:300],
        optional=part.optional,
    )  # fmt: skip


def _socket(part: ListPart, kind: str, value: str) -> str:
    """The socket that a list names on the line of a chip, as in `TL072 + 8 pin socket`; empty for none."""
    found = WITH_SOCKET.search(f"{part.value_text} {part.description} {part.note}"[:300])
    if found is None or kind not in ("IC", "optocoupler"):
        return ""
    pins = found[1] or found[2] or joints_for(kind, writable(part.package), value)
    return f"DIP-{pins}"


def _value(part: ListPart, refs: Sequence[str]) -> tuple[str, str]:
    """The value for the bench, and what of the text goes into the note."""
    text = writable(part.value_text)
    letters = class_letters(part.refs[0]) if part.refs else ""
    if _BARE.fullmatch(text) and part.understood and family_of(letters) in ("farad", "henry"):
        return part.understood, ""
    if refs and (len(text.split()) > 2 or text.endswith(")")):
        short = writable(from_description(text, part.refs[0]))
        if short != text:
            return short, text
    if len(text) > _LONGEST_VALUE:
        return text[:_LONGEST_VALUE].rsplit(" ", 1)[0], text
    return text, ""


def _name(ref: str) -> str:
    """A designator as a kit file can hold it."""
    try:
        if parse_refs(ref) == (ref,):
            return ref
    except DesignatorError:
        pass
    plain = _NOT_IN_NAMES.sub("_", writable(ref)).replace("-", "_").strip("_.'+") or "part"
    plain = plain if plain[0].isalpha() else f"part_{plain}"
    try:
        return plain if parse_refs(plain) == (plain,) else re.sub(r"\W", "_", plain) + "_"
    except DesignatorError:
        return re.sub(r"\W", "_", plain) + "_x"


def _with_comments(text: str, boards: Sequence[Sequence[_Line]]) -> str:
    """The kit file with each entry's comments above it, and entries left out as comments."""
    entries = iter([line for lines in boards for line in lines])
    written: list[str] = []
    for row in text.split("\n"):
        line = next(entries, None) if row.startswith(_PART) else None
        if line is None:  # checks of hold points, behind the last part, look alike
            written.append(row)
            continue
        if line.heading:
            written.append(f"      # ---- {line.heading} ----")
        written += (f"      # {comment}" for comment in line.comments)
        written.append(f"      # {row.strip()}" if line.left_out else row)
    return "\n".join(written)


def _settled(text: str, name: str) -> str:
    """The text after a trial: a line that the loader finds fault with becomes a comment that says why."""
    for _ in range(5):
        try:
            parse_kit(text.encode("utf-8", "replace"), name)
        except FileFaults as error:
            rows = text.split("\n")
            wrong = {
                int(number): fault.what
                for fault in error.faults
                if (number := fault.where.rsplit(":", 1)[-1]).isdigit()
            }
            changed = [
                f"      # ? {writable(wrong[at])}\n      # {row.strip()}"
                if at in wrong and row.startswith(_PART)
                else row
                for at, row in enumerate(rows, 1)
            ]
            if changed == rows:
                raise SoldersideError(
                    f"no sound kit file can be made of this list: {error.what}", name, error.hint
                ) from None
            text = "\n".join(changed)
        else:
            return text
    raise SoldersideError("no sound kit file can be made of this list", name, "look at its questions")

"""The sub-command that reads makers' parts lists."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.common import FINE, aside, data_of, plain, print_json, refuse_idle, say
from bench.errors import SoldersideError
from bench.parts.english import counted, cut

if TYPE_CHECKING:
    from bench.papers.compare import Comparison
    from bench.papers.doubts.decisions import Ruling
    from bench.papers.lists import ListReading
    from bench.papers.lists.draft import Doubt, ListPart, Skipped
    from bench.papers.remembered import Remembered

_PAGES = 10
"""Pages of a PDF beyond which it is shown how far the reading is."""
_SIZE = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*[xX×]\s*([0-9]+(?:\.[0-9]+)?)")


def _read(args: argparse.Namespace) -> int:
    from bench.papers.pdf.extract import watched

    _sensible(args)
    with watched(_page):
        return _read_all(args) if Path(args.list).is_dir() else _read_one(args)


def _page(name: str, page: int, number: int) -> bool:
    """Show which page of a long PDF is read, where a person looks on."""
    if sys.stderr.isatty() and number > _PAGES:
        end = "" if page < number else "\r\x1b[K"
        sys.stderr.write(f"\r{plain(Path(name).name)[:40]}: page {page} of {number}{end}")
        sys.stderr.flush()
    return True


def _read_one(args: argparse.Namespace) -> int:
    """Read one list, with the papers that were named beside it."""
    from bench.papers.lists import as_json
    from bench.settings import makers_file

    path, columns = makers_file(data_of(args)), _columns(args)
    notes = _forgotten(args, path) if args.forget else []
    read = _reading(args, path, columns)
    _only_known(columns, read.reading, args.list)
    notes += [read.note] if read.note else []
    reading, comparisons = _beside(read.reading, args)
    notes += [f"{each.other}: {each.said}" for each in comparisons]
    ask = _asks(args)
    if ask:
        _tell(reading)
        reading = _asked(reading)
    if args.kit:
        notes += _write_kit(reading, args)
    if args.maker and (args.kit or args.remember) and not args.forget:
        notes += _remembered(args, path, read.reading)
    if args.json:
        print_json(as_json(reading) | _contradictions(comparisons))
        return FINE
    if not ask:
        _tell(reading)
    _tell_notes(notes, args)
    return FINE


def _read_all(args: argparse.Namespace) -> int:
    """Read all papers of a kit in a folder."""
    from bench.papers.compare import compared
    from bench.papers.folder import missing, read_folder
    from bench.papers.lists import as_json

    if args.against or args.placement or args.column or args.maker:
        args.misuse("a folder is read with all that is in it; options for one list do not go with it")
    work, given = read_folder(Path(args.list))
    reading = work.reading
    if args.json:
        if args.kit:
            _write_kit(reading, args)
        print_json(as_json(reading) | _contradictions(compared(work.alone, work.beside)))
        return FINE
    for each in given:
        say(f"{each.path.name}: {each.said}")
    for what in missing(reading):
        say(f"Missing: {what}")
    say()
    _tell(reading)
    if _asks(args):
        reading = _asked(reading)
    _tell_notes(list(_write_kit(reading, args)) if args.kit else [], args)
    return FINE


def _asks(args: argparse.Namespace) -> bool:
    """Whether a person is there to answer questions before the kit file is written."""
    return bool(args.kit) and not args.json and sys.stdin.isatty() and sys.stdout.isatty()


def _asked(reading: ListReading) -> ListReading:
    """The list after the answers typed; what is left open stays a comment in the kit file."""
    from bench.papers.doubts.options import answers, as_it_is
    from bench.papers.doubts.rulings import answered, left
    from bench.papers.doubts.settle import settle

    rulings: list[Ruling] = []
    passed: set[Doubt] = set()
    settled = settle(reading)
    while doubts := [
        each
        for each in settled.questions
        if each not in passed and each.kind != "not fitted" and answers(settled, each)
    ]:
        doubt, number = doubts[0], len(passed) + 1
        passed.add(doubt)
        say()
        say(f"Question {number} of {number + len(doubts) - 1}: {doubt.what}")
        offered = answers(settled, doubt)
        for at, answer in enumerate(offered, 1):
            say(f"  {at}: {answer.text}")
        say(f"  y: {as_it_is(doubt)}")
        try:
            chosen = _chosen(len(offered))
            if chosen == "q":
                break
            if chosen == "y":
                rulings.append(left(doubt))
            elif chosen:
                answer = offered[int(chosen) - 1]
                typed = input(f"{answer.typed}: ") if answer.typed else ""
                rulings.append(answered(doubt, answer, typed))
            settled = settle(reading, rulings)
        except EOFError:
            break
        except SoldersideError as error:
            say(f"{error.what}; this question stays open")
    return settled.reading if rulings else reading


def _chosen(most: int) -> str:
    """An answer: its number, `y`, nothing, or `q` to stop; raises EOFError where nobody types."""
    while True:
        numbers = "1" if most == 1 else f"1 to {most}"
        typed = input(f"{numbers} or y; Enter leaves it open, q all that follow: ").strip().casefold()
        if typed in ("q", "y", "") or (typed.isascii() and typed.isdigit() and 0 < int(typed) <= most):
            return typed


def _sensible(args: argparse.Namespace) -> None:
    """Leave, with exit code 2, when options do not go together."""
    _board_size(args)
    if (args.remember or args.forget) and not args.maker.strip():
        args.misuse("--remember and --forget need --maker NAME")
    for_a_kit = ("--name",) if args.json else ("--placement", "--name")
    refuse_idle(args, "goes into a kit file; give --kit OUT.yaml too", *for_a_kit, when=not args.kit)
    why = "cannot be combined with --forget; do one after the other"
    refuse_idle(args, why, "--remember", "--kit", "--column", when=args.forget)


def _forgotten(args: argparse.Namespace, path: Path) -> list[str]:
    """Delete what is saved for the maker; a line that says so."""
    from bench.papers.makers import forget

    number = forget(path, args.maker)
    kinds = "1 kind" if number == 1 else f"{number} kinds"
    return [f"column settings deleted for {args.maker}: {kinds} of list"]


def _remembered(args: argparse.Namespace, path: Path, reading: ListReading) -> list[str]:
    """Save what the columns hold for the maker; a line that says so."""
    from bench.papers.makers import remember

    number = remember(path, args.maker, reading.table)
    columns = "1 column" if number == 1 else f"{number} columns"
    return [f"saved for {args.maker}: settings for {columns}"]


def _reading(args: argparse.Namespace, path: Path, columns: dict[str, str]) -> Remembered:
    """The list as read with what is saved for its maker; faults of that file go to stderr."""
    from bench.papers.list_files import read_bytes
    from bench.papers.makers import load_makers
    from bench.papers.remembered import read_remembered

    makers = load_makers(path)
    for fault in makers.faults:
        aside(str(fault))
    source = read_bytes(Path(args.list))
    if args.forget:
        return read_remembered(source, args.list, (), "", columns)
    return read_remembered(source, args.list, makers.lists, args.maker, columns)


def _only_known(columns: dict[str, str], reading: ListReading, name: str) -> None:
    """Raise SoldersideError where the command line names a column that the list does not have."""
    from bench.papers.lists.headings import heading_key

    headings = {heading_key(column.heading) for column in reading.table}
    for heading in columns:
        if heading_key(heading) not in headings:
            known = ", ".join(repr(column.heading) for column in reading.table[:12])
            hint = f"its columns: {known}" if known else "this list has no columns"
            raise SoldersideError(f"no column is called {heading!r}", name, hint)


def _columns(args: argparse.Namespace) -> dict[str, str]:
    """Heading -> role, from the command line."""
    from bench.papers.lists.headings import role_named

    found: dict[str, str] = {}
    for given in args.column:
        heading, sign, role = given.rpartition("=")
        if not sign or not heading.strip():
            args.misuse(f"--column {given!r}: write HEADING=ROLE, such as --column Part=designators")
        found[heading.strip()] = role_named(role)
    return found


def _beside(reading: ListReading, args: argparse.Namespace) -> tuple[ListReading, Sequence[Comparison]]:
    """The list with the places and the contradictions that other papers have."""
    from msgspec.structs import replace

    from bench.papers.compare import compared, with_others
    from bench.papers.list_files import read_bytes
    from bench.papers.paper import read_paper, read_places

    if args.placement:
        data, size = read_bytes(Path(args.placement)), _board_size(args)
        reading = replace(reading, placement=read_places(data, args.placement, size))
    comparisons = compared(reading, (read_paper(read_bytes(Path(each)), each) for each in args.against))
    return with_others(reading, comparisons), comparisons


def _board_size(args: argparse.Namespace) -> tuple[float, float] | None:
    """Width and height of the board in mm from the command line."""
    if not args.board_size:
        return None
    found = _SIZE.fullmatch(args.board_size)
    if found is None:
        args.misuse(f"--board-size {args.board_size!r}: write width and height in mm, such as 100x60")
        return None
    return float(found[1]), float(found[2])


def _contradictions(comparisons: Sequence[Comparison]) -> dict[str, object]:
    """What papers say differently, as data."""
    return {
        "contradictions": [
            {"ref": each.ref, "what": each.what, "here": each.here, "there": each.there, "line": each.line,
             "other": comparison.other, "other_line": each.other_line}
            for comparison in comparisons
            for each in comparison.contradictions
        ]
    } if comparisons else {}  # fmt: skip


def _write_kit(reading: ListReading, args: argparse.Namespace) -> tuple[str, ...]:
    """Write the kit file; what of the places did not fit."""
    from bench.kit.write import write_text
    from bench.papers.to_kit import kit_file_with

    text, amiss = kit_file_with(reading, None, args.name, args.maker)
    write_text(text, Path(args.kit))
    return amiss


def _tell(reading: ListReading) -> None:
    """The list in words: its parts, its open questions and what was skipped."""
    parts = sum(len(part.refs) or part.quantity for part in reading.parts)
    if reading.placement is not None and not parts:
        size = reading.placement.size
        on = f" on a board of {size[0]:.0f} x {size[1]:.0f} mm" if size else ""
        say(f"{reading.name}: no parts list, but {counted(len(reading.placement.places), 'place')}{on}.")
        say("Give it with --placement when you read the list of this kit.")
        return
    sort = "a shopping list" if reading.shopping_list else counted(len(reading.parts), "line")
    say(f"{reading.name}: {sort}, {counted(parts, 'part')}. {reading.why[:1].upper()}{reading.why[1:]}")
    board = ""
    for part in reading.parts:
        if part.board != board:
            board = part.board
            say()
            say(f"{board or 'no board named'}:")
        say(_part_line(part))
    unused = [
        (0, f"column '{column.heading}': {cut(', '.join(column.samples[:3]), 60)}")
        for column in reading.table
        if column.role in ("", "other") and column.samples
    ]
    passed = [
        (each.line, f"{each.text.strip()[:80]}  ({each.why})")
        for each in reading.skipped
        if _lost(each, reading)
    ]
    _tell_rows("Questions", [(doubt.line, doubt.what) for doubt in reading.doubts])
    _tell_rows("Skipped", unused + passed)


def _lost(skipped: Skipped, reading: ListReading) -> bool:
    """Whether a line that was skipped says something that no part has."""
    words = skipped.text.split()
    if not words or skipped.why in ("rule", "heading", "heading of the columns"):
        return False
    said = (
        f"{part.quantity} {' '.join(part.refs)} {part.value_text} {part.package} {part.description} {part.note}"
        for part in reading.parts
    )
    return not any(all(word in each for word in words) for each in said)


def _part_line(part: ListPart) -> str:
    refs = ", ".join(part.refs) or "-"
    words = [f"{part.quantity:>4} x {part.value_text or '-':<18} {refs}", part.description, part.note]
    return "  ".join(filter(None, words)) + ("" if part.fitted else "  (not fitted)")


def _tell_rows(title: str, rows: list[tuple[int, str]]) -> None:
    """Rows of a sort under their title, with the lines of the list that they are about."""
    if rows:
        say()
        say(f"{title}:")
    for line, what in rows:
        say(f"  line {line}: {what}" if line else f"  {what}")


def _tell_notes(notes: list[str], args: argparse.Namespace) -> None:
    """What was written, saved or deleted."""
    if notes:
        say()
    for note in notes:
        of_file = re.match(r"\S*[./\\]\S*:", note)
        say(note if of_file else f"{note[:1].upper()}{note[1:]}.")
    if args.kit:
        say()
        say(f"kit file: {args.kit}; solderside check {args.kit} says what is still open")

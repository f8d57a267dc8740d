"""The help request and the shortage list as pages; pure. The same words as their texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.progress import Progress
from bench.log.unit_names import titled
from bench.plan.plan import Plan
from bench.writeup.help_request import READING_HEADS, READINGS, help_blocks, help_title, reading_rows
from bench.writeup.sheets.sheet_model import Letter, SheetBlock
from bench.writeup.sheets.texts import tidy
from bench.writeup.shortage import extra_lines, in_short, other_rows, short_rows

_DASH = "- "


def help_letter(
    kit: Kit,
    plan: Plan,
    progress: Progress,
    symptom: str = "",
    meter: Mapping[str, object] | None = None,
) -> Letter:
    """What `help_request.help_request` says, with its readings as a table."""
    blocks = []
    for title, lines in help_blocks(kit, plan, progress, symptom, meter):
        if title == READINGS:
            rows = tuple(tuple(map(tidy, row)) for row in reading_rows(progress, meter))
            blocks.append(SheetBlock(title=title, head=READING_HEADS, rows=rows))
        else:
            said = tuple((line.startswith(_DASH), tidy(line.removeprefix(_DASH))) for line in lines)
            blocks.append(SheetBlock(title=title, lines=said))
    return Letter(title=tidy(help_title(kit)), kit=tidy(titled(kit.title, progress.unit)), blocks=tuple(blocks))


def shortage_letter(kit: Kit, progress: Progress) -> Letter:
    """What `shortage.shortage_text` says, with a box for each sort to tick when it has come."""
    blocks = [_words("Danger", warning)] if (warning := danger_of(kit).warning) else []
    if said := in_short(progress):
        blocks.append(_words("Complete" if progress.bag else "Not counted", said))
    if rows := short_rows(progress):
        blocks.append(
            _table("Missing from the bag", ("missing", "part", "in the bag", "designators"), rows, "received")
        )
    if others := other_rows(progress):
        blocks.append(_table("Substituted parts", ("listed", "sent or used", "why"), others))
    if extra := extra_lines(progress):
        blocks.append(SheetBlock(title="More than needed", lines=tuple((True, tidy(each)) for each in extra)))
    maker = f", {kit.maker}" if kit.maker else ""
    return Letter(
        title=tidy(f"Shortage list: {kit.title}{maker}"),
        kit=tidy(titled(kit.title, progress.unit)),
        blocks=tuple(blocks),
    )


def _table(title: str, head: tuple[str, ...], rows: Sequence[tuple[str, ...]], tick: str = "") -> SheetBlock:
    return SheetBlock(title=title, head=head, rows=tuple(tuple(map(tidy, row)) for row in rows), tick=tick)


def _words(title: str, text: str) -> SheetBlock:
    return SheetBlock(title=title, lines=((False, text),))

"""The help request and the shortage list as pages; pure. The same words as their texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.events import BagCounted, Substituted
from bench.log.progress import Progress
from bench.log.unit_names import titled
from bench.parts.designators import shorten
from bench.plan.plan import Plan
from bench.writeup.help_request import READING_HEADS, READINGS, help_blocks, help_title, reading_rows
from bench.writeup.sheets.sheet_model import Letter, SheetBlock
from bench.writeup.sheets.texts import tidy
from bench.writeup.shortage import missing, sort_of, wanted_of

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
    short = missing(progress)
    other = [each for each in progress.substitutions if each.items]
    extra = [each for each in progress.bag if each.found > wanted_of(each)]
    blocks = [_words("Danger", warning)] if (warning := danger_of(kit).warning) else []
    if not progress.bag:
        blocks.append(_words("Not counted", "The parts have not been counted yet."))
    elif not short and not other:
        blocks.append(_words("Complete", "Nothing is missing from what was counted."))
    blocks += [_short(short)] if short else []
    blocks += [_other(other)] if other else []
    if extra:
        over = tuple((True, f"{tidy(sort_of(each))}: {each.found} for {wanted_of(each)}") for each in extra)
        blocks.append(SheetBlock(title="More than needed", lines=over))
    maker = f", {kit.maker}" if kit.maker else ""
    return Letter(
        title=tidy(f"Shortage list: {kit.title}{maker}"),
        kit=tidy(titled(kit.title, progress.unit)),
        blocks=tuple(blocks),
    )


def _short(short: Sequence[BagCounted]) -> SheetBlock:
    rows = tuple(
        (
            str(len(each.items) - each.found),
            tidy(sort_of(each)),
            f"{each.found} of {len(each.items)}",
            tidy(shorten(each.refs)),
        )
        for each in short
    )
    head = ("missing", "part", "in the bag", "designators")
    return SheetBlock(title="Missing from the bag", head=head, rows=rows, tick="received")


def _other(other: Sequence[Substituted]) -> SheetBlock:
    rows = tuple((tidy(each.part), tidy(each.instead), tidy(each.why)) for each in other)
    return SheetBlock(title="Substituted parts", head=("listed", "sent or used", "why"), rows=rows)


def _words(title: str, text: str) -> SheetBlock:
    return SheetBlock(title=title, lines=((False, text),))

"""Labels for bags and for strips of parts, kit by kit; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.progress import Progress
from bench.log.unit_names import titled
from bench.parts.designators import shorten
from bench.parts.kinds import KINDS, with_role
from bench.plan.bag import BagLine, bag_lines
from bench.writeup.sheets.sheet_model import Label, LabelSheet
from bench.writeup.sheets.stages import on_the_part
from bench.writeup.sheets.texts import tidied, tidy
from bench.writeup.words import board, counted, join

_DOUBTFUL = ("NOT ", " fits neither ", "too close to call")
"""How `measure.ahead` says that a reading does not fit."""


def label_sheet(kits: Sequence[tuple[Kit, Progress | None]]) -> LabelSheet:
    """For each kit one label for its bag and one for each sort of part in it; sockets are sorts of their own.

    With the progress of a build, readings taken ahead, what is missing and what was replaced stand there too.
    """
    return LabelSheet(
        kits=tidied(titled(kit.title, progress.unit if progress else "") for kit, progress in kits),
        labels=tuple(label for kit, progress in kits for label in _of(kit, progress or Progress())),
    )


def _of(kit: Kit, progress: Progress) -> list[Label]:
    lines = bag_lines(kit)
    title = tidy(titled(kit.title, progress.unit))
    parts = sum(len(line.items) for line in lines)
    boards = [each.name for each in kit.boards if each.parts]
    whose = join([board(name) for name in boards])
    bag = Label(
        value=title,
        kind="the whole kit",
        about=tidied((kit.maker,)),
        kit="",
        amount=parts,
        places=tidied((f"{counted(len(lines), 'line')} of the parts list, for {whose}",)),
        remarks=tidied((danger_of(kit).brief,)),
    )
    return [bag, *(_label(line, title, progress) for line in lines)]


def _label(line: BagLine, title: str, progress: Progress) -> Label:
    strips, printed = on_the_part(
        line.kind, line.value, line.tolerance, line.voltage, line.marking, line.package
    )
    places = tuple(f"{board(name)}: {shorten(refs)}" for name, refs in line.places)
    taken = [each for each in progress.measured if each.items == line.items]
    return Label(
        value=tidy(line.value),
        kind=tidy(line.kind) if line.kind != line.value else "",
        about=tidied((line.tolerance, line.voltage, line.package)),
        kit=title,
        amount=len(line.items),
        places=tidied(places),
        strips=strips,
        printed=tidy(printed),
        measurable=_measurable(line.kind),
        measured=tidied(each.text for each in taken),
        remarks=tidied(
            (*_doubts(each.said for each in taken), *_short(line, progress), *_other(line, progress))
        ),
    )


def _measurable(kind: str) -> bool:
    """Whether a meter can tell what a part of this kind is: by its unit, or on the diode range."""
    unit = KINDS[kind].unit if kind in KINDS else ""
    return unit in ("ohm", "farad", "henry") or kind in with_role("diode range")


def _doubts(said: Iterable[str]) -> list[str]:
    """Sentences about readings that do not fit this sort of part, or not this one alone."""
    return [each for each in said if any(words in each for words in _DOUBTFUL)]


def _short(line: BagLine, progress: Progress) -> list[str]:
    return [
        f"{len(line.items) - each.found} of {len(line.items)} missing"
        for each in progress.bag
        if each.items == line.items and each.found < len(line.items)
    ]


def _other(line: BagLine, progress: Progress) -> list[str]:
    mine = set(line.items)
    return [f"instead: {each.instead}" for each in progress.substitutions if mine & set(each.items)]

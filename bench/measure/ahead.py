"""Measuring ahead: does a reading fit the sort of part it was taken from, or another one of the kit? Pure."""

from __future__ import annotations

from bench.kit.model import Kit
from bench.measure.candidates import Candidate
from bench.measure.identify import identify
from bench.measure.meter import DEFAULT_METER, Meter
from bench.parts.designators import shorten
from bench.plan.bag import BagLine


def what_it_says(kit: Kit, line: BagLine, text: str, meter: Meter = DEFAULT_METER) -> str:
    """What a reading says of a part from this line of the bag, in a sentence or two.

    Raises BenchError, which says what was understood, when the reading cannot be read.
    """
    found = identify(text, kit, meter)
    wanted = {(board, ref) for board, refs in line.places for ref in refs}
    own = [each for each in found.candidates if wanted & set(each.refs)]
    others = [each for each in found.candidates if each.refs and not wanted & set(each.refs)]
    said = text.strip()
    if own and others:
        words = f"{said} fits {own[0].text}, but {_told(others[0])} too: too close to call."
    elif own:
        words = f"{said} fits {own[0].text}."
    elif others:
        words = f"NOT {line.value}: {said} fits {_told(others[0])}."
    else:
        words = f"{said} fits neither {line.value} nor any other line of this kit."
    return " ".join([words, *(f"{remark[:1].upper()}{remark[1:]}." for remark in found.remarks[:2])])


def _told(candidate: Candidate) -> str:
    boards: dict[str, list[str]] = {}
    for board, ref in candidate.refs:
        boards.setdefault(board, []).append(ref)
    places = "; ".join(f"{board} {shorten(refs)}" for board, refs in boards.items())
    return f"{candidate.text} ({places})"

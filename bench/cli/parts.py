"""Sub-commands about single parts."""

from __future__ import annotations

import argparse
from collections import Counter
from decimal import Decimal
from typing import TYPE_CHECKING

from bench.cli.common import FINE, data_of, print_json, say, settings_of

if TYPE_CHECKING:
    from bench.kit.kit import Kit
    from bench.measure.identify.candidates import Candidate

_MOST_RULED_OUT = 5


def _identify(args: argparse.Namespace) -> int:
    from bench.kit.load import load_kit
    from bench.measure.identify.match_kit import identify
    from bench.session.kit_names import find_kit
    from bench.session.verdicts import meter_of
    from bench.settings import cache_folder

    data = data_of(args)
    kit = load_kit(find_kit(data, args.kit), cache_folder(data)) if args.kit else None
    found = identify(" ".join(args.text), kit, meter_of(settings_of(args).meter))
    if args.json:
        print_json({"candidates": [_data(each, kit) for each in found.candidates]})
        return FINE
    from bench.measure.identify.kit_lines import named

    if not found.candidates:
        say(f"{found.text}: no part matches")
    for number, each in enumerate(found.candidates, 1):
        _say_candidate(number, each, found.boards)
    for out in found.ruled_out[:_MOST_RULED_OUT]:
        where = f" ({named(out.lines, found.boards)})" if out.lines else ""
        say(f"not {out.text}{where}: {out.why}")
    if len(found.ruled_out) > _MOST_RULED_OUT:
        say(f"and {len(found.ruled_out) - _MOST_RULED_OUT} more are ruled out")
    for remark in found.remarks:
        say(f"- {remark}")
    return FINE


def _say_candidate(number: int, candidate: Candidate, boards: int) -> None:
    from bench.measure.identify.kit_lines import named

    kind = f"  {candidate.kind}" if candidate.kind and candidate.kind not in candidate.text else ""
    refs = f"  -> {named(candidate.lines, boards)}" if candidate.lines else ""
    say(f"{number}. {candidate.text}{kind}{refs}  [{candidate.source}]")
    for why in candidate.why:
        say(f"     {why}")


def _data(candidate: Candidate, kit: Kit | None) -> dict[str, object]:
    """A candidate as plain data; a designator that is on several boards has its board in front of it.

    Other amounts stand under `henries`, `hertz`, `volts` or `amperes`, only where there is one.
    """
    boards = kit.boards if kit else ()
    on = Counter(ref for board in boards for ref in {ref for line in board.parts for ref in line.refs})
    others = (("henries", "henry"), ("hertz", "hertz"), ("volts", "volt"), ("amperes", "ampere"))
    stated = {
        name: _number(amount) for name, unit in others if (amount := candidate.amount_in(unit)) is not None
    }
    return {
        "text": candidate.text.replace("Ω", "ohm"),
        "ohms": _number(candidate.amount_in("ohm")),
        "farads": _number(candidate.amount_in("farad")),
        "from": candidate.source,
        "refs": [f"{board}/{ref}" if on[ref] > 1 else ref for board, ref in candidate.refs],
        **stated,
    }


def _number(amount: Decimal | None) -> int | float | None:
    """A JSON number: whole where the amount is."""
    if amount is None:
        return None
    return int(amount) if amount == amount.to_integral_value() else float(amount)

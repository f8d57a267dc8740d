"""The kits in `kits/` by designator, with their values as numbers."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

from bench.kit.kit import Check, Kit, PartLine
from bench.kit.load import load_kit
from bench.parts.expectation import Expectation, parse_expectation
from bench.parts.kinds import KINDS
from bench.parts.quantity import read_value

KITS = Path(__file__).resolve().parents[2] / "kits"
OSCILLATOR = KITS / "twin-board-oscillator.yaml"
METRONOME = KITS / "first-evening-metronome.yaml"
CAPACITORS = ("electrolytic capacitor", "ceramic capacitor", "film capacitor")


@cache
def shipped(path: Path) -> Kit:
    """The kit, loaded once."""
    return load_kit(path)


class Circuit:
    """A kit's parts by designator."""

    def __init__(self, path: Path) -> None:
        self.kit = shipped(path)
        self.lines: dict[str, PartLine] = {
            ref: part for board in self.kit.boards for part in board.parts for ref in part.refs
        }
        self.boards: dict[str, str] = {
            ref: board.name for board in self.kit.boards for part in board.parts for ref in part.refs
        }

    def __getitem__(self, ref: str) -> float:
        """The part's value in ohms or farads."""
        part = self.lines[ref]
        main = read_value(part.value, KINDS[part.kind].unit or "ohm").main
        assert main is not None, f"{ref}: {part.value}"
        return float(main.amount)

    def tolerance(self, ref: str) -> float:
        """Tolerance as a fraction: 0.01 for 1 %."""
        return float(self.lines[ref].tolerance.rstrip(" %")) / 100

    def of_kind(self, *kinds: str) -> dict[str, PartLine]:
        """Parts of these kinds by designator."""
        return {ref: part for ref, part in self.lines.items() if part.kind in kinds}

    def checks(self) -> dict[str, Check]:
        """All checks of all hold points by their place."""
        return {check.where: check for point in self.kit.hold_points for check in point.checks}


def expected(circuit: Circuit, place: str) -> Expectation:
    return parse_expectation(circuit.checks()[place].expect)


def window(circuit: Circuit, place: str) -> tuple[float, float]:
    found = expected(circuit, place)
    low = -math.inf if found.low is None else float(found.low)
    high = math.inf if found.high is None else float(found.high)
    return low, high


def within(circuit: Circuit, place: str, value: float) -> bool:
    low, high = window(circuit, place)
    return low <= value <= high

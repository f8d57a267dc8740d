"""A kit with two rails, its plan, and short ways to search for a fault in a build of it."""

from __future__ import annotations

from typing import Any

from bench.kit.kit import Kit
from bench.kit.load import parse_kit
from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.log.fold import fold
from bench.plan.stages import make_plan
from bench.suspects.fault_list import suspicions
from bench.suspects.proximity import parts_of
from bench.suspects.suspicion import Suspicion
from bench.suspects.symptom import symptom_named
from tests.support.plans import LOW

REGULATED = parse_kit(
    b"""\
kit: 1
name: Two rails
supply: {"+12 V": 10 mA, "-12 V": 8 mA}
sections: [power, filter]
boards:
  - name: main
    parts:
      - {refs: J1, value: 2x5, kind: box header, joints: 10, section: power}
      - {refs: D1, value: 1N5819, kind: Schottky diode, section: power, nets: ["+12 V"]}
      - {refs: D2, value: 1N5819, kind: Schottky diode, section: power, nets: ["-12 V"]}
      - {refs: C1, value: 22u, kind: electrolytic capacitor, section: power, nets: "+12V"}
      - {refs: C2, value: 22u, kind: electrolytic capacitor, section: power, nets: "-12V"}
      - {refs: U1, value: TL072, socket: DIP-8, section: filter, nets: ["+12 V", "-12 V", ramp]}
      - {refs: R1, value: 4k7, section: filter, nets: ramp}
      - {refs: R2, value: 47k, section: filter}
      - {refs: Q1, value: BC547, joints: 3, section: filter}
      - {refs: RV1, value: 10k, kind: trimmer, joints: 3, section: filter, note: CUTOFF}
hold_points:
  - name: First power
    checks:
      - {at: "+12 V at the socket", expect: 12 V \xc2\xb1 5 %, unplug: ICs}
      - {at: TP1, expect: 5 V \xc2\xb1 2 %, nets: [ramp]}
  - name: Function
    checks:
      - {look: "CUTOFF sweeps the filter"}
""",
    "rails.yaml",
)
PLAN = make_plan(REGULATED, LOW)


def events_of(*made: tuple[type[ev.AnyEvent], dict[str, Any]]) -> list[ev.AnyEvent]:
    """Events in a row, ten seconds apart, the first one the start of a log."""
    rows: list[tuple[type[ev.AnyEvent], dict[str, Any]]] = [(ev.Started, {"log": 1, "kit": "x"}), *made]
    return [
        kind(n=n, at=stamp_text(1.9e9 + 10 * n), mono=10.0 * n, run="a", **fields)
        for n, (kind, fields) in enumerate(rows, 1)
    ]


def done(kit: Kit, *items: str) -> tuple[type[ev.AnyEvent], dict[str, Any]]:
    """These items are in; without any, everything that has a designator."""
    return ev.Done, {"items": items or tuple(part.item for part in parts_of(kit))}


def look(words: str, *made: tuple[type[ev.AnyEvent], dict[str, Any]]) -> tuple[Suspicion, ...]:
    """The list for a symptom of the kit with two rails."""
    progress = fold(events_of(*made))
    return suspicions(REGULATED, PLAN, progress, symptom_named(words, PLAN, progress))


def named(found: tuple[Suspicion, ...], what: str) -> Suspicion:
    """The one suspicion whose headline begins so."""
    (only,) = [each for each in found if each.what.startswith(what)]
    return only


def refs(each: Suspicion) -> str:
    return " ".join(ref for _, ref in each.parts)

"""Symptoms of a fault: what a reading tells, where the search begins, and any log with any symptom."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.kit import Kit
from bench.kit.load import load_kit
from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.plan.plan import Plan
from bench.plan.stages import make_plan
from bench.suspects.fault_list import settled, suspicions
from bench.suspects.proximity import parts_of
from bench.suspects.search import Search
from bench.suspects.symptom import drifts, likely_words, out_readings, symptom_named, symptom_of, verdict_of
from tests.support.fault_search import PLAN, REGULATED, events_of
from tests.support.plans import LOW
from tests.support.simulated_kits import large_kit, two_board_kit

KITS = Path(__file__).parents[2] / "kits"


# -- symptoms ----------------------------------------------------------------------------------------
def reading(text: str, expect: str, point: str = "TP1", verdict: str = "") -> ev.ReadingTaken:
    return ev.ReadingTaken(
        n=2, at=stamp_text(1.9e9), mono=1.0, run="a", point=point, text=text, expect=expect, verdict=verdict
    )


@pytest.mark.parametrize(
    ("text", "expect", "trouble"),
    [
        ("12 ohm", "> 200 ohm", "short"), ("OL", "< 1 ohm", "missing"), ("0.2", "5 V ± 4 %", "missing"),
        ("-5", "5 V ± 4 %", "reversed"), ("5.6", "5 V ± 4 %", "off"), ("2", "5 V ± 4 %", "low"),
        ("8", "5 V ± 4 %", "high"), ("90 mA", "31 mA ± 30 %", "short"),
        ("OL", "OL", ""), ("OL", "> 200 ohm", ""), ("five", "5 V ± 4 %", ""), ("dark", "steady light", ""),
        ("2 mA", "31 mA ± 30 %", "missing"), ("5.01", "5 V ± 4 %", ""), ("12", "OL", "short"),
    ],
)  # fmt: skip
def test_a_reading_tells_what_sort_of_trouble_it_is(text: str, expect: str, trouble: str) -> None:
    assert symptom_of(reading(text, expect), PLAN).trouble == trouble


def test_a_verdict_is_the_one_that_was_told_else_judged_now() -> None:
    assert verdict_of(reading("5.6", "5 V ± 4 %")) == "out"
    assert verdict_of(reading("5.6", "5 V ± 4 %", verdict="in")) == "in"
    assert verdict_of(reading("bright", "steady light")) == ""
    assert verdict_of(reading("about five", "5 V ± 4 %")) == ""


def test_the_search_begins_with_the_reading_that_is_out_and_goes_on_where_it_was_left() -> None:
    out = (ev.ReadingTaken, {"point": "TP1", "text": "4.1", "expect": "5 V ± 2 %", "verdict": "out"})
    step = next(step for step in PLAN.steps if step.value == "CUTOFF sweeps the filter")
    words = "TP1: 4.1 where 5 V ± 2 % is expected"
    assert likely_words(fold(events_of(out)), None) == words
    assert symptom_named(words, PLAN, fold(events_of(out))).read == "4.1"
    cleared = (ev.SuspicionSettled, {"suspicion": "a", "found": False, "symptom": "it hums"})
    assert likely_words(fold(events_of(out, cleared)), None) == "it hums"
    assert likely_words(fold(events_of()), step) == "CUTOFF sweeps the filter"
    assert likely_words(fold(events_of()), None) == ""


def test_what_was_settled_belongs_to_its_own_symptom() -> None:
    progress = fold(
        events_of(
            (ev.SuspicionSettled, {"suspicion": "a", "found": False, "symptom": "it hums"}),
            (ev.SuspicionSettled, {"suspicion": "a", "found": True, "symptom": "it hums"}),
        )
    )
    assert settled(progress, symptom_named("it hums", PLAN, progress))["a"].found
    assert settled(progress, symptom_named("no sound", PLAN, progress)) == {}


def test_one_out_reading_among_three_visits_counts_by_the_last_one() -> None:
    visits = [
        (ev.ReadingTaken, {"point": "TP1", "text": text, "expect": "5 V ± 2 %", "stage": "First power"})
        for text in ("4.1", "5.00", "5.01")
    ]
    progress = fold(events_of(*visits))
    assert out_readings(progress) == ()
    assert drifts(progress) == ()
    assert len(drifts(fold(events_of(*visits[:2])))) == 1


# -- any log -----------------------------------------------------------------------------------------
ALL_KITS = [load_kit(path) for path in sorted(KITS.glob("*.yaml"))] + [
    REGULATED,
    two_board_kit(),
    large_kit(60),
]
PLANS: list[Plan] = [make_plan(kit, LOW) for kit in ALL_KITS]
TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30) | st.sampled_from(
    [
        "R1",
        "a bridge at U1",
        "power is off",
        "+12 V",
        "IC U3 broken",
        "[/b]",
        'a "quoted" word',
        "x" * 300,
        "Q99",
    ]
)


@st.composite
def searches(draw: st.DrawFn) -> tuple[Kit, Plan, Progress, str]:
    """A kit, any log of it, and any symptom."""
    at = draw(st.integers(0, len(ALL_KITS) - 1))
    kit, plan = ALL_KITS[at], PLANS[at]
    step = st.sampled_from(plan.steps)
    checks = [each for each in plan.steps if each.action in ("check", "adjust")]
    made: list[tuple[type[ev.AnyEvent], dict[str, Any]]] = []
    for _ in range(draw(st.integers(0, 12))):
        here = draw(step)
        at_work = {"stage": here.stage, "board": here.board, "step": here.key}
        number = draw(st.integers(0, 30))
        choices: list[tuple[type[ev.AnyEvent], dict[str, Any]]] = [
            (ev.Done, {"items": here.items, **at_work}),
            (ev.HeldBack, {"items": here.items, "value": here.value, "refs": here.refs, **at_work}),
            (
                ev.BagCounted,
                {"items": here.items, "kind": here.kind, "value": here.value, "found": number},
            ),
            (ev.JointsCounted, {"counted": number, "expected": 10, **at_work}),
            (ev.HoldOverridden, {"hold": here.stage, "reason": draw(TEXT), **at_work}),
            (ev.Snagged, {"what": draw(TEXT), "part": draw(TEXT), "fix": draw(st.just("") | TEXT)}),
            (ev.Substituted, {"part": draw(TEXT), "instead": draw(TEXT), "items": here.items[:number]}),
            (ev.ErratumFound, {"text": draw(TEXT)}),
            (
                ev.ReadingTaken,
                {"point": here.value, "text": f"{number}", "expect": here.expect, **at_work},
            ),
            (
                ev.SuspicionSettled,
                {"suspicion": draw(TEXT), "found": bool(number % 2), "symptom": draw(TEXT)},
            ),
        ]
        made.append(draw(st.sampled_from(choices)))
    words = draw(TEXT | st.sampled_from([each.value for each in checks] or ["dead"]))
    return kit, plan, fold(events_of(*made)), words


@given(searches())
def test_any_log_gives_a_list_in_the_order_of_its_complaint_that_names_only_parts_of_the_kit(
    search: tuple[Kit, Plan, Progress, str],
) -> None:
    kit, plan, progress, words = search
    looked = Search(kit, progress, symptom_named(words, plan, progress))
    found = suspicions(kit, plan, progress, looked.symptom)
    assert found
    places = [looked.groups.index(each.group) for each in found]
    assert places == sorted(places)
    assert kit.passive or looked.complaints or found[0].group in ("power", "joints")
    assert looked.live or "on" not in {each.power for each in found}
    assert all(each.group != "ICs" for each in found[:-1])
    assert len({each.what for each in found}) == len(found)
    known = {(part.board, part.ref) for part in parts_of(kit)}
    for each in found:
        assert set(each.parts) <= known
        assert each.how.strip()
        assert each.why.strip()
        assert "\n" not in each.what + each.why + each.how + each.where
    one_board = len(kit.boards) == 1
    names = {ref for _, ref in known}
    for each in found:
        if each.own:
            continue
        own_words = re.sub(r'"[^"]*"', "", f"{each.what} {each.where if one_board else ''}")
        designators = re.findall(r"\b(?:R|C|D|U|Q|J|RV|SW|LED|BT|LS|F|P)[0-9]+\b", own_words)
        assert set(designators) <= names

"""Readings as they are told to others: units, and readings too close to call that were accepted."""

from __future__ import annotations

import pytest

from bench.log import events as ev
from bench.log.fold import fold
from bench.writeup.help_request import help_request
from bench.writeup.markdown import write_up
from bench.writeup.readings import with_unit
from bench.writeup.story import tell
from tests.support.story_bench import HOLD, KIT, PLAN, Bench


@pytest.mark.parametrize(
    ("typed", "expect", "told"),
    [
        ("0.3", "< 0.5 V", "0.3 V"),
        ("12,1", "11.4..12.6 V", "12,1 V"),
        ("54m", "50..60 mV", "54 mV"),
        ("6.999m", "7 mA ± 50 %", "6.999 mA"),
        ("1k84", "> 200 ohm", "1.84 kΩ"),
        ("268 Hz", "261 Hz ± 40 %", "268 Hz"),
        ("120 ohm", "> 200 ohm", "120 Ω"),
        ("1.2mA", "< 2 mA", "1.2 mA"),
        ("5.7V", "5.8 V ± 10 %", "5.7 V"),
        ("54uA", "", "54 µA"),
        ("1.44 V AC", "1.44 V AC ± 20 %", "1.44 V AC"),
        ("OL", "> 1 kohm", "OL"),
        ("4.69", "", "4.69"),
        ("bright", "look", "bright"),
    ],
)
def test_a_bare_number_gets_the_unit_that_is_expected(typed: str, expect: str, told: str) -> None:
    assert with_unit(typed, expect) == told


@pytest.mark.parametrize(
    ("verdict", "about", "accepted"),
    [
        ("too close to call", "check", True),
        ("too close to call", "too close", True),
        ("out", "check", False),
        ("in", "check", False),
        ("too close to call", "held back", False),
    ],
)
def test_what_was_too_close_to_call_is_told_as_accepted_not_as_a_check_that_was_not_met(
    verdict: str, about: str, *, accepted: bool
) -> None:
    check = next(step for step in PLAN.steps if step.value == "TP1")
    bench = Bench()
    bench.at(HOLD)
    bench.add(ev.ReadingTaken, 5, step=check.key, point="TP1", text="5.2", expect="5 V ± 4 %", verdict=verdict)
    bench.add(ev.HoldOverridden, 5, step=check.key, hold=HOLD, reason="checked with another meter", about=about)
    page = write_up(tell(KIT, PLAN, bench.events))
    assert ("TP1 was too close to call and accepted: checked with another meter." in page) == accepted
    assert ("was overridden: checked with another meter." in page) != accepted
    asked = help_request(KIT, PLAN, fold(bench.events))
    assert ("Hold points overridden" in asked) != accepted

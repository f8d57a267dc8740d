"""Events in words: each kind has some, and what the builder typed is in them."""

from __future__ import annotations

from typing import Any, cast, get_args

import msgspec
import pytest

from bench.log import events as ev
from bench.log.event_text import describe, highlight
from bench.log.fold import fold
from bench.writeup.presence import Presence, presence

KINDS: tuple[type[ev.Event], ...] = get_args(ev.AnyEvent)
SAID = {"str": "typed words", "float": 60.0, "int": 7, "bool": False}


def an_event(kind: type[ev.Event], **fields: Any) -> ev.AnyEvent:
    """An event with every required field filled."""
    for field in msgspec.structs.fields(kind):
        if field.required and field.name not in fields:
            fields[field.name] = SAID.get(getattr(field.type, "__name__", ""), ())
    return cast(ev.AnyEvent, kind(**fields))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_each_event_is_said_in_one_line_with_what_was_typed(kind: type[ev.Event]) -> None:
    told = describe(an_event(kind))

    assert told
    assert "\n" not in told
    if "text" in kind.__struct_fields__:
        assert "typed words" in told


def test_the_sum_type_holds_every_event_once_and_each_tells_where_the_builder_was() -> None:
    assert len(KINDS) == len(set(KINDS))
    assert set(KINDS) == set(ev.Event.__subclasses__())
    assert {presence(an_event(kind)) for kind in KINDS} == set(get_args(Presence))


SAY_NOTHING = {
    ev.PhotoTaken, ev.ClockTold, ev.IdleResolved, ev.Closed, ev.Revised, ev.Renamed, ev.Undone, ev.Corrected,
    ev.Resumed, ev.HeldBack, ev.Mended, ev.BreakEnded, ev.Completed, ev.SetAside,
}  # fmt: skip
"""What changes nothing by itself: told elsewhere, or only after something else."""


@pytest.mark.parametrize(
    "kind", [each for each in KINDS if each not in SAY_NOTHING], ids=lambda kind: kind.__name__
)
def test_progress_takes_in_each_event_that_says_something(kind: type[ev.Event]) -> None:
    items = {name: ("main/R1",) for name in ("items", "added") if name in kind.__struct_fields__}
    told, before = fold([an_event(kind, **items)]), fold([an_event(ev.Closed)])
    assert any(getattr(told, name) != getattr(before, name) for name in told.__struct_fields__)


@pytest.mark.parametrize(
    ("event", "told"),
    [
        (an_event(ev.WaitBegan, seconds=60.0), "wait of 1 minute"),
        (an_event(ev.WaitBegan, seconds=90.0, about="drying"), "wait of 1.5 minutes: drying"),
        (an_event(ev.PassMeasured, trim="Scale", points=((0.0, 130.8),)), "tracking pass: Scale, 1 point"),
        (an_event(ev.Resumed, items=("main/R1", "main/R2")), "resumed: 2 parts"),
        (an_event(ev.Done, items=("main/R1",), value="4k7", refs=("R1",)), "done: 4k7 R1"),
        (an_event(ev.HazardAcknowledged, text="RCD, one hand"), "hazard acknowledged: RCD, one hand"),
    ],
)
def test_one_of_a_thing_is_not_called_several(event: ev.AnyEvent, told: str) -> None:
    assert describe(event) == told


@pytest.mark.parametrize(
    ("event", "kind", "text"),
    [
        (an_event(ev.Snagged, what="R3 swapped with R4"), "snag", "R3 swapped with R4"),
        (an_event(ev.Mended, fix="turned round"), "mended", "turned round"),
        (an_event(ev.ReadingTaken, point="+12 V", text="11.74 V"), "reading", "+12 V: 11.74 V"),
        (an_event(ev.Substituted, part="RV1", instead="A100k"), "substitute", "A100k instead of RV1"),
        (an_event(ev.Noted, text="how to bend it", mark="show"), "show", "how to bend it"),
        (an_event(ev.Noted, text="sort first", mark="tip"), "tip", "sort first"),
        (an_event(ev.PhotoTaken), "photo", ""),
    ],
)  # fmt: skip
def test_a_highlight_is_the_bare_text_without_its_kind(event: ev.AnyEvent, kind: str, text: str) -> None:
    assert highlight(event) == (kind, text)


def test_a_plain_note_and_a_step_done_are_no_highlights() -> None:
    assert highlight(an_event(ev.Noted)) is None
    assert highlight(an_event(ev.Done)) is None


@pytest.mark.parametrize(
    ("worked", "minutes", "said"),
    [
        (True, -1.0, "at the bench"), (False, -1.0, "a break"), (True, 0.0, "a break"),
        (False, 20.0, "at the bench"),
        (True, 5.0, "5 of 20 minutes at the bench, the rest a break"),
    ],
)  # fmt: skip
def test_a_gap_is_told_by_what_it_was(worked: bool, minutes: float, said: str) -> None:
    gap = an_event(ev.IdleResolved, seconds=1200.0, worked=worked, minutes_worked=minutes)
    assert describe(gap) == f"gap settled: {said}"

"""Every kind of event is told where the table says, and nowhere else: page, 'How it went', help request.

A new kind of event fails here until it has a row, that is until somebody has decided who is to read of it.
"""

from __future__ import annotations

from typing import Any, NamedTuple, get_args

import msgspec
import pytest

from bench.log import events as ev
from bench.log.fold import fold
from bench.log.photos import MatchedPhoto
from bench.writeup.article import article_of
from bench.writeup.chronology import days_of
from bench.writeup.help_request import help_blocks
from bench.writeup.publish import whole_story
from tests.support.story_bench import DIODES, HOLD, KIT, PLAN, RESISTORS, Bench

SNAG, DONE, SCALE = 4, 3, "Scale"
"""Numbers of two events that stand in the log before, and the name of a trim."""


class Told(NamedTuple):
    """An event with these fields, and who tells of it."""

    fields: dict[str, Any]
    sections: str = ""
    """Places of the sections that change; `opening` is what is before them, `closing` what is under them."""
    chronology: str = ""
    """What is new there; empty for nothing."""
    help: str = ""
    """Headlines of the blocks that change."""


PHOTO = MatchedPhoto(
    file="1.jpg", copy="1.jpg", at="2031-02-03T18:23:00.000Z", source="camera", width=9, height=9
)
FAR = "opening, still to do, time, parts"
"""What says how far the build is."""
WHERE: dict[type[ev.AnyEvent], list[Told]] = {
    ev.Started: [Told({"log": 1, "kit": "another"})],
    ev.Opened: [Told({})],
    ev.Closed: [Told({})],
    ev.Revised: [Told({}, "closing")],
    ev.KitChanged: [Told({"opens": ("main/D1",), "joints": 2}, FAR, help="How far it is")],
    ev.Confirmed: [Told({"items": ("main/R5",), "joints": 2}, FAR, help="How far it is")],
    ev.Renamed: [Told({"items": (("main/D1", "main/D9"),)}, FAR, help="How far it is")],
    ev.Done: [Told({"items": RESISTORS.items, "joints": 10}, f"{FAR}, how it went", help="How far it is")],
    ev.HeldBack: [Told({"items": ("main/R5",), "reason": "later"},
         "how it went", help="How far it is")],
    ev.Resumed: [
        Told({"items": ("main/R9",)}, "how it went", help="How far it is"),
    ],
    ev.Undone: [Told({"of": SNAG},
             "opening, how it went, minute by minute", help="Snags, What is wrong")],
    ev.Corrected: [
        Told(
            {"of": SNAG, "field": "what", "to": "dry joint"},
            "how it went, minute by minute", "Snag: dry joint",
             "Snags, What is wrong"
        )
    ],
    ev.Noted: [
        Told({"text": "blue lead"}, "how it went"),
        Told({"text": "sort first", "mark": "tip"}, "next builder"),
        Told({"text": "bend it first", "mark": "a mark of its own"}, "how it went"),
        Told({"text": "the jig", "mark": "show"}, "how it went, minute by minute", "Worth showing: the jig"),
    ],
    ev.PhotoTaken: [Told({"caption": "marks a photo that is matched later"}, "photos")],
    ev.PhotosMatched: [Told({"folder": "/photos", "photos": (PHOTO,), "batches": ()}, "how it went")],
    ev.PhotoCaptioned: [Told({"file": "0.jpg", "caption": "C5"}, "opening, minute by minute", "Photo: C5")],
    ev.Snagged: [
        Told({"what": "cold", "part": "R1"},
             "opening, how it went, minute by minute, snags", "Snag: R1: cold", "Snags, What is wrong")
    ],
    ev.Mended: [Told({"of": SNAG, "fix": "wick"},
             "opening, how it went", help="Snags, What is wrong")],
    ev.Substituted: [
        Told({"part": "R1", "instead": "47k"}, "changed", help="Substituted parts")
    ],
    ev.ErratumFound: [Told({"text": "R1 is printed R11"}, "changed", help="Errata")],
    ev.BagCounted: [
        Told({"items": ("main/R1",), "value": "4k7", "kind": "resistor", "found": 0}, "how it went, bag",
             help="Missing from the bag")
    ],
    ev.PartMeasured: [Told({"items": (), "value": "4k7", "text": "4.6k"}, "bag")],
    ev.JointsCounted: [
        Told({"counted": 5, "expected": 6},
             "how it went, parts", help="Joint counts that did not match")
    ],
    ev.ReadingTaken: [
        Told({"point": "TP8", "text": "3", "expect": "3 V ± 4 %"}, "readings",
             "2 readings: TP9: 5 V; TP8: 3 V", "Readings")
    ],
    ev.PassMeasured: [
        Told({"trim": SCALE, "points": ((0.0, 130.8), (1.0, 262.0))}, "measurements", help="Tracking")
    ],
    ev.SuspicionSettled: [
        Told({"symptom": "no sound", "suspicion": "a bridge", "found": True}, "how it went",
             help="What was tried")
    ],
    ev.HazardAcknowledged: [Told({"text": "only shown of a kit that can kill", "shown": True})],
    ev.HoldOverridden: [
        Told({"hold": HOLD, "reason": "no meter"}, "how it went, minute by minute",
             "Before power overridden: no meter", "Hold points overridden (reason given)")
    ],
    ev.SyncMarked: [Told({"number": 1})],
    ev.ClipNamed: [Told({"clip": "one", "starts": "2031-02-03T18:20:00Z", "length": 600.0}, "on film")],
    ev.UnitNamed: [Told({"name": "the red one"}, "opening", help="The module")],
    ev.SideBySide: [Told({"group": "two"})],
    ev.SetAside: [Told({"why": "later"})],
    ev.Completed: [Told({"total": 30})],
    ev.ClockTold: [Told({"right": "2031-02-03T19:20:00.000Z"})],
    ev.WaitBegan: [Told({"seconds": 60.0})],
    ev.BreakBegan: [Told({})],
    ev.BreakEnded: [Told({}, "time, minute by minute", "Break, 1 min 00 s")],
    ev.IdleResolved: [Told({"seconds": 60.0, "worked": False},
         "time, minute by minute", "Break, 1 min 00 s")],
}  # fmt: skip
"""Where each event is told. A bare `Told` is a decision too: nobody need read of it."""


def log_with(event: type[ev.AnyEvent] | None = None, **fields: Any) -> list[ev.AnyEvent]:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Snagged, 600, what="a bridge")
    bench.at(RESISTORS.stage, RESISTORS.board)
    bench.add(ev.HeldBack, items=("main/R9",), value="4k7")
    photo = msgspec.structs.replace(PHOTO, file="0.jpg", copy="0.jpg")
    bench.add(ev.PhotosMatched, folder="/earlier", photos=(photo,), batches=())
    bench.at(HOLD)
    bench.do(PLAN.steps[-6])
    bench.add(ev.ReadingTaken, 60, point="TP9", text="5", expect="5 V ± 4 %")
    if event is ev.BreakEnded:
        bench.add(ev.BreakBegan)
    bench.add(event or ev.Opened, 60.0 if event in (ev.BreakEnded, ev.IdleResolved) else 0.0, **fields)
    return bench.events


def told_of(events: list[ev.AnyEvent]) -> tuple[dict[str, object], list[str], dict[str, object]]:
    """Sections by place, what 'How it went' says, blocks of the help request by headline."""
    story = whole_story(KIT, PLAN, events)
    article = article_of(story)
    sections: dict[str, object] = {"closing": article.about}
    sections["opening"] = article.title, article.byline, article.opening, article.figures
    sections |= {section.place: section.blocks for section in article.sections}
    lines = [entry.text for day in days_of(story) for entry in day.entries]
    return sections, lines, dict(help_blocks(KIT, PLAN, fold(events)))


def changed(before: dict[str, object], after: dict[str, object]) -> set[str]:
    return {place for place in before.keys() | after.keys() if before.get(place) != after.get(place)}


def test_every_kind_of_event_has_a_row() -> None:
    assert WHERE.keys() == set(get_args(ev.AnyEvent))


@pytest.mark.parametrize(
    ("event", "told"),
    [(event, told) for event, rows in WHERE.items() for told in rows],
    ids=lambda value: value.__name__ if isinstance(value, type) else value.sections or "nowhere",
)
def test_an_event_is_told_where_its_row_says(event: type[ev.AnyEvent], told: Told) -> None:
    sections, lines, blocks = told_of(log_with())
    now, now_lines, now_blocks = told_of(log_with(event, **told.fields))
    assert changed(sections, now) == set(filter(None, told.sections.split(", ")))
    assert [line for line in now_lines if line not in lines] == ([told.chronology] if told.chronology else [])
    assert changed(blocks, now_blocks) == set(filter(None, told.help.split(", ")))

"""What follows from short logs, case by case, as it was read through and found good.

A case is a log in short: `SECONDS TAG FIELD=VALUE ...` with `;` between, seconds on the monotonic clock, `+` in
lists, `~` for a blank. `clock=S` from there on sets the wall clock ahead by so many seconds, `run=b` begins
another run. What a case does not say of an event is as usual, or empty.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, get_args, get_origin, get_type_hints

import msgspec
import pytest
from msgspec import NODEFAULT, Struct
from msgspec.structs import fields

from bench.log import events as ev
from bench.log.amend import last_undoable, of_one_press, with_corrections
from bench.log.clock import stamp_text
from bench.log.clock_correction import doubtful, put_right
from bench.log.event_text import describe
from bench.log.fold import ProgressReducer, fold
from bench.log.lines import Recovery, encoded
from bench.log.photos import MatchedPhoto
from bench.log.progress import Progress
from bench.log.search import found_in
from bench.log.since_break import run_of_snags, sitting_seconds
from bench.log.standing import log_entries, standing
from bench.log.timeline import bench_times
from tests.support.frozen import loose
from tests.support.told import held

BEGUN = 1_927_000_000.0
KINDS = {
    str(each.__struct_config__.tag): each
    for each in vars(ev).values()
    if isinstance(each, type) and issubclass(each, ev.Event) and each is not ev.Event
}
EMPTY: dict[Any, object] = {str: "", int: 0, float: 0.0, bool: True, tuple: ()}


def _value(hint: Any, text: str) -> object:
    if get_origin(hint) is tuple:
        inside = get_args(hint)[0]
        listed = [each for each in text.split("+") if each]
        return [each.split(":") for each in listed] if get_origin(inside) is tuple else listed
    return text.replace("~", " ") if hint is str else text


def _event(number: int, words: str, state: dict[str, Any]) -> ev.AnyEvent:
    mono, rest = words.split(" ", 1)
    tag = next(each for each in sorted(KINDS, key=len, reverse=True) if f"{rest} ".startswith(f"{each} "))
    said = dict(each.split("=", 1) for each in rest[len(tag) :].split())
    state |= {key: said.pop(key) for key in ("clock", "run") if key in said}
    at = (
        f"{state['clock']}"
        if "?" in str(state["clock"])
        else stamp_text(BEGUN + float(state["clock"]) + float(mono))
    )
    kind, hints = KINDS[tag], get_type_hints(KINDS[tag])
    given: dict[str, object] = {"event": tag, "n": number, "at": at, "mono": float(mono), "run": state["run"]}
    if after := said.pop("after", ""):
        given["after"] = {"at": stamp_text(BEGUN + float(after)), "mono": float(after)}
    needed = [
        each.name for each in fields(kind) if each.default is NODEFAULT and each.default_factory is NODEFAULT
    ]
    given |= {name: EMPTY[get_origin(hints[name]) or hints[name]] for name in needed if name not in given}
    given |= {name: _value(hints[name], text) for name, text in said.items()}
    made: ev.AnyEvent = msgspec.convert(given, ev.AnyEvent, strict=False)
    return made


def story(case: str) -> list[ev.AnyEvent]:
    """The log of a case."""
    state: dict[str, Any] = {"clock": 0.0, "run": "a"}
    return [_event(number, words.strip(), state) for number, words in enumerate(case.split(";"), 1)]


def _short(thing: object) -> object:
    """A value without what is as usual; events by their numbers, numbers to the thousandth."""
    if isinstance(thing, ev.Event):
        return f"#{thing.n}"
    if isinstance(thing, Struct):
        return {
            each.name: _short(value)
            for each in fields(thing)
            if (value := getattr(thing, each.name)) != each.default
        }
    if isinstance(thing, Mapping):
        return {str(key): _short(value) for key, value in thing.items()}
    if isinstance(thing, tuple | frozenset | set):
        listed = list(thing) if isinstance(thing, tuple) else sorted(thing)
        return [_short(each) for each in listed]
    return round(thing, 3) if isinstance(thing, float) else thing


def _progress(progress: Progress) -> Iterator[str]:
    passed_over = ("last", "last_run", "events", "step_done_at")
    for each in fields(progress):
        value = getattr(progress, each.name)
        if each.name not in passed_over and value and value != each.default:
            yield f"{each.name} {_short(value)}"
    yield f"{progress.bench_seconds:g} at the bench, {progress.break_seconds:g} away, {run_of_snags(progress)}"


def _story(case: str) -> str:
    events = story(case)
    reducer = ProgressReducer()
    for event in events:
        reducer.add(event)
    told = fold(events)
    assert reducer.progress() == told
    reducer = ProgressReducer()
    for some in (events[:-1], events[-1:]):
        reducer.extend(some)
    assert reducer.progress() == told
    times, right = bench_times(events), put_right(events)
    start, latest = times.seconds.get(1, 0.0), last_undoable(events)
    pressed = of_one_press(events, latest, set(told.done_at.values())) if latest else []
    moved = [
        f"{event.n}: {event.at}" for event, before in zip(right, events, strict=True) if event.at != before.at
    ]
    said = [
        *_progress(told),
        f"times {[round(times.seconds.get(event.n, -1.0) - start, 1) for event in events]}",
        *(f"jump {jump.n} by {jump.seconds:g}{', slept' if jump.slept else ''}" for jump in times.jumps),
        f"doubtful {sorted(doubtful(right))}" if doubtful(right) else "",
        f"put right {moved}" if moved else "",
        f"sitting {sitting_seconds(events, 900.0):g}, undo {pressed}",
        f"stand {[event.n for event in standing(events)]}" if len(standing(events)) != len(events) else "",
    ]
    return " | ".join(filter(None, said))


def test_what_follows_from_a_log_is_told_as_it_was() -> None:
    held(__file__, "stories", _story)


def _words(case: str) -> str:
    """How events read as they stand, where they belong, and in which the words after `find` are found."""
    log, _, sought = case.partition(" find ")
    events = story(log)
    places = [
        f"{'/'.join(entry.place)}{'' if entry.stands else ' taken back'}" for entry in log_entries(events)
    ]
    words = [
        f"{describe(event)} ({place})" for event, place in zip(with_corrections(events), places, strict=True)
    ]
    found = [entry.event.n for entry in found_in(events, sought)] if sought else []
    return " | ".join(words) + (f" | found {found}" if sought else "")


def test_events_are_told_in_the_words_they_were() -> None:
    held(__file__, "words", _words)


def _line(n: int) -> ev.AnyEvent:
    stamp: dict[str, Any] = {"n": n, "at": stamp_text(BEGUN + n), "mono": float(n), "run": "a"}
    part = f"R{n}"
    return ev.Done(**stamp, items=(part,), refs=(part,)) if n > 1 else ev.Started(**stamp, log=1, kit="Lamp")


LINES = [_line(n) for n in range(1, 13)]
STRAY: dict[str, Any] = {"mono": 0.0, "run": "b", "text": "x" * 70}


def _changed(event: ev.AnyEvent, **changed: int) -> bytes:
    made: Any = msgspec.structs.replace(event, **changed)
    return encoded(made)


def _damaged(case: str) -> str:
    """What is read from twelve lines after some were changed: see `told/damage.txt`."""
    lines = [encoded(event) for event in LINES]
    end = 0
    for words in case.split(", "):
        what, *numbers = words.split()
        at, more = (*map(int, numbers), 0, 0)[:2]
        here = lines[at - 1 : at]
        match what:
            case "bare":
                lines[at - 1 : more] = [msgspec.json.encode(each) + b"\n" for each in LINES[at - 1 : more]]
            case "number":
                lines[at - 1] = _changed(LINES[at - 1], n=more)
            case "newer":
                lines[at - 1] = _changed(LINES[0], n=at, log=ev.LOG_VERSION + more)
            case "other":
                lines.insert(more, encoded(ev.Noted(n=at, at=stamp_text(BEGUN), **STRAY)))
            case "copy":
                lines[more:more] = here
            case "swap":
                lines[at - 1], lines[more - 1] = lines[more - 1], lines[at - 1]
            case "cut":
                end = -at
            case _:
                changed = {
                    "drop": [],
                    "blank": [b"\n"],
                    "nonsense": [b"{}\n"],
                    "change": [here[0].replace(b"R", b"Q")],
                }
                lines[at - 1 : at] = changed[what]
    try:
        recovery = Recovery("log")
        recovery.read([b"".join(lines)[: end or None]])
    except Exception as error:
        return f"? {error}"
    read = " ".join(f"{event.n}{'' if event in LINES else '*'}" for event in recovery.events)
    return " | ".join((read, f"torn {len(recovery.torn)}", *recovery.remarks))


def test_what_is_read_from_damaged_lines_is_told_as_it_was() -> None:
    held(__file__, "damage", _damaged)


@pytest.mark.parametrize(
    ("copy", "sound"),
    [
        ("IMG-0012.jpg", True),
        ("../IMG.jpg", False),
        ("a/b.jpg", False),
        ("a.png", False),
        (f"{'x' * 101}.jpg", False),
    ],
)
def test_a_copy_of_a_photo_is_named_as_this_program_names_them(copy: str, sound: bool) -> None:
    photo = MatchedPhoto(file="a/IMG_0012.JPG", copy=copy, at="", source="camera", width=1, height=1)
    assert photo.has_sound_name is sound


def test_records_of_this_room_are_values() -> None:
    assert not loose("log")

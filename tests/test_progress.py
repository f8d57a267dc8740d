"""The fold: what follows from events, and bench time right whatever the clocks did."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.amend import last_undoable, undone
from bench.log.fold import Folder, fold
from tests.samples import HandClock


class Writer:
    """Makes numbered, stamped events."""

    def __init__(self) -> None:
        self.clock = HandClock()
        self.events: list[ev.AnyEvent] = []
        self.run = "one"
        self.stage = "Flat parts"

    def add(self, kind: type[ev.AnyEvent], **fields: Any) -> ev.AnyEvent:
        now = self.clock.now()
        event = kind(
            n=len(self.events) + 1,
            at=now.at,
            mono=now.mono,
            run=self.run,
            stage=self.stage,
            board="main",
            **fields,
        )
        self.events.append(event)
        return event

    def done(self, *items: str, joints: int = 2) -> ev.AnyEvent:
        return self.add(ev.Done, items=items, joints=joints, value="4k7")


@pytest.fixture
def log() -> Writer:
    writer = Writer()
    writer.add(ev.Started, log=1, kit="Lamp wobbler")
    writer.add(ev.Opened)
    return writer


def test_bench_time_is_the_time_between_events_by_stage(log: Writer) -> None:
    log.clock.work(60)
    log.done("main/R1")
    log.stage = "Sockets"
    log.clock.work(30)
    log.done("main/U1")
    progress = fold(log.events)
    assert progress.stage_seconds[("Flat parts", "main")] == pytest.approx(60)
    assert progress.stage_seconds[("Sockets", "main")] == pytest.approx(30)
    assert progress.bench_seconds == pytest.approx(90)


def test_a_break_is_not_bench_time(log: Writer) -> None:
    log.clock.work(60)
    log.add(ev.BreakBegan)
    log.clock.work(3000)
    log.add(ev.BreakEnded)
    log.clock.work(30)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(90)
    assert [each.seconds for each in progress.breaks] == pytest.approx([3000])
    assert not progress.on_break


def test_a_suspended_laptop_does_not_count(log: Writer) -> None:
    log.clock.work(60)
    log.clock.sleep(8 * 3600)
    log.clock.work(5)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(65)
    assert progress.gaps[0].seconds == pytest.approx(8 * 3600)


def test_a_clock_set_back_or_forward_does_not_change_bench_time(log: Writer) -> None:
    log.clock.work(60)
    log.clock.set_back(3600)
    log.done("main/R1")
    log.clock.set_back(-365 * 86400)
    log.clock.work(40)
    log.done("main/R2")
    assert fold(log.events).bench_seconds == pytest.approx(100)


def test_time_between_two_runs_does_not_count(log: Writer) -> None:
    log.clock.work(60)
    log.done("main/R1")
    log.add(ev.Closed)
    log.clock.work(86400)
    log.run = "two"
    log.add(ev.Opened)
    log.clock.work(30)
    log.done("main/R2")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(90)
    assert progress.sessions == 2


def test_a_new_run_on_a_rebooted_machine_starts_its_own_monotonic_clock(log: Writer) -> None:
    log.clock.work(60)
    log.done("main/R1")
    log.run, log.clock.mono = "two", 3.0
    log.add(ev.Opened)
    log.clock.work(10)
    log.done("main/R2")
    assert fold(log.events).bench_seconds == pytest.approx(70)


def test_a_long_gap_counts_as_nothing_until_the_builder_says_what_it_was(log: Writer) -> None:
    log.clock.work(3600)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == 0
    assert [gap.seconds for gap in progress.gaps] == pytest.approx([3600])


@pytest.mark.parametrize(("worked", "bench", "rest"), [(True, 3600, []), (False, 0, [3600])])
def test_a_gap_is_what_the_builder_says(log: Writer, worked: bool, bench: float, rest: list[float]) -> None:
    log.clock.work(3600)
    log.add(ev.GapSettled, seconds=3600.0, worked=worked)
    log.done("main/R1")
    progress = fold(log.events)
    assert progress.bench_seconds == pytest.approx(bench)
    assert [each.seconds for each in progress.breaks] == pytest.approx(rest)
    assert progress.gaps == ()


def test_undo_takes_back_and_undoing_the_undo_brings_back(log: Writer) -> None:
    done = log.done("main/R1", joints=2)
    assert fold(log.events).done == {"main/R1"}
    taken = log.add(ev.Undone, of=done.n)
    assert fold(log.events).done == frozenset()
    assert fold(log.events).joints == 0
    log.add(ev.Undone, of=taken.n)
    assert fold(log.events).done == {"main/R1"}


def test_the_undo_key_goes_back_one_event_at_a_time(log: Writer) -> None:
    first, second = log.done("main/R1"), log.done("main/R2")
    assert last_undoable(log.events) == second
    log.add(ev.Undone, of=second.n)
    assert last_undoable(log.events) == first
    log.add(ev.Undone, of=first.n)
    assert last_undoable(log.events) is None


def test_held_back_parts_come_back_or_are_done(log: Writer) -> None:
    log.add(ev.HeldBack, items=("main/R1", "main/R2"), value="4k7", refs=("R1", "R2"), reason="missing")
    assert fold(log.events).held[0].reason == "missing"
    log.done("main/R2")
    assert fold(log.events).held[0].items == ("main/R1",)
    log.add(ev.TakenUp, items=("main/R1",))
    assert fold(log.events).held == ()


def test_a_correction_changes_how_an_event_reads_and_not_the_event(log: Writer) -> None:
    snag = log.add(ev.Snagged, what="brigde", part="R1", minutes=5.0)
    log.add(ev.Corrected, of=snag.n, field="what", to="bridge")
    log.add(ev.Corrected, of=snag.n, field="minutes", to="7.5")
    log.add(ev.Corrected, of=snag.n, field="minutes", to="many")
    log.add(ev.Corrected, of=snag.n, field="n", to="99")
    seen = fold(log.events).snags[0]
    assert (seen.what, seen.minutes) == ("bridge", 7.5)
    assert snag in log.events


def test_a_snag_mended_later_has_its_fix(log: Writer) -> None:
    snag = log.add(ev.Snagged, what="bridge")
    assert fold(log.events).snags[0].fix == ""
    log.add(ev.Mended, of=snag.n, fix="wick", minutes=4.0)
    assert fold(log.events).snags[0].fix == "wick"


ITEMS = st.sampled_from(["main/R1", "main/R2", "main/R3", "control/R1"])


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("done"), ITEMS),
            st.tuples(st.just("hold"), ITEMS),
            st.tuples(st.just("note"), ITEMS),
            st.tuples(st.just("undo"), st.integers(1, 12)),
            st.tuples(st.just("wait"), st.integers(0, 2000)),
        ),
        max_size=30,
    )
)
def test_folding_one_by_one_and_all_at_once_give_the_same(acts: list[tuple[str, Any]]) -> None:
    log = Writer()
    log.add(ev.Started, log=1, kit="x")
    for what, arg in acts:
        if what == "done":
            log.done(arg)
        elif what == "hold":
            log.add(ev.HeldBack, items=(arg,), value="x")
        elif what == "note":
            log.add(ev.Noted, text=arg)
        elif what == "undo":
            log.add(ev.Undone, of=arg)
        else:
            log.clock.work(arg)
    folder = Folder()
    for event in log.events:
        folder.add(event)
    progress = folder.progress()
    assert progress == fold(log.events)
    assert not progress.done & {item for held in progress.held for item in held.items}
    spent = sum(acts_wait for what, acts_wait in acts if what == "wait")
    assert progress.bench_seconds <= spent + 1e-6
    assert not undone(log.events) & {event.n for event in progress.notes}


def test_a_corrected_reading_is_no_longer_judged(log: Writer) -> None:
    reading = log.add(ev.ReadingTaken, point="TP1", text="5.02", expect="5 V ± 4 %", verdict="in")
    log.add(ev.Corrected, of=reading.n, field="text", to="6.02")
    (seen,) = fold(log.events).readings
    assert (seen.text, seen.verdict) == ("6.02", "")

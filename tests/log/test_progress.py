"""The fold: what follows from events."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from bench.log import events as ev
from bench.log.amend import last_undoable, undone
from bench.log.fold import ProgressReducer, fold
from tests.support.event_writer import Writer


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


def test_an_undo_that_names_itself_or_what_comes_after_takes_nothing_back(log: Writer) -> None:
    itself = log.add(ev.Undone, of=3)
    assert itself.n == 3
    log.add(ev.Undone, of=5)
    later = log.done("main/R1")
    assert undone(log.events) == frozenset()
    assert last_undoable(log.events) == later
    assert fold(log.events).done == {"main/R1"}
    assert last_undoable(log.events[:4]) is None


def test_the_undo_key_passes_over_what_only_keeps_the_books(log: Writer) -> None:
    note = log.add(ev.Noted, text="old")
    log.add(ev.Corrected, of=note.n, field="text", to="new")
    log.add(ev.IdleResolved, worked=True, seconds=10.0)
    log.add(ev.Closed)
    assert last_undoable(log.events) == note


def test_held_back_parts_come_back_or_are_done(log: Writer) -> None:
    log.add(ev.HeldBack, items=("main/R1", "main/R2"), value="4k7", refs=("R1", "R2"), reason="missing")
    assert fold(log.events).held[0].reason == "missing"
    log.done("main/R2")
    assert fold(log.events).held[0].items == ("main/R1",)
    log.add(ev.Resumed, items=("main/R1",))
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


def test_a_correction_that_was_taken_back_or_names_nothing_before_it_changes_nothing(log: Writer) -> None:
    note = log.add(ev.Noted, text="as typed")
    correction = log.add(ev.Corrected, of=note.n, field="text", to="as meant")
    log.add(ev.Corrected, of=99, field="text", to="of no event")
    log.add(ev.Corrected, of=7, field="text", to="of one to come")
    log.add(ev.Noted, text="came after")
    assert [each.text for each in fold(log.events).notes] == ["as meant", "came after"]
    log.add(ev.Undone, of=correction.n)
    assert [each.text for each in fold(log.events).notes] == ["as typed", "came after"]


def test_the_latest_correction_counts_and_only_a_reading_loses_its_verdict(log: Writer) -> None:
    log.add(ev.JointsCounted, counted=19, expected=20)
    log.add(ev.Corrected, of=3, field="counted", to="18")
    log.add(ev.Corrected, of=3, field="counted", to="20")
    (count,) = fold(log.events).counts
    assert (count.counted, count.expected) == (20, 20)


def test_a_part_done_twice_counts_once_and_keeps_the_event_that_did_it_first(log: Writer) -> None:
    first = log.done("main/R1", joints=2)
    log.clock.work(10)
    again = log.done("main/R1", joints=2)
    progress = fold(log.events)
    assert (progress.joints, progress.done_at) == (2, {"main/R1": first.n})
    assert progress.last_done == again
    log.done("main/R1", "main/R2", joints=2)
    assert fold(log.events).joints == 4


def test_what_is_held_back_again_or_is_done_already_is_held_once_or_not_at_all(log: Writer) -> None:
    log.done("main/R1")
    log.add(ev.HeldBack, items=("main/R1",), value="4k7", reason="too late")
    assert fold(log.events).held == ()
    log.add(ev.HeldBack, items=("main/R2", "main/R3"), value="4k7", reason="missing")
    log.add(ev.HeldBack, items=("main/R3",), value="4k7", refs=("R3",), reason="bent")
    held = fold(log.events).held
    assert [(each.items, each.reason) for each in held] == [(("main/R2",), "missing"), (("main/R3",), "bent")]
    assert held[1].place == ("Flat parts", "main")


def test_a_snag_has_its_place_and_the_longer_of_the_times_told(log: Writer) -> None:
    snag = log.add(ev.Snagged, what="bridge", part="U1", minutes=5.0, step="main/U1")
    log.add(ev.Mended, of=snag.n, fix="wick", minutes=3.0)
    log.add(ev.Mended, of=99, fix="nothing")
    (seen,) = fold(log.events).snags
    assert (seen.place, seen.step, seen.minutes, seen.fix) == (("Flat parts", "main"), "main/U1", 5.0, "wick")
    log.add(ev.Mended, of=snag.n, fix="new pin", minutes=8.0)
    assert fold(log.events).snags[0].minutes == 8.0
    log.add(ev.Snagged, what="none lost", minutes=-4.0)
    assert fold(log.events).snags[1].minutes == 0.0


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
    reducer = ProgressReducer()
    for event in log.events:
        reducer.add(event)
    progress = reducer.progress()
    assert progress == fold(log.events)
    assert not progress.done & {item for held in progress.held for item in held.items}
    spent = sum(acts_wait for what, acts_wait in acts if what == "wait")
    assert progress.bench_seconds <= spent + 1e-6
    assert not undone(log.events) & {event.n for event in progress.notes}


ODD_STAMPS = [(0, ""), (0, "some time"), (17, "99.000Z"), (19, "+01:00"), (19, "Z"), (23, "-02:00")]
PLACES = [("Flat parts", "main"), ("Flat parts", "control"), ("Sockets", "main"), ("", "")]


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("done"), ITEMS),
            st.tuples(st.just("place"), st.sampled_from(PLACES)),
            st.tuples(st.just("run"), st.just(0)),
            st.tuples(st.just("rest"), st.booleans()),
            st.tuples(st.just("work"), st.sampled_from([0.0, 1.0, 59.0, 60.0, 61.0, 899.0, 900.0, 901.0])),
            st.tuples(st.just("sleep"), st.sampled_from([-400.0, 60.0, 61.0, 1000.0, 40 * 86400.0])),
            st.tuples(st.just("hold"), ITEMS),
            st.tuples(st.just("odd stamp"), st.sampled_from(ODD_STAMPS)),
        ),
        max_size=30,
    )
)
def test_the_fast_path_folds_as_one_by_one_whatever_the_clocks_do(
    acts: list[tuple[str, Any]],
) -> None:
    log = Writer()
    log.add(ev.Started, log=1, kit="x")
    place = PLACES[0]
    for what, arg in acts:
        if what in ("done", "odd stamp"):
            now, item = log.clock.now(), "main/R9" if what == "odd stamp" else arg
            at = now.at if what == "done" else now.at[: arg[0]] + arg[1]
            log.events.append(
                ev.Done(
                    n=len(log.events) + 1, at=at, mono=now.mono, run=log.run, stage=place[0], board=place[1],
                    step=item, items=(item,), joints=2, value="4k7",
                )
            )  # fmt: skip
        elif what == "place":
            place = arg
        elif what == "run":
            log.run, log.clock.mono = log.run + "+", 3.0
        elif what == "rest":
            log.add(ev.BreakBegan if arg else ev.BreakEnded)
        elif what == "hold":
            log.add(ev.HeldBack, items=(arg,), value="x")
        else:
            (log.clock.work if what == "work" else log.clock.sleep)(arg)
    reducer = ProgressReducer()
    for event in log.events:
        reducer.add(event)
    assert reducer.progress() == fold(log.events)


def test_a_corrected_reading_is_no_longer_judged(log: Writer) -> None:
    reading = log.add(ev.ReadingTaken, point="TP1", text="5.02", expect="5 V ± 4 %", verdict="in")
    log.add(ev.Corrected, of=reading.n, field="text", to="6.02")
    (seen,) = fold(log.events).readings
    assert (seen.text, seen.verdict) == ("6.02", "")


def test_the_latest_photos_of_a_folder_and_the_latest_caption_count(log: Writer) -> None:
    log.add(ev.PhotosMatched, folder="a")
    other = log.add(ev.PhotosMatched, folder="b")
    latest = log.add(ev.PhotosMatched, folder="a", zone="+01:00")
    log.add(ev.PhotoCaptioned, file="1.jpg", caption="first")
    log.add(ev.PhotoCaptioned, file="1.jpg", caption="second")
    progress = fold(log.events)
    assert progress.photos_matched == (latest, other)
    assert progress.captions == {"1.jpg": "second"}


def test_what_an_edit_opens_is_open_until_it_is_said_to_be_right_and_its_joints_count_again(
    log: Writer,
) -> None:
    log.done("main/R1")
    log.done("main/R2")
    log.add(ev.KitChanged, opens=("main/R1",), why=("R1: 47k is now 470R",), joints=2)
    opened = fold(log.events)
    assert (set(opened.done), set(opened.reopened), opened.joints) == ({"main/R2"}, {"main/R1"}, 2)
    log.add(ev.Confirmed, items=("main/R1",), joints=2)
    right = fold(log.events)
    assert (set(right.done), set(right.reopened), right.joints) == ({"main/R1", "main/R2"}, set(), 4)


def test_what_is_held_back_twice_is_held_once_with_both_reasons(log: Writer) -> None:
    for reason in ("no solder", "the shop is closed"):
        log.add(ev.HeldBack, items=("main/R1", "main/R2"), value="4k7", refs=("R1", "R2"), reason=reason)
    (held,) = fold(log.events).held
    assert held.items == ("main/R1", "main/R2")
    assert held.reasons == ("no solder", "the shop is closed")


def test_a_name_that_is_taken_back_carries_nothing(log: Writer) -> None:
    log.done("main/R1")
    renamed = log.add(ev.Renamed, boards=(("main", "mother"),))
    assert fold(log.events).done == {"mother/R1"}
    log.add(ev.Undone, of=renamed.n)
    assert fold(log.events).done == {"main/R1"}


def test_a_build_is_completed_while_all_that_was_done_then_is_done(log: Writer) -> None:
    done = [log.done(item) for item in ("main/R1", "main/R2")]
    log.add(ev.Completed, total=2)
    assert fold(log.events).completed
    log.add(ev.Undone, of=done[1].n)
    assert not fold(log.events).completed


def test_the_first_start_counts_where_a_log_has_two(log: Writer) -> None:
    log.add(ev.Started, log=1, kit="Another lamp")
    started = fold(log.events).started
    assert started is not None
    assert started.kit == "Lamp wobbler"

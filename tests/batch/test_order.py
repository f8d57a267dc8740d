"""Which kit of a batch first.

The order by need is checked against the topological sorter of Python's own library. Single boards first, boards
that are joined and what tracks last: common practice, no source.
"""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.batch.difficulty import Difficulty, difficulty_of
from bench.batch.order import ORDERS, KitCandidate, Order, moved, order_batch
from tests.support.kit_values import KITS, shipped

SHIPPED = sorted(KITS.glob("*.yaml"))


def one(
    name: str, points: int = 10, level: int = 0, seconds: float | None = 3600.0, **more: object
) -> KitCandidate:
    hard = Difficulty(points=points, level=level, reasons=())
    return KitCandidate(key=name, title=name.upper(), difficulty=hard, seconds=seconds, **more)  # type: ignore[arg-type]


def keys(order: Order) -> list[str]:
    return [placed.key for placed in order.placed]


def why(order: Order, key: str) -> str:
    return next(placed.why for placed in order.placed if placed.key == key)


def the_batch() -> list[KitCandidate]:
    kits = {path.stem: shipped(path) for path in SHIPPED}
    return [
        KitCandidate(key=name, title=kit.title, difficulty=difficulty_of(kit), gives=kit.gives, needs=kit.needs)
        for name, kit in kits.items()
    ]


def test_the_shipped_batch_goes_from_a_single_board_to_what_can_kill() -> None:
    found = keys(order_batch(the_batch(), "easiest"))
    assert found[0] == "passive-splitter"
    assert found[-3:] == ["twin-board-oscillator", "ghost-light-preamp", "prop-table-supply"]


def test_the_shipped_batch_by_need_is_one_that_every_kit_can_be_tried_in() -> None:
    batch = {each.key: each for each in the_batch()}
    order = order_batch(list(batch.values()), "needs")
    assert not order.remarks
    given_so_far: set[str] = set()
    for key in keys(order):
        assert given_so_far.issuperset(batch[key].needs), key
        given_so_far.update(batch[key].gives)


def test_easiest_goes_by_class_before_points() -> None:
    batch = [one("track", 20, 2), one("kill", 5, 3), one("large", 80), one("two", 30, 1), one("small", 9)]
    order = order_batch(batch, "easiest")
    assert keys(order) == ["small", "large", "two", "track", "kill"]
    assert why(order, "small") == "one board; difficulty 9 (next: 80)"
    assert why(order, "large") == "one board; difficulty 80; before kits with boards to join"
    assert why(order, "kill") == "can kill; difficulty 5"


def test_ties_are_broken_and_the_reason_is_said() -> None:
    batch = [one("b", seconds=7200.0), one("a", seconds=7200.0), one("c", seconds=60.0)]
    order = order_batch(batch, "easiest")
    assert keys(order) == ["c", "a", "b"]
    assert why(order, "c").endswith("the same as A; shorter")
    assert why(order, "a").endswith("the same as B; in order of title")
    equally_long = order_batch([one("x", 9), one("y", 7)], "shortest")
    assert keys(equally_long) == ["y", "x"]
    assert why(equally_long, "y") == "1.0 h left, the same as X; easier"


def test_shortest_goes_by_hours_and_puts_what_nobody_knows_last() -> None:
    batch = [one("slow", seconds=9000.0), one("unknown", seconds=None), one("quick", seconds=600.0)]
    order = order_batch(batch, "shortest")
    assert keys(order) == ["quick", "slow", "unknown"]
    assert why(order, "quick") == "10 min left (next: 2.5 h)"
    assert why(order, "slow") == "2.5 h left"
    assert why(order, "unknown") == "hours unknown"


def test_what_another_one_needs_comes_before_it() -> None:
    batch = [
        one("voice", 50, gives=("Audio",), needs=("power", "listening")),
        one("filter", 20, needs=("audio", "power")),
        one("phones", 30, gives=("listening",), needs=("power",)),
        one("supply", 40, gives=("power",)),
    ]
    order = order_batch(batch, "needs")
    assert keys(order) == ["supply", "phones", "voice", "filter"]
    assert why(order, "supply") == "needs nothing from the batch, provides power for 3 others"
    assert why(order, "filter") == "has audio from VOICE, power from SUPPLY"
    assert not order.remarks


def test_one_giver_of_several_is_enough() -> None:
    batch = [
        one("hard", 90, gives=("gate",)),
        one("taker", 5, needs=("gate",)),
        one("easy", 10, gives=("gate",)),
    ]
    assert keys(order_batch(batch, "needs")) == ["easy", "taker", "hard"]


def test_a_need_that_nobody_meets_is_a_remark_and_stops_nothing() -> None:
    order = order_batch([one("a", needs=("gate",)), one("b", needs=("gate",))], "needs")
    assert keys(order) == ["a", "b"]
    assert order.remarks == ("No kit in this batch provides gate, which A, B need: you need another source.",)
    own = order_batch([one("a", gives=("gate",), needs=("gate",))], "needs")
    assert own.remarks == ("No kit in this batch provides gate, which A needs: you need another source.",)


def test_a_circle_is_a_remark_that_names_it() -> None:
    batch = [
        one("hen", 10, gives=("egg",), needs=("chick",)),
        one("egg", 20, gives=("chick",), needs=("egg",)),
        one("fox", 5, needs=("egg",)),
    ]
    order = order_batch(batch, "needs")
    assert keys(order) == ["hen", "fox", "egg"]
    assert order.remarks == (
        "These kits need each other (HEN -> EGG -> HEN): HEN is built first, so borrow chick for its test.",
    )
    assert why(order, "hen") == "one of kits that need each other: borrow chick for its test"


def test_a_pin_holds_and_a_pin_against_a_need_is_said() -> None:
    batch = [one("supply", 40, gives=("power",)), one("voice", 20, needs=("power",)), one("other", 10)]
    order = order_batch(batch, "needs", {"voice": 1})
    assert keys(order) == ["voice", "other", "supply"]
    assert order.placed[0].pinned
    assert order.placed[0].why == "you chose place 1"
    assert order.remarks == ("VOICE stands ahead of what it needs, as you chose: power from SUPPLY.",)
    late = order_batch(batch[:2], "needs", {"supply": 2})
    assert keys(late) == ["voice", "supply"]
    assert late.remarks == ("VOICE needs power from SUPPLY, for which you chose a later place.",)


def test_a_circle_of_kits_that_are_all_pinned_later_holds_nobody_up() -> None:
    batch = [
        one("hen", gives=("egg",), needs=("chick",)),
        one("egg", gives=("chick",), needs=("egg",)),
        one("fox", 5, needs=("egg",)),
    ]
    order = order_batch(batch, "needs", {"hen": 2, "egg": 3})
    assert keys(order) == ["fox", "hen", "egg"]
    assert any(remark.startswith("FOX needs egg from") for remark in order.remarks)


def test_what_is_built_comes_first_and_gives_what_it_gives() -> None:
    batch = [one("voice", 5, needs=("power",)), one("supply", 90, gives=("power",), finished=True)]
    for by in ORDERS:
        order = order_batch(batch, by)
        assert keys(order) == ["supply", "voice"]
        assert why(order, "supply") == "built already"


def test_moving_pins_and_whoever_was_pinned_there_changes_places() -> None:
    batch = [one("a", 1), one("b", 2), one("c", 3)]
    order = order_batch(batch, "easiest")
    pins = moved(order, {}, "c", -1)
    assert pins == {"c": 2}
    order = order_batch(batch, "easiest", pins)
    assert keys(order) == ["a", "c", "b"]
    pins = moved(order, pins, "b", -1)
    assert keys(order_batch(batch, "easiest", pins)) == ["a", "b", "c"]
    assert moved(order, {}, "a", -1) == {"a": 1}
    assert moved(order, {}, "b", 5) == {"b": 3}


WORDS = st.sampled_from("pqrs")
CANDIDATES = st.lists(
    st.tuples(
        st.integers(0, 30), st.integers(0, 3), st.none() | st.floats(0, 1e6), st.booleans(),
        st.lists(WORDS, max_size=2, unique=True), st.lists(WORDS, max_size=2, unique=True),
    ),
    max_size=8,
)  # fmt: skip
PINS = st.dictionaries(st.integers(0, 9), st.integers(-2, 12), max_size=5)


@given(CANDIDATES, PINS, st.sampled_from(ORDERS))
def test_every_kit_has_one_place_and_a_reason_whatever_the_pins(
    drawn: list[tuple[int, int, float | None, bool, list[str], list[str]]], pins: dict[int, int], by: str
) -> None:
    batch = [
        one(f"k{n}", points, level, seconds, finished=done, gives=tuple(gives), needs=tuple(needs))
        for n, (points, level, seconds, done, gives, needs) in enumerate(drawn)
    ]
    wanted = {f"k{n}": place for n, place in pins.items()}
    order = order_batch(batch, by, wanted)
    assert sorted(keys(order)) == sorted(each.key for each in batch)
    assert [placed.place for placed in order.placed] == list(range(1, len(batch) + 1))
    assert all(placed.why for placed in order.placed)
    places = [wanted[each.key] for each in batch if each.key in wanted]
    if len(set(places)) == len(places) and all(1 <= place <= len(batch) for place in places):
        assert {placed.key: placed.place for placed in order.placed if placed.pinned} == {
            key: place for key, place in wanted.items() if key in keys(order)
        }


@given(st.lists(st.lists(st.integers(0, 6), max_size=3, unique=True), max_size=7))
def test_by_need_agrees_with_the_librarys_topological_sorter(needs: list[list[int]]) -> None:
    """Each kit gives one thing of its own, so the order is that of a graph."""
    graph = {n: {m for m in wanted if m != n and m < len(needs)} for n, wanted in enumerate(needs)}
    batch = [
        one(str(n), 10 + n, gives=(f"thing {n}",), needs=tuple(f"thing {m}" for m in sorted(wanted)))
        for n, wanted in graph.items()
    ]
    order = order_batch(batch, "needs")
    try:
        TopologicalSorter(graph).prepare()
    except CycleError:
        assert any("need each other" in remark for remark in order.remarks)
        return
    assert not order.remarks
    place = {int(key): at for at, key in enumerate(keys(order))}
    assert all(place[m] < place[n] for n, wanted in graph.items() for m in wanted)


def test_the_same_batch_in_any_sequence_comes_to_the_same_order() -> None:
    batch = the_batch()
    for by in ORDERS:
        assert keys(order_batch(batch, by)) == keys(order_batch(batch[::-1], by))


def test_points_rise_within_a_class() -> None:
    order = order_batch(the_batch(), "easiest")
    hard = {each.key: each.difficulty for each in the_batch()}
    ranks = [(hard[key].level, hard[key].points) for key in keys(order)]
    assert all(first <= second for first, second in pairwise(ranks))


@pytest.mark.parametrize("by", ORDERS)
def test_an_empty_batch_is_in_order(by: str) -> None:
    assert order_batch([], by, {"gone": 3}).placed == ()

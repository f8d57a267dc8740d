"""The story by sitting: snags told as they happened, in sentences that vary with the facts."""

from __future__ import annotations

import re

import pytest

from bench.log import events as ev
from bench.writeup.markdown import write_up
from tests.support.story_bench import DIODES, HOLD, RESISTORS, Bench, story_of, whole_story


def told(bench: Bench) -> str:
    return write_up(story_of(bench)).partition("## The story\n")[2].partition("<!--")[0]


@pytest.mark.parametrize(
    ("what", "fix", "minutes", "said"),
    [
        ("no light", "turned it round", 6, "No light; turned it round."),
        ("no light.", "Turned it round.", 23, "No light; Turned it round (23 min)."),
        (
            "C1 and C2 skipped",
            "solder sucker, new transistor",
            0,
            "C1 and C2 skipped; solder sucker, new transistor.",
        ),
        ("no light", "the wick was old; a new one", 12, "No light. The wick was old; a new one (12 min)."),
        ("no light! at all", "wick", 0, "No light! at all. Wick."),
        ("no light?", "wick", 9.5, "No light? Wick."),
        ("D1: dead", "swapped", 0, "D1: dead. Swapped."),
        ("no light", "", 0, "No light; still open."),
        ("no light", "", 15, "No light; still open (15 min)."),
        ("", "wick", 0, "Something went wrong here; wick."),
        ("no tick", "D1 was in backwards", 0, "No tick; D1 was in backwards."),
        ("no tick", "D12 was in backwards", 0, "D1: no tick. D12 was in backwards."),
    ],
)
def test_a_snag_stands_as_the_builder_wrote_it_with_its_fix_and_what_was_long(
    what: str, fix: str, minutes: float, said: str
) -> None:
    bench = Bench()
    bench.do(DIODES)
    part = "D1" if "D1" in fix else ""
    bench.add(ev.Snagged, 60, what=what, part=part, minutes=minutes, fix=fix)
    assert told(bench).endswith(f".** {said}\n\n")


def test_a_snag_says_what_gave_it_away_and_that_only_once() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.at(HOLD)
    bench.add(ev.ReadingTaken, 60, point="TP1", text="0.3", expect="5 V ± 4 %", verdict="out")
    bench.add(ev.Snagged, 60, what="reversed", part="D1", fix="turned it round")
    bench.add(ev.ReadingTaken, 60, point="TP1", text="5.01", expect="5 V ± 4 %", verdict="in")
    assert told(bench).endswith(
        "**Before power.** TP1 read 0.3 V instead of 5 V. D1: reversed. Turned it round.\n\n"
    )


def test_a_reading_that_was_out_tells_what_was_read_after_it_until_something_was_found() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.at(HOLD)
    for point, expect in (("TP1", "5 V ± 4 %"), ("+12 V and 0 V", "> 200 ohm")):
        for text, verdict in (("0.3", "out"), ("0.4", "out"), ("500", "in")):
            bench.add(ev.ReadingTaken, 60, point=point, text=text, expect=expect, verdict=verdict)
    said = told(bench)
    assert "TP1 first read 0.3 V, then 0.4 V, then 500 V (5 V ± 4 % expected)." in said
    assert "+12 V and 0 V first read 0.3 Ω, then 0.4 Ω, then 500 Ω (&gt; 200 Ω expected)." in said


def search(
    bench: Bench, suspicion: str, said: str = "", *, found: bool = False, symptom: str = "no SINE"
) -> None:
    bench.add(ev.SuspicionSettled, 60, suspicion=suspicion, found=found, said=said, symptom=symptom)


def test_a_search_tells_what_was_ruled_out_and_the_fault_where_no_snag_does() -> None:
    bench = Bench()
    bench.at(HOLD)
    search(bench, "Power at U6")
    search(bench, "Joints of U6", "all shine")
    assert "No SINE. Ruled out: power at U6 and joints of U6 (all shine). The cause has not been" in told(bench)
    search(bench, "Bridge at J1", "a blob", found=True)
    assert "(all shine). The fault: bridge at J1 (a blob)." in told(bench)
    bench.add(ev.Snagged, 60, what="a blob across J12", fix="wick")
    assert "The fault:" in told(bench)
    bench.add(ev.Snagged, 60, what="a blob across J1", fix="wick")
    assert "The fault:" not in told(bench)


def test_a_search_for_a_reading_that_was_out_does_not_tell_it_again() -> None:
    bench = Bench()
    bench.at(HOLD)
    bench.add(ev.ReadingTaken, 60, point="TP1", text="0.3", expect="5 V ± 4 %", verdict="out")
    search(bench, "Fuse", symptom="TP1: 0.3 V")
    assert "TP1 read 0.3 V instead of 5 V. Ruled out: fuse. The cause has not been found yet." in told(bench)


def count(bench: Bench, value: str, *refs: str) -> None:
    """Nothing of it is in the bag."""
    items = tuple(f"main/{ref}" for ref in refs)
    bench.add(ev.BagCounted, 5, items=items, value=value, kind="part", refs=refs, found=0)


def test_what_was_missing_is_told_where_it_was_to_go_in() -> None:
    bench = Bench()
    for value, refs in (("4k7", ("R1", "R2")), ("10u", ("C5",)), ("100n", ("C1",))):
        count(bench, value, *refs)
    bench.do(DIODES)
    assert "Two 4k7, one 10u and one 100n were missing from the bag." in told(bench)
    bench.add(ev.HeldBack, 5, items=("main/C5",), value="10u", refs=("C5",), reason="not in the bag")
    bench.add(ev.Substituted, 5, part="R1 R2", instead="4k7, from the drawer")
    said = told(bench)
    assert "One 100n was missing from the bag." in said
    assert "C5 (10u) is still to go in: not in the bag." in said
    for number in range(5):
        count(bench, f"{number}k", f"R{70 + number}")
    assert "Six lines of the parts list were short in the bag." in told(bench)


@pytest.mark.parametrize(
    ("at", "reason", "said"),
    [
        ("", "no bag", "R1 and R2 (4k7) are still to go in: no bag."),
        ("", "", "R1 and R2 (4k7) are still to go in."),
        ("2031-02-03T19:20:00.000Z", "no bag", "R1 and R2 (4k7) were left for later: no bag."),
        ("2031-02-03T19:20:00.000Z", "", ""),
        ("2031-02-05T18:00:00.000Z", "no bag", "R1 and R2 (4k7) had to wait until 5 February 2031: no bag."),
    ],
)
def test_what_was_held_back_is_told_by_what_became_of_it(at: str, reason: str, said: str) -> None:
    bench = Bench()
    bench.do(DIODES)
    items = ("main/R1", "main/R2")
    bench.add(ev.HeldBack, 5, items=items, value="4k7", refs=("R1", "R2"), reason=reason)
    if at:
        bench.come_back(at)
        bench.add(ev.Resumed, 5, items=items)
    assert told(bench).count("R1 and R2 (4k7)") == bool(said)
    assert said in told(bench)


def test_sittings_are_named_by_the_part_of_the_day_they_share() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.come_back("2031-02-05T18:00:00.000Z")
    bench.do(RESISTORS, 60)
    bench.add(ev.Noted, 5, text="half of it")
    assert "### The second evening, 5 February 2031: 5 of 31 parts\n\n" in told(bench)
    bench.come_back("2031-02-06T09:00:00.000Z")
    bench.do(DIODES, 60, items=("main/D9",))
    assert "### The third sitting" not in told(bench)
    bench.add(ev.Noted, 5, text="done at last")
    assert "### The third sitting, 6 February 2031\n\n" in told(bench)


def test_no_sentence_of_the_program_says_i_or_we() -> None:
    page = write_up(whole_story())
    own = ("Tacked", "The board warms", "Nuts first")
    said = [line for line in page.splitlines() if not any(word in line for word in own)]
    assert not [line for line in said if re.search(r"\b(?:I|[Ww]e|me|us|my|our)\b", line)]


def test_sittings_breaks_and_time_away_add_up_to_the_clock() -> None:
    bench = Bench()
    bench.do(DIODES, 600)
    bench.add(ev.BreakBegan, 0)
    bench.add(ev.BreakEnded, 900)
    bench.do(RESISTORS, 300)
    bench.come_back("2031-02-03T19:20:00.000Z")
    bench.do(DIODES, 600, items=("main/D9",))
    account = story_of(bench).account
    assert account is not None
    assert account.by_clock == account.bench + account.breaks + account.unsettled + account.closed == 70
    assert (account.bench, account.breaks, account.unsettled, account.closed) == (25, 15, 0, 30)

"""The story by sitting: snags told as they happened, in sentences that vary with the facts."""

from __future__ import annotations

import pytest

from bench.log import events as ev
from bench.writeup.markdown import write_up
from bench.writeup.summary import subject
from tests.support.story_bench import DIODES, HOLD, RESISTORS, Bench, story_of


def told(bench: Bench) -> str:
    return write_up(story_of(bench)).split("## The story\n")[1].split("<!--")[0]


@pytest.mark.parametrize(
    ("fix", "minutes", "said"),
    [
        ("turned it round", 6, "I turned it round."),
        ("turned it round", 23, "I turned it round. That was nearly half an hour gone."),
        ("swapped", 0, "I swapped it."),
        ("a jumper to R14", 0, "A jumper to R14 put it right."),
        ("new wire", 12, "New wire put it right, 12 minutes later."),
        ("replace the cap", 0, "The cure was to replace the cap."),
        ("wick, swapped", 9, "The fix: wick, swapped."),
        ("I pulled it out", 0, "I pulled it out."),
        ("", 0, "That is still open."),
    ],
)
def test_the_mending_is_told_by_how_its_words_are_made(fix: str, minutes: float, said: str) -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Snagged, 60, what="no light", minutes=minutes, fix=fix)
    assert f"No light. {said}" in told(bench)


def test_a_snag_says_what_gave_it_away_and_how_long_its_part_had_been_in() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.come_back("2031-02-05T18:00:00.000Z")
    bench.do(RESISTORS, 60)
    bench.at(HOLD)
    bench.add(ev.ReadingTaken, 60, point="TP1", text="0.3", expect="5 V ± 4 %", verdict="out")
    bench.add(ev.Snagged, 60, what="reversed", part="D1", fix="turned it round")
    said = told(bench)
    assert "D1: reversed. What gave it away: TP1 read 0.3 V. D1 had been in since the sitting before." in said
    assert said.count("TP1 read") == 1


def test_sittings_are_named_by_the_part_of_the_day_they_share() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.come_back("2031-02-05T18:00:00.000Z")
    bench.do(RESISTORS, 60)
    assert "### The second evening, 5 February 2031, 18:00" in told(bench)
    bench.come_back("2031-02-06T09:00:00.000Z")
    bench.do(DIODES, 60, items=("main/D9",))
    assert "### The third sitting, 6 February 2031, 09:00" in told(bench)


def test_several_builders_say_we() -> None:
    bench = Bench()
    bench.do(DIODES)
    assert subject(story_of(bench)) == "I"
    bench.add(ev.Noted, 5, text="Ada and Ben", mark="who")
    assert subject(story_of(bench)) == "we"


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

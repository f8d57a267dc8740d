"""Each thing that a rule can ask, from the file to the part, and the printed procedure."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.errors import FileFaults
from bench.kit.load import parse_kit
from bench.parts.kinds import MOUNTS
from bench.plan.conditions import CONDITIONS, Condition
from bench.plan.grouping import placements_of
from bench.plan.procedure import parse_procedure
from bench.plan.rules import Rule
from bench.writeup.sheets.procedure import takes_words

ROOT = Path(__file__).resolve().parents[2]
KIT = """kit: 1
name: Everything once
sections: [power, audio]
boards:
  - name: main
    parts:
      - {refs: R1, value: 4k7, section: power, note: mains side}
      - {refs: R2, value: 10k, package: "0805", section: audio}
      - {refs: D1, value: 1N4148, section: audio}
      - {refs: C1, value: 100u, kind: electrolytic capacitor, section: power}
      - {refs: C2, value: 10u, kind: bipolar electrolytic capacitor, section: audio}
      - {refs: U1, value: TL072, socket: DIP-8, section: audio}
      - {refs: F1, value: 500 mA, kind: fuse, section: power}
      - {refs: J1, kind: jack socket, mount: panel, note: "OUT, on wires", section: audio}
      - {kind: knob, value: black knob}
      - {kind: panel, value: front panel}
  - name: second
    parts:
      - {refs: R3, value: 1M}
"""
PARTS = placements_of(parse_kit(KIT.encode(), "all.yaml"))
EVERY = [pytest.param(each, id=key) for key, each in CONDITIONS.items()]


def the_rule(text: str) -> Rule:
    """The rule that a file writes as `{text}`."""
    stages = f"stages:\n  - {{name: a, takes: [{{{text}}}]}}\n"
    return parse_procedure(f"procedure: 1\nname: a\n{stages}".encode(), "a.yaml").stages[0].takes[0]


def meant(text: str) -> set[str]:
    """What of the kit such a rule means: designators, or the kind of what has none."""
    rule = the_rule(text)
    return {part.line.refs[0] if part.line.refs else part.kind for part in PARTS if rule.matches(part)}


@pytest.mark.parametrize("condition", EVERY)
def test_a_file_can_ask_it_as_its_example_does(condition: Condition) -> None:
    assert the_rule(f"{condition.key}: {condition.example}").asks[condition.key]


@pytest.mark.parametrize("condition", EVERY)
def test_an_empty_one_is_a_fault(condition: Condition) -> None:
    with pytest.raises(FileFaults) as caught:
        the_rule(f"{condition.key}: ''")
    assert condition.key in str(caught.value)


@pytest.mark.parametrize("condition", EVERY)
def test_paper_says_what_it_asks_and_never_that_it_takes_what_is_left(condition: Condition) -> None:
    said = takes_words((the_rule(f"{condition.key}: {condition.example}"),))
    assert said
    assert "left" not in said
    if condition.example == "yes":
        other = takes_words((the_rule(f"{condition.key}: no"),))
        assert "left" not in other
        assert other != said


def test_no_two_say_the_same_on_paper() -> None:
    said = [takes_words((the_rule(f"{each.key}: {each.example}"),)) for each in CONDITIONS.values()]
    assert len(set(said)) == len(said)


MEANT = [
    ("kind: [resistors, diode]", "R1 R2 R3 D1"),
    ("height: 9", "knob panel"),
    ("mount: panel", "J1 knob panel"),
    ("section: POWER", "R1 C1 F1"),
    ("board: second", "R3"),
    ("value: 4K7", "R1"),
    ("socket: yes", "U1"),
    ("joints: no", "U1 knob panel"),
    ("polarised: yes", "D1 C1 U1"),
    ("supply path: yes", "D1 F1"),
    ("closes the box: yes", "knob"),
    ("carries panel parts: yes", "panel"),
    ("surface mount: yes", "R2"),
    ("wired: yes", "J1"),
    ("role: output", "J1"),
    ("words: [mains, '0805']", "R1 R2"),
    ("no words: ['0', '1', '4', OUT]", "U1 knob panel"),
    ("several boards: no", ""),
]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("height: 1-3", "all parts of height 1 to 3"),
        ("height: [5, 6]", "all parts of height 5 or 6"),
        ("height: [1, 2, 4]", "all parts of height 1, 2 or 4"),
        ("height: 1-9", "all remaining parts"),
        ("mount: [flat, upright, laid flat, panel, board]", "all parts not on the case or on wires"),
        (f"mount: [{', '.join(MOUNTS)}]", "all remaining parts"),
        ("words: [mains, AC]", "all parts called mains/ac"),
        ("no words: mains", "all parts not called mains"),
    ],
)
def test_paper_says_the_shorter_way(asked: str, said: str) -> None:
    assert takes_words((the_rule(asked),)) == said


def test_each_has_a_row_of_parts_that_it_means() -> None:
    assert {asked.partition(":")[0] for asked, _ in MEANT} == set(CONDITIONS)


@pytest.mark.parametrize(("asked", "refs"), MEANT)
def test_it_means_the_parts_that_it_says(asked: str, refs: str) -> None:
    assert meant(asked) == set(refs.split())


@pytest.mark.parametrize("key", [key for key, each in CONDITIONS.items() if each.example == "yes"])
def test_yes_and_no_deal_out_all_parts_between_them(key: str) -> None:
    yes, no = the_rule(f"{key}: yes"), the_rule(f"{key}: no")
    assert all(yes.matches(part) != no.matches(part) for part in PARTS)


def test_all_that_is_asked_must_be_true() -> None:
    assert meant("polarised: yes, section: power") == {"C1"}


def test_paper_says_all_that_is_asked() -> None:
    rule = the_rule("polarised: no, kind: [resistor], height: [1, 3], mount: [flat, board], several boards: no")
    said = takes_words((rule,))
    assert said == "height 1 or 3, lying flat or on the board, not polarised, in kits of one board: resistors"

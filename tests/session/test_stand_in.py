"""A substitute brings the way round and the cautions of what it is to the card of the place it goes into."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.kit.load import load_kit
from bench.session.build import Build
from bench.session.folders import start
from bench.settings import Settings
from bench.ui.card import card_of
from tests.support.samples import HandClock

KIT = """
kit: 1
name: Stand-ins
supply: none
boards:
  - name: main
    parts:
      - {refs: C1, value: 1u, kind: film capacitor}
      - {refs: C2, value: 100n, kind: ceramic capacitor}
      - {refs: C3, value: 47u, kind: electrolytic capacitor}
      - {refs: Q1-Q2, value: 2N3904, kind: transistor, package: TO-92}
      - {refs: R1, value: 10k}
      - {refs: U1, value: "7805", kind: voltage regulator, package: TO-220}
      - {refs: D1, value: 1N4148}
"""
RATED = """
kit: 1
name: Ratings
supply: {"+24 V": 100 mA}
boards:
  - name: main
    parts:
      - {refs: C1, value: 470n X2 275VAC}
      - {refs: C2, value: 2n2 Y2 250VAC}
      - {refs: C3, value: 220u, voltage: 35 V, kind: electrolytic capacitor}
      - {refs: F1, value: 500mA T 250V}
      - {refs: R1, value: 100R 2W}
      - {refs: C4, value: 100n 250VAC}
      - {refs: F2, value: T1AH250V}
      - {refs: R2, value: 10R 1W fusible}
      - {refs: RV1, value: S14K275, kind: varistor}
"""


def make_build(folder: Path, clock: HandClock) -> Build:
    path = folder.parent.parent / "kit.yaml"
    path.write_text(KIT, encoding="utf-8")
    return start(path.with_name("data"), load_kit(path), path, Settings(), clock)


def shown(build: Build, ref: str) -> str:
    """The whole card of the step that places a part, on a tall screen of one column, as running text."""
    plan = build.plan
    at = next(at for at, step in enumerate(plan.steps) if ref in step.refs)
    rows = card_of(build.view(looking_at=at).with_all_cautions(), 71, 200).rows
    return " ".join(" ".join("".join(text for text, _ in row).split()) for row in rows)


def test_an_electrolytic_for_a_film_capacitor_gets_its_polarity(build: Build) -> None:
    assert "Which way" not in shown(build, "C1")
    build.substitute("C1", "10u electrolytic")
    said = shown(build, "C1")
    for words in ("Which way: Long leg is +", "can burst", "no + here", "minus"):
        assert words in said
    assert "out of the film" not in said
    assert "Solder in: electrolytic capacitor" in said
    assert "Usually printed 105" not in said  # what the listed 1u would have printed on it


@pytest.mark.parametrize(
    ("ref", "instead", "said"),
    [
        # Classes of IEC 60384-14: Y stands more than X, 1 more than 2 (from memory).
        ("C1", "470n 400V", "It has to be of class X2"),
        ("C1", "470n film", "It has to be of class X2"),
        ("C1", "470n X1 310VAC", ""),
        ("C1", "470n Y2 300VAC", ""),
        ("C2", "2n2 X2 275VAC", "It has to be of class Y2"),
        ("C2", "2n2 1kV", "It has to be of class Y2"),
        # A rating is a limit; a fuse breaks at its own (IEC 60127).
        ("C3", "220u 16V", "16 V is less than the 35 V listed"),
        ("C3", "220u", "at least 35 V, as listed"),
        ("C3", "330u 50V", ""),
        ("F1", "2A T 250V", "2 A is more than the 500 mA listed"),
        ("F1", "500mA F 250V", "The fuse listed is slow; this one is fast"),
        ("F1", "400mA T 250V", ""),
        ("F1", "500mA T 32V", "32 V is less than the 250 V listed"),
        ("F1", "500mA T", "How many volts it breaks is not named: at least 250 V"),
        ("F1", "500mAT 5x20 mm 250V", ""),
        ("F1", "RXEF050", "A resettable fuse is no substitute for one that melts"),
        ("C1", "470n Y4 150VAC", "It has to be of class X2"),
        ("C4", "100n 400V", "rated for the AC of the mains"),
        ("C4", "100n 275VAC", ""),
        ("F2", "T1AL250V", "has breaking capacity H; this one is L"),
        ("R2", "10R 1W", "It has to be fusible, as listed"),
        ("R2", "10R 1W flameproof", "It has to be fusible, as listed"),
        ("R2", "10R 1W fusible", ""),
        ("RV1", "S14K130", "it heats up and bursts"),
        ("RV1", "S14K300", ""),
        ("R1", "100R 0.25W", "0.25 W is less than the 2 W listed"),
        ("R1", "100R 3W", ""),
    ],
)
def test_a_weaker_substitute_is_named_as_a_danger(tmp_path: Path, ref: str, instead: str, said: str) -> None:
    path = tmp_path / "kit.yaml"
    path.write_text(RATED, encoding="utf-8")
    build = start(tmp_path / "data", load_kit(path), path, Settings(), HandClock())
    build.substitute(ref, instead)
    card = shown(build, ref)
    assert said in card
    assert said or not any(
        word in card
        for word in ("has to be of class", " listed: ", "named: at least", "fuse listed", "as listed: another")
    )


def test_a_value_alone_only_may_be_polarised(build: Build) -> None:
    build.substitute("C1", "2u2")
    said = shown(build, "C1")
    assert "If 2u2 is an electrolytic capacitor: Long leg is +" in said
    assert "out of the film" in said


def test_a_film_capacitor_for_an_electrolytic_goes_in_either_way(build: Build) -> None:
    build.substitute("C3", "47u film")
    said = shown(build, "C3")
    assert "Which way" not in said
    assert "burst" not in said


@pytest.mark.parametrize("tantalum", ["100n tantalum", "0.1u tant"])
def test_a_tantalum_for_a_ceramic_marks_its_plus(build: Build, tantalum: str) -> None:
    build.substitute("C2", tantalum)
    said = shown(build, "C2")
    assert "Which way: The + on the body marks the plus leg" in said
    assert "catch fire" in said


def test_another_pin_order_is_said_and_drawn(build: Build) -> None:
    """2N3904 is E B C, BC550 is C B E: see `test_pin_orders`."""
    assert "1 2 3 mostly E B C" in shown(build, "Q1")
    build.substitute("2N3904", "BC550C from stock")
    said = shown(build, "Q1")
    assert "Different pin order: BC550 is collector, base, emitter" in said
    assert "1 2 3 mostly C B E" in said
    assert "Legs, print towards you: collector, base, emitter." in said
    assert "Legs, print towards you: emitter" not in said


def test_a_substitute_for_one_of_two_keeps_the_words_for_the_other(build: Build) -> None:
    build.substitute("Q2", "BC550")
    said = shown(build, "Q1")
    assert "emitter, base, collector" in said
    assert "Q2, BC550: Flat side" in said


def test_another_tab_is_warned_of(build: Build) -> None:
    build.substitute("U1", "LM317T")
    said = shown(build, "U1")
    assert "Different tab: output on the LM317, ground on the 7805" in said
    assert "insulate" in said


def test_a_plastic_diode_for_a_glass_one_is_not_called_glass(build: Build) -> None:
    assert "Glass cracks" in shown(build, "D1")
    build.substitute("D1", "1N4007")
    assert "Glass cracks" not in shown(build, "D1")


def test_a_substitute_of_the_same_sort_changes_nothing_but_its_line(build: Build) -> None:
    before = shown(build, "R1")
    build.substitute("R1", "9k1", "none left")
    after = shown(build, "R1")
    assert "9k1 instead of R1" in after
    assert "Solder in: resistor" in after
    cautions = {line for line in before.splitlines() if line.startswith(("▲", "◆", "·"))}
    assert cautions <= set(after.splitlines())


def test_the_bands_drawn_are_those_of_the_substitute(build: Build) -> None:
    """IEC 60062: 10k begins brown black, 9k1 white brown."""
    assert "brown" in shown(build, "R1")
    assert "white" not in shown(build, "R1")
    build.substitute("R1", "9k1")
    assert "white" in shown(build, "R1")


def test_an_undone_substitute_is_gone(build: Build) -> None:
    build.substitute("C1", "10u electrolytic")
    build.undo()
    assert "Which way" not in shown(build, "C1")


@pytest.mark.parametrize(
    "text", ["the spare one", "??", "x" * 300, "the one from the drawer beside the window"]
)
def test_words_that_name_no_part_keep_the_kind_and_promise_no_pin_order(build: Build, text: str) -> None:
    for ref, words in (("C1", "out of the film"), ("Q1", "Flat side"), ("C3", "Long leg"), ("U1", "Metal tab")):
        build.substitute(ref, text)
        assert words in shown(build, ref)
    build.substitute("2N3904", text)
    assert "print towards you" not in shown(build, "Q1")

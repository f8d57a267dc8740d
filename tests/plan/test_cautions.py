"""Cautions: what each is about, which are said again, and how they look on card, in lines and on paper."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from bench.kit.danger import Danger
from bench.kit.load import load_kit, parse_kit
from bench.plain.spoken import step_lines
from bench.plan.cautions import ALWAYS, SORTS, cautions_of, sort_of
from bench.plan.default_checks import hazard_cautions
from bench.plan.plan import Plan
from bench.plan.stages import make_plan
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.work import WorkScreen
from bench.ui.card import card_of
from bench.ui.card_blocks import StyledRow
from tests.benchmarks.cautions import run
from tests.support.kit_files import small
from tests.support.plain_talk import talk
from tests.support.plans import SHIPPED, procedure_of
from tests.support.samples import HandClock
from tests.support.screens import SIZES, drive, screen_text

KITS = sorted(shipped_kits_folder().glob("*.yaml"))
OSCILLATOR = shipped_kits_folder() / "twin-board-oscillator.yaml"
PLACING = ("solder", "place", "insert")


def plan_of(kit: Path, procedure: str = "low-to-high") -> Plan:
    return make_plan(load_kit(kit), SHIPPED[procedure])


def make_build(folder: Path, clock: HandClock) -> Build:
    return open_build(folder.parent.parent, str(OSCILLATOR), Settings(), clock)


def said_at(build: Build, position: int | None = None) -> set[str]:
    return {each.say for each in build.view(position).cautions}


def before_at(build: Build) -> set[str]:
    return {each.say for each in build.view().cautions_before}


def on_to(build: Build, *, usual: bool = False, own: bool = False) -> int:
    """Do steps until one has cautions of this sort to say, or said before when `usual`; its position."""
    while (position := build.current) is not None:
        view = build.view()
        placing = view.step is not None and view.step.action in PLACING
        if (
            placing
            and (not usual or view.cautions_before)
            and (not own or any(each.sort == "own" for each in view.cautions))
        ):
            return position
        build.done()
    raise AssertionError("no such step")


def text_of(rows: tuple[StyledRow, ...]) -> str:
    return "\n".join("".join(text for text, _ in row) for row in rows)


# -- what a caution is about ---------------------------------------------------------------------------
@pytest.mark.parametrize("hazard", ["mains", "high voltage", "stored charge", "laser light"])
def test_what_is_said_of_a_hazard_of_a_kit_is_a_hazard(hazard: str) -> None:
    assert {
        sort_of(said, "stage")
        for said in hazard_cautions(Danger(hazards=(hazard,), deadly=True, reasons=(), undeclared=()))
    } == {"hazard"}


@pytest.mark.parametrize(
    ("said", "sort"),
    [
        ("Reversed, it can burst.", "hazard"),
        ("Reversed, it can catch fire.", "hazard"),
        ("Switch off and wait until the rails are at 0 V before each IC.", "hazard"),
        ("Never a bigger one.", "hazard"),
        ("Once powered, a big one keeps its charge.", "hazard"),
        ("The stripe marks plus, not minus.", "polarity"),
        ("Backwards it turns the supply round.", "polarity"),
        ("Check the pinout of the type you hold.", "type"),
        ("Touch earthed metal first.", "kind"),
        ("Read the printed code, not the size.", "kind"),
        ("It is not charged for.", "kind"),
    ],
)
def test_words_of_harm_and_of_polarity_are_known(said: str, sort: str) -> None:
    assert sort_of(said, "kind") == sort


@pytest.mark.parametrize("procedure", ["low-to-high", "signal-flow"])
@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.stem)
def test_what_the_author_wrote_is_told_from_what_goes_for_the_kind(kit: Path, procedure: str) -> None:
    loaded = load_kit(kit)
    own = {said for board in loaded.boards for line in board.parts for said in line.cautions}
    for step in plan_of(kit, procedure).steps:
        cautions = cautions_of(step)
        assert sorted(each.say for each in cautions) == sorted(step.cautions)
        assert all((each.sort == "own") == (each.say in own and step.kind != "") for each in cautions)
        ranks = [SORTS.index(each.sort) for each in cautions]
        assert ranks == sorted(ranks)


def test_cautions_around_power_never_drop_whatever_their_words() -> None:
    own = procedure_of(
        """
  - {name: Low, takes: [{height: 1-9}], cautions: [Calm., {say: Slowly., always: yes}]}
  - {name: Power, per: module, hold: first power, checks: [{look: a}, {look: b}], cautions: [Eyes.]}
  - {name: In, action: insert, takes: [{height: 1-9}], cautions: [Wait.]}
"""
    )
    kit = parse_kit(small("{refs: R1, value: 1k}", "{refs: R2, value: 2k}",
                          "{refs: U1, value: TL072, socket: DIP-8}",
                          "{refs: U2, value: TL074, socket: DIP-14}").encode(), "my.yaml")  # fmt: skip
    sorts = {each.say: each.sort for step in make_plan(kit, own).steps for each in cautions_of(step)}
    assert (sorts["Calm."], sorts["Slowly."], sorts["Eyes."], sorts["Wait."]) == ("stage", *["hazard"] * 3)


@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.stem)
def test_each_ic_says_that_power_is_off_first(kit: Path, tmp_path: Path) -> None:
    build = open_build(tmp_path, str(kit), Settings(), SystemClock())
    for position, step in enumerate(build.outline.steps):
        if step.stage.startswith("ICs"):
            said = " ".join(each.say for each in build.view(position).cautions if each.sort == "hazard")
            assert "before each one goes in" in said
    build.close()


# -- what is said, and when ----------------------------------------------------------------------------
@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.stem)
def test_no_caution_is_lost_and_those_that_matter_never_drop(kit: Path, tmp_path: Path) -> None:
    build = open_build(tmp_path, str(kit), Settings(), SystemClock())
    outline, said = build.outline, set[str]()
    for position, step in enumerate(outline.steps):
        view = build.view(position)
        assert sorted(each.say for each in view.with_all_cautions().cautions) == sorted(step.cautions)
        assert all(each.sort not in ALWAYS for each in view.cautions_before)
        assert {each.say for each in view.cautions_before} <= said, "dropped before it was ever said"
        said |= {each.say for each in view.cautions}
    build.close()


def test_the_second_step_of_a_kind_does_not_say_it_again(build: Build) -> None:
    position = on_to(build)
    first = build.view()
    assert first.step is not None
    assert first.step.kind == "resistor"
    assert not first.cautions_before
    usual = {each.say for each in first.cautions if each.sort not in ALWAYS}
    assert usual
    build.done()
    assert usual <= before_at(build)
    assert not usual & said_at(build)
    assert said_at(build, position) >= usual, "looked back at, it says what it said"


def test_a_step_held_back_has_said_nothing_and_looking_back_shows_what_was_there(build: Build) -> None:
    on_to(build)
    usual = {each.say for each in build.view().cautions if each.sort not in ALWAYS}
    build.hold_back("the bag is in the other room")
    second = build.current
    assert second is not None
    assert usual <= said_at(build)
    build.done()
    assert not usual & said_at(build)
    build.take_up()
    assert usual <= before_at(build), "by now the second step has said it"
    build.done()
    assert usual <= said_at(build, second), "what came to be done later changes nothing there"


def test_a_step_taken_back_says_it_again(build: Build) -> None:
    on_to(build)
    usual = said_at(build)
    build.done()
    build.undo()
    assert said_at(build) == usual


def test_the_largest_kit_says_no_more_than_its_goal_and_loses_nothing() -> None:
    missed = [figure for figure in run(1, True) if not figure.met]
    assert not missed


# -- how it looks --------------------------------------------------------------------------------------
@pytest.mark.parametrize("size", SIZES)
def test_a_parts_own_caution_has_a_word_and_a_look_of_its_own(build: Build, size: tuple[int, int]) -> None:
    on_to(build, own=True)
    view = build.view()
    rows = card_of(view, *size).rows
    looks = {look for row in rows for text, look in row if text == "◆ THIS PART"}
    assert looks == {"caution"}
    assert any(look == "plain" and text.startswith("▲ ") for row in rows for text, look in row) or not [
        each for each in view.cautions if each.sort not in ALWAYS
    ]


def test_how_many_were_said_before_stands_on_the_card_with_the_key(build: Build, tmp_path: Path) -> None:
    on_to(build, usual=True)
    view = build.view()
    dropped = view.cautions_before

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        card = " ".join(screen_text(app).split())
        number = len(dropped)
        assert f"{number} more caution{'s' if number > 1 else ''} shown before: !" in card
        assert dropped[0].say[:30] not in card
        await pilot.press("!")
        card = " ".join(screen_text(app).split())
        assert "shown before" not in card
        assert all(each.say[:30] in card for each in dropped)
        await pilot.press("!")
        assert "shown before: !" in screen_text(app)
        await pilot.press("!", "space")
        assert isinstance(app.screen, WorkScreen)
        again = build.view().cautions_before
        assert not again or "shown before: !" in screen_text(app), "each step begins with the short card"

    drive(build, tmp_path, act, (120, 40))


def test_the_builders_own_key_stands_on_the_card(build: Build) -> None:
    on_to(build, usual=True)
    assert "shown before: f9" in text_of(card_of(build.view(), 80, 24, key_of=lambda name: "f9").rows)


def test_lines_say_the_rest_when_asked(build: Build) -> None:
    on_to(build, usual=True)
    dropped = build.view().cautions_before
    said = "\n".join(step_lines(build.view()))
    assert "shown before: !" in "\n".join(step_lines(replace(build.view(), step_number=1))), "once a stage"
    assert f"Caution: {dropped[0].say}" not in said
    assert f"Caution: {dropped[0].say}" in "\n".join(talk(build, ["!"]))


def test_on_a_small_card_what_hurts_stands_before_look_alikes_and_the_rest(build: Build) -> None:
    for position, step in enumerate(build.outline.steps):
        view = build.view(position)
        if not step.kind or not view.alikes or not any(each.sort in ALWAYS for each in view.cautions):
            continue
        said = text_of(card_of(view, 40, 12).rows)
        strong = max(said.find(word) for word in ("◆ THIS PART", "▲ DANGER", "▲ POLARITY", "Which way"))
        assert 0 <= strong < said.index("≠ "), said


def test_space_scrolls_before_a_step_is_done_while_polarity_or_a_hazard_is_out_of_sight(
    build: Build, tmp_path: Path
) -> None:
    def hidden() -> bool:
        return not build.view().at_once and card_of(build.view(), 40, 10).must > 9

    while not hidden():
        build.done()
    here = build.current
    must = [each.say for each in build.view().cautions if each.sort in ALWAYS]

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        seen = screen_text(app)
        for _ in range(5):
            await pilot.press("space")
            if build.current != here:
                break
            seen += screen_text(app)
        assert build.current == here + 1 if here is not None else False
        assert all(" ".join(say.split())[:12] in " ".join(seen.split()) for say in must)

    before = build.current
    drive(build, tmp_path, act, (40, 12))
    assert before == here

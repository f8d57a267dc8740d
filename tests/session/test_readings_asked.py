"""Readings at the bench: asked until they can be taken, judged against the part in hand; hold points that stay
shut. On screen and in plain lines, by the same engine."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import Refused, SoldersideError
from bench.kit.load import kit_of, load_kit
from bench.log import events as ev
from bench.measure.identify.ahead import reads_wrong, what_it_says
from bench.plain.session import PlainSession
from bench.plan.bag import bag_lines
from bench.session.build import Build
from bench.session.folders import open_build, start
from bench.session.verdicts import limit_fault
from bench.settings import SETTINGS_NAME, Settings, keep_meter, load_settings
from bench.tui.app import BenchApp
from bench.writeup.publish import page_of
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text

KIT = """\
kit: 1
name: Hearth lamp
maker: Lantern Yard Workshop
supply: {"+12 V": 38 mA}
boards:
  - name: main
    parts:
      - {refs: R1-R2, value: 47R, tolerance: 1 %, kind: resistor}
      - {refs: R12, value: 47k, tolerance: 1 %, kind: resistor}
      - {refs: C1, value: 100n, kind: film capacitor}
      - {refs: Q1, value: BC547, kind: transistor}
      - {refs: D1, value: 1N5817, kind: Schottky diode}
      - {refs: D2, value: 1N4148, kind: diode}
hold_points:
  - name: Before power
    checks:
      - {between: tip and sleeve, expect: "> 10 kohm"}
      - {between: plus and minus, expect: "> 1O kohm"}
      - {between: case and 0 V, expect: "< -5 ohm"}
      - {at: LED1, expect: steady light}
  - name: First power
    checks:
      - {at: TP4, expect: 5 V ± 1 %}
"""


@pytest.fixture
def lamp(tmp_path: Path) -> Iterator[Build]:
    path = tmp_path / "lamp.yaml"
    path.write_text(KIT, encoding="utf-8")
    kit = kit_of(path.read_bytes(), path, lenient=True)  # begun before such limits were faults
    found = start(tmp_path, kit, path, Settings(), HandClock())
    found.opened()
    yield found
    found.close()


def on_to(build: Build, value: str) -> None:
    """Do or go past steps until the one at work has this headline."""
    while (step := build.next_step) is not None and step.value != value:
        view = build.view()
        if view.wants_reading or view.limit_fault:
            build.override_hold("a test")
        build.done()


# -- a question stays open ------------------------------------------------------------------------
@pytest.mark.parametrize("size", [(120, 40), (80, 24), (40, 12)])
def test_a_doubtful_number_keeps_the_box_and_one_key_says_what_was_meant(
    lamp: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    on_to(lamp, "tip and sleeve")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        before = lamp.progress.events
        await pilot.press("space", *"47,3", "enter")
        assert "ohm or kohm?" in screen_text(app)
        assert "47,3" in screen_text(app)
        assert not lamp.progress.readings
        await pilot.press("k")
        assert lamp.progress.readings[-1].text == "47,3 kohm"
        assert lamp.progress.readings[-1].verdict == "in"
        assert lamp.progress.events == before + 2  # read and done: no key went to the bench

    drive(lamp, tmp_path, act, size)


@pytest.mark.parametrize("text", ["1.2.3", "12 Vac", "5 V", "x", "-OL", "1.", "47,3"])
def test_no_key_behind_an_answer_that_cannot_be_taken_runs_a_command(
    lamp: Build, tmp_path: Path, text: str
) -> None:
    on_to(lamp, "tip and sleeve")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", *text, "enter")
        before = lamp.progress.events
        await pilot.press("space", "n", "b", "t", "enter")
        assert lamp.progress.events == before
        assert f"{text} nbt" in screen_text(app)
        await pilot.press("escape")
        assert lamp.progress.events == before

    drive(lamp, tmp_path, act)


def talk(build: Build, lines: list[str], data: Path | None = None) -> list[str]:
    typed, said = iter(lines), list[str]()

    def read(prompt: str) -> str:
        line = next(typed, None)
        if line is None:
            raise EOFError
        return line

    PlainSession(build, Settings(), read, said.append, data).run()
    return said


def test_in_plain_lines_the_question_is_asked_again_and_a_letter_chooses(lamp: Build) -> None:
    on_to(lamp, "tip and sleeve")
    said = talk(lamp, [" ", "10 V", "47,3", "k"])
    assert any("ohms are measured here" in line for line in said)
    assert any("ohm or kohm?" in line for line in said)
    assert lamp.progress.readings[-1].text == "47,3 kohm"


def test_what_cannot_be_recorded_is_asked_again_with_what_was_typed(lamp: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("minus", "0", "enter", *"paint dries", "enter")
        text = screen_text(app)
        assert "no time to wait" in text
        assert "▸ How many minutes?" in text
        before = lamp.progress.events
        await pilot.press("5", "backspace", "backspace", "5", "enter", "enter")
        assert lamp.progress.events == before + 1
        assert lamp.progress.waits
        assert (lamp.progress.waits[-1].seconds, lamp.progress.waits[-1].about) == (300.0, "paint dries")

    drive(lamp, tmp_path, act)


def test_a_reading_given_up_is_replaced_by_the_next_one(lamp: Build, tmp_path: Path) -> None:
    on_to(lamp, "tip and sleeve")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", *"10,1", "enter", "escape", "space", *"47k", "enter")
        assert lamp.progress.readings[-1].text == "47k"

    drive(lamp, tmp_path, act)


# -- a part at its own step -----------------------------------------------------------------------
def test_a_part_is_judged_at_its_own_step_with_what_it_rather_is(lamp: Build) -> None:
    on_to(lamp, "47R")
    verdict = lamp.reading("47k2")
    assert verdict is not None
    assert verdict.answer == "out"
    assert verdict.words.startswith("NOT 47R: 47k2 reads like 47 kΩ")
    assert "R12" in verdict.words
    assert lamp.progress.readings[-1].verdict == "out"
    assert lamp.progress.readings[-1].expect == "47 Ω ±1 %"
    good = lamp.reading("47.1")
    assert good is not None
    assert good.answer == "in"


def test_a_substitute_is_not_judged_against_the_part_that_it_replaces(lamp: Build) -> None:
    on_to(lamp, "47R")
    lamp.substitute("R1 R2", "51R", items=("main/R1", "main/R2"))
    good, bad = lamp.reading("51.2"), lamp.reading("47.1")
    assert good is not None
    assert (good.answer, "51" in good.words) == ("in", True)
    assert bad is not None
    assert bad.answer != "in"


def test_a_reading_is_not_judged_where_only_one_of_two_was_replaced(lamp: Build) -> None:
    on_to(lamp, "47R")
    lamp.substitute("R1", "51R", items=("main/R1",))
    assert lamp.reading("51.2") is None


def test_the_step_shows_what_it_is_not(lamp: Build, tmp_path: Path) -> None:
    on_to(lamp, "47R")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r", *"47k2", "enter")
        text = screen_text(app)
        assert "✗ OUT: NOT 47R" in text
        assert "47k2: ✗ OUT" in text

    drive(lamp, tmp_path, act)


def test_in_the_bag_a_wrong_value_is_loud_until_it_is_measured_right(lamp: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        at = next(n for n, line in enumerate(bag_lines(lamp.kit)) if line.value == "47R")
        await pilot.press("c", *["down"] * at, "space", "up", "r", *"47k2", "enter")
        text = screen_text(app)
        assert "✗ NOT 47R" in text
        assert "WRONG VALUE" in text
        assert "all there      2 x" not in text
        await pilot.press("r", *"47.0", "enter")
        text = screen_text(app)
        assert "WRONG VALUE" not in text
        assert "all there      2 x" in text

    drive(lamp, tmp_path, act)
    line = next(line for line in bag_lines(lamp.kit) if line.value == "47R")
    assert reads_wrong(what_it_says(lamp.kit, line, "47k2"))
    assert reads_wrong(what_it_says(lamp.kit, line, "60 ohm"))
    assert not reads_wrong(what_it_says(lamp.kit, line, "47.1"))
    lamp.measured(line, "47k2", what_it_says(lamp.kit, line, "47k2"))
    on_to(lamp, "47R")
    assert any("NOT 47R" in word for word in lamp.view().bag_words)


# -- too close to call ----------------------------------------------------------------------------
def test_one_key_takes_a_reading_that_is_too_close_and_the_log_says_so(lamp: Build, tmp_path: Path) -> None:
    on_to(lamp, "TP4")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", *"5.030", "enter")
        assert "too close to call for a modest meter" in screen_text(app)
        await pilot.press("y")

    drive(lamp, tmp_path, act)
    assert lamp.next_step is None or lamp.next_step.value != "TP4"
    passed = lamp.progress.holds_overridden[-1]
    assert (passed.about, passed.reason) == ("too close", "5.030: accepted as too close to call")
    page = page_of(lamp)
    assert "too close to call" in page.casefold()
    assert "accepted" in page
    assert "TP4" in page


@pytest.mark.parametrize("size", [(80, 24), (40, 12)])
def test_one_key_says_how_exact_the_meter_is_and_it_is_kept(
    lamp: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    on_to(lamp, "TP4")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", *"5.030", "enter")
        assert "precise: ± (0.1 % + 2 counts)" in screen_text(app)
        assert "settings.toml" in screen_text(app)
        await pilot.press("escape", "g")
        assert "settings.toml" not in screen_text(app)
        await pilot.press("3")
        assert "✓ in" in screen_text(app)
        assert app.settings.meter == {"accuracy": "precise"}

    drive(lamp, tmp_path, act, size)
    assert load_settings(tmp_path)[0].meter == {"accuracy": "precise"}
    first, second = lamp.progress.readings[-2:]
    assert (first.verdict, second.verdict) == ("too close to call", "in")
    assert "a modest 6000-count hand-held may be off" in first.meter
    assert "a precise meter may be off" in second.meter


def test_a_reading_taken_ahead_goes_to_the_part_that_it_fits(tmp_path: Path) -> None:
    build = open_build(tmp_path, "first-evening-metronome", Settings(), HandClock())
    while build.next_step is not None and build.next_step.value != "Measure the resistors":
        build.done()
    said = talk(build, ["r", "47.1", "r", "51 ohm", "r", "10.0 nF", "2"])
    assert "47R R7: 47.1 ohm fits 47 ohm ±1 %." in said
    assert any(
        line.startswith("Reading recorded: 51 ohm. It fits no part of this kit: c, then") for line in said
    )
    assert any("10.0 nF fits several values" in line for line in said)
    assert [each.items for each in build.progress.measured] == [("metronome/R7",), ("metronome/C6",)]
    assert not any(reading.text.startswith("47") for reading in build.progress.readings)


def test_who_replaces_a_part_that_the_kit_has_not_is_asked_about_it(lamp: Build) -> None:
    said = talk(lamp, ["m", "x", "R13", "R12", "51k", ""])
    assert any("This kit has no R13: did you mean R12" in line for line in said)
    assert lamp.progress.substitutions[-1].part == "R12"


def test_with_a_meter_in_the_settings_nobody_asks_for_it(lamp: Build, tmp_path: Path) -> None:
    lamp.equipment.meter = {"accuracy": "good"}
    on_to(lamp, "TP4")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", *"5.030", "enter")
        assert "too close to call for your meter" in screen_text(app)
        assert "basic" not in screen_text(app)
        assert "settings.toml" not in screen_text(app)
        await pilot.press("escape")
        assert lamp.view().too_close
        await pilot.press("g", "y")
        assert not lamp.view().too_close

    drive(lamp, tmp_path, act)


def test_in_plain_lines_it_is_one_letter_too(lamp: Build, tmp_path: Path) -> None:
    on_to(lamp, "TP4")
    said = talk(lamp, [" ", "5.030", "1", "y"], tmp_path)
    assert any("y: accept it as too close to call" in line for line in said)
    assert lamp.progress.holds_overridden[-1].about == "too close"
    assert lamp.equipment.meter == {"accuracy": "basic"}


def test_only_what_is_too_close_can_be_accepted(lamp: Build) -> None:
    on_to(lamp, "TP4")
    with pytest.raises(Refused, match="too close"):
        lamp.accept_close()
    lamp.reading("3.000")
    with pytest.raises(Refused, match="too close"):
        lamp.accept_close()
    with pytest.raises(Refused):
        lamp.done()


def test_the_meter_is_added_and_the_rest_of_the_settings_file_stays(tmp_path: Path) -> None:
    path = tmp_path / SETTINGS_NAME
    path.write_text('# mine\nsound = true\n\n[keys]\ndone = "f5"\n', encoding="utf-8")
    assert keep_meter(tmp_path, "good") == {"accuracy": "good"}
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# mine\n")
    assert tomllib.loads(text) == {"sound": True, "keys": {"done": "f5"}, "meter": {"accuracy": "good"}}
    with pytest.raises(SoldersideError, match="already"):
        keep_meter(tmp_path, "basic")
    assert path.read_text(encoding="utf-8") == text


# -- limits that cannot be used -------------------------------------------------------------------
@pytest.mark.parametrize("check", ["plus and minus", "case and 0 V"])
def test_a_limit_that_cannot_be_used_keeps_the_hold_point_shut(lamp: Build, tmp_path: Path, check: str) -> None:
    on_to(lamp, check)
    step = lamp.next_step
    assert step is not None
    with pytest.raises(Refused, match="no limit"):
        lamp.done()
    lamp.reading("0.5")
    with pytest.raises(Refused, match="no limit"):
        lamp.done()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        text = screen_text(app)
        assert f"line {step.line} of the kit file" in text.replace("\n", " ")
        assert "still closed" in text
        await pilot.press("space")
        assert lamp.next_step == step
        await pilot.press("g", *"sheet says 10k", "enter", "space")
        assert lamp.next_step != step

    drive(lamp, tmp_path, act, (120, 40))


def test_a_build_begun_with_a_bad_limit_opens_again_and_stays_shut(lamp: Build, tmp_path: Path) -> None:
    on_to(lamp, "plus and minus")
    lamp.close()
    again = open_build(tmp_path, lamp.name, Settings(), HandClock())
    assert again.view().limit_fault
    again.reading("0.5")
    with pytest.raises(Refused, match="no limit"):
        again.done()
    again.close()


def test_words_for_eye_and_ear_hold_nothing_up(lamp: Build) -> None:
    on_to(lamp, "LED1")
    assert not lamp.view().limit_fault
    lamp.done()


def test_no_limit_of_a_shipped_kit_is_unusable() -> None:
    folder = Path(__file__).parents[2] / "kits"
    limits = [
        check.expect
        for path in sorted(folder.glob("*.yaml"))
        for point in load_kit(path).hold_points
        for check in point.checks
    ]
    assert len(limits) > 100
    assert [limit for limit in limits if limit_fault(limit)] == []


def test_a_log_without_the_new_field_reads_as_before(lamp: Build) -> None:
    taken = ev.ReadingTaken(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a", point="TP1", text="5")
    assert taken.meter == ""

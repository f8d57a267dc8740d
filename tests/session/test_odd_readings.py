"""A step is not done in silence against its own reading; a trim that is counted is judged by its count."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import SoldersideError
from bench.kit.kit import Trim
from bench.session.adjusting import adjust_view, judge_reading, wants_a_figure
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.ui.commands import Keymap
from bench.ui.foot import foot_of, wanted_of
from tests.support.plain_talk import talk
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text

KIT = shipped_kits_folder() / "first-evening-metronome.yaml"


def at(folder: Path, value: str) -> Build:
    """The build with the step of this value at work."""
    build = open_build(folder, str(KIT), Settings(), HandClock())
    while (step := build.next_step) is not None and step.value != value:
        view = build.view()
        if view.wants_reading:
            build.override_hold("tried elsewhere")
        build.done()
    return build


@pytest.mark.parametrize(("value", "read"), [("1k", "10.02k"), ("47R", "47k"), ("2k2", "1.001k")])
def test_a_part_that_reads_as_another_is_not_ticked_in_silence(tmp_path: Path, value: str, read: str) -> None:
    build = at(tmp_path, value)
    step = build.next_step
    assert step is not None
    said = talk(build, ["reading", read, "done"])
    assert f"{read} is out" in " ".join(said)
    assert build.next_step == step
    talk(build, ["done"])
    assert build.next_step != step


def test_a_part_that_reads_right_goes_on_at_once(tmp_path: Path) -> None:
    build = at(tmp_path, "1k")
    step = build.next_step
    talk(build, ["reading", "1.002k", "done"])
    assert build.next_step != step


def test_a_new_reading_that_is_out_is_told_again(tmp_path: Path) -> None:
    build = at(tmp_path, "1k")
    build.reading("10.02k")
    assert build.odd_reading()
    assert not build.odd_reading()
    build.reading("9.9k")
    assert build.odd_reading()
    build.reading("1.0k")
    assert not build.odd_reading()


def test_on_the_screen_the_first_key_says_it_and_the_second_goes_on(tmp_path: Path) -> None:
    build = at(tmp_path, "1k")
    step = build.next_step
    build.reading("10.02k")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space")
        assert "10.02k is out" in screen_text(app)
        assert build.next_step == step
        await pilot.press("space")
        assert build.next_step != step

    drive(build, tmp_path, act)


# -- trims -------------------------------------------------------------------------------------------
COUNTED = Trim(name="Fast end", trimmer="RV1", turns=1, target="104 beats in 30 s, TEMPO at its fast end")


@pytest.mark.parametrize(
    ("text", "answer"),
    [("104", "in"), ("103", "in"), ("105 beats", "in"), ("102", "out"), ("97", "out"), ("208", "out")],
)
def test_a_count_is_right_to_one(text: str, answer: str) -> None:
    assert judge_reading(COUNTED, text, {}).answer == answer


def test_a_count_far_off_says_by_how_much_and_where_to_stop() -> None:
    judged = judge_reading(COUNTED, "97", {})
    assert judged.words == "7 fewer than 104"
    assert "Stop at 104 beats." in adjust_view(COUNTED, ["97"], {}).headline
    assert adjust_view(COUNTED, ["97", "104"], {}).done


@pytest.mark.parametrize("text", ["abc", "104 V", "-3", "10.4", ""])
def test_what_is_no_count_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(SoldersideError, match="no number of beats"):
        judge_reading(COUNTED, text, {})


@pytest.mark.parametrize(
    ("target", "figure"),
    [
        ("104 beats in 30 s", True), ("5 V ± 1 %", True), ("659 Hz with CUTOFF in the middle", True),
        ("loudest noise with the aerial on", False), ("twelve breaths in a minute", False), ("", False),
    ],
)  # fmt: skip
def test_only_a_target_with_a_figure_wants_one(target: str, figure: bool) -> None:
    assert wants_a_figure(Trim(name="x", target=target)) is figure


def test_a_trim_without_its_reading_is_told_once(tmp_path: Path) -> None:
    build = at(tmp_path, "Fast end")
    step = build.next_step
    assert step is not None
    said = talk(build, ["done"])
    assert "Nothing was read here yet" in " ".join(said)
    assert build.next_step == step
    said = talk(build, ["reading", "97", "done"])
    assert "7 fewer than 104" in " ".join(said)
    assert "97 is out" in " ".join(said)
    assert build.next_step == step
    talk(build, ["reading", "104", "done"])
    assert build.next_step != step


# -- what is no reading, and a look that says no -----------------------------------------------------
@pytest.mark.parametrize("text", ["abc", "steady", "twelve", "4k7 or so", "-"])
def test_where_nothing_is_expected_what_no_meter_shows_is_refused(tmp_path: Path, text: str) -> None:
    build = at(tmp_path, "Measure the resistors")
    with pytest.raises(SoldersideError, match="is no reading"):
        build.reading(text)
    assert not build.progress.readings
    build.reading("4k69")
    assert build.progress.readings[-1].text == "4k69"


def test_a_check_by_eye_has_a_key_for_no(tmp_path: Path) -> None:
    build = at(tmp_path, "it ticks, and LED1 flashes with each tick")
    foot = foot_of(Keymap({}), wanted_of(build.view()))
    no = ("f", "no: find the fault")
    assert foot[:3] == (("space", "yes to all 5"), no, (".", "only the first"))
    alone = at(tmp_path / "other", "hot parts, after one minute")
    assert foot_of(Keymap({}), wanted_of(alone.view()))[:2] == (("space", "yes"), no)

"""The trim screen, driven by keys as a builder would."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from bench.kit.kit import Trim
from bench.session.build import Build
from bench.session.trimming import TrackingView
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.trim import TrimScreen
from bench.tui.screens.work import WorkScreen
from tests.support.samples import HandClock, small_build
from tests.support.screens import SIZES, drive, hostile_at, screen_text
from tests.support.simulated_oscillator import Builder, any_oscillator, points_with
from tests.support.tones import RATE, signal, write_wav
from tests.support.trim_bench import kit_with, trim_build


def make_build(folder: Path, _: HandClock) -> Build:
    return trim_build(folder, to_trims=True)


async def type_line(pilot: Pilot[None], app: BenchApp, *texts: str) -> None:
    """Answer the question on screen, one line after the other."""
    for text in texts:
        await pilot.pause()
        app.screen.query_one(Input).value = text
        await pilot.press("enter")
    await pilot.pause()


def shown(app: BenchApp) -> TrackingView:
    """What the trim screen shows."""
    assert isinstance(app.screen, TrimScreen)
    assert isinstance(app.screen.view, TrackingView)
    return app.screen.view


def word(app: BenchApp) -> str:
    """The word above the trim, in full."""
    return str(app.screen.query_one("#word", Static).content)


LINE = ", ".join(f"{point.volts:g} {point.hertz:.3f}" for point in points_with(12.0, 40.0))


def test_the_card_of_an_adjust_step_names_the_trim_key_and_a_opens_that_trim(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "a shows your passes" in screen_text(app)
        await pilot.press("a")
        await pilot.pause()
        text = screen_text(app)
        assert "Scale · volts per octave" in text
        assert "trim 1 of 4" in text
        assert "No pass yet. n takes one" in text
        assert "RV1 scale, RV2 offset (by its name)" in text
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act)


@pytest.mark.parametrize("seed", range(6))
def test_an_oscillator_is_brought_within_2_cents_in_6_passes_by_the_screen_alone(
    build: Build, tmp_path: Path, seed: int
) -> None:
    chance = random.Random(seed)
    oscillator, turns = any_oscillator(chance)
    builder = Builder(oscillator, (), turns, chance, watches=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a")
        await pilot.pause()
        for number in range(1, 7):
            turned = {turn.trimmer: turn.turns for turn in map(builder.follow, shown(app).turnings)}
            points = ", ".join(f"{point.volts:g} {point.hertz:.3f}" for point in builder.measure())
            answers = [f"{turned[name]:.2f}" if name in turned else "" for name in ("RV1", "RV2")]
            await pilot.press("n")
            await type_line(pilot, app, points, *(answers if number > 1 else []))
            assert len(build.progress.passes) == number
            if shown(app).done:
                break
        assert "Every point is within 1.8 cents" in screen_text(app)
        await pilot.press("space")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        assert "/!Trim!Scale" in build.progress.done

    drive(build, tmp_path, act)
    assert oscillator.worst() <= 2.0


@pytest.mark.parametrize("size", SIZES)
def test_figures_and_advice_are_there_at_every_size_and_the_plot_where_it_fits(
    build: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, LINE)
        text = screen_text(app)
        for cents in ("+40.0", "+52.0", "+64.0", "+76.0", "+88.0", "+100.0"):
            assert cents in text
        assert "100.0 cents off" in text
        assert "Scale is off by" in text
        assert ("cents in pass 1 to 1" in text) == (size[0] >= 80)
        if size[0] < 80:
            await pilot.press("pagedown", "pagedown", "pagedown", "pagedown")
            assert "volts|0" in screen_text(app)

    drive(build, tmp_path, act, size)


def test_points_are_typed_one_by_one_and_a_voltage_typed_again_replaces_its_point(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n", *"0", "space", *"65.4", "enter")
        await pilot.pause()
        assert app.screen.query_one(Input).value == "1 "
        await pilot.press(*"131.8", "enter")
        await type_line(pilot, app, "2 261.6; 0 65.5", "1 130.9")
        assert app.screen.query_one(Input).value == "2 "
        await pilot.press("enter")
        await pilot.pause()
        assert sorted(build.progress.passes[0].points) == [(0.0, 65.5), (1.0, 130.9), (2.0, 261.6)]
        await pilot.press("n")
        await type_line(pilot, app, "0 65.41")
        assert app.screen.query_one(Input).value == "1 "
        await type_line(pilot, app, "1 130.9", "2 261.6", "", "1/2", "")
        assert build.progress.passes[1].turned == (("RV1", 0.5),)

    drive(build, tmp_path, act)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("0 261.6,1 523", "is not a point"),
        ("0 261.6, 0.1 280", "within half a volt"),
        ("0 0", "0 is not a frequency"),
        ("0 nowhere.wav", "no such file"),
        ("", "Type an answer first"),
    ],
)
def test_a_slip_is_said_under_the_line_and_nothing_is_recorded(
    build: Build, tmp_path: Path, line: str, said: str
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        before = build.progress.events
        await pilot.press("a", "n")
        await type_line(pilot, app, line)
        assert isinstance(app.screen, Ask)
        assert said in screen_text(app).replace("\n", " ")
        await pilot.press("escape")
        await pilot.pause()
        assert "cancelled" in screen_text(app)
        assert build.progress.events == before

    drive(build, tmp_path, act, (120, 40))


def test_one_point_alone_is_no_pass(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, "0 65.4", "")
        assert isinstance(app.screen, Ask)
        assert "1 point given" in screen_text(app)
        assert build.progress.passes == ()

    drive(build, tmp_path, act)


def test_a_recording_is_measured_in_place_of_a_point(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tone = signal("triangle", 130.9)
    write_wav(tmp_path / "c3.wav", [round(20000 * sample) for sample in tone.samples], RATE)
    monkeypatch.chdir(tmp_path)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, "0 65.4, 1 c3.wav")
        assert build.progress.passes[0].points[1][1] == pytest.approx(tone.hertz, rel=3e-5)

    drive(build, tmp_path, act)


def test_turns_that_are_none_are_asked_for_again(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, LINE)
        await pilot.press("n")
        await type_line(pilot, app, LINE, "a bit")
        assert "no number of turns" in screen_text(app)
        await type_line(pilot, app, "90 degrees anticlockwise", "")
        assert build.progress.passes[1].turned == (("RV1", -0.25),)
        assert "before pass 2 RV1 -0.25" in screen_text(app).replace("\n", " ")

    drive(build, tmp_path, act, (120, 40))


def test_enter_takes_the_turn_that_is_advised_and_typing_replaces_it(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, LINE)
        advised = f"{shown(app).turnings[0].turns:+.2f}"
        await pilot.press("n")
        await type_line(pilot, app, LINE)
        line = app.screen.query_one(Input)
        assert line.value == advised
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert build.progress.passes[1].turned == (("RV1", float(advised)),)
        await pilot.press("n")
        await type_line(pilot, app, LINE)
        await pilot.press(*"-1.5", "enter", "enter")
        await pilot.pause()
        assert build.progress.passes[2].turned[0] == ("RV1", -1.5)

    drive(build, tmp_path, act)


def test_a_pitch_read_at_a_trim_is_judged_alike_on_screen_and_in_the_write_up(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "right", "n")
        await type_line(pilot, app, "65.42")

    drive(build, tmp_path, act)
    assert build.progress.readings[-1].verdict == "in"


def test_undo_takes_the_pass_back(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, LINE)
        await pilot.press("u")
        assert build.progress.passes == ()
        text = screen_text(app)
        assert "Undone: tracking pass: Scale, 6 points" in text
        assert "No pass yet" in text

    drive(build, tmp_path, act)


def test_done_asks_when_the_figures_say_otherwise(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, LINE)
        await pilot.press("space")
        await pilot.pause()
        assert "Done all the same?" in screen_text(app)
        await pilot.press("n")
        await pilot.pause()
        assert "/!Trim!Scale" not in build.progress.done
        await pilot.press("space", "y")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        assert "/!Trim!Scale" in build.progress.done

    drive(build, tmp_path, act)


def test_a_trim_that_is_not_at_work_cannot_be_done_from_here(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "right", "space")
        assert "not the current step" in word(app)
        assert "trim 2 of 4" in screen_text(app)
        await pilot.press("left", "left")
        assert "trim 1 of 4" in screen_text(app)

    drive(build, tmp_path, act)


def test_other_trims_are_read_until_they_are_within_their_target(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "right", "n")
        await type_line(pilot, app, "many")
        assert "is not a reading" in screen_text(app)
        await type_line(pilot, app, "70.2")
        assert "cents above 65.41 Hz" in screen_text(app)
        assert "Outside the target" in screen_text(app)
        await pilot.press("n")
        await type_line(pilot, app, "65.45 Hz")
        text = screen_text(app)
        assert "Within the target: leave it." in text
        assert [reading.text for reading in build.progress.readings] == ["70.2", "65.45 Hz"]
        assert {reading.step for reading in build.progress.readings} == {"/!Trim!Tune"}
        await pilot.press("right", "n")
        await type_line(pilot, app, "4.6")
        assert "RV3 clockwise" in screen_text(app)
        assert build.progress.readings[-1].verdict == "out"
        await pilot.press("right", "n")
        await type_line(pilot, app, "quite soft")
        assert "eye and ear" in screen_text(app)

    drive(build, tmp_path, act)


def test_a_kit_without_trims_says_so(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        assert "no trims" in screen_text(app)

    drive(small_build(tmp_path / "builds" / "one", HandClock()), tmp_path, act)


def test_a_second_window_shows_the_passes_and_records_none(build: Build, tmp_path: Path) -> None:
    build.tracking_pass("Scale", tuple((point.volts, point.hertz) for point in points_with(3.0, 1.0)))
    second = trim_build(build.log.folder, read_only=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a")
        await pilot.pause()
        assert "+16.0" in screen_text(app)
        for key in ("n", "u", "space"):
            await pilot.press(key)
            assert isinstance(app.screen, TrimScreen)
            assert "Nothing can be recorded" in word(app)
        assert second.progress == build.progress

    drive(second, tmp_path, act)


def test_a_failing_disk_is_said_and_the_pass_is_not_shown(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        def broken(_: int) -> None:
            raise OSError(28, "No space left on device")

        await pilot.press("a", "n")
        await pilot.pause()
        with monkeypatch.context() as patch:
            patch.setattr("os.fsync", broken)
            await type_line(pilot, app, LINE)
        assert "No space left" in screen_text(app)
        assert isinstance(app.screen, Ask)
        assert app.screen.query_one(Input).value == LINE
        assert build.progress.passes == ()

    drive(build, tmp_path, act)


@hostile_at((40, 12), (120, 40))
def test_any_text_of_a_kit_shows_as_text_and_breaks_nothing(
    tmp_path: Path, text: str, size: tuple[int, int]
) -> None:
    kit = kit_with(
        Trim(name=text, kind="volts per octave", trimmer="RV1", target=text, how=text),
        Trim(name=text + "2", trimmer="RV2", target=text, how=text, role="offset"),
    )
    build = trim_build(tmp_path / "builds" / "one", kit, to_trims=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await type_line(pilot, app, LINE)
        await pilot.press("n")
        await type_line(pilot, app, LINE, "1", "2")
        for key in ("pagedown", "down", "up", "pageup", "right", "n"):
            await pilot.press(key)
        await type_line(pilot, app, text)
        await pilot.pause()
        seen = screen_text(app)
        assert "\x1b" not in seen
        assert "\u202e" not in seen
        for width, height in [*SIZES, (20, 5), (1, 1), (80, 24)]:
            await pilot.resize_terminal(width, height)
            await pilot.pause()
        assert len(build.progress.passes) == 2

    drive(build, tmp_path, act, size)

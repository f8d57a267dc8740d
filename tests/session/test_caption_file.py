"""The caption file: it holds the step on the bench, whole, at every key, and costs no key anything."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from msgspec.structs import replace

from bench.cli import main
from bench.log.events import BreakBegan
from bench.session.build import Build
from bench.session.caption_file import NowOnBench, caption_text, now_on_bench
from bench.session.folders import open_build
from bench.session.together import open_bench
from bench.settings import Settings, shipped_kits_folder
from tests.support.command_line import HOSTILE
from tests.support.samples import HandClock

KIT = str(shipped_kits_folder() / "first-evening-metronome.yaml")


def opened(data: Path, file: str = "now.txt") -> Build:
    build = open_build(data, KIT, Settings(caption_file=file), HandClock())
    build.opened()
    return build


def comes(look: Callable[[], Any], wanted: Any) -> None:
    """Wait until what is looked at is as wanted."""
    until = time.monotonic() + 5
    while (found := look()) != wanted and time.monotonic() < until:
        time.sleep(0.005)
    assert found == wanted


def test_text_and_json_hold_the_step_now_on_the_bench(own_data: Path) -> None:
    build = opened(own_data)
    text, data = own_data / "now.txt", own_data / "now.json"
    for _ in range(12):
        now = now_on_bench(build.view())
        comes(text.read_text, caption_text(now))
        comes(lambda: json.loads(data.read_bytes())["parts_done"], now.parts_done)
        if build.view().count_for:
            build.count_joints(7)
        build.done()
    build.undo()
    comes(text.read_text, caption_text(now_on_bench(build.view())))
    build.break_begin()
    assert isinstance(build.writer.events[-1], BreakBegan)
    comes(text.read_text, "Break\n")
    build.break_end()
    build.close()
    assert text.read_text() == ""
    assert json.loads(data.read_bytes())["state"] == "closed"


def test_the_text_says_value_places_way_round_and_where_it_is() -> None:
    now = NowOnBench(
        kit="Fuzz", state="step", stage="Tall parts", board="main", action="solder", value="22u",
        kind="electrolytic capacitor", refs=("C1", "C2"), ways=("Stripe is minus.",), dangers=("Mains kills.",),
        instead=("47u instead of 22u",), parts_done=3, parts=40,
    )  # fmt: skip
    assert caption_text(now).splitlines() == [
        "C1, C2: 22u electrolytic capacitor", "47u instead of 22u", "Stripe is minus.", "DANGER: Mains kills.",
        "Tall parts, main: 3 of 40 done",
    ]  # fmt: skip
    assert caption_text(replace(now, state="finished")) == "Fuzz: finished\n"


def test_a_substitute_is_said_with_its_own_way_round(own_data: Path) -> None:
    build = opened(own_data)
    while (step := build.next_step) is None or not (step.orientation and step.refs):
        if build.view().count_for:
            build.count_joints(7)
        build.done()
    part = " ".join(step.refs)
    build.substitute(part, "100n ceramic capacitor")
    now = now_on_bench(build.view())
    assert any("100n ceramic capacitor instead of" in each for each in now.instead)
    assert now.ways == build.view().ways
    build.close()


def test_whoever_reads_never_sees_half_a_step(own_data: Path) -> None:
    build = opened(own_data)
    seen: set[bytes] = set()
    running = True

    def read() -> None:
        while running:
            seen.add((own_data / "now.txt").read_bytes())
            json.loads((own_data / "now.json").read_bytes())

    reader = Thread(target=read)
    reader.start()
    whole = {b""}
    for _ in range(25):
        whole.add(caption_text(now_on_bench(build.view())).encode())
        if build.view().count_for:
            build.count_joints(7)
        build.done()
        whole.add(caption_text(now_on_bench(build.view())).encode())
        time.sleep(0.01)
    running = False
    reader.join()
    build.close()
    assert seen <= whole
    assert len(seen) > 2


def test_a_file_that_cannot_be_written_is_told_and_loses_no_key(own_data: Path) -> None:
    build = opened(own_data, "no/such/folder/now.txt")
    assert any("the caption file cannot be written" in each for each in build.log.remarks)
    build.done()
    assert build.progress.done
    build.close()


def test_a_disk_that_fails_later_loses_no_key(own_data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build = opened(own_data)

    def fail(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("bench.session.caption_file.write_whole", fail)
    build.done()
    assert build.progress.done
    monkeypatch.undo()
    build.note("on we go")
    build.done()
    comes((own_data / "now.txt").read_text, caption_text(now_on_bench(build.view())))
    build.close()


def test_a_clip_named_afterwards_puts_nothing_on_the_stream(own_data: Path) -> None:
    own_data.mkdir(exist_ok=True)
    (own_data / "settings.toml").write_text('caption_file = "now.txt"\n')
    build = opened(own_data)
    build.clap()
    build.close()
    before = (own_data / "now.txt").stat().st_mtime_ns
    assert (
        main(
            [
                "chapters",
                build.name,
                "--clip",
                "a",
                "--clap",
                "1=2",
                "--length",
                "9:00",
                "--data",
                str(own_data),
            ]
        )
        == 0
    )
    assert (own_data / "now.txt").stat().st_mtime_ns == before


def test_a_builds_words_are_inert(own_data: Path) -> None:
    now = now_on_bench(replace(_view(own_data), kit=f"K{HOSTILE}\nx", substitutes=(HOSTILE,)))
    text = caption_text(now) + now.kit
    assert all(char == "\n" or char.isprintable() for char in text)
    assert "\n" not in now.kit


def _view(data: Path) -> Any:
    build = open_build(data, KIT, Settings(), HandClock())
    view = build.view()
    build.log.close()
    return view


def test_without_the_setting_no_file_is_written(own_data: Path) -> None:
    build = opened(own_data, "")
    build.done()
    build.close()
    assert [path.name for path in own_data.iterdir() if path.is_file()] == []


@pytest.mark.parametrize("name", ["settings.toml", "notes.txt", "now.json"])
def test_a_file_of_the_builders_is_never_written_over(own_data: Path, name: str) -> None:
    own_data.mkdir(exist_ok=True)
    mine = own_data / name
    mine.write_text("look_back = 3\n")
    build = opened(own_data, "now.txt" if name == "now.json" else name)
    build.done()
    build.close()
    assert mine.read_text() == "look_back = 3\n"
    assert any("a file of yours stands there" in each for each in build.log.remarks)


def test_the_file_of_a_program_that_was_killed_is_taken_up_again(own_data: Path) -> None:
    build = opened(own_data)
    build.done()
    comes((own_data / "now.txt").read_text, caption_text(now_on_bench(build.view())))
    build.log.close()
    again = opened(own_data)
    comes((own_data / "now.txt").read_text, caption_text(now_on_bench(again.view())))
    again.close()


def test_of_units_side_by_side_the_one_whose_turn_it_is_is_told(own_data: Path) -> None:
    settings = Settings(caption_file="now.txt")
    build = open_bench(own_data, KIT, settings, HandClock(), again=True, units=("A", "B"))
    build.opened()
    told = set()
    for _ in range(8):
        build = build.at_work
        build.done()
        now = build.at_work
        comes(lambda: json.loads((own_data / "now.json").read_bytes())["unit"], now.unit)
        text = caption_text(replace(now_on_bench(now.view()), unit=now.unit))
        comes((own_data / "now.txt").read_text, text)
        told.add(now.unit)
    assert told == {"A", "B"}
    build.close()
    assert (own_data / "now.txt").read_text() == ""

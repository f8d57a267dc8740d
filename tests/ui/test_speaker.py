"""What is spoken: words for the ear, and a program that reads a line and never makes a key wait.

How a voice reads units and signs is asked of espeak-ng itself, where it is installed.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
import wave
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, parse_settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.ui.aloud import for_the_ear, step_aloud, value_aloud
from bench.ui.speaker import Speaker, Voice
from tests.support.screens import drive, screen_text

ESPEAK = shutil.which("espeak-ng")
needs_espeak = pytest.mark.skipif(ESPEAK is None, reason="espeak-ng is not installed")

RECORDER = """
import sys, time
line = sys.stdin.readline()
with open(sys.argv[1], "a") as file:
    print("began", line, end="", file=file)
time.sleep(float(sys.argv[2]))
with open(sys.argv[1], "a") as file:
    print("spoke", line, end="", file=file)
"""


def recorder(folder: Path, seconds: float = 0.0) -> tuple[str, Path]:
    """A command that 'speaks' into a file for so long, and the file."""
    script, heard = folder / "record it.py", folder / "heard.txt"
    script.write_text(RECORDER, encoding="utf-8")
    heard.write_text("", encoding="utf-8")
    return f"{sys.executable} '{script}' '{heard}' {seconds}", heard


def until(holds: Callable[[], bool], seconds: float = 10.0) -> bool:
    """Wait until something holds; False when it does not in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if holds():
            return True
        time.sleep(0.02)
    return holds()


def phonemes(text: str) -> str:
    """How espeak-ng says a text."""
    assert ESPEAK is not None
    return subprocess.run([ESPEAK, "-q", "-x", "--", text], capture_output=True, text=True, check=True).stdout


@needs_espeak
@pytest.mark.parametrize(
    ("value", "kind", "said"),
    [
        ("470R", "resistor", "470 ohms"),
        ("4k7", "resistor", "four point seven kilohms"),
        ("1M", "resistor", "one megohm"),
        ("100n", "ceramic capacitor", "one hundred nanofarads"),
        ("2u2", "film capacitor", "two point two microfarads"),
    ],
)
def test_values_are_heard_as_they_are_read_out(value: str, kind: str, said: str) -> None:
    """Number and unit sound like the words that a person would write for them."""

    def sounds(text: str) -> str:
        return phonemes(text).translate(str.maketrans("", "", " ',;:_-\n"))

    assert sounds(value_aloud(value, kind)) == sounds(said)
    assert sounds(value) != sounds(said)


@needs_espeak
def test_a_step_is_spoken_by_the_real_program_into_a_sound_file(build: Build, tmp_path: Path) -> None:
    sound = tmp_path / "step.wav"
    speaker = Speaker(f"espeak-ng -w '{sound}'")
    speaker.say(step_aloud(build.view()))
    assert until(lambda: sound.exists() and sound.stat().st_size > 10_000)
    speaker.close()
    with wave.open(str(sound)) as file:
        assert file.getnframes() / file.getframerate() > 1.0


def test_every_step_of_a_kit_is_one_sentence_without_signs(tmp_path: Path) -> None:
    kit = shipped_kits_folder() / "twin-board-oscillator.yaml"
    build = open_build(tmp_path, str(kit), Settings(), SystemClock())
    for at in range(len(build.outline.steps)):
        said = step_aloud(build.view(at))
        assert not set("±µΩ<>=▲◆%°\n") & set(said), said
        assert said.endswith(".")
    build.log.close()


def test_signs_and_units_are_words() -> None:
    assert for_the_ear("+12 V, -5 mV ± 2 %") == "plus 12 volts, minus 5 millivolts plus or minus 2 percent"
    assert for_the_ear("> 200 ohm; 4.6..5.4 V") == "more than 200 ohms; 4.6 to 5.4 volts"


def test_the_newest_sentence_takes_the_place_of_the_others(tmp_path: Path) -> None:
    command, heard = recorder(tmp_path, 0.6)
    speaker = Speaker(command)
    for text in ("one", "two", "three", "four"):
        speaker.say(text)
        time.sleep(0.05)
    assert until(lambda: "spoke four" in heard.read_text())
    speaker.close()
    assert heard.read_text().count("spoke") == 1


def test_a_program_that_never_ends_makes_nothing_wait() -> None:
    speaker = Speaker(f"{sys.executable} -c 'import time; time.sleep(60)'")
    begun = time.perf_counter()
    for number in range(200):
        speaker.say(f"step {number}")
    assert time.perf_counter() - begun < 0.2
    speaker.close()


def test_a_missing_program_is_said_once(build: Build, tmp_path: Path) -> None:
    speaker = Speaker("no-such-voice --fast")
    speaker.say("one")
    time.sleep(0.3)
    assert "no-such-voice cannot be started" in speaker.trouble()
    speaker.say("two")
    assert speaker.trouble() == ""
    speaker.close()


def test_no_shell_sees_the_command_or_what_is_spoken(tmp_path: Path) -> None:
    command, _ = recorder(tmp_path)
    trap = tmp_path / "trap"
    speaker = Speaker(f"{command}; touch {trap}")
    speaker.say(f"$(touch {trap}) `touch {trap}` | touch {trap}")
    time.sleep(0.5)
    speaker.close()
    assert not trap.exists()


def test_what_is_spoken_is_one_line_whatever_a_kit_holds(tmp_path: Path) -> None:
    assert "\n" not in for_the_ear("one\ntwo\x1b[31m")


def test_the_screen_speaks_steps_verdicts_and_once_more(build: Build, tmp_path: Path) -> None:
    command, heard = recorder(tmp_path)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        app.voice = Voice(Settings(speak=command, speak_while_filming=False))
        await pilot.press("space")
        assert until(lambda: "spoke Solder in: resistor" in heard.read_text())
        before = heard.read_text().count("spoke")
        await pilot.press("f2")
        assert until(lambda: heard.read_text().count("spoke") == before + 1)
        await pilot.press("0", "u", "space")
        time.sleep(0.4)
        assert heard.read_text().count("spoke") == before + 1
        await pilot.press("f2")
        assert until(lambda: heard.read_text().count("spoke") == before + 2)

    drive(build, tmp_path, act)


def test_without_a_program_the_key_says_how_to_have_one(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("f2")
        assert 'speak = "espeak-ng"' in screen_text(app).replace("\n", " ")

    drive(build, tmp_path, act)


def test_plain_lines_are_spoken_too(build: Build, tmp_path: Path) -> None:
    command, heard = recorder(tmp_path)
    lines = iter(["done"])
    said: list[str] = []

    def read(_: str) -> str:
        time.sleep(0.5)
        try:
            return next(lines)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(speak=command), read, said.append).run()
    assert "began " in heard.read_text()


def test_a_command_that_no_shell_could_read_is_refused() -> None:
    with pytest.raises(Exception, match="quotation mark"):
        parse_settings('speak = "espeak-ng \'x"', "settings.toml")

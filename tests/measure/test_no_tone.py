"""Sounds without a steady tone: none of them gets a frequency, and the reason fits the sound."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.measure.pitch.pitch import NoTone
from tests.support.tones import RATE, analyse, brown, mixed, moving, vibrato, white

UNSTEADY: dict[str, Callable[[], list[float]]] = {
    "silence": lambda: [0.0] * RATE,
    "an offset": lambda: [0.3] * RATE,
    "the last bit": lambda: [i * 7919 % 13 % 2 / 32768 for i in range(RATE)],
    "white noise": lambda: white(1),
    "brown noise": lambda: brown(1),
    "noise above the tone": lambda: [a + b for a, b in zip(white(2), mixed((440, 0.1)), strict=True)],
    "a wide sweep": lambda: moving(lambda t: 20 * 1000 ** (t / 2)),
    "a sweep of an octave": lambda: moving(lambda t: 100 * 2 ** (t / 2)),
    "a sweep of a semitone": lambda: moving(lambda t: 440 * 2 ** (t / 24)),
    "a low sweep": lambda: moving(lambda t: 20 * 2 ** (t / 2)),
    "a fifth": lambda: mixed((440, 0.5), (660, 0.5)),
    "a third": lambda: mixed((440, 0.5), (550, 0.4)),
    "two low tones": lambda: mixed((30, 0.5), (47, 0.5)),
    "two tones far apart": lambda: mixed((100, 0.5), (3010, 0.5)),
    "two tones that beat": lambda: mixed((440, 0.5), (445, 0.5)),
    "two tones that beat slowly": lambda: mixed((440, 0.5), (441, 0.5)),
    "nearly a twelfth": lambda: mixed((440, 0.5), (1323, 0.5)),
    "a tone of the mains' own level beside it": lambda: mixed((50, 0.5), (5010, 0.5)),
    "one tone, then another": lambda: mixed((440, 0.5), seconds=1) + mixed((523, 0.5), seconds=1),
    "one long tone, then another": lambda: mixed((440, 0.5)) + mixed((523, 0.5)),
    "a tone, then its octave": lambda: mixed((440, 0.5)) + mixed((880, 0.5)),
    "vibrato": lambda: vibrato(440, 30, 6),
    "deep vibrato": lambda: vibrato(1000, 100, 5),
    "slow vibrato": lambda: vibrato(2000, 30, 1),
    "slow vibrato of a high tone": lambda: vibrato(5000, 20, 2),
    "vibrato of the highest tone": lambda: vibrato(9_900, 30, 6),
    "wide vibrato of the highest tone": lambda: vibrato(9_900, 60, 3),
    "vibrato of a low tone": lambda: vibrato(60, 100, 2),
    "too few samples": lambda: mixed((440, 0.5), seconds=0.01),
    "one sample": lambda: [0.5],
    "no samples": list,
    "a tone too high": lambda: mixed((12_000, 0.5)),
    "a tone too low": lambda: mixed((7, 0.5)),
    "too few periods": lambda: mixed((16.5, 0.5), seconds=0.3),
}


REASONS = {
    "silence": "silence",
    "an offset": "silence",
    "white noise": "no clear tone",
    "a fifth": "440 Hz and 660 Hz",
    "two tones that beat": "near 442.5 Hz comes and goes",
    "two tones that beat slowly": "near 440.5 Hz comes and goes",
    "one long tone, then another": "two different tones: 440 Hz at 0.0 s and 523 Hz at 2.0 s",
    "vibrato": "wobbles by 2",  # 30 / sqrt 2 = 21, less a little that the segments smooth away
    "a tone too high": "outside 16 Hz to 10 kHz",
    "a tone too low": "outside 16 Hz to 10 kHz",
    "too few samples": "too short: 0.010 s of sound",
    "too few periods": "only 0.30 s of sound",
}


@pytest.mark.parametrize("name", UNSTEADY)
def test_what_is_no_steady_tone_is_told_with_a_reason(name: str) -> None:
    found = analyse(UNSTEADY[name](), RATE)
    assert isinstance(found, NoTone), found
    assert found.why
    assert not found.why.endswith(".")
    assert REASONS.get(name, "") in found.why

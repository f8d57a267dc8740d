"""Pitch: measured against tones whose frequency is known exactly.

No certified recordings were found, so the truth is made in `tones`. The least possible error is the
Cramér-Rao bound for a real sinusoid (Rife & Boorstyn 1974, from memory).

By default the seeded trial runs 6 cases and clean tones stand at a third of the pitches. Set
SOLDERSIDE_PITCH_CASES=1000 for the full trial (some minutes).
"""

from __future__ import annotations

import math
import os
import random
import statistics
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.measure.pitch.pitch import CLOCK_PPM, NoTone, Pitch, measure_pitch
from tests.support.tones import (
    RATE,
    RATES,
    SHAPES,
    Signal,
    analyse,
    mixed,
    moving,
    signal,
    spoilt,
    vibrato,
    write_wav,
)

CASES = int(os.environ.get("SOLDERSIDE_PITCH_CASES", "6"))
CLEAN = (16.1, 61.7, 239.0, 1_499.0, 3_300.0, 9_990.0)[:: 1 if CASES > 6 else 4]


def cents_off(found: Pitch, made: Signal) -> float:
    return 1200 * math.log2(found.hertz / made.hertz)


def pitch_of(samples: list[float], rate: float) -> Pitch:
    found = analyse(samples, rate)
    assert isinstance(found, Pitch), found
    return found


def random_case(seed: int) -> tuple[Signal, list[float]]:
    """A random signal, and its samples with random noise, hum and offset."""
    chance = random.Random(seed)
    rate = chance.choice(RATES)
    highest = min(10_000.0, 0.45 * rate)
    hertz = 16 * (highest / 16) ** chance.random()
    seconds = chance.choice((1.0, 1.5, 2.0))
    duty, phase = chance.uniform(0.05, 0.95), chance.uniform(0, math.tau)
    made = signal(chance.choice(SHAPES), hertz, rate, seconds=seconds, duty=duty, phase=phase)
    noise, hum = chance.choice((20.0, 20.0, 30.0, 50.0)), chance.choice((0.0, 0.02, 0.05, 0.1))
    return made, spoilt(made, chance, noise_db=noise, hum=hum, offset=chance.uniform(-0.5, 0.5))


# Accuracy


@pytest.mark.parametrize("rate", [8_000, 44_100, 48_000, 192_000])
@pytest.mark.parametrize("shape", SHAPES)
def test_clean_tones_are_right_to_a_twentieth_of_a_cent(shape: str, rate: int) -> None:
    for hertz in CLEAN:
        if hertz < 0.45 * rate:
            made = signal(shape, hertz, rate, seconds=0.5 if rate > RATE else 1.0, duty=0.05)
            assert abs(cents_off(pitch_of(made.samples, rate), made)) < 0.05, hertz


def test_random_tones_with_noise_hum_and_offset_have_no_octave_error_and_are_right_to_a_cent() -> None:
    covered = 0
    for seed in range(CASES):
        made, samples = random_case(seed)
        found = analyse(samples, made.rate)
        told = f"seed {seed}: {made.shape} {made.hertz:.4f} Hz at {made.rate}"
        assert isinstance(found, Pitch), f"{told}: {found}"
        assert abs(cents_off(found, made)) < 1.0, f"{told}: {found}"
        covered += abs(cents_off(found, made)) <= found.scatter_cents
    assert covered >= 0.95 * CASES


def test_errors_lie_near_the_least_that_noise_allows_and_not_below() -> None:
    made = signal("sine", 997.3, 8_000, seconds=1.0)
    count, snr = len(made.samples), 100.0
    bound = math.sqrt(12 / (math.tau**2 * snr * count * (count**2 - 1))) * made.rate
    errors = []
    for seed in range(40):
        samples = spoilt(made, random.Random(seed), noise_db=20.0)
        errors.append(pitch_of(samples, made.rate).hertz - made.hertz)
    spread = math.sqrt(statistics.fmean(error**2 for error in errors))
    assert 0.75 * bound < spread < 2.0 * bound  # 40 errors tell their spread to 11 %


def test_the_uncertainty_is_the_scatter_and_the_clock_on_top() -> None:
    made = signal("saw", 220.0)
    found = pitch_of(spoilt(made, random.Random(5), noise_db=20.0), RATE)
    clock = 1200 * math.log2(1 + CLOCK_PPM * 1e-6)
    assert found.cents_uncertainty == pytest.approx(found.scatter_cents + clock, rel=1e-3)
    assert found.hertz_uncertainty == pytest.approx(found.hertz * (2 ** (found.cents_uncertainty / 1200) - 1))
    assert 0 < found.scatter_cents < 0.1


def test_more_noise_gives_a_greater_uncertainty() -> None:
    made = signal("triangle", 330.0, 8_000, seconds=1.0)
    scatters = []
    for noise in (50.0, 30.0, 15.0):
        found = [pitch_of(spoilt(made, random.Random(seed), noise_db=noise), 8_000) for seed in range(6)]
        scatters.append(statistics.fmean(pitch.scatter_cents for pitch in found))
    assert scatters == sorted(scatters)


@settings(max_examples=10)
@given(hertz=st.floats(20, 3_000), gain=st.floats(0.001, 1.0), shape=st.sampled_from(SHAPES))
def test_neither_level_nor_sign_nor_the_name_of_the_rate_changes_the_ratio(
    hertz: float, gain: float, shape: str
) -> None:
    made = signal(shape, hertz, 16_000, seconds=1.0, duty=0.2)
    found = pitch_of(made.samples, 16_000)
    turned = pitch_of([-gain * value for value in made.samples], 16_000)
    slower = pitch_of(made.samples, 12_800)
    assert turned.hertz == pytest.approx(found.hertz, rel=1e-5)
    assert slower.hertz == pytest.approx(0.8 * found.hertz, rel=1e-5)


# Octaves


def test_a_fundamental_weaker_than_its_harmonics_is_still_the_pitch() -> None:
    parts = ((1, 0.05), (2, 0.5), (3, 0.4), (4, 0.3), (5, 0.2))
    samples = [
        sum(size * math.sin(math.tau * 200.3 * number * i / RATE) for number, size in parts)
        for i in range(RATE)
    ]
    assert pitch_of(samples, RATE).hertz == pytest.approx(200.3, rel=1e-5)


def test_a_faint_leak_an_octave_below_does_not_shift_the_pitch() -> None:
    samples = mixed((440.3, 0.5), (220.15, 0.02))
    assert pitch_of(samples, RATE).hertz == pytest.approx(440.3, rel=1e-5)


def test_a_tone_at_twice_the_mains_frequency_is_not_taken_for_hum() -> None:
    found = pitch_of(mixed((100.3, 0.5), (50.0, 0.05)), RATE)
    assert found.hertz == pytest.approx(100.3, rel=1e-4)
    assert any("mains" in remark for remark in found.remarks)


# Pitches that move a little


def test_a_slight_vibrato_is_measured_at_its_mean() -> None:
    found = pitch_of(vibrato(440, 4, 6), RATE)
    assert abs(1200 * math.log2(found.hertz / 440)) < 0.2
    assert any("moves by 2.8 cents" in remark for remark in found.remarks)  # 4 / sqrt 2


def test_a_slow_drift_widens_the_uncertainty() -> None:
    found = pitch_of(moving(lambda t: 440 * 2 ** (6 / 1200 * t / 2)), RATE)
    assert 1200 * math.log2(found.hertz / 440) == pytest.approx(3.0, abs=0.1)
    assert 1.0 < found.scatter_cents < 6.0


# Which part of a recording


def test_silence_around_the_tone_is_left_out() -> None:
    samples = [0.0] * RATE + mixed((440, 0.5), seconds=1.5) + [0.0] * 3 * RATE
    found = pitch_of(samples, RATE)
    assert found.hertz == pytest.approx(440, rel=1e-6)
    assert 1.0 <= found.starts_at < 1.3
    assert 1.0 < found.seconds_used <= 1.5


def test_a_pitch_that_settles_is_measured_where_it_is_steady() -> None:
    samples = moving(lambda t: 440 * 2 ** (max(0.0, 2 - t) / 12), seconds=4.5)
    found = pitch_of(samples, RATE)
    assert found.hertz == pytest.approx(440, rel=1e-5)
    assert found.starts_at >= 2.0
    assert any("measured from" in remark for remark in found.remarks)


def test_a_pitch_that_creeps_through_a_recording_is_told() -> None:
    found = pitch_of(moving(lambda t: 440 * 2 ** (6 / 1200 * (t > 2)), seconds=4), RATE)
    assert any("moves by 6.0 cents within the recording" in remark for remark in found.remarks)


def test_only_the_first_half_minute_of_a_file_is_looked_at(tmp_path: Path) -> None:
    rate = 8_000
    tone = [round(9_000 * math.sin(math.tau * 441 * i / rate)) for i in range(2 * rate)]
    other = [round(9_000 * math.sin(math.tau * 700 * i / rate)) for i in range(2 * rate)]
    path = tmp_path / "long.wav"
    write_wav(path, tone * 15 + other * 2, rate)
    found = measure_pitch(path)
    assert isinstance(found, Pitch)
    assert found.hertz == pytest.approx(441, rel=1e-6)
    assert "only the first 30 s were looked at" in found.remarks


def test_a_drifting_offset_does_not_matter() -> None:
    samples = [value + i / RATE for i, value in enumerate(mixed((20.3, 0.1)))]
    found = pitch_of(samples, RATE)
    assert found.hertz == pytest.approx(20.3, rel=1e-5)
    assert found.seconds_used == pytest.approx(2.0)


@settings(max_examples=60)
@given(st.lists(st.floats(-1, 1) | st.sampled_from([0.0, 1.0, -1.0, 1e-300]), max_size=700), st.integers(1, 9))
def test_any_samples_give_an_answer(samples: list[float], times: int) -> None:
    assert isinstance(analyse(samples * times, 8_000), Pitch | NoTone)


# Speed


@pytest.mark.parametrize("numbers", [(2, 3, 5), (2, 3, 4, 5), (3, 4, 5, 7), (2, 3, 4, 5, 6, 7, 8)])
@pytest.mark.parametrize("hertz", [130.81, 220.0, 261.626])
def test_a_missing_fundamental_is_the_one_that_the_harmonics_imply(
    numbers: tuple[int, ...], hertz: float
) -> None:
    # Made from a known fundamental: what comes out is what went in.
    found = pitch_of(mixed(*((n * hertz, 0.4 / n) for n in numbers)), RATE)
    assert abs(1200 * math.log2(found.hertz / hertz)) < 0.1
    assert found.hertz_uncertainty < 0.01 * hertz
    assert "the fundamental is missing" in found.remarks[0]


@pytest.mark.parametrize(
    ("parts", "offered"),
    [
        ([(440, 0.4), (660, 0.4)], "harmonics 2 and 3 of 220 Hz"),
        ([(440, 0.4), (660, 0.3), (880, 0.1), (1320, 0.1)], "harmonics 2, 3, 4 and 6 of 220 Hz"),
        ([(400, 0.3), (500, 0.3), (600, 0.3)], "harmonics 4, 5 and 6 of 100 Hz"),
        ([(500, 0.3), (600, 0.3), (700, 0.3)], ""),
        ([(440, 0.4), (623, 0.4)], ""),
        ([(261.6, 0.3), (523.2, 0.1), (370, 0.3), (740, 0.1)], ""),
    ],
)
def test_two_tones_are_still_told_and_what_would_explain_them_is_offered(
    parts: list[tuple[float, float]], offered: str
) -> None:
    found = analyse(mixed(*parts), RATE)
    assert isinstance(found, NoTone)
    assert "two tones" in found.why
    assert offered in found.why
    assert ("fundamental missing" in found.why) == bool(offered)


def test_what_else_sounds_beside_a_tone_is_told() -> None:
    found = pitch_of(mixed((440, 0.5), (1000, 0.1)), RATE)
    # 0.1² of 0.5² + 0.1² is 4 %; where the second tone runs against the first one's lag it counts twice
    assert found.remarks == (
        "up to 8 % of the power is noise or other tones", "there is another component near 1000 Hz",
    )  # fmt: skip
    assert pitch_of(mixed((440, 0.5), (1000, 0.02)), RATE).remarks == ()

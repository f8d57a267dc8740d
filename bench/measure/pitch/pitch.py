"""Frequency of a steady tone in a WAV recording, in plain Python.

A short spectrum finds the lines and the tone whose harmonics they are; the tone is then followed by phase
through up to two seconds. See `spectrum` and `phase` for how.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench.measure.pitch.stretch import (
    STRETCH_BLOCKS,
    Level,
    alternating_power,
    block_length,
    block_levels,
    disjoint,
    is_sound,
    steady_stretches,
)
from bench.measure.pitch.tone import find_tone
from bench.measure.pitch.wav import WavError, read_header

LONGEST_SECONDS = 30
"""No more of a recording is looked at than this, from its beginning."""
OTHER_STRETCHES = 4
"""How many more stretches of a longer recording are tried or compared."""
CLOCK_PPM = 50.0
"""How far a sound card's clock may be off, parts per million: common practice, no source."""
SAME_TONE_CENTS = 10.0
"""Stretches of one recording that differ by more hold different tones."""
SILENCE = 1e-9
"""Mean square below which a recording is silence, full scale being 1: -90 dB."""


class Pitch(Struct, frozen=True, kw_only=True):
    """A steady tone."""

    hertz: float
    """Frequency, by the recorder's clock."""
    hertz_uncertainty: float
    """Half-width of the 95 % range: the scatter within the recording, and on top of it `CLOCK_PPM`."""
    cents_uncertainty: float
    """The same in cents."""
    scatter_cents: float
    """The part of it that the scatter has: what counts between tones recorded with the same clock."""
    seconds_used: float
    """Length of the stretch measured."""
    starts_at: float = 0.0
    """Where the stretch begins, seconds into the recording."""
    remarks: tuple[str, ...] = ()
    """What a person should know about the figure, each a sentence without a full stop."""


class NoTone(Struct, frozen=True, kw_only=True):
    """There is no steady tone to measure."""

    why: str
    """One sentence without a full stop."""


def measure_pitch(path: Path) -> Pitch | NoTone:
    """Frequency of the steady tone in a WAV file, or why there is none.

    Of two channels the louder is taken. Reads no more than two seconds at a time. Raises WavError when the
    file is not a WAV recording that can be read (see `wav.read_header`).
    """
    recording = read_header(path)
    rate = recording.rate
    looked_at = min(recording.frames, LONGEST_SECONDS * rate)
    by_channel: list[list[Level]] = [[] for _ in range(recording.channels)]
    step = block_length(rate) * STRETCH_BLOCKS
    for start in range(0, looked_at, step):
        channels = recording.read_frames(start, min(step, looked_at - start))
        if recording.is_float and not all(map(is_sound, channels)):
            raise WavError("it contains values that are not audio", str(path), "record again")
        for levels, samples in zip(by_channel, channels, strict=True):
            levels += block_levels(samples, rate)
    louder = max(range(recording.channels), key=lambda channel: alternating_power(by_channel[channel]))
    found = search(
        by_channel[louder],
        looked_at,
        rate,
        recording.full_scale,
        lambda start, count: recording.read_frames(start, count)[louder],
    )
    if isinstance(found, NoTone):
        return found
    remarks = found.remarks
    if recording.channels == 2:
        remarks += (f"measured on the {('left', 'right')[louder]} channel",)
    if looked_at < recording.frames:
        remarks += (f"only the first {LONGEST_SECONDS} s were looked at",)
    return replace(found, remarks=remarks)


def search(
    levels: Sequence[Level],
    frames: int,
    rate: float,
    full_scale: float,
    fetch: Callable[[int, int], Sequence[float]],
) -> Pitch | NoTone:
    """Measure the steadiest stretch; in a longer recording, compare a few others with it."""
    if not levels:
        return NoTone(why="there is no sound")
    block = block_length(rate)
    answers: list[Pitch | NoTone] = []
    for first, count in disjoint(steady_stretches(levels))[: OTHER_STRETCHES + 1]:
        start = first * block
        power = alternating_power(levels[first : first + count]) / full_scale**2
        samples = fetch(start, min(count * block, frames - start)) if power >= SILENCE else ()
        answers.append(_measure(samples, rate, power, start / rate))
    pitches = [answer for answer in answers if isinstance(answer, Pitch)]
    if not pitches:
        short = f" (only {frames / rate:.2f} s of sound)" if frames < rate else ""
        return NoTone(why=answers[0].why + short) if isinstance(answers[0], NoTone) else answers[0]
    best = pitches[0]
    farthest = max(pitches, key=lambda pitch: abs(_cents(pitch.hertz / best.hertz)))
    apart = abs(_cents(farthest.hertz / best.hertz))
    if apart > SAME_TONE_CENTS:
        return NoTone(
            why=f"two different tones: {best.hertz:.5g} Hz at {best.starts_at:.1f} s"
            f" and {farthest.hertz:.5g} Hz at {farthest.starts_at:.1f} s"
        )
    remarks = best.remarks
    if apart > best.scatter_cents + farthest.scatter_cents + 0.5:
        remarks += (f"the pitch moves by {apart:.1f} cents within the recording",)
    if best.seconds_used < 0.9 * frames / rate:
        end = best.starts_at + best.seconds_used
        remarks += (f"measured from {best.starts_at:.2f} s to {end:.2f} s",)
    return replace(best, remarks=remarks)


def _measure(samples: Sequence[float], rate: float, power: float, starts_at: float) -> Pitch | NoTone:
    """Measure one stretch of this power, full scale being 1, that begins `starts_at` seconds in."""
    if power < SILENCE:
        return NoTone(why="silence")
    tone = find_tone(samples, rate)
    if isinstance(tone, str):
        return NoTone(why=tone)
    uncertainty = tone.scatter_hertz + tone.hertz * CLOCK_PPM * 1e-6
    return Pitch(
        hertz=tone.hertz,
        hertz_uncertainty=uncertainty,
        cents_uncertainty=_cents(1 + uncertainty / tone.hertz),
        scatter_cents=_cents(1 + tone.scatter_hertz / tone.hertz),
        seconds_used=len(samples) / rate,
        starts_at=starts_at,
        remarks=tone.remarks,
    )


def _cents(ratio: float) -> float:
    """Interval of a ratio of frequencies, in cents.

    >>> _cents(2.0)
    1200.0
    """
    return 1200 * math.log2(ratio)

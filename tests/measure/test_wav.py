"""WAV files: every layout taken, every other refused in plain words.

The standard library's `wave` module writes the integer files, so header and sample layout are not our own.
Float and extensible headers are put together here by hand after the published format (from memory).
"""

from __future__ import annotations

import math
import struct
import wave
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.measure.pitch.pitch import NoTone, Pitch, measure_pitch
from bench.measure.pitch.wav import WavError, read_header

RATE = 8_000
TONE = [0.5 * math.sin(math.tau * 440.2 * i / RATE) for i in range(RATE // 2)]
PCM_GUID = bytes.fromhex("0100000000001000800000aa00389b71")
FLOAT_GUID = bytes.fromhex("0300000000001000800000aa00389b71")
SMALL = settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture])


def integers(samples: list[float], bits: int) -> bytes:
    full = 1 << (bits - 1)
    numbers = [round(sample * (full - 1)) for sample in samples]
    if bits == 8:
        return bytes(number + 128 for number in numbers)
    return b"".join(number.to_bytes(bits // 8, "little", signed=True) for number in numbers)


def riff(fmt: bytes, data: bytes, before: bytes = b"") -> bytes:
    body = b"WAVE" + before + chunk(b"fmt ", fmt) + chunk(b"data", data)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)


def plain(kind: int, channels: int, bits: int, rate: int = RATE) -> bytes:
    width = channels * bits // 8
    return struct.pack("<HHIIHH", kind, channels, rate, rate * width, width, bits)


def extended(guid: bytes, channels: int, bits: int, valid: int) -> bytes:
    return plain(0xFFFE, channels, bits) + struct.pack("<HHI", 22, valid, 0) + guid


def measured(path: Path, data: bytes) -> Pitch:
    path.write_bytes(data)
    found = measure_pitch(path)
    assert isinstance(found, Pitch)
    return found


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("bits", [8, 16, 24, 32])
def test_integer_files_of_the_standard_library_are_read(tmp_path: Path, bits: int, channels: int) -> None:
    path = tmp_path / "tone.wav"
    frames = [sample for sample in TONE for _ in range(channels)]
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(bits // 8)
        file.setframerate(RATE)
        file.writeframes(integers(frames, bits))
    found = measure_pitch(path)
    assert isinstance(found, Pitch)
    assert found.hertz == pytest.approx(440.2, rel=2e-5)
    recording = read_header(path)
    assert (recording.channels, recording.bits, recording.rate) == (channels, bits, RATE)
    assert recording.frames == RATE // 2


@pytest.mark.parametrize(("bits", "code"), [(32, "f"), (64, "d")])
def test_float_files_are_read(tmp_path: Path, bits: int, code: str) -> None:
    data = struct.pack(f"<{len(TONE)}{code}", *TONE)
    found = measured(tmp_path / "t.wav", riff(plain(3, 1, bits), data))
    assert found.hertz == pytest.approx(440.2, rel=1e-6)


@pytest.mark.parametrize(
    ("fmt", "data"),
    [
        (extended(PCM_GUID, 1, 16, 16), integers(TONE, 16)),
        (extended(PCM_GUID, 1, 24, 20), integers(TONE, 24)),
        (extended(PCM_GUID, 1, 32, 24), integers(TONE, 32)),
        (extended(FLOAT_GUID, 1, 32, 32), struct.pack(f"<{len(TONE)}f", *TONE)),
    ],
)
def test_extensible_headers_are_read(tmp_path: Path, fmt: bytes, data: bytes) -> None:
    assert measured(tmp_path / "t.wav", riff(fmt, data)).hertz == pytest.approx(440.2, rel=1e-5)


def test_chunks_before_the_sound_are_passed_over_even_of_odd_length(tmp_path: Path) -> None:
    data = riff(plain(1, 1, 16), integers(TONE, 16), before=chunk(b"LIST", b"abc") + chunk(b"junk", b""))
    assert measured(tmp_path / "t.wav", data).hertz == pytest.approx(440.2, rel=1e-5)


def test_of_two_channels_the_louder_is_measured_and_the_answer_says_which(tmp_path: Path) -> None:
    other = [0.05 * math.sin(math.tau * 700 * i / RATE) for i in range(len(TONE))]
    frames = [sample for pair in zip(other, TONE, strict=True) for sample in pair]
    found = measured(tmp_path / "t.wav", riff(plain(1, 2, 16), integers(frames, 16)))
    assert found.hertz == pytest.approx(440.2, rel=1e-5)
    assert "measured on the right channel" in found.remarks


def test_channels_in_opposite_phase_do_not_cancel(tmp_path: Path) -> None:
    frames = [sample for value in TONE for sample in (value, -value)]
    found = measured(tmp_path / "t.wav", riff(plain(1, 2, 16), integers(frames, 16)))
    assert found.hertz == pytest.approx(440.2, rel=1e-5)


GOOD = riff(plain(1, 1, 16), integers(TONE, 16))
SOUND = integers(TONE, 16)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b"RIFF", "not a WAV"),
        (b"ID3\x04" + bytes(100), "not a WAV"),
        (GOOD.replace(b"WAVE", b"AVI "), "not a WAV"),
        (b"RF64" + GOOD[4:], "RF64"),
        (b"RIFX" + GOOD[4:], "RIFX"),
        (GOOD[:40], "ends before"),
        (GOOD[:1000], "promises 8000 bytes of audio, the file holds 956"),
        (GOOD[:40] + b"\xff\xff\xff\xff" + GOOD[44:], "promises 4294967295 bytes"),
        (riff(plain(1, 1, 16), b""), "audio"),
        (riff(plain(1, 1, 16), b"abc"), "3 bytes of audio are not a whole number"),
        (riff(plain(1, 1, 16)[:12], SOUND), "cut short"),
        (riff(plain(2, 1, 4), SOUND), "compressed"),
        (riff(plain(0x55, 2, 16), SOUND), "compressed"),
        (riff(extended(bytes(16), 1, 16, 16), SOUND), "extended format"),
        (riff(plain(0xFFFE, 1, 16), SOUND), "extended format"),
        (riff(plain(1, 0, 16), SOUND), "0 channels"),
        (riff(plain(1, 6, 16), SOUND), "6 channels"),
        (riff(plain(1, 1, 16, 4_000), SOUND), "4000 samples per second"),
        (riff(plain(1, 1, 16, 384_000), SOUND), "384000 samples per second"),
        (riff(plain(1, 1, 12), SOUND), "12-bit integer"),
        (riff(plain(3, 1, 16), SOUND), "16-bit float"),
        (riff(plain(1, 1, 16)[:12] + b"\x07\0" + b"\x10\0", SOUND), "7 bytes a frame"),
        (b"RIFF\0\0\0\0WAVE" + chunk(b"data", SOUND), "before the format"),
        (b"RIFF\0\0\0\0WAVE" + chunk(b"junk", b"") * 2000, "first 1000 chunks"),
        (riff(plain(3, 1, 32), struct.pack("<4000f", *[math.nan] * 4000)), "audio"),
        (riff(plain(3, 1, 32), struct.pack("<4000f", *[math.inf, 0.0] * 2000)), "audio"),
        (riff(plain(3, 1, 64), struct.pack("<4000d", *[1e300, -1e300] * 2000)), "audio"),
        (riff(plain(3, 1, 64), struct.pack("<4000d", *TONE[:2001], math.nan, *TONE[2002:])), "audio"),
    ],
)
def test_what_cannot_be_read_is_refused_in_plain_words(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "bad.wav"
    path.write_bytes(data)
    with pytest.raises(WavError) as caught:
        measure_pitch(path)
    assert said in caught.value.what
    assert caught.value.where == str(path)
    assert caught.value.hint


@pytest.mark.parametrize("name", ["missing.wav", ".", "a\0b.wav", "x" * 5000])
def test_a_name_that_leads_nowhere_is_an_error_not_a_traceback(tmp_path: Path, name: str) -> None:
    with pytest.raises(WavError):
        measure_pitch(tmp_path / name)


def test_a_file_that_shrinks_or_goes_while_it_is_read_is_an_error(tmp_path: Path) -> None:
    path = tmp_path / "tone.wav"
    path.write_bytes(GOOD)
    recording = read_header(path)
    path.write_bytes(GOOD[:500])
    with pytest.raises(WavError, match="shrank"):
        recording.read_frames(0, recording.frames)
    path.unlink()
    with pytest.raises(WavError, match="cannot be read"):
        recording.read_frames(0, recording.frames)


@SMALL
@given(data=st.binary(max_size=300))
def test_arbitrary_bytes_give_an_answer_or_a_plain_error(tmp_path: Path, data: bytes) -> None:
    check_never_breaks(tmp_path / "any.wav", data)


@SMALL
@given(
    kind=st.sampled_from([1, 3, 0xFFFE]),
    channels=st.integers(0, 3),
    bits=st.sampled_from([0, 8, 16, 24, 32, 64]),
    rate=st.sampled_from([0, 8000, 44_100, 192_000, 2**32 - 1]),
    data=st.binary(max_size=4000),
)
def test_any_sound_under_a_sensible_header_gives_an_answer_or_a_plain_error(
    tmp_path: Path, kind: int, channels: int, bits: int, rate: int, data: bytes
) -> None:
    width = channels * bits // 8
    fmt = struct.pack("<HHIIHH", kind, channels, rate, 0, width, bits) + b"\x16\0\x10\0\0\0\0\0" + FLOAT_GUID
    whole = data[: len(data) // width * width] if width else data
    check_never_breaks(tmp_path / "any.wav", riff(fmt, whole))


@SMALL
@given(at=st.integers(0, 60), byte=st.integers(0, 255), end=st.integers(0, len(GOOD)))
def test_a_damaged_file_gives_an_answer_or_a_plain_error(tmp_path: Path, at: int, byte: int, end: int) -> None:
    check_never_breaks(tmp_path / "any.wav", (GOOD[:at] + bytes([byte]) + GOOD[at + 1 :])[: max(end, 61)])


def check_never_breaks(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    try:
        found = measure_pitch(path)
    except SoldersideError as error:
        told = error
    else:
        assert isinstance(found, NoTone) or math.isfinite(found.hertz)
        return
    assert told.what
    assert told.where

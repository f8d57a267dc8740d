"""A WAV recording: what its header says, and any stretch of its samples.

Layout after the published 'Multimedia Programming Interface and Data Specifications 1.0' (1991) and its
extensible format of 2001, from memory: RIFF chunks, `fmt ` before `data`, little-endian throughout.
"""

from __future__ import annotations

import os
import struct
import sys
from array import array
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from bench.errors import SoldersideError

LOWEST_RATE, HIGHEST_RATE = 8_000, 192_000
"""Sample rates taken, hertz."""
MOST_CHUNKS = 1_000
"""Chunks looked through for the sound before a file is given up."""

_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_GUID_TAIL = bytes.fromhex("00000000 1000 8000 00aa00389b71")
_TYPES = {
    (_PCM, 8): "b",
    (_PCM, 16): "h",
    (_PCM, 24): "i",
    (_PCM, 32): "i",
    (_FLOAT, 32): "f",
    (_FLOAT, 64): "d",
}
_SIGNED = bytes((value - 128) % 256 for value in range(256))
_AS_PCM = "save it again as plain PCM WAV, 16 or 24 bit"


class WavError(SoldersideError):
    """This file is not a recording that can be read."""


class Recording(Struct, frozen=True, kw_only=True):
    """A WAV file as its header describes it; the sound stays in the file."""

    path: Path
    rate: int
    """Frames in a second, hertz."""
    channels: int
    """1 or 2."""
    bits: int
    """Bits each sample takes in the file: 8, 16, 24, 32 or 64."""
    is_float: bool
    data_at: int
    """Where the sound begins, bytes from the start of the file."""
    frames: int
    """Samples of each channel."""

    @property
    def full_scale(self) -> float:
        """The number in `read_frames` that stands for full scale: 32768 for 16 bit, 1.0 for float."""
        return 1.0 if self.is_float else float(1 << (31 if self.bits == 24 else self.bits - 1))

    def read_frames(self, start: int, count: int) -> tuple[Sequence[float], ...]:
        """Samples of each channel, unscaled, as arrays (24 bit is widened to 32).

        Takes `count` frames from `start`; both must lie inside the recording. Raises WavError when the file
        has changed or cannot be read.
        """
        width = self.channels * self.bits // 8
        try:
            with self.path.open("rb") as file:
                file.seek(self.data_at + start * width)
                data = file.read(count * width)
        except OSError as error:
            raise _unreadable(self.path, error) from error
        if len(data) < count * width:
            raise WavError("the file shrank while it was being read", str(self.path), "try again")
        return _decode(data, self.channels, self.bits, self.is_float)


def read_header(path: Path) -> Recording:
    """Look through a WAV file's chunks and say what is in it.

    Takes integer PCM of 8, 16, 24 or 32 bits and float of 32 or 64, mono or stereo, 8 to 192 kHz. Raises
    WavError for anything else, and for a file that ends before its sound does.
    """
    try:
        if not path.is_file():
            missing = "there is no such file" if not path.exists() else "this is not an ordinary file"
            raise WavError(missing, str(path), "give the name of a WAV file")
        with path.open("rb") as file:
            return _read_chunks(file, path, os.fstat(file.fileno()).st_size)
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        raise _unreadable(path, error) from error


def _read_chunks(file: BinaryIO, path: Path, size: int) -> Recording:
    where = str(path)
    head = file.read(12)
    if not head:
        raise WavError("the file is empty", where, "record again")
    if head[:4] in (b"RF64", b"BW64", b"RIFX"):
        raise WavError(f"this is a {head[:4].decode()} file, not a plain WAV", where, _AS_PCM)
    if head[:4] != b"RIFF" or head[8:] != b"WAVE":
        raise WavError("this is not a WAV file", where, _AS_PCM)
    layout: tuple[int, int, int, int] | None = None
    at = 12
    for _ in range(MOST_CHUNKS):
        file.seek(at)
        header = file.read(8)
        if len(header) < 8:
            raise WavError("the file ends before its audio data begins", where, "copy or record it again")
        name, length = struct.unpack("<4sI", header)
        at += 8
        if name == b"fmt ":
            layout = _read_format(file.read(min(length, 40)), where)
        elif name == b"data":
            if layout is None:
                raise WavError(
                    "the audio data comes before the format chunk, so it cannot be read", where, _AS_PCM
                )
            return _recording(path, layout, at, length, size)
        at += length + length % 2
    raise WavError(f"no audio data among the first {MOST_CHUNKS} chunks", where, _AS_PCM)


def _recording(path: Path, layout: tuple[int, int, int, int], at: int, length: int, size: int) -> Recording:
    """What lies in a data chunk of `length` bytes from byte `at` of a file of `size` bytes."""
    kind, channels, rate, bits = layout
    where, width = str(path), channels * bits // 8
    if length > size - at:
        what = f"the header promises {length} bytes of audio, the file holds {size - at}"
        raise WavError(what, where, "it was cut short: copy or record it again")
    if length < width:
        raise WavError("the file contains no audio", where, "record again")
    if length % width:
        raise WavError(f"{length} bytes of audio are not a whole number of samples", where, _AS_PCM)
    return Recording(
        path=path,
        rate=rate,
        channels=channels,
        bits=bits,
        is_float=kind == _FLOAT,
        data_at=at,
        frames=length // width,
    )


def _read_format(fmt: bytes, where: str) -> tuple[int, int, int, int]:
    """Check the format chunk; gives kind, channels, rate and bits."""
    if len(fmt) < 16:
        raise WavError("the format chunk is cut short", where, _AS_PCM)
    kind, channels, rate, _, width, bits = struct.unpack("<HHIIHH", fmt[:16])
    if kind == _EXTENSIBLE:
        if len(fmt) < 40 or fmt[26:40] != _GUID_TAIL:
            raise WavError("the extended format in the header is not one known here", where, _AS_PCM)
        kind = struct.unpack("<H", fmt[24:26])[0]
    if kind not in (_PCM, _FLOAT):
        raise WavError(f"the audio is compressed or coded (format {kind:#06x})", where, _AS_PCM)
    if channels not in (1, 2):
        raise WavError(f"{channels} channels", where, "save it as mono or stereo")
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise WavError(f"{rate} samples per second", where, "save it with 8000 to 192000, best 48000")
    if (kind, bits) not in _TYPES:
        what = f"{bits}-bit {'float' if kind == _FLOAT else 'integer'} samples"
        raise WavError(what, where, _AS_PCM)
    if width != channels * bits // 8:
        raise WavError(f"{width} bytes a frame do not go with {channels} x {bits} bits", where, _AS_PCM)
    return kind, channels, rate, bits


def _decode(data: bytes, channels: int, bits: int, is_float: bool) -> tuple[Sequence[float], ...]:
    """Turn whole frames into one array for each channel.

    >>> _decode(bytes([128, 255, 0]), 1, 8, False)
    (array('b', [0, 127, -128]),)
    >>> _decode(bytes([1, 0, 0xff, 0xff]), 2, 16, False)
    (array('h', [1]), array('h', [-1]))
    """
    if bits == 8:
        data = data.translate(_SIGNED)
    elif bits == 24:
        wide = bytearray(len(data) // 3 * 4)
        wide[1::4], wide[2::4], wide[3::4] = data[0::3], data[1::3], data[2::3]
        data = bytes(wide)
    samples: array[float] = array(_TYPES[_FLOAT if is_float else _PCM, bits])
    samples.frombytes(data)
    if sys.byteorder == "big":
        samples.byteswap()
    return (samples,) if channels == 1 else (samples[0::2], samples[1::2])


def _unreadable(path: Path, error: Exception) -> WavError:
    said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return WavError(f"the file cannot be read ({said})", str(path), "check its name and permissions")

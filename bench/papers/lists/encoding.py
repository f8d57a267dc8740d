"""From bytes to lines of text."""

from __future__ import annotations

import re

from msgspec import Struct

from bench.errors import SoldersideError

MOST_LINES = 5_000
"""Lines that are read; no maker's list comes near it."""
MOST_CHARACTERS = 500_000
LONGEST_LINE = 20_000

_SAVE_AS = "save it as text or as a spreadsheet, or paste its text into a text file"
_KNOWN = (
    (b"%PDF", "this is a PDF", "copy the list out of it and paste it into a text file"),
    (b"\x89PNG", "this is a picture", "type the list, or find it as text"),
    (b"\xff\xd8\xff", "this is a picture", "type the list, or find it as text"),
    (b"GIF8", "this is a picture", "type the list, or find it as text"),
    (b"\x1f\x8b", "this file is compressed", "unpack it first"),
    (b"7z\xbc\xaf", "this file is compressed", "unpack it first"),
    (b"Rar!", "this file is compressed", "unpack it first"),
    (b"{\\rtf", "this is a word processor's file", _SAVE_AS),
)
_MARKS = (
    (b"\xef\xbb\xbf", "utf-8", "UTF-8 with a byte order mark"),
    (b"\xff\xfe\x00\x00", "utf-32-le", "UTF-32"),
    (b"\x00\x00\xfe\xff", "utf-32-be", "UTF-32"),
    (b"\xff\xfe", "utf-16-le", "UTF-16"),
    (b"\xfe\xff", "utf-16-be", "UTF-16"),
)
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f]")
_DOS_MICRO = re.compile(r"[0-9] ?\xe6[FfHh]\b")
_DOS_OHM = re.compile(r"[0-9][kKM]?\xea(?!\w)")
_KANA = re.compile("[\u3040-\u30ff]")
_CYRILLIC_RUN = re.compile(rb"[\xc0-\xff]{4,}")


class Decoded(Struct, frozen=True, kw_only=True):
    """The text of a file."""

    lines: tuple[str, ...]
    encoding: str
    """`UTF-8`, `Windows-1252` ..., for people."""
    doubts: tuple[tuple[int, str], ...] = ()
    """Line and what could not be read."""


def decode(data: bytes, name: str) -> Decoded:
    """The lines of a text file, whatever its encoding and its line ends.

    Raises SoldersideError, with a hint, when it is no text.
    """
    for magic, what, hint in _KNOWN:
        if data.startswith(magic):
            raise SoldersideError(what, name, hint)
    text, encoding = _text(data[: MOST_CHARACTERS * 4])
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x0c", "").replace("\x0b", " ")
    controls = len(_CONTROL.findall(text[:100_000]))
    if controls > 4 and controls * 50 > len(text[:100_000]):
        raise SoldersideError("this is not text", name, _SAVE_AS)
    return _cut(_CONTROL.sub("", text), encoding, len(data) > MOST_CHARACTERS * 4)


def _cut(text: str, encoding: str, longer: bool) -> Decoded:
    """The text's lines, with a doubt for all that is not read."""
    doubts: list[tuple[int, str]] = []
    lines = text[:MOST_CHARACTERS].split("\n")
    if longer or len(text) > MOST_CHARACTERS or len(lines) > MOST_LINES:
        last = min(len(lines), MOST_LINES)
        doubts.append((last, f"the file is longer than any parts list: nothing after line {last} was read"))
        lines = lines[:MOST_LINES]
    for at, line in enumerate(lines):
        if len(line) > LONGEST_LINE:
            doubts.append((at + 1, f"only the first {LONGEST_LINE} characters of this line were read"))
            lines[at] = line[:LONGEST_LINE]
    if "\ufffd" in text:
        bad = [at + 1 for at, line in enumerate(lines) if "\ufffd" in line]
        if bad:
            more = f", nor in {len(bad) - 1} more" if len(bad) > 1 else ""
            doubts.append((bad[0], f"some characters of this line could not be read as {encoding}{more}"))
    return Decoded(lines=tuple(lines), encoding=encoding, doubts=tuple(doubts))


def _text(data: bytes) -> tuple[str, str]:
    """Text and name of its encoding."""
    for mark, codec, shown in _MARKS:
        if data.startswith(mark):
            return data[len(mark) :].decode(codec, "replace"), shown
    head = data[:4096]
    if len(head) > 3 and head.count(0) * 10 > len(head) * 3:
        odd, even = head[1::2].count(0), head[::2].count(0)
        codec = "utf-16-le" if odd >= even else "utf-16-be"
        return data.decode(codec, "replace"), "UTF-16"
    try:
        text = data.decode("utf-8")
        return text, "ASCII" if text.isascii() else "UTF-8"
    except UnicodeDecodeError:
        return _eight_bits(data)


def _eight_bits(data: bytes) -> tuple[str, str]:
    """Text that is not UTF-8, or not all of it."""
    mostly = data.decode("utf-8", "replace")
    wrong = mostly.count("\ufffd")
    right = sum(map(mostly.count, "µμΩΩ°±äöüßéèàçñ–—“”’"))
    if right > wrong or len(re.findall("[\u3040-\u9fff\u0400-\u04ff]", mostly)) > 4 * wrong:
        return mostly, "UTF-8"
    try:
        japanese = data.decode("cp932")
    except UnicodeDecodeError:
        japanese = ""
    if len(_KANA.findall(japanese)) > 2:
        return japanese, "Shift JIS"
    high = sum(byte >= 0x80 for byte in data[:20_000])
    if high and sum(map(len, _CYRILLIC_RUN.findall(data[:20_000]))) * 2 > high:
        return data.decode("cp1251", "replace"), "Windows-1251"
    try:
        western = data.decode("cp1252")
    except UnicodeDecodeError:
        western = data.decode("latin-1")
    if _DOS_MICRO.search(western) or _DOS_OHM.search(western):
        return data.decode("cp437"), "DOS code page 437"
    return western, "Windows-1252"

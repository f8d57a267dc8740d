"""Chapters and captions as files: WebVTT, SubRip, a plain list, CSV. Pure.

Sources: WebVTT, W3C Candidate Recommendation of 4 April 2019 (file structure, timings, cue text); SubRip as the
documentation of the Matroska container describes it (number, times with a decimal comma, text, empty line; from
memory); RFC 4180 for CSV. The plain list, and that video sites refuse angle brackets, are common practice (no
source).
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from types import SimpleNamespace

from bench.writeup.film.captions import Caption
from bench.writeup.film.chapters import Chapter, ChapterMoment
from bench.writeup.words import clock_text, one_line

_CUE = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_PLAIN = str.maketrans({"<": "‹", ">": "›"})
_BARE = str.maketrans({"<": "‹", ">": "›", "{": "(", "}": ")"})
CSV_HEAD = ("clip", "start", "end", "what", "title")


def stamp(seconds: float) -> str:
    """A WebVTT timestamp: hours in two digits or more, minutes, seconds, three digits of milliseconds.

    >>> stamp(59.9996), stamp(0.0), stamp(360_000.0004)
    ('00:01:00.000', '00:00:00.000', '100:00:00.000')
    """
    whole = max(0, round(seconds * 1000))
    minutes, rest = divmod(whole, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def webvtt_file(chapters: Sequence[Chapter]) -> str:
    """A WebVTT file with one cue for each chapter; no title can end a cue or begin a tag."""
    return _webvtt((each.start, each.end, [each.title]) for each in chapters)


def webvtt_captions(captions: Sequence[Caption]) -> str:
    """Captions as a WebVTT file; no text can end a cue or begin a tag."""
    return _webvtt((each.start, each.end, each.lines) for each in captions)


def _webvtt(cues: Iterable[tuple[float, float, Sequence[str]]]) -> str:
    told = [f"{stamp(start)} --> {stamp(end)}\n{_lines(lines, _CUE)}\n" for start, end, lines in cues]
    return "\n".join(["WEBVTT\n", *told])


def subrip_captions(captions: Sequence[Caption]) -> str:
    """Captions as a SubRip file.

    It has no escapes: what players take for tags, `<b>` and `{\\an8}`, stands there with other brackets.
    """
    cues = []
    for number, each in enumerate(captions, 1):
        times = f"{stamp(each.start)} --> {stamp(each.end)}".replace(".", ",")
        cues.append(f"{number}\n{times}\n{_lines(each.lines, _BARE)}\n")
    return "\n".join(cues)


def _lines(lines: Sequence[str], table: dict[int, str]) -> str:
    return "\n".join(one_line(line).translate(table) for line in lines)


def plain_list(chapters: Sequence[Chapter]) -> str:
    """One line for each chapter, for the text under a video."""
    return "".join(f"{clock_text(each.start)} {plain_words(each.title)}\n" for each in chapters)


def plain_moments(moments: Sequence[ChapterMoment]) -> str:
    """One line for each moment worth showing: where to cut in, where out, what is to be seen."""
    return "".join(
        f"{clock_text(each.start)} to {clock_text(each.end)}  {plain_words(each.title)}\n" for each in moments
    )


def csv_rows(rows: Iterable[tuple[str, Sequence[Chapter | ChapterMoment]]]) -> str:
    """A CSV file (lines end in CR LF) with a head; `rows` are clip names, each with what is in the clip.

    A text that a spreadsheet would take for a formula gets an apostrophe in front (common practice, no source).
    """
    lines: list[str] = []
    writer = csv.writer(SimpleNamespace(write=lines.append))
    writer.writerow(CSV_HEAD)
    for clip, told in rows:
        for each in told:
            cells = (_cell(clip), f"{each.start:.3f}", f"{each.end:.3f}", each.kind, _cell(each.title))
            writer.writerow(cells)
    return "".join(lines)


def plain_words(title: str) -> str:
    """A text on one line, without angle brackets."""
    return one_line(title).translate(_PLAIN)


def _cell(text: str) -> str:
    text = one_line(text)
    return f"'{text}" if text.startswith(("=", "+", "-", "@")) else text

"""Put an article on the disk: whole or not at all, without losing what the builder wrote into it.

The first line of a page is a comment that says who wrote it and carries a checksum of all text outside
the places for the builder's own words. A file without that line is not ours; one whose checksum is
wrong was changed by hand outside the places. Neither is overwritten without `force`, and even then
what stood there is kept beside it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path

from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.writeup.commonmark import begins, ends
from bench.writeup.output_files import Saved, put, read_plain, target_of

_FIRST_LINE = re.compile(r"<!-- solderside wrote this page \(check ([0-9a-f]{16})\)[^\n]*-->")
_BEGINS = re.compile(r"\s*<!-- your words: ([a-z ]+) -->\s*")
_ENDS = re.compile(r"\s*<!-- end of your words: ([a-z ]+) -->\s*")


def save(path: Path, page: str, *, force: bool = False) -> Saved:
    """Write a page to `path`, with the builder's own words from the page that stands there.

    Raises Refused, with nothing touched, when another file stands there or the page was changed outside
    its places, unless `force` is set; SoldersideError when a file cannot be read or written.
    """
    old = read_plain(target_of(path))
    why = "" if old is None else objection(old)
    try:
        words = {} if old is None else own_words(page_text(old), str(path))
    except SoldersideError:
        if not why:
            raise
        words = {}
    saved = put(path, _stamped(with_own_words(page, words)).encode(), why, force=force)
    return replace(saved, own_words=filled(words))


def filled(words: Mapping[str, str]) -> tuple[str, ...]:
    """The places in which there are own words."""
    return tuple(place for place, text in words.items() if text.strip())


# -- the builder's own words -------------------------------------------------------------------------
def own_words(page: str, where: str = "the page") -> dict[str, str]:
    """The builder's text in each place of a page, empty lines around it cut off.

    Raises SoldersideError when a place has no end or stands there twice.

    >>> own_words("<!-- your words: opening -->\\nHello.\\n<!-- end of your words: opening -->")
    {'opening': 'Hello.'}
    """
    found: dict[str, str] = {}
    place, since = "", 0
    lines = page.split("\n")
    for number, line in enumerate(lines, 1):
        begun, ended = _BEGINS.fullmatch(line), _ENDS.fullmatch(line)
        if begun and place:
            break
        if begun and begun[1] in found:
            raise SoldersideError(
                f"the place '{begun[1]}' appears twice",
                f"{where}:{number}",
                "move both texts into the first",
            )
        if begun:
            place, since = begun[1], number
        elif ended and ended[1] == place:
            found[place] = "\n".join(lines[since : number - 1]).strip("\n")
            place = ""
    if place:
        hint = f"put the line '{ends(place)}' after your words"
        raise SoldersideError(f"the place '{place}' has no end", f"{where}:{since}", hint)
    return found


def with_own_words(page: str, words: Mapping[str, str]) -> str:
    """The page with these texts in its places; a text without a place gets one of its own near the end.

    >>> page = "<!-- your words: closing -->\\n<!-- end of your words: closing -->\\n"
    >>> own_words(with_own_words(page, {"closing": "Bye.", "snags": "Ow."}))
    {'snags': 'Ow.', 'closing': 'Bye.'}
    """
    lines = page.split("\n")
    places = {begun[1]: at for at, line in enumerate(lines) if (begun := _BEGINS.fullmatch(line))}
    homeless = [place for place, text in words.items() if place not in places and text.strip()]
    before_last = max(places.values(), default=len(lines) - 1)
    told: list[str] = []
    for at, line in enumerate(lines):
        if at == before_last:
            for place in homeless:
                told += [begins(place), *_body(words[place]), ends(place), ""]
        told.append(line)
        begun = _BEGINS.fullmatch(line)
        if begun:
            told += _body(words.get(begun[1], ""))
    return "\n".join(told)


def _body(text: str) -> list[str]:
    return ["", *text.strip("\n").split("\n"), ""] if text.strip() else []


# -- whose page it is --------------------------------------------------------------------------------
def objection(old: bytes) -> str:
    """Why a file may not simply be replaced; empty when it may."""
    first, _, page = page_text(old).partition("\n")
    ours = _FIRST_LINE.fullmatch(first.strip())
    if not ours:
        return "there is a file that solderside did not write"
    if ours[1] != _checksum(page):
        return "the page was changed by hand outside the places for your own words"
    return ""


def _stamped(page: str) -> str:
    return (
        f"<!-- solderside wrote this page (check {_checksum(page)}). What you write between a line 'your "
        f"words' and its 'end of your words' stays; all else is made anew from the log. -->\n{page}"
    )


def _checksum(page: str) -> str:
    """Of all that stands outside the places; blanks at line ends and empty lines do not count."""
    kept: list[str] = []
    place = ""
    for line in page.split("\n"):
        begun, ended = _BEGINS.fullmatch(line), _ENDS.fullmatch(line)
        if ended and ended[1] == place:
            place = ""
        if not place and line.strip():
            kept.append(line.strip())
        if begun and not place:
            place = begun[1]
    return hashlib.sha256("\n".join(kept).encode()).hexdigest()[:16]


def page_text(raw: bytes) -> str:
    """The text of a page as it lies on the disk."""
    return raw.decode("utf-8-sig", "replace").replace("\r\n", "\n")

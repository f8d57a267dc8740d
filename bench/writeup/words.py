"""Plain English for an article: numbers, plurals, lists, days, durations, places."""

from __future__ import annotations

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal

from bench.parts.english import counted as counted
from bench.parts.english import join as join
from bench.parts.english import plural as plural

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip
_BLANKS = re.compile("[\t-\r\x1c-\x20\x85\u2028\u2029]+")
_JOINERS = "\u200c\u200d"
_UNASSIGNED = "\u2065"
"""No sign yet, but kept for one that shows nothing (Unicode, DerivedCoreProperties, Default_Ignorable)."""


def one_line(text: str) -> str:
    """The text on one line: runs of blanks become one space, characters that show nothing are dropped.

    Dropped are controls and formatting characters such as those that turn the direction of writing
    (Unicode categories Cc and Cf, but not the two joiners that scripts need); half a surrogate pair
    becomes U+FFFD.

    >>> one_line(" two\\n\\tlines \\x1b[31m")
    'two lines [31m'
    >>> one_line("a\\u2065b\\u2066c")
    'abc'
    """
    if text.isprintable() and "  " not in text:
        return text.strip()
    return _BLANKS.sub(" ", visible(_BLANKS.sub(" ", text))).strip()


def visible(text: str) -> str:
    """The text without characters that show nothing; see `one_line`."""
    return text if text.isprintable() else "".join(map(_seen, text))


def _seen(character: str) -> str:
    category = unicodedata.category(character)
    if category == "Cs":
        return "\ufffd"
    unseen = category in ("Cc", "Cf") or character == _UNASSIGNED
    return "" if unseen and character not in _JOINERS else character


def number(count: int) -> str:
    """A small number in words.

    >>> number(3), number(11)
    ('three', '11')
    """
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def spelt(amount: int, noun: str) -> str:
    """Number in words and noun.

    >>> spelt(1, "snag"), spelt(2, "snag"), spelt(12, "snag")
    ('one snag', 'two snags', '12 snags')
    """
    return f"{number(amount)} {noun if amount == 1 else plural(noun)}"


def capital(text: str) -> str:
    """The text with a capital first letter.

    >>> capital("one snag")
    'One snag'
    """
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """The text with a full stop, unless it ends like a sentence already.

    >>> sentence("a hair bridge"), sentence("why?"), sentence("it works...")
    ('a hair bridge.', 'why?', 'it works...')
    """
    text = one_line(text)
    return text if not text or text.endswith((".", "!", "?", "…", ":", ";")) else text + "."


def day(iso: str) -> str:
    """A day as people write it; `iso` is `YYYY-MM-DD`, or empty for an unknown day.

    >>> day("2031-02-03"), day("")
    ('3 February 2031', 'an unknown day')
    """
    if not iso:
        return "an unknown day"
    year, month, date = iso.split("-")
    return f"{int(date)} {_MONTHS[int(month) - 1]} {int(year)}"


def days(first: str, last: str) -> str:
    """From the first day to the last, each `YYYY-MM-DD`.

    >>> days("2031-02-03", "2031-02-03")
    'on 3 February 2031'
    >>> days("2031-02-03", "2031-02-07")
    'from 3 to 7 February 2031'
    >>> days("2031-01-30", "2031-02-07")
    'from 30 January to 7 February 2031'
    >>> days("2030-12-30", "2031-01-02")
    'from 30 December 2030 to 2 January 2031'
    """
    if first == last or not first or not last:
        return f"on {day(last or first)}"
    left, right = day(first).split(" "), day(last).split(" ")
    while len(left) > 1 and left[-1] == right[len(left) - 1]:
        left.pop()
    return f"from {' '.join(left)} to {' '.join(right)}"


def hours(minutes: int) -> str:
    """Whole minutes as a duration.

    >>> hours(0), hours(59), hours(60), hours(125)
    ('under 1 min', '59 min', '1 h 00 min', '2 h 05 min')
    """
    if minutes < 1:
        return "under 1 min"
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"


def clock_text(seconds: float) -> str:
    """Minutes and seconds, hours where there are any; rounded down, so that nobody lands after the start.

    >>> clock_text(0.0), clock_text(59.9996), clock_text(3725.9)
    ('0:00', '0:59', '1:02:05')
    """
    whole = int(max(0.0, seconds))
    if whole < 3600:
        return f"{whole // 60}:{whole % 60:02d}"
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def lost(minutes: float) -> str:
    """Minutes as the builder told them; from an hour on to the minute, halves upwards.

    >>> lost(12), lost(2.5), lost(75.5), lost(60), lost(0.1)
    ('12 min', '2.5 min', '1 h 16 min', '1 h 00 min', '0.1 min')
    """
    told = Decimal(repr(minutes))
    if told < 60:
        return f"{told.normalize():f} min"
    return hours(int(told.quantize(Decimal(1), ROUND_HALF_UP)))


def board(name: str) -> str:
    """A board as people say it.

    >>> board("main"), board("Main board"), board("panel"), board("")
    ('main board', 'Main board', 'panel', 'whole module')
    """
    name = one_line(name)
    if not name:
        return "whole module"
    return name if name.lower().split()[-1] in ("board", "panel", "pcb") else f"{name} board"


def place(stage: str, board_name: str) -> str:
    """Where in the work: stage and board, or what there is of them.

    >>> place("Trim", ""), place("Joints", "main"), place("", "")
    ('Trim', 'Joints, main board', 'outside the stages')
    """
    stage = one_line(stage)
    if one_line(board_name):
        return f"{stage}, {board(board_name)}" if stage else board(board_name)
    return stage or "outside the stages"


def with_part(what: str, part: str) -> str:
    """What went wrong with the part in front of it, unless the words name the part.

    >>> with_part("sat crooked", "SW1"), with_part("SW1 sat crooked", "SW1"), with_part("R12 got hot", "R1")
    ('SW1: sat crooked', 'SW1 sat crooked', 'R1: R12 got hot')
    """
    what, part = one_line(what), one_line(part)
    if not what or not part:
        return what or part
    return what if _bare(part).strip() and _bare(part) in _bare(what) else f"{part}: {what}"


def _bare(text: str) -> str:
    """Whole words only, so that R1 is not found in R12."""
    return " ".join(["", *re.findall(r"[^\W_]+", text.lower()), ""])

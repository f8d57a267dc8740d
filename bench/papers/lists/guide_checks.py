"""Checks that a guide's text asks for: tables of test points, and lists of what to look at before power. Pure.

They are looked for below a heading that announces them, and only ever offered. What concerns the mains or
more than 50 V is not offered: the program cannot tell how such a reading is taken safely.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from bench.errors import SoldersideError
from bench.papers.lists.draft import Doubt, GuideCheck
from bench.parts.expectation import parse_expectation

BEFORE, FIRST = "Before power", "First power"
"""The hold points that the checks go to."""
_BEFORE = re.compile(
    r"before (?:you )?(?:apply|connect|switch|turn|power|plug)|pre-?power|before (?:the )?first power"
    r"|(?:checks?|tests?) without power|unpowered (?:checks?|tests?)",
    re.IGNORECASE,
)
_FIRST = re.compile(
    r"test ?points?|(?:expected |test )?(?:voltages|readings|measurements)|first power|power(?:ing)?[- ]?up"
    r"|switch(?:ing)? on|(?:checks?|tests?) (?:under|with) power|voltage (?:check|table|chart)s?",
    re.IGNORECASE,
)
_LONGEST_HEADING, _LINES, _MOST, _LONGEST = 7, 25, 30, 400
"""Words of a heading, lines below it, checks of a paper, characters of a line that can ask for one."""
_MARK = re.compile(r"^\s*(?:[-*•◦▪☐□·>]|#{1,6}|\[[ xX_]?\]|[0-9]{1,2}[.)]|[a-z][.)])\s*")
_PLACE = re.compile(
    r"between\s+(?P<one>[^,:;]{1,24}?)\s+and\s+(?P<two>[-+\w .]{1,16}?)"
    r"(?=\s*(?:[:,;=]|is\b|should|must|reads|\s{2}|[<>]|more|less|over|at\b|about|$))"
    r"|(?P<at>\bTP ?[0-9]{1,3}[A-Z]?|\btest ?point [0-9A-Z]{1,3}"
    r"|\bpin [0-9]{1,2} (?:of|on) [A-Z]{1,3}[0-9]{1,3}|\b(?:U|IC|Q|D)[0-9]{1,3},? pin [0-9]{1,2})\b",
    re.IGNORECASE,
)
_UNIT = r"(?:[mkMµu]?(?:VDC|VAC|V|A|Ω|ohms?)|[kM](?:ohms?|Ω)?|%)(?![A-Za-z])"
_NUMBER = r"[-+−]?[0-9]+(?:[.,][0-9]+)?"
_BOUND = r"about|approx\.?|approximately|at least|at most|more than|less than|over|under|above|below|[<>≥≤]"
_READING = re.compile(
    rf"(?:(?:{_BOUND})\s*)?"
    rf"{_NUMBER}\s*(?:{_UNIT})?(?:\s*(?:±|\+/-|to|\.{{2,3}}|–|-)\s*{_NUMBER}\s*{_UNIT})?",
    re.IGNORECASE,
)
_WORDS = (
    (re.compile(r"approx(?:imately|\.)?", re.IGNORECASE), "about"),
    (re.compile(r"more than|over|above", re.IGNORECASE), ">"),
    (re.compile(r"less than|under|below", re.IGNORECASE), "<"),
    (re.compile(r"−"), "-"),
)
_DEADLY = re.compile(
    r"\b(?:mains|line voltage|high voltage|H\.?T\.?|B\+|live|neutral|plate|anode|hazardous|lethal)(?!\w)",
    re.IGNORECASE,
)
_VOLTS = re.compile(r"(?<![0-9])([0-9]{1,9}(?:[.,][0-9]{1,9})?)\s*(k?)V(?:AC|DC)?\b")
_MOST_VOLTS = 50.0
_LOOSE = re.compile(r"^(?:\s|[,;=]|-\s)+")


def guide_checks(lines: Sequence[str]) -> tuple[GuideCheck, ...]:
    """What a paper asks to be measured or looked at, in the order of its lines.

    >>> [(each.where, each.expect) for each in guide_checks(["Test points", "TP1  4.9 to 5.1 V", "TP2  -12 V"])]
    [('TP1', '4.9 to 5.1 V'), ('TP2: -12 V', '')]
    """
    found: dict[tuple[str, str], GuideCheck] = {}
    point, left = "", 0
    for number, line in enumerate(lines, 1):
        if len(line) > _LONGEST:
            continue
        text = " ".join(_MARK.sub("", line).split())
        if heading := _heading(line, text):
            point, left = heading, _LINES
        elif not text:
            continue
        elif left and (_ends(line, text) or len(found) >= _MOST):
            point, left = "", 0
        elif left:
            left -= 1
            check = _check(line, text, point, number)
            if check is not None:
                found.setdefault((check.where.casefold(), check.expect), check)
    return tuple(found.values())


def _heading(line: str, text: str) -> str:
    """The hold point that a heading announces checks for; empty for any other line."""
    if not text or len(text.split()) > _LONGEST_HEADING or _VOLTS.search(text) or text.endswith("."):
        return ""
    if _PLACE.search(text) or not text[0].isupper() or "|" in line.strip("| "):
        return ""
    return BEFORE if _BEFORE.search(text) else FIRST if _FIRST.search(text) else ""


def _ends(line: str, text: str) -> bool:
    """Whether another heading begins: few words without a mark, a figure or an end."""
    plain = line.strip()
    marked = bool(_MARK.match(line)) and not plain.startswith("#")
    short = len(text.split()) <= 5 and not any(map(str.isdigit, text)) and text[-1] not in ".:;,!?"
    return plain.startswith("#") or (short and not marked and text[0].isupper() and "  " not in plain)


def _check(line: str, text: str, point: str, number: int) -> GuideCheck | None:
    if _is_deadly(text):
        return None
    place = _PLACE.search(text)
    if place is not None:
        where = place["at"] or f"{place['one'].strip()} and {place['two'].strip()}"
        rest = text[place.end() :] if place["at"] else text[: place.start()] + text[place.end() :]
        expect = _expected(rest)
        if expect:
            point = FIRST if parse_expectation(expect).unit in ("volt", "ampere") else point  # there is power
            return GuideCheck(point=point, where=" ".join(where.split()), expect=expect, line=number)
        told = _READING.search(rest)
        said = f"{' '.join(where.split())}: {told[0].strip()}" if told and len(text) > 60 else text.rstrip(".")
        return GuideCheck(point=point, where=_as_said(said), line=number) if told else None
    marked = bool(_MARK.match(line))
    if point == BEFORE and marked and 3 <= len(text.split()) <= 30:
        return GuideCheck(point=point, where=_as_said(text.rstrip(".")), line=number)
    return None


def _as_said(text: str) -> str:
    """A line of the guide as what is to be looked at, `TP2: -12 V` where it is a place and a figure."""
    place = _PLACE.match(text)
    if place is not None and place["at"] and ":" not in text:
        return f"{place['at']}: {_LOOSE.sub('', text[place.end() :])}"
    return text[:160]


def _expected(text: str) -> str:
    """The first limit in a text that has a tolerance or a bound; empty when none has."""
    for found in _READING.finditer(text):
        said = found[0].strip()
        for pattern, plain in _WORDS:
            said = pattern.sub(plain, said)
        try:
            limit = parse_expectation(said)
        except SoldersideError:
            continue
        if limit.unit:
            return said
    return ""


def _is_deadly(text: str) -> bool:
    """Whether a line concerns the mains or more than 50 V."""
    volts = [float(found[1].replace(",", ".")) * (1000 if found[2] else 1) for found in _VOLTS.finditer(text)]
    return bool(_DEADLY.search(text)) or max(volts, default=0.0) > _MOST_VOLTS


def check_doubts(lines: Sequence[str]) -> Iterator[Doubt]:
    """Each check of a guide as a question."""
    for each in guide_checks(lines):
        said = f"{each.where}, {each.expect}" if each.expect else each.where
        yield Doubt(line=each.line, what=f"the guide asks for a check: {said}", kind="check", check=each)

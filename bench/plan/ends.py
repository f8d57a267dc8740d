"""What a kit can be tried with: what its sockets, posts and terminals are for, told by their labels. Pure.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from bench.kit.kit import PartLine
from bench.parts.designators import shorten

ROLES = ("output", "input", "phones", "socket")
"""What something is plugged into: output, input, headphones, or nothing is known of it."""
_PLUGGED_INTO = frozenset(("jack socket", "connector", "terminal block"))
_PHONES = re.compile(r"\bhead-?phones?\b|\bphones\b|\bear-?phones?\b", re.IGNORECASE)
_OUT = re.compile(
    r"\bout(?:put)?s?\b|\bsend\b|\bthru\b|\bthrough\b|\bloudspeaker\b|\bspeaker\b|\bmix\b|\bline\b|\bsaw\b|"
    r"\btri(?:angle)?\b|\bsine\b|\bpulse\b|\bsquare\b|\benv(?:elope)?\b|\binv\b|\bnoise\b|"
    r"\bmake\b|\bbreak\b",
    re.IGNORECASE,
)
_IN = re.compile(
    r"\bin(?:put)?s?\b|\breturn\b|\bcv\b|\bv/oct\b|\bfm\b|\bam\b|\bpwm\b|\bsync\b|\bgate\b|\btrig(?:ger)?\b|"
    r"\breset\b|\bclock\b|\baerial\b|\bantenna\b|\bmic(?:rophone)?\b|\bcue\b",
    re.IGNORECASE,
)
_SAYS_OUT = re.compile(r"\bout(?:put)?s?\b", re.IGNORECASE)
_SAYS_IN = re.compile(r"\bin(?:put)?s?\b", re.IGNORECASE)
_RANGE = re.compile(r"\b([A-Z]{1,4})([0-9]{1,4})(?: to |-|\u2013)([A-Z]{0,4})([0-9]{1,4})\b")
_SUPPLY = re.compile(r"\bpower\b|\bsuppl|\bearth\b|\bground\b|^0 V\b|\brectifier\b|\bbatter", re.IGNORECASE)


def role_of(line: PartLine) -> str:
    """One of `ROLES` for what a signal is plugged into, empty for all else: by its label, then its section."""
    if line.kind not in _PLUGGED_INTO:
        return ""
    said = label_of(line)
    if line.kind != "jack socket" and (not said or _SUPPLY.search(f"{said}\n{line.section}") or line.nets):
        return "output" if _SAYS_OUT.search(said) else ""
    if _PHONES.search(f"{line.note} {line.value}"):
        return "phones"
    for text in (said, line.section):
        for role, pattern in (
            ("output", _SAYS_OUT), ("input", _SAYS_IN), ("input", _IN), ("output", _OUT),
        ):  # fmt: skip
            if pattern.search(text):
                return role
    return "socket"


def label_of(line: PartLine) -> str:
    """What is printed beside a part, by its note: the capitals up to the first comma, colon or bracket."""
    said = re.split(r"[,;:(]", line.note, maxsplit=1)[0].strip()
    return said if said == said.upper() else ""


def names_of(lines: Iterable[PartLine], told: str) -> tuple[str, ...]:
    """What parts are called, by label or designators, but for those that the text `told` names.

    One that is told of by its label or one of its designators is named; ranges count: `LED1 to LED3`.
    """
    spelled = _RANGE.sub(_spelled, told)
    found = []
    for line in lines:
        label, refs = label_of(line), shorten(line.refs)
        known = (*line.refs, *((label,) if label else ()))
        if not any(re.search(rf"(?<!\w){re.escape(each)}(?!\w)", spelled) for each in known):
            found.append(label or refs or line.value)
    return tuple(dict.fromkeys(found))


def _spelled(found: re.Match[str]) -> str:
    first, last = int(found[2]), int(found[4])
    if found[3] not in ("", found[1]) or not 0 < last - first < 100:
        return found[0]
    return " ".join(f"{found[1]}{number}" for number in range(first, last + 1))

"""The trimmers and adjusters that set what is complained of. Pure.

That the controls and adjustments come before the parts is the second of the six steps of NEETS module 19.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from bench.kit.kit import Trim
from bench.suspects.proximity import NEAR, NearPart
from bench.suspects.search import Search
from bench.suspects.suspicion import Suspicion, sentence

TRIMMERS = ("trimmer", "trimmer capacitor")
_SETS = {
    "pitch": r"pitch|scale|octaves?|tun(?:e|ing)|track\w*|frequency|zero|hz|middle|hertz",
    "drift": r"(?!x)x",
    "clock": r"tempo|rate|beats?|speed|time|end|frequency|clock|hz",
    "bias": r"bias|idle|current|quiescent|half|centre|middle",
    "offset": r"offset|zero|thump|balance|null|reject\w*|bias|feedthrough|direct|middle",
    "symmetry": r"symmetry|shape|sine|triangle|pulse|width|duty|balance|slopes?",
    "quiet": r"gain|level|volume|output|drive|sensitivity",
    "loud": r"gain|level|volume|output|drive|sensitivity",
    "distortion": r"bias|symmetry|sine|shape|drive|gain|balance|distortion",
    "oscillation": r"whistle|feedback|resonance|regeneration|null|neutral\w*",
    "radio": r"align\w*|tun\w*|peak|oscillator|aerial|antenna|padd\w*|trimmer|\bif\b|band|station\w*|range",
    "display": r"contrast|brightness|display",
    "tone": r"tone|equal\w*|treble|bass|shape",
    "hum": r"hum|balance|null",
    "stuck": r"thump|offset|threshold|null|bias",
    "setting": r"",
    "silent": r"(?!x)x",
    "no effect": r"(?!x)x",
}
"""For each complaint the words of the adjustments that set it."""
_BY_KIND = {"volts per octave": ("pitch",), "hertz per volt": ("pitch",)}
_WORD = re.compile(r"\w{3,}")
_SMALL = frozenset(("the", "and", "not", "too", "its", "are", "has", "for", "with", "from", "this", "when"))
_ALWAYS = frozenset(("pitch", "bias", "offset", "symmetry", "setting", "clock", "radio"))
"""Complaints for which every trimmer is named where none of them fits better."""


def adjustment_lines(search: Search) -> Iterator[Suspicion]:
    """Each adjustment that sets what is complained of, the one that fits best first."""
    if search.kit.passive or not any(name in _SETS for name in search.complaints):
        return
    scored = [(_score(search, trim), -at, trim) for at, trim in enumerate(search.kit.trims)]
    fitting = [trim for score, _, trim in sorted(scored, key=lambda each: each[:2], reverse=True) if score]
    named = {trim.trimmer for trim in search.kit.trims}
    others = [
        part
        for part in search.proximity.parts
        if part.line.kind in TRIMMERS and part.ref not in named and _sets(search, part.line.note)
    ]
    for trim in fitting:
        yield _of_trim(search, trim)
    if others:
        yield _of_trimmers(search, "a trimmer that sets this", others)
    if not fitting and not others and search.has(*_ALWAYS):
        near = search.parts(TRIMMERS)
        if near:
            yield _of_trimmers(search, "a trimmer not set, or set twice", near)


def _of_trim(search: Search, trim: Trim) -> Suspicion:
    parts = [part for part in search.proximity.parts if part.ref == trim.trimmer]
    end = " Where it runs out of turns, or turning changes nothing, there is a fault behind it."
    if search.live:
        target = f" Target: {sentence(trim.target)}" if trim.target else ""
        how = f"Redo this adjustment when it is warm.{target}{end}"
    else:
        how = f"{{off}} Its value, its three joints, its screw near the middle. {_makers(search)}"
    return search.line(
        "adjustment", f"adjustment {trim.name}" + (f" ({trim.trimmer})" if trim.trimmer else ""),
        "It sets exactly this: an adjustment that is off looks like a fault.", how, parts,
        power="on" if search.live else "off",
    )  # fmt: skip


def _of_trimmers(search: Search, what: str, parts: list[NearPart] | tuple[NearPart, ...]) -> Suspicion:
    how = (
        "Mark its position, turn it a little to each side, watch what changes, and turn it back if nothing "
        "does."
        if search.live
        else f"{{off}} Its value, its joints, its screw near the middle. {_makers(search)}"
    )
    why = "An adjustment that is off looks like a fault."
    return search.line("adjustment", what, why, how, parts, power="on" if search.live else "off")


def _makers(search: Search) -> str:
    return "Set it only as the maker's own steps say." if search.deadly else ""


def _score(search: Search, trim: Trim) -> int:
    """How well an adjustment fits what is complained of; 0 for not at all."""
    part = next((part for part in search.proximity.parts if part.ref == trim.trimmer), None)
    title = f"{trim.name} {trim.kind if trim.kind != 'general' else ''} {part.line.note if part else ''}"
    fits = 4 * _sets(search, title) + 6 * any(search.has(each) for each in _BY_KIND.get(trim.kind, ()))
    if search.has("pitch") and trim.role:
        fits += 3
    said = {word for word in _WORD.findall(search.symptom.words.casefold()) if word not in _SMALL}
    about = set(_WORD.findall(f"{title} {trim.how} {trim.target}".casefold()))
    near = part is not None and search.proximity.known and search.proximity.nearness(part) <= NEAR
    here = trim.name.casefold() in search.symptom.words.casefold()
    if search.has("drift", "silent", "no effect") and not (fits or here):
        return 0
    return (fits + len(said & about) + near if fits or len(said & about) else 0) + 8 * here


def _sets(search: Search, words: str) -> bool:
    patterns = [_SETS[name] for name in search.complaints if name in _SETS]
    return any(re.search(rf"\b(?:{each})\b", words, re.IGNORECASE) is not None for each in patterns if each)

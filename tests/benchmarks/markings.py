"""What is printed on parts against what it is: the share right at first rank, and the confidently wrong.

Two lists lie beside this module. `markings-known.txt` may be tuned to; `markings-unseen.txt` was written
apart from it and is measured only. A line is right at first rank when the first candidate has all of its words,
and confidently wrong when candidates are offered and none of them has the first word.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path

from bench.errors import SoldersideError
from bench.measure.identify.candidates import Candidate
from bench.measure.identify.match_kit import identify
from tests.benchmarks import Figure

Row = tuple[str, tuple[str, ...]]


def rows(name: str) -> list[Row]:
    """Each print of a list with its words."""
    lines = (Path(__file__).parent / f"markings-{name}.txt").read_text(encoding="utf-8").splitlines()
    cells = [line.split(" | ") for line in lines if line and not line.startswith("#")]
    return [(text, tuple(words.split("; "))) for text, words in cells]


def says(candidate: Candidate, word: str) -> bool:
    """Whether a candidate has a word in its text or kind, not as a part of a longer number or word."""
    said = f"{candidate.text} {candidate.kind}"
    return re.search(rf"(?<![\w.−]){re.escape(word)}(?![\w%])", said) is not None or (
        word[:1].isalpha() and word in said
    )


def offered(text: str) -> tuple[Candidate, ...]:
    """What identification answers, nothing when it does not understand."""
    try:
        return identify(text).candidates
    except SoldersideError:
        return ()


def run(seed: int, quick: bool) -> Iterator[Figure]:
    """Both lists; `quick` takes every fourth marking, drawn with the seed."""
    for name in ("known", "unseen"):
        asked = rows(name)
        if quick:
            asked = random.Random(seed).sample(asked, len(asked) // 4)
        missed, wrong = [], []
        for text, words in asked:
            found = offered(text)
            if not found or not all(says(found[0], word) for word in words):
                missed.append(text)
            if found and not any(says(each, words[0]) for each in found):
                wrong.append(text)
        share = 1 - len(missed) / len(asked)
        said = f"{len(asked)} markings" + (f", missed: {', '.join(missed)}" if missed else "")
        yield Figure(
            what=f"{name} markings right at first rank", value=share, goal=">= 0.97", met=share >= 0.97,
            detail=said,
        )  # fmt: skip
        yield Figure(
            what=f"{name} markings confidently wrong", value=len(wrong), goal="0", met=not wrong,
            detail=", ".join(wrong),
        )  # fmt: skip

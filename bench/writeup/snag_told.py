"""A snag in sentences: what it was, how it came out, how it was mended, what it cost. Pure.

The builder's words stand as typed; what is put round them follows from how they are made ("turned it round",
"a new wire", "wick, swapped") and from what the log knows.
"""

from __future__ import annotations

import re

from bench.log.clock import utc_seconds
from bench.writeup import words
from bench.writeup.story_model import SnagRow, Story
from bench.writeup.summary import subject

_PAST = frozenset({
    "bent", "bought", "broke", "cut", "did", "drew", "drilled", "dug", "found", "got", "held", "laid", "left",
    "let", "lifted", "made", "put", "redid", "rewound", "sent", "set", "swept", "threw", "took", "tore",
    "went", "wound",
})  # fmt: skip
_BASE = frozenset({
    "add", "bend", "bridge", "clean", "cut", "desolder", "drill", "exchange", "fit", "glue", "heat", "move",
    "put", "reflow", "remove", "replace", "resolder", "solder", "straighten", "swap", "turn", "unsolder",
})  # fmt: skip
_PERSON = re.compile(r"(i|we|he|she|they|it|the|this|that|both|all)\b", re.IGNORECASE)
_ARTICLE = re.compile(
    r"(a|an|another|some|new|more|fresh|the|two|three|one|its|longer|shorter)\b", re.IGNORECASE
)
_VERB = re.compile(
    r"\b(is|are|was|were|has|have|had|did|does|do|went|goes|got|sat|works?|came|put|took)\b|\w{3}ed\b"
)
SOON = 600.0
"""Seconds after its part went in within which a snag was noticed at once."""
LONG = 10
"""Minutes from which it is told what a snag cost; the table of snags has all."""


def snag_sentences(story: Story, snag: SnagRow, turn: int) -> str:
    """A snag in one to four sentences; `turn` says how many were told before, so that not all sound alike."""
    what = words.sentence(words.capital(words.with_part(snag.what, snag.part))) or "Something went wrong here."
    return " ".join(filter(None, (what, _came_out(story, snag), _mended(story, snag, turn))))


def _came_out(story: Story, snag: SnagRow) -> str:
    """How it was found, where that is more than having seen it at once."""
    said = []
    if snag.clue:
        clue = words.one_line(snag.clue)
        said.append(
            words.sentence(
                words.capital(clue) if clue.startswith("the count") else f"What gave it away: {clue}"
            )
        )
    if snag.placed is not None:
        before, after = utc_seconds(snag.placed.at), utc_seconds(snag.when.at)
        if before is not None and after is not None and after - before > SOON:
            said.append(_sat(story, snag, after - before))
    return " ".join(said)


def _sat(story: Story, snag: SnagRow, seconds: float) -> str:
    """How long a part had been in when it was noticed."""
    assert snag.placed is not None
    began = [sitting.began.at for sitting in story.sittings]
    ago = sum(snag.placed.at < at <= snag.when.at for at in began)
    part = words.one_line(snag.part)
    if ago == 1:
        return f"{part} had been in since the sitting before."
    if ago > 1:
        return f"{part} had been in since {words.day_and_month(snag.placed.day)}."
    return f"By then {part} had been in for {words.roughly(round(seconds / 60))}."


def _mended(story: Story, snag: SnagRow, turn: int) -> str:
    """How it was put right, and what that took where it took long."""
    cost = words.roughly(snag.minutes) if snag.minutes >= LONG else ""
    if snag.open:
        return f"That is still open{f', after {cost}' if cost else ''}."
    gone = f" That was {cost} gone." if cost else ""
    fix = words.one_line(snag.fix).rstrip(".")
    head, _, rest = fix.partition(" ")
    head = head.lower()
    if _PERSON.match(fix) and _VERB.search(fix):
        return words.sentence(words.capital(fix)) + gone
    if (head in _PAST or (head.endswith("ed") and len(head) > 4)) and "," not in head:
        told = f"{words.capital(subject(story))} {_small(fix)}{'' if rest else ' it'}"
        return f"{told}, which took {cost}." if cost and turn % 2 else f"{told}.{gone}"
    if head in _BASE and rest:
        return f"The cure was to {_small(fix)}.{gone}"
    if _ARTICLE.match(fix) and "," not in fix and ";" not in fix:
        return f"{words.capital(fix)} put it right{f', {cost} later' if cost else ''}."
    return f"{('The fix', 'What helped')[turn % 2]}: {_small(fix)}.{gone}"


def _small(text: str) -> str:
    """Words inside a sentence: an abbreviation or designator keeps its capitals."""
    return text if len(text) > 1 and not text[1].islower() else text[:1].lower() + text[1:]

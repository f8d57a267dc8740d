"""The text under a video: what it is, chapters, tools, corrections, snags, tips, cautions. Pure.

Plain text: video sites take no markup and refuse angle brackets (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.afterwords import afterwords
from bench.log.progress import Progress
from bench.plan.default_checks import hazard_cautions
from bench.plan.plan import Plan
from bench.writeup import words
from bench.writeup.film.chapter_files import plain_list, plain_words
from bench.writeup.film.chapters import Chapter
from bench.writeup.readings import overridden_checks

_ABOUT = {"who": "Built by", "cost": "What it cost", "links": "Links", "thanks": "Thanks to"}
MOST = 5_000
"""Characters that video sites take (common practice, no source)."""
_BENCH = (
    "The iron burns, flux fumes irritate, clipped leads fly and leaded solder is toxic: use the stand, "
    "ventilation and glasses, and wash your hands.",
    "This shows how one kit was built. The maker's instructions and your local regulations come first.",
)


def description(kit: Kit, plan: Plan, progress: Progress, chapters: Sequence[Chapter]) -> str:
    """The text for one film; `chapters` are those of that film."""
    danger = danger_of(kit)
    tips = [note.text for note in progress.notes if note.mark == "tip"]
    errata = [*kit.errata, *(each.text for each in progress.errata)]
    swapped = [
        f"{each.part}: {each.instead}{f' ({each.why})' if each.why else ''}" for each in progress.substitutions
    ]
    snags = [
        f"{words.capital(words.sentence(words.with_part(each.what, each.part)))} "
        f"{f'Fixed: {each.fix}' if each.fix else 'Still open.'}"
        for each in progress.snags
    ]
    said = {mark: note.text for mark, note in afterwords(progress.notes).items()}
    links = [f"{label}: {said[mark]}" for mark, label in _ABOUT.items() if said.get(mark)]
    learned = [said.get("learned", ""), said.get("differently") and f"Next time: {said['differently']}"]
    blocks = [
        f"Building {plain_words(kit.title)}\n",
        f"CAUTION: {plain_words(danger.warning)}\n" if danger.warning else "",
        plain_words(f"{words.sentence(kit.about)} {_how_it_went(kit, progress)}") + "\n",
        f"{plain_words(said['verdict'])}\n" if said.get("verdict") else "",
        _overridden(plan, progress),
        f"Chapters\n{plain_list(chapters)}" if chapters else "",
        _list("Tools", (*kit.tools, said.get("tools", ""))),
        _list("Corrections to the kit's documents", errata),
        _list("Parts that were replaced", swapped),
        _list("What went wrong", snags),
        _list("What was learned", filter(None, learned)),
        _list("Tips", tips),
        _list("About this build", links),
        _list("Cautions", (*hazard_cautions(danger), *_BENCH)),
    ]
    return "\n".join(filter(None, blocks))


def _overridden(plan: Plan, progress: Progress) -> str:
    """The checks that nobody has seen met, with why: who builds by the film is to make them."""
    checks = dict.fromkeys(
        f"{words.place(each.hold, each.board)}: {check} ({each.reason})"
        for each, check in overridden_checks(plan, progress)
    )
    return _list("Overridden here, not met: make these checks in your own build", checks)


def too_long(text: str) -> str:
    """A word where a description is longer than video sites take; empty where it is not."""
    if len(text) <= MOST:
        return ""
    return f"The description has {len(text):,} characters; some video sites take {MOST:,}: shorten it there."


def _how_it_went(kit: Kit, progress: Progress) -> str:
    whose = f"A kit by {words.one_line(kit.maker)}. " if words.one_line(kit.maker) else ""
    minutes = round(progress.bench_seconds / 60)
    snags = f", with {words.spelt(len(progress.snags), 'snag')}" if progress.snags else ""
    joints = f" and {words.counted(progress.joints, 'solder joint')}" if progress.joints else ""
    return f"{whose}{words.capital(words.hours(minutes))} at the bench{joints}{snags}." if minutes else whose


def _list(title: str, lines: Iterable[str]) -> str:
    told = dict.fromkeys(filter(None, map(plain_words, lines)))
    return f"{title}\n" + "".join(f"- {line}\n" for line in told) if told else ""

"""What a story says in short: the line and the figures under its title, how it went, advice. Pure."""

from __future__ import annotations

from collections import Counter

from bench.writeup import words
from bench.writeup.blocks import Figure
from bench.writeup.story_model import Advice, EventRow, OverriddenRow, Story
from bench.writeup.words import join, one_line, spelt

FEW = 3
"""Days named one by one; snags from which on it is told that most came up at one hold point."""


def summarise(story: Story) -> tuple[str, ...]:
    """How it went, where the log tells more of it than the figures do: a sentence, or none."""
    stages = Counter(snag.stage for snag in story.snags)
    if len(story.snags) >= FEW:
        stage, here = stages.most_common(1)[0]
        if 2 * here > len(story.snags) and stage in {row.name for row in story.holds}:
            most = "All" if here == len(story.snags) else "Most"
            return (f"{most} of the trouble came at ‘{one_line(stage)}’.",)
    judged = [row.verdict == "in" for row in story.readings if row.verdict]
    if story.finished and len(judged) > 1 and all(judged) and not _trouble(story):
        return ("Nothing went wrong, and every reading was within its limits.",)
    return ()


def _trouble(story: Story) -> bool:
    """Whether anything but the work itself is in the log."""
    return bool(
        story.snags
        or story.suspicions
        or story.errata
        or any(row.found < row.expected for row in story.bag)
        or any(row.counted != row.expected for row in story.counts)
        or overridden(story)
    )


def overridden(story: Story) -> list[OverriddenRow]:
    """Checks and hold points that were overridden although they were not met."""
    return [row for row in story.passed if not row.close]


def title_of(story: Story) -> str:
    """What the article is called."""
    unit = one_line(story.unit)
    return one_line(f"Building {with_article(story.name)}{f', {unit}' if unit else ''}")


def with_article(name: str) -> str:
    """A kit's name in a sentence.

    >>> with_article("Small mixer"), with_article("The Small Mixer")
    ('the Small mixer', 'the Small Mixer')
    """
    name = one_line(name)
    first, _, rest = name.partition(" ")
    return f"{first.lower()} {rest}" if first.lower() in ("the", "a", "an") and rest else f"the {name}"


def byline(story: Story) -> str:
    """Who built it, when, beside what, and whose kit it is; empty where nothing of that is known."""
    who, maker = (one_line(text) for text in (story.afterwords.get("who", ""), story.maker))
    said = [f"by {who}"] if who else []
    if story.first and story.last:
        wrong = " (by a clock that was wrong at times)" if any(each.doubtful for each in story.sittings) else ""
        said.append(f"{'built' if story.finished else 'begun'} {_when(story)}{wrong}")
    if one_line(story.beside):
        said.append(f"side by side with {one_line(story.beside)}")
    revision = f", revision {one_line(story.revision)}" if one_line(story.revision) else ""
    kit = [f"a kit by {maker}{revision}"] if maker else []
    return words.capital("; ".join(filter(None, (", ".join(said), *kit))))


def _when(story: Story) -> str:
    """The days of the sittings, each by itself where they are few and of one month."""
    days = list(dict.fromkeys(sitting.began.day for sitting in story.sittings))
    first, last = days[0], days[-1]
    if not story.finished:
        return words.days(first, first)
    if not 1 < len(days) <= FEW or first[:7] != last[:7] or not first:
        return words.days(first, last)
    *before, end = (words.day(day) for day in days)
    return f"on {join([*(day.partition(' ')[0] for day in before), end])}"


def figures(story: Story) -> tuple[Figure, ...]:
    """Hours, parts, joints and snags; none before anything was done."""
    if story.first is None:
        return ()
    left = story.parts_planned - story.parts_placed
    cost = f"{words.lost(story.snag_minutes)} lost" if story.snag_minutes else ""
    still_open = sum(snag.open for snag in story.snags)
    opened = f"{still_open} still open" if still_open else ""
    return (
        (words.hours(story.minutes), "at the bench", spelt(len(story.sittings), "sitting")),
        (str(story.parts_placed), "parts fitted", f"{left} to go" if left and not story.finished else ""),
        (str(story.joints), "solder joints", ""),
        (
            str(len(story.snags)),
            "snag" if len(story.snags) == 1 else "snags",
            ", ".join(filter(None, (cost, opened))),
        ),
    )


def advise(story: Story) -> tuple[Advice, ...]:
    """What to tell the next builder, in the order of `ADVICE_SOURCES`."""
    told: list[tuple[str, str, EventRow | None]] = [
        ("tip", note.text, note) for note in story.notes if note.mark == "tip"
    ]
    told += [("kit's erratum", text, None) for text in story.kit_errata]
    told += [("erratum found", row.text, row) for row in story.errata]
    told += [("substitution", substitution(row.part, row.instead, row.why), row) for row in story.substitutions]
    return tuple(
        Advice(drawn_from=source, text=text, stage=row.stage if row else "", board=row.board if row else "")
        for source, text, row in told
        if one_line(text)
    )


def substitution(part: str, instead: str, why: str) -> str:
    """A substitution in words.

    >>> substitution("C9", "a 22 µF", "the 10 µF was missing")
    'C9: a 22 µF; the 10 µF was missing'
    """
    parts = one_line(part).split()
    which = (
        join(parts) if all(each.isalnum() for each in parts) and any(map(str.isdigit, part)) else one_line(part)
    )
    said = f"{which or 'one part'}: {one_line(instead) or 'another part'}"
    return f"{said}; {one_line(why)}" if one_line(why) else said

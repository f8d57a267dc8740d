"""What a story says in short: three sentences, and what the next builder should know."""

from __future__ import annotations

import re

from bench.writeup.story_model import Advice, EventRow, Story
from bench.writeup.words import (
    capital,
    counted,
    days,
    join,
    number,
    one_line,
    roughly,
    spelt,
)


def summarise(story: Story) -> tuple[str, str, str]:
    """How long it took, what went in, what went wrong: a sentence each."""
    return _time(story), _parts(story), _snags(story)


def subject(story: Story) -> str:
    """Who tells: `we` where the builder names more than one, else `I`."""
    who = one_line(story.afterwords.get("who", ""))
    return "we" if re.search(r"\band\b|&|,|\bwe\b|\bgroup\b|\bclub\b|\bclass\b", who, re.IGNORECASE) else "I"


def with_article(name: str) -> str:
    """A kit's name in a sentence.

    >>> with_article("Small mixer"), with_article("The Small Mixer")
    ('the Small mixer', 'the Small Mixer')
    """
    name = one_line(name)
    first, _, rest = name.partition(" ")
    return f"{first.lower()} {rest}" if first.lower() in ("the", "a", "an") and rest else f"the {name}"


def _time(story: Story) -> str:
    revision = one_line(story.revision)
    whose = ", a kit by " + one_line(story.maker) if one_line(story.maker) else ""
    whose += f" (revision {revision})" if revision else ""
    name = with_article(story.name) + (f", {one_line(story.unit)}" if one_line(story.unit) else "") + whose
    if story.first is None or story.last is None:
        return f"{capital(name)}{',' if whose else ''} has not been started yet."
    we = capital(subject(story))
    when = days(story.first.day, story.last.day)
    sat = f"in {spelt(len(story.sittings), 'sitting')} {when}"
    if any(sitting.doubtful for sitting in story.sittings):
        sat += " (by a clock that was wrong at times)"
    spent = roughly(story.minutes) if story.seconds > 0 else ""
    comma = "," if whose else ""
    if not story.finished:
        have = (
            f"{we} have spent {spent} so far on" if spent else f"{we} {'am' if we == 'I' else 'are'} building"
        )
        return f"{have} {name}{comma} {sat}."
    if len(story.sittings) == 1:
        at_once = sat.replace("one sitting", "one go")
        return f"{we} built {name}{comma} {at_once}{f'; it took {spent}' if spent else ''}."
    if not spent:
        return f"{we} built {name}{comma} {sat}."
    return f"{capital(name)}{comma} took {'me' if we == 'I' else 'us'} {spent}, {sat}."


def _parts(story: Story) -> str:
    where = f" on {spelt(len(story.boards), 'board')}" if len(story.boards) > 1 else ""
    joints = counted(story.joints, "solder joint")
    if story.finished:
        what = f"It has {counted(story.parts_placed, 'part')} and {joints}{where}"
        spared = sum(row.parts for row in story.left_out)
        are = "is" if spared == 1 else "are"
        return f"{what}; {spelt(spared, 'optional part')} {are} left out." if spared else f"{what}."
    if not story.parts_placed and not story.joints:
        planned = counted(story.parts_planned, "part")
        return f"It will have {planned} and {counted(story.joints_planned, 'solder joint')}{where}."
    are = "is" if story.parts_planned == 1 else "are"
    said = f"{story.parts_placed} of {counted(story.parts_planned, 'part')} {are} in"
    return f"{said}, and all soldering is done." if story.joints == story.joints_planned else f"{said}."


def _snags(story: Story) -> str:
    amount = len(story.snags)
    if not amount:
        return "Nothing went wrong." if story.finished else "Nothing has gone wrong so far."
    start = f"{capital(number(amount))} {'thing' if amount == 1 else 'things'} went wrong"
    unmended = sum(snag.open for snag in story.snags)
    worst = max(story.snags, key=lambda snag: snag.minutes)
    if story.snag_minutes and unmended < amount:
        start += f" and cost {roughly(story.snag_minutes)}"
        where = one_line(worst.part) if 2 * worst.minutes > story.snag_minutes and amount > 1 else ""
        start += f", most of it at {where}" if where else ""
    if unmended == amount:
        return f"{start}; {'it is' if amount == 1 else 'all are'} still open."
    if unmended:
        return f"{start}; {number(unmended)} {'is' if unmended == 1 else 'are'} still open."
    return f"{start}."


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

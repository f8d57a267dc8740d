"""What one of several units of a kit is called; pure."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST_NAME = 40
"""Characters of a unit's name: it goes into titles and file names."""


def unit_words(name: str) -> str:
    """What a unit is called in a title: its name, or its number or letter with a word before it.

    >>> unit_words("2"), unit_words("B"), unit_words("Anna's"), unit_words("")
    ('unit 2', 'unit B', "Anna's", '')
    """
    return f"unit {name}" if name.isdecimal() or len(name) == 1 else name


def titled(kit: str, name: str) -> str:
    """A kit's title with the unit it is about.

    >>> titled("Fog filter rev. A", "2"), titled("Fog filter rev. A", "")
    ('Fog filter rev. A, unit 2', 'Fog filter rev. A')
    """
    return f"{kit}, {unit_words(name)}" if name else kit


def same_name(one: str, other: str) -> bool:
    """Whether two names mean one unit: `unit 2` is `2`, and capitals and blanks do not count.

    >>> same_name("Anna's", " anna's "), same_name("unit 2", "2"), same_name("1", "2")
    (True, True, False)
    """
    return plain_name(one).casefold() == plain_name(other).casefold()


def plain_name(typed: str) -> str:
    """A name as it is kept: without blanks around it, and a number without its word.

    >>> plain_name("  Unit 3 "), plain_name("for  the band"), plain_name("unit of Ann")
    ('3', 'for the band', 'unit of Ann')
    """
    name = " ".join(typed.split())
    word, _, number = name.partition(" ")
    short = number.isdecimal() or len(number) == 1
    return number if word.casefold() == "unit" and short else name


def next_number(names: Iterable[str]) -> str:
    """The number of the next unit after units of these names, of which some may be empty.

    >>> next_number(["", "Anna's"]), next_number(["7"]), next_number([]), next_number(["9" * 9, "9" * 10])
    ('3', '8', '1', '1000000000')
    """
    known = list(names)
    numbers = [int(name) for name in known if name.isdecimal() and len(name) < 10]
    return str(max([len(known), *numbers]) + 1)


def numbered(names: Iterable[str]) -> list[str]:
    """The same names, with the lowest free number for each that is empty; in their order.

    >>> numbered(["", "Anna's", "1", ""]), numbered(["", ""])
    (['2', "Anna's", '1', '3'], ['1', '2'])
    """
    known = list(names)
    taken, out, number = set(known), [], 1
    for name in known:
        while not name and str(number) in taken:
            number += 1
        out.append(name or str(number))
        taken.add(out[-1])
    return out

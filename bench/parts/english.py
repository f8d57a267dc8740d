"""Nouns and lists in a sentence; pure."""

from __future__ import annotations

from collections.abc import Sequence


def plural(noun: str) -> str:
    """The plural of a noun of the bench.

    >>> [plural(noun) for noun in ("snag", "toggle switch", "IC", "box", "battery", "relay", "hardware")]
    ['snags', 'toggle switches', 'ICs', 'boxes', 'batteries', 'relays', 'pieces of hardware']
    """
    if noun == "hardware":
        return "pieces of hardware"
    if noun.endswith(("s", "x", "z", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"


def counted(number: int, noun: str) -> str:
    """A number of things.

    >>> counted(1, "part"), counted(0, "part"), counted(2, "box"), counted(1, "hardware")
    ('1 part', '0 parts', '2 boxes', '1 piece of hardware')
    """
    one = "piece of hardware" if noun == "hardware" else noun
    return f"{number} {one if number == 1 else plural(noun)}"


def join(things: Sequence[str], last: str = "and") -> str:
    """A list in a sentence.

    >>> join(["a"]), join(["a", "b"]), join(["a", "b", "c"], "or")
    ('a', 'a and b', 'a, b or c')
    """
    return f" {last} ".join([", ".join(things[:-1]), things[-1]]) if len(things) > 1 else "".join(things)


def cut(text: str, most: int = 40) -> str:
    """A text for the middle of a sentence, at most so long.

    >>> cut("4k7"), cut("a value of many words", 9)
    ('4k7', 'a value …')
    """
    return text if len(text) <= most else text[: most - 1] + "…"

"""Nouns and lists in a sentence, and names that come near to one that nobody knows; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


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


def near(name: str, among: Iterable[str]) -> str:
    """Asks whether one of the names that come near was meant; empty where none does.

    >>> near("metronome", ["first-evening-metronome", "fog-filter"]), near("lamp", ["fog-filter"])
    ('did you mean first-evening-metronome?', '')
    """
    from difflib import get_close_matches  # slow to import, and needed for a hint only

    wanted, names = name.casefold()[:80], list(among)
    holding = [each for each in names if len(wanted) > 2 and wanted in each]
    found = list(dict.fromkeys((*holding, *get_close_matches(wanted, names, n=4, cutoff=0.6))))[:4]
    return f"did you mean {' or '.join(found)}?" if found else ""


def near_or(name: str, among: Iterable[str]) -> str:
    """As `near`; where nothing comes near, all the names after a word.

    >>> near_or("x", ["fog", "lamp"])
    'known: fog, lamp'
    """
    names = list(among)
    return near(name, names) or f"known: {', '.join(names)}"

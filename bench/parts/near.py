"""Names that come near to one that nobody knows; pure."""

from __future__ import annotations

from collections.abc import Iterable


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


def near_or(name: str, among: Iterable[str], otherwise: str = "known") -> str:
    """As `near`; where nothing comes near, all the names after a word.

    >>> near_or("x", ["fog", "lamp"])
    'known: fog, lamp'
    """
    names = list(among)
    return near(name, names) or f"{otherwise}: {', '.join(names)}"

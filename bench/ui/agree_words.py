"""What is said of a kit that changed under a build, on the screen and in plain lines."""

from __future__ import annotations

from bench.kit.fields import counted
from bench.session.done_as import BOARD, CHANGED, GONE, RENAMED, Change

NOTHING_LEFT = "All that is done agrees with the kit."

_OPEN = {
    CHANGED: "It is open again: do it at the bench, or say that it is right as it is.",
    GONE: "It is done all the same. Take it out if it should not be there.",
    RENAMED: "Is it the same part? Then what was done to it is carried over to its new name.",
    BOARD: "Is it the same board? Then all that was done on it is carried over to its new name.",
}


def open_words(change: Change) -> str:
    """What follows from a change."""
    return _OPEN[change.sort]


def answers_to(change: Change) -> tuple[tuple[str, str], ...]:
    """What can be answered to a change: name of the command and its words."""
    if change.sort in (RENAMED, BOARD):
        what = "board" if change.sort == BOARD else "part"
        return (("right", f"the same {what}"), ("another", f"another {what}"), ("all_agree", "all right"))
    return (("right", "right as it is"), ("all_agree", "all right"))


def changed_words(changes: tuple[Change, ...], key: str) -> str:
    """One line for the bench: how much no longer agrees, and which key lists it; empty for nothing."""
    if not changes:
        return ""
    parts = counted(len(changes), "thing")
    verb = "agrees" if len(changes) == 1 else "agree"
    return f"The kit has changed: {parts} done before no longer {verb} with it. {key} lists what."

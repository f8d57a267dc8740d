"""What is said of a kit that changed under a build, on the screen and in plain lines."""

from __future__ import annotations

from collections.abc import Sequence

from bench.kit.fields import counted
from bench.session.build import Build
from bench.session.done_as import BOARD, CHANGED, GONE, RENAMED, Change

NOTHING_LEFT = "Everything done matches the kit file."

_OPEN = {
    CHANGED: "It is open again: do it at the bench, or say that it is right as built.",
    GONE: "It is already fitted. Take it out if it should not be there.",
    RENAMED: "Is it the same part? Then its work is carried over to the new name.",
    BOARD: "Is it the same board? Then its work is carried over to the new name.",
}


def open_words(change: Change) -> str:
    """What follows from a change."""
    return _OPEN[change.sort]


def change_words(build: Build, change: Change) -> str:
    """A change in words, with its unit where there are several."""
    return f"unit {build.unit}: {change.words}" if build.beside is not None else change.words


def answers_to(change: Change) -> tuple[tuple[str, str], ...]:
    """What can be answered to a change: name of the command and its words."""
    if change.sort in (RENAMED, BOARD):
        what = "board" if change.sort == BOARD else "part"
        return (("right", f"the same {what}"), ("another", f"another {what}"), ("all_agree", "all right"))
    return (("right", "right as built"), ("all_agree", "all right"))


def changed_words(changes: Sequence[object], key: str) -> str:
    """One line for the bench: how much no longer agrees, and which key lists it; empty for nothing."""
    if not changes:
        return ""
    parts = counted(len(changes), "thing")
    verb = "agrees" if len(changes) == 1 else "agree"
    return f"The kit file has changed: {parts} already done no longer {verb} it. {key} lists them."

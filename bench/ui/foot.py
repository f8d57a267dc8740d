"""Which keys a step wants, for the start of the foot line; pure."""

from __future__ import annotations

import re

from bench.session.view import StepView
from bench.ui.commands import Keymap

_COUNTING = re.compile(r"\bcount the parts\b|^measure the\b|\bin the bag\b", re.IGNORECASE)


def wanted_of(view: StepView, *, miscounted: bool = False) -> tuple[tuple[str, str], ...]:
    """Commands of the bench that this moment wants, with a word for each where the usual one says too little.

    `miscounted`: the joints of the stage before were counted, and the number was wrong.
    """
    if view.on_break:
        return (("rest", "end the break"),)
    if view.looking:
        return (("back", "back to the step"), ("earlier", ""), ("later", ""))
    again = (("joints", "count again"),) if miscounted or view.count_for else ()
    step = view.step
    if step is None:
        return (*again, *((("take_up", ""),) if view.held else (("write", ""), ("log", ""), ("shelf", ""))))
    if view.held_up_by:
        return (*again, ("take_up", ""), ("override", ""))
    if view.limit_fault:
        return (*again, ("reading", ""), ("override", ""))
    if view.wants_reading:
        first = (("done", "type a reading"),)
        return (*again, *first, *((("fault", ""), ("override", "")) if view.readings else ()))
    own: tuple[tuple[str, str], ...] = ()
    if step.action == "adjust":
        own = (("trim", ""),)
    elif step.action == "check" and not step.expect:
        many = len(view.at_once) + 1
        no = ("fault", "no: find the fault")
        if many > 1:
            return (*again, ("done", f"yes to all {many}"), no, ("one", "only the first"))
        return (*again, ("done", "yes"), no)
    elif step.action == "do" and any(_COUNTING.search(each.value) for each in (step, *view.at_once)):
        own = (("bag", ""),)
    elif len(view.refs_left) > 1:
        return (*again, ("done", ""), ("one", ""))
    if view.at_once:
        return (*again, *own, ("done", f"all {len(view.at_once) + 1} done"), ("one", "only the first"))
    return (*again, *own, ("done", ""))


_OF_A_STEP = ("done", "hold", "one", "reading", "trim", "joints", "wait", "rest", "where", "cautions")


def idle_at(view: StepView) -> tuple[str, ...]:
    """Commands that do nothing at this moment."""
    if view.step is None:
        return _OF_A_STEP
    return () if view.items_left > 1 or view.at_once else ("one",)


def foot_of(
    keymap: Keymap, wanted: tuple[tuple[str, str], ...], idle: tuple[str, ...] = ()
) -> tuple[tuple[str, str], ...]:
    """The keys of the bench with their words: the wanted ones first, then the others but for idle ones."""
    usual = keymap.foot("bench", idle)
    labels = dict(usual)
    first = [(key, word or labels.get(key, name)) for name, word in wanted if (key := keymap.key_of(name))]
    taken = {key for key, _ in first}
    return (*first, *((key, label) for key, label in usual if key not in taken))

"""What is said of a suspicion, on the screen and in plain lines."""

from __future__ import annotations

from bench.log.events import SuspicionSettled
from bench.session.build import Build
from bench.suspects.search import can_kill
from bench.suspects.suspicion import Suspicion, how_to_look
from bench.suspects.symptom import Symptom
from bench.ui.card_blocks import StyledRow
from bench.ui.form_table import Seen
from bench.ui.forms import Question
from bench.ui.text import cells, clean

DANGER = "This kit can kill: unplug it and discharge it before you reach in. Local rules come first."
SNAG_CHOICES = (("s", "record it as a snag, with its fix"), ("n", "no, the log entry is enough"))
"""What is asked once a fault is found that no snag stands for."""


def symptom_question(given: str) -> Question:
    """What is out or does not work; `given` is what is likely."""
    hint = "A check of this kit, or your own words."
    return Question(ask="what is out or does not work?", hint=hint, given=given)


HEADS = {
    "off": "With the power off",
    "limited": "With the current limited",
    "on": "With the power on",
    "": "To look at",
}
"""How the supply has to be -> the head over what is looked into then."""


def fault_head(power: str, width: int) -> StyledRow:
    """The head over what is looked into, one after the other, with the supply so."""
    lead = f" {HEADS[power]} "
    rule = "─" * max(0, width - cells(lead))
    return (lead, "head" if power in ("off", "") else "caution"), (rule, "faint")


def fault_row(each: Suspicion, settling: SuspicionSettled | None, width: int) -> tuple[StyledRow, str]:
    """A suspicion in a line: how it stands, what, and where; what is all right is quiet."""
    look = "plain" if settling is None else "caution" if settling.found else "faint"
    state = state_of(settling)
    what = clean(each.what, 300)
    spans = [(f"{state:<10}", look), (what, look)]
    if 10 + cells(what) + 2 < width:
        spans.append((f"  {clean(each.where, 300)}", "refs" if look == "plain" else look))
    return tuple(spans), look


def state_of(settling: SuspicionSettled | None) -> str:
    """How a suspicion stands, in a word or two."""
    if settling is None:
        return "to look"
    return "FOUND" if settling.found else "all right"


def seen_at(build: Build, symptom: Symptom, found: Suspicion, said: str) -> Seen:
    """What a snag about a fault that was found begins with."""
    steps = {each.key: each for each in build.plan.steps}
    return Seen(steps.get(symptom.step), said, found.parts[0][1] if len(found.parts) == 1 else "")


def about_suspicion(each: Suspicion, settling: SuspicionSettled | None, build: Build) -> list[tuple[str, str]]:
    """A suspicion in full, each line with its look."""
    spans = [(DANGER, "caution")] if can_kill(build.kit) else []
    spans.append((clean(each.what[:1].upper() + each.what[1:]), "head"))
    if settling is not None:
        said = f": {settling.said}" if settling.said else "."
        spans.append((clean(f"{'FOUND: this was it' if settling.found else 'Checked, fine'}{said}"), "next"))
    spans.append((clean(how_to_look(each)), "way"))
    if each.where:
        spans.append((clean(each.where), "refs"))
    spans.append((clean(f"{'From this log: ' if each.own else ''}{each.why}"), "plain"))
    return spans

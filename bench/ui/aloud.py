"""Sentences for the ear: units and signs in words, type numbers letter by letter. Pure.

espeak-ng 1.51 reads `470R` as "four hundred seventy ar" and `-12 V` as "minus twelve vee", so what is spoken
holds neither.
"""

from __future__ import annotations

import re

from bench.log.unit_names import unit_words
from bench.parts.english import counted
from bench.parts.kinds import KINDS
from bench.parts.quantity import read_value, show
from bench.plan.plan import Step
from bench.session.view import StepView
from bench.ui.card_blocks import VERBS
from bench.ui.text import clean

MOST_REFS = 6
"""Designators that are spoken; of more than these only the first three."""
MOST = 600
"""Characters of what is spoken at once."""

_UNITS = {
    "V": "volt", "A": "ampere", "W": "watt", "F": "farad", "H": "henry", "Hz": "hertz", "Ω": "ohm",
    "ohm": "ohm", "ohms": "ohm", "VA": "volt-ampere", "s": "second", "min": "minute", "h": "hour",
}  # fmt: skip
_PREFIXES = {
    "p": "pico", "n": "nano", "µ": "micro", "μ": "micro", "u": "micro", "m": "milli", "k": "kilo", "K": "kilo",
    "M": "mega", "G": "giga",
}  # fmt: skip
_UNIT = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_QUANTITY = re.compile(rf"(?<![\w.,])(\d+(?:[.,]\d+)?) ?([pnµμumkKMG]?)({_UNIT})(?![\w-])")
_SIGNS = (
    (re.compile(r"(?<!\w)[-−](?=\d)"), "minus "),
    (re.compile(r"(?<!\w)\+(?=\d)"), "plus "),
    (re.compile(r" ?± ?"), " plus or minus "),
    (re.compile(r"(?<=\d) ?\.\.+ ?(?=[-\d])"), " to "),
    (re.compile(r" ?> ?(?=[-\d])"), " more than "),
    (re.compile(r" ?< ?(?=[-\d])"), " less than "),
    (re.compile(r"(?<=\d) ?%"), " percent"),
    (re.compile(r" ?°C"), " degrees"),
    (re.compile(r" ?[×] ?"), " times "),
    (re.compile(r"(?<=\d) ?x (?=\w)"), " times "),
    (re.compile(r"[✓✗▲◆≠»?]+ ?(?=\w)"), ""),
)
_DESIGNATOR = re.compile(r"\b([A-Z]{1,4})(\d{1,4})\b")
_TYPE = re.compile(r"\b(?=\w*[A-Za-z])(?:[A-Za-z]*\d){3}\w*")
"""A word with a letter and three digits or more."""
_SIZE = re.compile(r"(?<=\d) ?[x×] ?(\d+)")


def for_the_ear(text: str) -> str:
    """A line of the program as it is spoken.

    >>> for_the_ear("in: 11.98 V, expect 12 V ± 5 %.")
    'in: 11.98 volts, expect 12 volts plus or minus 5 percent.'
    >>> for_the_ear("-12 V at R12: 4.7 kΩ, 100nF"), for_the_ear("Wait over: 1 min")
    ('minus 12 volts at R 12: 4.7 kilohms, 100 nanofarads', 'Wait over: 1 minute')
    """
    said = clean(text, MOST)
    for sign, word in _SIGNS:
        said = sign.sub(word, said)
    said = _QUANTITY.sub(_in_words, said)
    said = _DESIGNATOR.sub(lambda found: f"{' '.join(found[1])} {found[2]}", said)
    return " ".join(said.split())


def _in_words(found: re.Match[str]) -> str:
    number, prefix, unit = found[1].replace(",", "."), _PREFIXES.get(found[2], ""), _UNITS[found[3]]
    if float(number) != 1 and unit != "hertz":
        unit = "henries" if unit == "henry" else f"{unit}s"
    return f"{number} {prefix}{unit}".replace("kiloohm", "kilohm").replace("megaohm", "megohm")


def value_aloud(value: str, kind: str) -> str:
    """What a part is worth, in words; a type number letter by letter.

    >>> value_aloud("4k7", "resistor"), value_aloud("B100k", "potentiometer")
    ('4.7 kilohms', '100 kilohms, law B')
    >>> value_aloud("1N4148", "diode"), value_aloud("M3 nut", "hardware")
    ('1 N 4 1 4 8', 'M3 nut')
    >>> value_aloud("M3x10 spacer", "hardware"), value_aloud("1x10", "pin header")
    ('M3 by 10 spacer', '1 by 10')
    """
    known = KINDS.get(kind)
    read = read_value(value, known.unit if known else "")
    if read.main is None:
        sized = _SIZE.sub(r" by \1", clean(value, 200))
        return _TYPE.sub(lambda found: " ".join(found[0]), sized)
    law = f", law {read.taper}" if read.taper else ""
    return for_the_ear(show(read.main)) + law


def step_aloud(view: StepView) -> str:
    """The step at work, or what replaces it, in one sentence."""
    step = view.step
    if view.on_break:
        return "Break. The clock is paused."
    if step is None:
        return "Only what you held back is left." if view.held else "Every step is done."
    said = _what(view.part or step, step)
    said += "".join(f"; and: {for_the_ear(each.value).rstrip('.')}" for each in view.at_once)
    if step.refs:
        said += f", {_refs(view.refs_left or step.refs)}"
        said += f", on the {step.side}" if step.side else ""
    if step.expect:
        said += f"; expect {for_the_ear(step.expect)}"
    for way in view.ways:
        said += f"; which way: {for_the_ear(way).rstrip('.')}"
    if view.danger or any(caution.sort == "hazard" for caution in view.cautions):
        said += "; danger, read the card"
    stage = view.stage
    hold = "Hold point. " if stage is not None and stage.hold else ""
    unit = f"{unit_words(view.unit).capitalize()}. " if view.units else ""
    return f"{unit}{'Looking only. ' if view.looking else hold}{said}."


def _what(part: Step, step: Step) -> str:
    if step.action in ("do", "check", "adjust"):
        verb = {"check": "Check: ", "adjust": "Adjust: "}.get(step.action, "")
        return verb + for_the_ear(step.value).rstrip(".")
    many = f"{len(step.items)} times " if len(step.items) > 1 and not step.refs else ""
    return f"{VERBS[step.action]}: {many}{clean(part.kind, 80)}, {value_aloud(part.value, part.kind)}"


def _refs(refs: tuple[str, ...]) -> str:
    said = [for_the_ear(ref) for ref in (refs if len(refs) <= MOST_REFS else refs[:3])]
    if len(refs) > MOST_REFS:
        said.append(counted(len(refs) - 3, "more part"))
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"

"""A procedure on one page: its stages in order, what each takes, hold points, cautions, boxes to tick; pure."""

from __future__ import annotations

from collections.abc import Container, Sequence
from itertools import groupby

from msgspec.structs import replace

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.plan.conditions import CONDITIONS
from bench.plan.default_checks import fits, hazard_cautions, usual_checks
from bench.plan.grouping import placements_of, sections_of
from bench.plan.plan import Plan
from bench.plan.rules import RAILS, Procedure, Rule, Rules, StageCaution, StageRule, UsualCheck, any_matches
from bench.plan.stages import stage_name
from bench.writeup.sheets.sheet_model import ProcedureLine, ProcedureSheet
from bench.writeup.sheets.texts import tidied, tidy
from bench.writeup.words import capital, plural, sentence

_GAPS = (
    ("{other rail}", "each other rail"),
    ("{rail}", "each rail"),
    ("{current}", "the stated current"),
    ("{series}", "one for each rail"),
    (": {parts}", ""),
    ("{section}", "each section"),
    ("{errata}", "the known errors"),
    ("{tools}", "the kit's tools"),
    ("{notes}", "the kit's notes"),
)
_KITS: dict[bool | None, str] = {False: "only up to 50 V", True: "above 50 V"}
"""How what is only for some kits is marked, by `can kill`."""
_NAMED = 4
"""Kinds to name where a stage takes the rest as well."""
_LIMITS = (("{rail}", "its volts"), ("{current}", "what is stated"))
_BLANK_BOARDS = 2
"""Boxes for a stage that is done once for each board, while no kit says how many boards there are."""


def procedure_sheet(procedure: Procedure, kit: Kit | None = None, plan: Plan | None = None) -> ProcedureSheet:
    """A procedure by itself, or for a kit with its plan: then the boxes are named after the boards."""
    lines: list[ProcedureLine] = []
    said: dict[tuple[str, ...] | str, int] = {}
    for number, rule in enumerate(procedure.stages, 1):
        line = _line(number, rule, kit, plan)
        earlier = said.setdefault(line.cautions, number) if line.cautions else number
        again = (f"As in {earlier}.",)
        line = line if earlier == number else replace(line, cautions=again)
        for only in _only(rule) if kit is None else ():
            earlier = said.setdefault(only, number)
            if earlier != number:
                line = replace(line, words=line.words.replace(only, f"as in {earlier}"))
        lines.append(line)
    return ProcedureSheet(
        name=tidy(procedure.name),
        about=tidy(procedure.about),
        kit=tidy(kit.title) if kit else "",
        hazards=tidied(hazard_cautions(danger_of(kit))) if kit else (),
        lines=tuple(lines),
    )


def _line(number: int, rule: StageRule, kit: Kit | None, plan: Plan | None) -> ProcedureLine:
    if kit is None or plan is None:
        boxes = ("",) * (_BLANK_BOARDS if rule.per_board else 1)
        return _told(number, rule, takes_words(rule.takes), boxes)
    return _line_of(number, rule, kit, plan)


def _line_of(number: int, rule: StageRule, kit: Kit, plan: Plan) -> ProcedureLine:
    """A stage as this kit has it; left out when it has nothing for it."""
    names = {stage_name(rule, section) for section in (sections_of(kit) if rule.each_section else ("",))}
    found = [stage for stage in plan.stages if stage.name in names]
    if not found:
        return replace(_told(number, rule, "", ()), words="", cautions=(), left_out=True)
    steps = [step for stage in found for step in stage.steps]
    here = _here(rule, kit, {step.value for step in steps if step.action == "do"})
    kinds = dict.fromkeys(plural(step.kind) for step in steps if step.kind)
    return _told(number, here, ", ".join(kinds), tidied(stage.board for stage in found) or ("",))


def _here(rule: StageRule, kit: Kit, tasks: Container[str]) -> StageRule:
    """The stage without what this kit gives no reason for; `tasks` are those of its plan."""
    parts = placements_of(kit)
    danger = danger_of(kit)

    def holds(each: StageCaution | UsualCheck) -> bool:
        when = each.when
        return fits(each.can_kill, danger) and (not when or any(any_matches(when, part) for part in parts))

    return replace(
        rule,
        cautions=tuple(replace(each, can_kill=None) for each in rule.cautions if holds(each)),
        tasks=tuple(replace(each, can_kill=None) for each in rule.tasks if each.do in tasks or "{" in each.do),
        checks=tuple(
            replace(check, can_kill=None)
            for check in rule.checks
            if holds(check) and usual_checks((check,), kit, parts, last=check.last)
        ),
    )


def _told(number: int, rule: StageRule, takes: str, boxes: tuple[str, ...]) -> ProcedureLine:
    return ProcedureLine(
        number=number,
        name=capital(_filled(rule.name)),
        per=_per(rule),
        words=_words(rule, takes),
        cautions=tidied(
            (*map(_caution, rule.cautions), *(say for task in rule.tasks for say in task.cautions))
        ),
        hold=bool(rule.hold),
        boxes=boxes,
    )


def _per(rule: StageRule) -> str:
    board = "each board" if rule.per_board else ""
    return ", ".join(filter(None, ("each section" if rule.each_section else "", board))) or "once"


# -- what a stage is, in words -----------------------------------------------------------------
def _words(rule: StageRule, takes: str) -> str:
    """What it takes, what is to be done and checked, each in a sentence."""
    verb = {"solder": "", "place": "set in, not soldered", "insert": "pushed in", "fit": "fitted"}[rule.action]
    parts = f"{takes} ({verb})" if takes and verb else takes
    tasks = _in_turn([(task.can_kill, _filled(task.do)) for task in rule.tasks])
    checks = _in_turn([(False if _is_live(check) else check.can_kill, _check(check)) for check in rule.checks])
    trims = "every trim of the kit" if rule.trims else ""
    count = "count the joints" if rule.count_joints else ""
    return " ".join(sentence(capital(each)) for each in (tasks, parts, checks, trims, count) if each)


def _in_turn(said: Sequence[tuple[bool | None, str]]) -> str:
    """Tasks or checks in a row; what is only for kits that can kill, or only for others, is told so once."""
    told = []
    for flag, run in groupby(said, key=lambda each: each[0]):
        texts = tidied(text if flag is None else _small(text) for _, text in run)
        told.append("; ".join(texts) if flag is None else f"{_KITS[flag]}: {', '.join(texts)}")
    return "; ".join(told)


def _only(rule: StageRule) -> tuple[str, ...]:
    """What a stage asks of kits that can kill, as the sheet says it, where it is several things."""
    asked = tidied(_small(_filled(task.do)) for task in rule.tasks if task.can_kill)
    looked = tidied(_small(_check(check)) for check in rule.checks if check.can_kill)
    return tuple(", ".join(each[:2]) for each in (asked, looked) if len(each) > 1)


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def takes_words(rules: Rules) -> str:
    """What rules take, in words; empty for none.

    >>> takes_words((Rule({"kind": ("diode", "resistor"), "height": (1,)}), Rule({"height": (1,)})))
    'height 1: diodes, resistors, then the rest'
    >>> takes_words((Rule({"socket": (True,)}),)), takes_words((Rule({"height": tuple(range(1, 10))}),))
    ('all parts for a socket', 'all remaining parts')
    """
    said = []
    for condition, run in groupby(rules, key=_condition):
        alike = list(run)
        kinds = [kind for rule in alike for kind in _kinds(rule)]
        rest = any("kind" not in rule.asks for rule in alike)
        if not kinds:
            of = "of " if condition.startswith("height") else ""
            said.append(f"all parts {of}{condition}" if condition else "all remaining parts")
            continue
        if not rest and len(kinds) > 2 * _NAMED:
            kinds = [*kinds[: 2 * _NAMED], "and so on"]
        elif rest:
            kinds = [*kinds[:_NAMED], "and so on" if len(kinds) > _NAMED else "then the rest"]
        words = ", ".join(kinds)
        said.append(f"{condition}: {words}" if condition else words)
    return "; ".join(said)


def _kinds(rule: Rule) -> list[str]:
    return [plural(str(kind)) for kind in rule.asks.get("kind", ())]


def _condition(rule: Rule) -> str:
    """What a rule asks besides the kind: `height 1 to 3`, `for a socket`."""
    said = (CONDITIONS[key].on_paper(wanted) for key, wanted in rule.asks.items() if key != "kind")
    return tidy(", ".join(filter(None, said)))


# -- cautions and checks ----------------------------------------------------------------------
def _caution(caution: StageCaution) -> str:
    """A caution, with what it is about where it is not about everything."""
    about = "; ".join(_about(rule) for rule in caution.when)
    about = "; ".join(filter(None, (_KITS.get(caution.can_kill, ""), about)))
    return tidy(f"{capital(about)}: {caution.say}" if about else caution.say)


def _about(rule: Rule) -> str:
    """The parts of one rule: kinds, then what else it asks."""
    kinds = _kinds(rule)
    more = ["and so on"] if len(kinds) > 2 * _NAMED else []
    return ", ".join(filter(None, (*(kinds[:_NAMED] if more else kinds), *more, _condition(rule))))


def _is_live(check: UsualCheck) -> bool:
    """Whether the check is made with the supply on: a plan has none in a kit that can kill."""
    return "{rail}" in check.expect or "{current}" in check.expect


def _check(check: UsualCheck) -> str:
    """A check with its limits."""
    expect, where = check.expect, check.where
    if check.rails == RAILS[1]:
        where = "mains and each rail up to 50 V"
    for gap, words in _LIMITS:
        expect = expect.replace(gap, words)
    return f"{_filled(where)} {expect}".strip()


def _filled(text: str) -> str:
    for gap, words in _GAPS:
        text = text.replace(gap, words)
    return tidy(text)

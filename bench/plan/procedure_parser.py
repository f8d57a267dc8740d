"""From the tree of a procedure file to a `Procedure`, with every fault found in one reading."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bench.kit.fields import Reader, quoted, shape
from bench.kit.yaml_text import Map, Node, Seq, Text
from bench.plan.conditions import CONDITIONS
from bench.plan.rules import (
    ORDERS,
    RAILS,
    STAGE_ACTIONS,
    Procedure,
    Rule,
    Rules,
    StageCaution,
    StageRule,
    Task,
    UsualCheck,
)


def rules_under(reader: Reader, entry: Map, key: str) -> Rules:
    """The rules under `key`: one, or a list of them. Empty when the key is not there."""
    node = entry.get(key)
    if node is None:
        return ()
    items = node.items if isinstance(node, Seq) else (node,)
    if not items or (isinstance(node, Text) and not node.value.strip()):
        reader.fault(entry.line_of(key), f'"{key}" is empty', "give rules such as `- {kind: diode}`")
        return ()
    found = []
    for item in items:
        if isinstance(item, Map):
            found.append(_rule(reader, item))
        else:
            hint = "write it as a mapping, such as `{kind: diode}`"
            reader.fault(item.line, f"a rule should be a mapping, not {shape(item)}", hint)
    return tuple(found)


def _rule(reader: Reader, entry: Map) -> Rule:
    reader.known(entry, tuple(CONDITIONS))
    if not entry.entries:
        reader.fault(entry.line, "an empty rule", "say what it is about, such as `{height: 1-9}` for all parts")
    asked = (each for key, each in CONDITIONS.items() if entry.get(key) is not None)
    return Rule({each.key: each.read(reader, entry, each.key) for each in asked})


def _can_kill(reader: Reader, entry: Map) -> bool | None:
    """For kits that can kill, or for others; None when the file does not say."""
    return reader.flag(entry, "can kill") if entry.get("can kill") is not None else None


VERSION = 1
"""Format of procedure files that this program reads."""
MOST_IN_STEP = 1000
"""Largest step size, in parts."""
TOP_KEYS = ("procedure", "name", "about", "step size", "stages")
STAGE_KEYS = (
    "name", "per", "section", "takes", "claims", "action", "order", "cautions", "count joints", "about",
    "tasks", "hold", "checks", "trims", "when", "step size",
)  # fmt: skip
CAUTION_KEYS = ("say", "when", "can kill", "always")
TASK_KEYS = ("do", "detail", "expect", "caution", "when", "unless", "can kill")
CHECK_KEYS = (
    "between", "at", "look", "expect", "how", "unplug", "when", "unless", "alone", "can kill", "rails", "last",
)  # fmt: skip
CHECK_GAPS = ("{rail}", "{other rail}", "{current}", "{series}", "{parts}")
TASK_GAPS = (
    "{errata}", "{tools}", "{notes}", "{series}", "{keep dry}", "{look-alikes}", "{parts}", "{section}",
)  # fmt: skip
_GAP = re.compile(r"\{[^{}]*\}")


def procedure_from_tree(tree: Node, name: str) -> Procedure:
    """The procedure in the tree of a file called `name`; FileFaults with all faults, sorted by line."""
    reader = Reader(name)
    top = reader.mapping(tree, "a procedure file")
    if not isinstance(tree, Map) or not _version(reader, top):
        reader.finish()
    reader.known(top, TOP_KEYS)
    entries = reader.mappings(top, "stages", "stage", needed=True)
    stages = tuple(_stage(reader, entry) for entry in entries if entry.entries)
    procedure = Procedure(
        name=reader.text(top, "name", needed=True),
        about=reader.text(top, "about", lines=True),
        step_size=reader.whole(top, "step size", least=1, most=MOST_IN_STEP) or 10,
        stages=stages,
    )
    _order_of_stages(reader, stages)
    reader.finish()
    return procedure


def _version(reader: Reader, top: Map) -> bool:
    """Whether the rest of the file is worth reading; faults are noted."""
    version = reader.whole(top, "procedure", least=0, most=10**9)
    line = top.line_of("procedure")
    if top.get("procedure") is None:
        other = ": this looks like a kit file" if top.get("kit") is not None else ""
        reader.fault(line, f'"procedure" is missing{other}', f"a procedure file has `procedure: {VERSION}`")
        return not other
    if version is not None and version > VERSION:
        hint = f"this program reads version {VERSION}: use a newer program"
        reader.fault(line, f"this procedure is written in version {version} of the format", hint)
        return False
    if version is not None and version < VERSION:
        reader.fault(line, f"there is no version {version} of the format", f"write `procedure: {VERSION}`")
    return True


def _stage(reader: Reader, entry: Map) -> StageRule:
    reader.known(entry, STAGE_KEYS)
    name = reader.text(entry, "name", needed=True).strip()
    per = reader.choice(entry, "per", ("board", "module"))
    section = reader.choice(entry, "section", ("each",))
    claims = rules_under(reader, entry, "claims")
    takes = (*rules_under(reader, entry, "takes"), *claims)
    hold = _hold(reader, entry, name)
    gaps = ("{section}",) if section else ()
    _gaps(reader, entry.line_of("name"), name, gaps)
    stage = StageRule(
        name=name,
        per_board=per == "board" if per else bool(takes),
        each_section=bool(section),
        takes=takes,
        claims=claims,
        action=reader.choice(entry, "action", STAGE_ACTIONS) or "solder",
        order=_order(reader, entry),
        cautions=_cautions(reader, entry),
        count_joints=reader.flag(entry, "count joints"),
        about=reader.text(entry, "about", lines=True),
        tasks=_tasks(reader, entry, section),
        hold=hold,
        checks=_checks(reader, entry),
        trims=reader.flag(entry, "trims"),
        when=rules_under(reader, entry, "when"),
        step_size=reader.whole(entry, "step size", least=1, most=MOST_IN_STEP) or 0,
        line=entry.line,
    )
    _makes_sense(reader, entry, stage)
    return stage


def _makes_sense(reader: Reader, entry: Map, stage: StageRule) -> None:
    """Faults for a stage whose keys do not go together."""
    named = f"the stage {quoted(stage.name)}"
    idle = (
        not any(entry.get(key) is not None for key in ("takes", "claims", "tasks", "hold", "checks"))
        and not stage.trims
    )
    if idle:
        hint = "give it `takes`, `tasks`, `hold` or `trims`, or take it out"
        reader.fault(entry.line, f"{named} does nothing", hint)
    elif not stage.takes and entry.get("takes") is None and entry.get("claims") is None:
        for key in ("action", "order", "step size", "count joints"):
            if entry.get(key) is not None:
                hint = "add `takes`, or take this out"
                reader.fault(entry.line_of(key), f'{named} has "{key}" but takes no parts', hint)
    _hold_makes_sense(reader, entry, stage, named)
    if stage.count_joints and stage.action != "solder":
        what = f'{named} has "count joints" but solders nothing'
        reader.fault(entry.line_of("count joints"), what, "take it out")


def _hold_makes_sense(reader: Reader, entry: Map, stage: StageRule, named: str) -> None:
    if entry.get("checks") is not None and not stage.hold:
        hint = "add `hold: before power` (or another name), or make them `tasks`"
        reader.fault(entry.line_of("checks"), f"{named} has checks but is no hold point", hint)
    if stage.hold and stage.takes:
        hint = "make two stages of it, first the parts and then the hold point"
        reader.fault(entry.line_of("hold"), f"{named} takes parts and is a hold point", hint)
    if (stage.hold or stage.trims) and (stage.per_board or stage.each_section):
        key = "section" if stage.each_section else "per"
        hint = "hold points and adjustments are for the whole module: `per: module`, without `section`"
        reader.fault(entry.line_of(key), f"{named} cannot be repeated", hint)


def _order_of_stages(reader: Reader, stages: Sequence[StageRule]) -> None:
    """Faults for stages that do not fit together."""
    first: dict[str, int] = {}
    for stage in stages:
        name = " ".join(stage.name.split()).casefold()
        if name and name in first:
            what = f"two stages are called {quoted(stage.name)} (first in line {first[name]})"
            reader.fault(stage.line, what, "give one of them another name")
        first.setdefault(name, stage.line)
    for at, stage in enumerate(stages):
        if stage.action == "place" and not any(later.action == "solder" for later in stages[at + 1 :]):
            what = f"the stage {quoted(stage.name)} places parts that no later stage solders"
            reader.fault(stage.line, what, "add a later stage with `action: solder` that takes them")
        power = [hold for later in stages[at:] for hold in later.hold if hold == "before power"]
        early = all(rule.asks.get("supply path") == (True,) for rule in stage.takes)
        if stage.action == "insert" and power and not early:
            what = f"the stage {quoted(stage.name)} puts ICs in before the hold point `before power`"
            reader.fault(
                stage.line,
                what,
                "move it behind that stage: the first checks are made with the ICs out; "
                "fuses and links go in before it with `supply path: yes`",
            )


def _hold(reader: Reader, entry: Map, name: str) -> tuple[str, ...]:
    """Folded names of the hold points a stage stands for; `yes` means the one called like the stage."""
    if entry.get("hold") is None:
        return ()
    names = [" ".join(text.split()).casefold() for text in reader.texts(entry, "hold")]
    node = entry.get("hold")
    if isinstance(node, Text) and not node.value.strip():
        reader.fault(
            entry.line_of("hold"), '"hold" is empty', "name the hold point, as in `hold: before power`"
        )
    if names in (["no"], ["false"]):
        return ()
    return tuple(" ".join(name.split()).casefold() if each in ("yes", "true") else each for each in names)


def _order(reader: Reader, entry: Map) -> tuple[str, ...]:
    names = tuple(name.strip().casefold() for name in reader.texts(entry, "order"))
    for name in names:
        if name not in ORDERS:
            what = f"steps cannot be ordered by {quoted(name)}"
            reader.fault(entry.line_of("order"), what, reader.suggest(name, ORDERS))
    return tuple(name for name in names if name in ORDERS) or ("kind", "value")


def _cautions(reader: Reader, entry: Map) -> tuple[StageCaution, ...]:
    found = []
    for item in _items(entry, "cautions"):
        if isinstance(item, Text):
            found.append(StageCaution(say=_said(reader, item, "caution")))
            continue
        both = reader.mapping(item, "a caution")
        reader.known(both, CAUTION_KEYS)
        caution = StageCaution(
            say=reader.text(both, "say", needed=True),
            when=rules_under(reader, both, "when"),
            can_kill=_can_kill(reader, both),
            always=reader.flag(both, "always"),
        )
        found.append(caution)
    return tuple(found)


def _tasks(reader: Reader, entry: Map, section: str) -> tuple[Task, ...]:
    found: list[Task] = []
    first: dict[str, int] = {}
    for item in _items(entry, "tasks"):
        if isinstance(item, Text):
            task = Task(do=_said(reader, item, "task"))
        else:
            both = reader.mapping(item, "a task")
            reader.known(both, TASK_KEYS)
            task = Task(
                do=reader.text(both, "do", needed=bool(both.entries)),
                detail=reader.text(both, "detail", lines=True),
                expect=reader.text(both, "expect"),
                cautions=reader.texts(both, "caution"),
                when=rules_under(reader, both, "when"),
                unless=rules_under(reader, both, "unless"),
                can_kill=_can_kill(reader, both),
            )
        gaps = TASK_GAPS if section else TASK_GAPS[:-1]
        _gaps(reader, item.line, task.do + task.detail, gaps)
        headline = " ".join(task.do.split()).casefold()
        if headline and headline in first:
            what = f"two tasks are called {quoted(task.do)} (first in line {first[headline]})"
            reader.fault(item.line, what, "give one of them another headline")
        first.setdefault(headline, item.line)
        found.append(task)
    return tuple(found)


def _checks(reader: Reader, entry: Map) -> tuple[UsualCheck, ...]:
    found = []
    for item in reader.mappings(entry, "checks", "check"):
        reader.known(item, CHECK_KEYS)
        places = [key for key in ("between", "at", "look") if item.get(key) is not None]
        if len(places) != 1 and item.entries:
            what = f"a check with {' and '.join(places)}" if places else "a check that does not say where"
            hint = "give one of `between` (two places), `at` (one place) and `look` (what to look at)"
            reader.fault(item.line, what, hint)
        texts = {key: reader.text(item, key) for key in ("expect", "how", "unplug")}
        where = reader.text(item, places[0], needed=True) if places else ""
        for text in (where, *texts.values()):
            _gaps(reader, item.line, text, CHECK_GAPS)
        if "{rail}" not in where and any(
            gap in text for gap in CHECK_GAPS[:3] for text in (where, *texts.values())
        ):
            hint = "`{rail}` there makes one check for each supply rail"
            reader.fault(item.line, "a check with a gap to fill that has no {rail} in its place", hint)
        check = UsualCheck(
            where=where,
            when=rules_under(reader, item, "when"),
            unless=rules_under(reader, item, "unless"),
            alone=reader.flag(item, "alone"),
            can_kill=_can_kill(reader, item),
            rails=reader.choice(item, "rails", RAILS) or RAILS[0],
            last=reader.flag(item, "last"),
            **texts,
        )
        found.append(check)
    return tuple(found)


def _items(entry: Map, key: str) -> tuple[Node, ...]:
    """The entries of a list, or the one thing that stands in its place."""
    node = entry.get(key)
    if node is None:
        return ()
    return node.items if isinstance(node, Seq) else (node,)


def _said(reader: Reader, node: Text, what: str) -> str:
    if not node.value.strip():
        reader.fault(node.line, f"an empty {what}", "fill it in or take it out")
    return node.value


def _gaps(reader: Reader, line: int, text: str, known: Sequence[str]) -> None:
    """A fault for each `{gap}` that nothing fills."""
    for gap in _GAP.findall(text):
        if gap not in known:
            hint = f"gaps filled here: {', '.join(known)}" if known else "nothing is filled in here"
            reader.fault(line, f"nothing fills the gap {gap}", hint)

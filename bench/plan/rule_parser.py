"""Rules out of the tree of a procedure file: which parts a stage takes, or is there for."""

from __future__ import annotations

from bench.kit.fields import Reader, shape
from bench.kit.yaml_text import Map, Seq, Text
from bench.plan.conditions import CONDITIONS
from bench.plan.rules import Rule, Rules


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


def flag_or_none(reader: Reader, entry: Map, key: str) -> bool | None:
    """Yes or no under `key`; None when it is not there."""
    return reader.flag(entry, key) if entry.get(key) is not None else None

"""Rules out of the tree of a procedure file: which parts a stage takes, or is there for."""

from __future__ import annotations

import re

from bench.kit.fields import Reader, quoted, shape
from bench.kit.yaml_text import Map, Node, Seq, Text
from bench.parts.kinds import KINDS, MOUNTS, kind_named
from bench.plan.ends import ROLES
from bench.plan.rules import Rule, Rules

RULE_KEYS = (
    "kind", "mount", "height", "section", "board", "value", "socket", "joints", "several boards",
    "supply path", "closes the box", "carries panel parts", "surface mount", "wired", "role",
    "words", "no words",
)  # fmt: skip
_TEXTS = ("kind", "mount", "height", "section", "board", "value", "role", "words", "no words")
_HEIGHTS = re.compile(r"([1-9])(?:\s*(?:-|–|to)\s*([1-9]))?")


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
    reader.known(entry, RULE_KEYS)
    if not entry.entries:
        reader.fault(entry.line, "an empty rule", "say what it is about, such as `{height: 1-9}` for all parts")
    kinds = []
    for text in reader.texts(entry, "kind"):
        kind = kind_named(text)
        if kind is None:
            what = f"unknown kind {quoted(text)}"
            reader.fault(entry.line_of("kind"), what, reader.suggest(text, KINDS))
        else:
            kinds.append(kind.name)
    mounts = tuple(" ".join(text.split()).casefold() for text in reader.texts(entry, "mount"))
    for mount in mounts:
        if mount not in MOUNTS:
            what = f"unknown mount {quoted(mount)}"
            reader.fault(entry.line_of("mount"), what, reader.suggest(mount, MOUNTS))
    for key, _, node in entry.entries:
        if key in _TEXTS and not _filled(node):
            reader.fault(entry.line_of(key), f'"{key}" is empty', "fill it in or take it out")
    return Rule(
        kinds=tuple(kinds),
        mounts=mounts,
        heights=_heights(reader, entry),
        sections=_folded(reader, entry, "section"),
        boards=_folded(reader, entry, "board"),
        values=_folded(reader, entry, "value"),
        socket=flag_or_none(reader, entry, "socket"),
        joints=flag_or_none(reader, entry, "joints"),
        several_boards=flag_or_none(reader, entry, "several boards"),
        supply_path=flag_or_none(reader, entry, "supply path"),
        closes_box=flag_or_none(reader, entry, "closes the box"),
        carries_panel=flag_or_none(reader, entry, "carries panel parts"),
        surface=flag_or_none(reader, entry, "surface mount"),
        wired=flag_or_none(reader, entry, "wired"),
        roles=_roles(reader, entry),
        words=_folded(reader, entry, "words"),
        no_words=_folded(reader, entry, "no words"),
    )


def flag_or_none(reader: Reader, entry: Map, key: str) -> bool | None:
    """Yes or no under `key`; None when it is not there."""
    return reader.flag(entry, key) if entry.get(key) is not None else None


def _filled(node: Node) -> bool:
    return bool(node.value.strip()) if isinstance(node, Text) else not isinstance(node, Seq) or bool(node.items)


def _roles(reader: Reader, entry: Map) -> tuple[str, ...]:
    roles = _folded(reader, entry, "role")
    for role in roles:
        if role not in ROLES:
            reader.fault(entry.line_of("role"), f"unknown role {quoted(role)}", reader.suggest(role, ROLES))
    return roles


def _folded(reader: Reader, entry: Map, key: str) -> tuple[str, ...]:
    return tuple(text.strip().casefold() for text in reader.texts(entry, key))


def _heights(reader: Reader, entry: Map) -> tuple[int, ...]:
    found: list[int] = []
    for text in reader.texts(entry, "height"):
        ends = _HEIGHTS.fullmatch(text.strip())
        if ends is None or int(ends[2] or ends[1]) < int(ends[1]):
            hint = "give classes from 1 (flat) to 9 (hardware): 1, [1, 2] or 1-3"
            reader.fault(entry.line_of("height"), f"{quoted(text)} is no height class", hint)
        else:
            found += range(int(ends[1]), int(ends[2] or ends[1]) + 1)
    return tuple(found)

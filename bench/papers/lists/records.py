"""Lists that give each field of a part its name: JSON, YAML, attributes, or `Value: 10k` line by line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.refs import STRONG, find_refs
from bench.papers.lists.vocabulary import heading_roles

FORM = "fields with their names"
_KEY = r"[^\W\d_][\w #./()-]{0,40}?"
_QUOTED = re.compile(
    rf"""(?P<open>["']?)(?P<key>{_KEY}|[A-Za-z]+[0-9]+)(?P=open)\s*[:=]\s*
    (?:(?P<sign>["'])(?P<text>.*?)(?P=sign)|(?P<list>\[[^\[\]]*\])|(?P<bare>-?[\w.]+|[\[{{])|$)""",
    re.VERBOSE,
)
_PLAIN = re.compile(rf"({_KEY})\s*[:=]\s*(.*)")
_BULLET = re.compile(r"\s*(?:[-*•]\s+)?")
_NO_SIGNS = re.compile(r"[\[\]\"']")
_CLOSED = re.compile(r"[\s{}\[\],;]*")
_EMPTY = frozenset(["null", "none", "None", "{", "[", "~"])
_REF = "Reference"
Fields = dict[str, str]


def records(lines: Sequence[str]) -> Iterator[Layout]:
    """The layout in which each part has its fields under their names; none where few lines are such fields."""
    found, loose = _gathered(lines)
    full = [fields for _, fields in found if len(fields) > 1]
    header = tuple(dict.fromkeys(key for fields in full for key in fields))[:40]
    known = sum(bool(heading_roles(key)) for key in header)
    if len(full) > 1 and known > 1 and sum(map(len, full)) >= len(loose):
        rows = [
            SourceRow(line=at, cells=tuple(fields.get(key, "") for key in header))
            for at, fields in found
            if len(fields) > 1
        ]
        table = SourceTable(rows=(SourceRow(line=0, cells=header), *rows), headed=True)
        yield Layout(form=FORM, tables=(table,), loose=tuple(loose))


def _gathered(lines: Sequence[str]) -> tuple[list[tuple[int, Fields]], list[SourceRow]]:
    """The line and the fields of each record, and the lines that hold none."""
    found: list[tuple[int, Fields]] = [(0, {})]
    loose: list[SourceRow] = []
    listed = ""
    for at, line in enumerate(lines, 1):
        if listed and ("{" in line or ":" in line):
            del found[-1][1][listed]
            listed = ""
        if listed:
            found[-1][1][listed] += _NO_SIGNS.sub("", line).strip()
            listed = "" if "]" in line else listed
            continue
        pairs = _fields(line[:2_000])
        if not pairs and not _CLOSED.fullmatch(line):
            loose.append(SourceRow(line=at, cells=(line.strip(),)))
        for key, text in pairs:
            if key in found[-1][1] or key == _REF:
                found.append((at, {}))
            elif not found[-1][1]:
                found[-1] = (at, {})
            found[-1][1][key] = "" if text in _EMPTY else text
            listed = key if text == "[" else ""
    return found, loose


def _fields(line: str) -> list[tuple[str, str]]:
    """The named fields of a line; designators alone, or as the name of their value, count as fields too."""
    text = _BULLET.sub("", line, count=1).strip()
    quoted = list(_QUOTED.finditer(text))
    if any(each["open"] or each["sign"] for each in quoted):
        pairs = [(each["key"], each["text"] or _bare(each["list"] or each["bare"] or "")) for each in quoted]
        if any(find_refs(key).trust < STRONG for key, _ in pairs):
            return pairs
        by_name = ((_REF, key, "Value", value) for key, value in pairs)
        return [(name, said) for ref in by_name for name, said in (ref[:2], ref[2:]) if said not in _EMPTY]
    plain = _PLAIN.fullmatch(text)
    if plain is None or find_refs(plain[1]).trust >= STRONG:
        bare = text.removesuffix("{").rstrip(" :")
        alone = find_refs(bare) if len(text) < 200 else None
        return [(_REF, bare)] if alone and alone.trust >= 0.5 and not alone.left else []
    return [(plain[1], _bare(plain[2]))]


def _bare(text: str) -> str:
    """A value without brackets and quotation marks; an opening bracket alone stays."""
    return text if text in ("[", "{") else _NO_SIGNS.sub("", text).strip()

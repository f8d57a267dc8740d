"""YAML read as text: a tree of small frozen nodes that know their lines, and nothing else.

Everything a person wrote stays text (`0603`, `NO` and `12:30` are what they look like); giving it a type is
the reader's task. Nothing of a file can run or grow: tags, anchors, aliases, merge keys, duplicate keys, a
second document, deep nesting, too many bytes and control characters are faults, each with its line.
`fields.Reader` takes typed values out of such a tree and collects faults.

    tree = read_yaml(read_bytes(path), str(path))       # FileFaults when the file cannot be read
    match tree:
        case Map():  tree.get("name")                   # -> Text | Seq | Map | None
        case Seq():  tree.items
        case Text(): tree.value, tree.line              # line counts from 1

PyYAML is imported only when a text is read.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from bench.errors import Fault, FileFaults, SoldersideError
from bench.files import read_plain_file

if TYPE_CHECKING:
    import yaml
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import yaml

MAX_BYTES = 2_000_000
"""Largest file read, in bytes; a kit of 400 parts has about 40,000."""
MAX_DEPTH = 20
"""Deepest nesting read, in levels of lists and mappings; a kit needs six."""


class Text(Struct, frozen=True, kw_only=True):
    """A scalar, as text whatever it looks like."""

    value: str
    """As written, without quotes; empty for nothing; block texts (`|`, `>`) lose their last line break."""
    line: int
    """Line in the file, from 1."""


class Seq(Struct, frozen=True, kw_only=True):
    """A list."""

    items: tuple[Text | Seq | Map, ...]
    line: int


class Map(Struct, frozen=True, kw_only=True):
    """A mapping from text to nodes, in the order of the file; no key occurs twice."""

    entries: tuple[tuple[str, int, Text | Seq | Map], ...]
    """Key, line of the key, what it stands for."""
    line: int

    def get(self, key: str) -> Text | Seq | Map | None:
        """What `key` stands for, or None."""
        for name, _, node in self.entries:
            if name == key:
                return node
        return None

    def line_of(self, key: str) -> int:
        """The line of `key`, or of the mapping when it has no such key."""
        return next((line for name, line, _ in self.entries if name == key), self.line)


Node = Text | Seq | Map


def read_bytes(path: Path) -> bytes:
    """All bytes of a file that a person named; FileFaults, with a hint, when that cannot be done."""
    try:
        return read_plain_file(path, MAX_BYTES, "kit or procedure file")
    except SoldersideError as error:
        raise _one(error.where, error.what, error.hint) from error


def read_yaml(data: bytes, name: str) -> Node:
    """The tree of a YAML file's bytes; raises FileFaults with all faults found, sorted by line.

    `name` is the file as people know it; faults are reported as `name:LINE`.

    >>> read_yaml(b"kit: 1", "my.yaml").get("kit")
    Text(value='1', line=1)
    """
    text = decode(data, name)
    builder = _Builder(name)
    import yaml

    try:
        for event in yaml.parse(text, Loader=_parser()):
            builder.take(event)
    except yaml.YAMLError as error:
        builder.fault(*plain_words(error, _LINE_BREAK.split(text)))
    except _TooDeep:
        pass
    if builder.faults:
        raise FileFaults(sorted(builder.faults, key=lambda fault: int(fault.where.rpartition(":")[2])))
    if builder.root is None or (isinstance(builder.root, Text) and not builder.root.value):
        raise _one(name, "the file is empty", "solderside help kit, or help procedure, has a complete example")
    return builder.root


def decode(data: bytes, name: str) -> str:
    """The text of a file: UTF-8, with or without a byte order mark; FileFaults for anything else."""
    if len(data) > MAX_BYTES:
        raise _one(name, f"the file is larger than {MAX_BYTES // 1_000_000} MB", "is it the right file?")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or data[1:8:2] == bytes(4) or data[:7:2] == bytes(4):
        raise _one(f"{name}:1", "the file is saved as UTF-16 or UTF-32", "save it again as UTF-8")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = len(_LINE_BREAK.findall(data[: error.start].decode("utf-8", "replace"))) + 1
        bad = f"byte {data[error.start]:#04x} is not UTF-8"
        raise _one(
            f"{name}:{line}", bad, "save the file again as UTF-8 and look at the signs in this line"
        ) from None
    faults = [
        Fault(what=_control(found), where=f"{name}:{line}", hint="take it out")
        for line, row in enumerate(_LINE_BREAK.split(text), 1)
        for found in dict.fromkeys(_CONTROL.findall(row))
    ]
    if faults:
        raise FileFaults(faults)
    return text


_LINE_BREAK = re.compile("\r\n|\r|\n")
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")
"""What nobody types on purpose: C0, DEL and C1 controls, line and paragraph separators, byte order marks
past the start, noncharacters, halves of surrogate pairs."""


class _TooDeep(Exception):
    """Nesting is beyond `MAX_DEPTH`; the fault is noted already."""


class _Open:
    """A list or mapping whose end has not come yet."""

    def __init__(self, is_map: bool, line: int) -> None:
        self.is_map, self.line = is_map, line
        self.items: list[Node] = []
        self.entries: dict[str, tuple[str, int, Node]] = {}
        self.key: tuple[str, int] | None = None
        """The key read last, while its value is still to come."""


class _Builder:
    """Makes the tree from the parser's events, without recursion."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.faults: list[Fault] = []
        self.root: Node | None = None
        self.open: list[_Open] = []
        self.documents = 0

    def fault(self, line: int, what: str, hint: str) -> None:
        self.faults.append(Fault(what=what, where=f"{self.name}:{line}", hint=hint))

    def take(self, event: yaml.Event) -> None:
        """One event of the parser."""
        kind = type(event).__name__
        if kind == "ScalarEvent":
            self.scalar(event)
        elif kind in ("SequenceStartEvent", "MappingStartEvent"):
            self.refuse_extras(event)
            line = _line(event)
            if len(self.open) >= MAX_DEPTH:
                self.fault(
                    line, f"lists or mappings nested more than {MAX_DEPTH} deep", "is a bracket missing?"
                )
                raise _TooDeep
            self.open.append(_Open(kind == "MappingStartEvent", line))
        elif kind in ("SequenceEndEvent", "MappingEndEvent"):
            done = self.open.pop()
            self.place(
                Map(entries=tuple(done.entries.values()), line=done.line)
                if done.is_map
                else Seq(items=tuple(done.items), line=done.line)
            )
        elif kind == "AliasEvent":
            self.fault(
                _line(event),
                f"a text that starts with a star is a YAML reference (*{event.anchor})",  # type: ignore[attr-defined]
                "put it in quotes if the star belongs to the text; otherwise write the thing out again",
            )
            self.place(Text(value="", line=_line(event)))
        elif kind == "DocumentStartEvent":
            self.documents += 1
            if self.documents == 2:
                self.fault(_line(event), "a second document starts here (---)", "keep one document in a file")

    def scalar(self, event: Any) -> None:
        self.refuse_extras(event)
        value: str = event.value
        line = _line(event)
        for found in dict.fromkeys(_CONTROL.findall(value) + ["\r"] * ("\r" in value)):
            self.fault(line, _control(found), "take it out")
        self.place(Text(value=value.rstrip("\n") if event.style in ("|", ">") else value, line=line))

    def refuse_extras(self, event: Any) -> None:
        """Faults for an anchor or a tag."""
        if event.anchor is not None:
            self.fault(
                _line(event),
                f"a text that starts with & is a YAML anchor (&{event.anchor})",
                "put it in quotes if the sign belongs to the text; otherwise take the anchor out",
            )
        if event.tag is not None:
            self.fault(
                _line(event),
                f"a text that starts with an exclamation mark is a YAML tag ({event.tag})",
                "put it in quotes if the mark belongs to the text; otherwise take the tag out",
            )

    def place(self, node: Node) -> None:
        """Put a finished node where it belongs."""
        if not self.open:
            self.root = node if self.documents == 1 else self.root
            return
        parent = self.open[-1]
        if not parent.is_map:
            parent.items.append(node)
        elif parent.key is None:
            parent.key = self.key_of(node)
        else:
            (key, line), parent.key = parent.key, None
            if key == "<<":
                self.fault(line, "a merge key (<<)", "write the entries out")
            elif key in parent.entries:
                first = parent.entries[key][1]
                self.fault(line, f'"{key}" appears twice (first in line {first})', "keep one of them")
            else:
                parent.entries[key] = (key, line, node)

    def key_of(self, node: Node) -> tuple[str, int]:
        if not isinstance(node, Text):
            self.fault(node.line, "a list or mapping where a key should be", "write `key: value`")
            return (f"?{node.line}", node.line)
        return (node.value, node.line)


def _parser() -> Any:
    """PyYAML's C parser, or the pure one where that was not built."""
    import yaml

    return getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def _one(where: str, what: str, hint: str) -> FileFaults:
    return FileFaults([Fault(what=what, where=where, hint=hint)])


def _control(found: str) -> str:
    return f"an invisible control character (U+{ord(found):04X})"


def _line(event: Any) -> int:
    return int(event.start_mark.line) + 1


_COMPARE = "compare with the example in solderside help kit"
_QUOTE = "put texts with , : [ ] { } in quotes"
_HINTS: tuple[tuple[str, str, str], ...] = (
    (
        "block scalar",
        "a text that starts with > or | means something else in YAML",
        "put the text in quotes",
    ),
    ("unknown escape", "a backslash inside double quotes", "use single quotes, or two backslashes"),
    ("escape code", "a backslash inside double quotes", "use single quotes, or two backslashes"),
    ("hexdecimal", "a backslash inside double quotes", "use single quotes, or two backslashes"),
    ("quoted scalar", "a quotation mark that is never closed", "close it, or leave quotation marks out"),
    ("cannot start any token", "a text may not start with this sign", "put the text in quotes"),
    (
        "mapping values",
        "a second colon in one entry, or a line that is set in too far",
        "put a text with a colon in quotes, line entries up, and look at the line above",
    ),
    ("',' or", "a comma or closing bracket is missing", f"close the bracket, and {_QUOTE}"),
    ("flow node", "a comma too many, or a sign that needs quotes", f"take the comma out, or {_QUOTE}"),
    ("flow", "a bracket that is never closed", f"close it, and {_QUOTE}"),
    (
        "expected ':'",
        "a line that is neither `key: value` nor a list entry",
        "write `key: value`, with a space after the colon",
    ),
    ("anchor", "a text that starts with & or *", "put the text in quotes"),
    ("alias", "a text that starts with & or *", "put the text in quotes"),
    ("tag", "a text that starts with an exclamation mark", "put the text in quotes"),
    ("sequence entries", "a list entry in the middle of a line", "begin a list on a line of its own"),
    (
        "block",
        "a line that does not line up with its neighbours, or something left over after a text",
        "set entries of one list or mapping equally far in, and put a text in quotes as a whole",
    ),
    ("directive", "a line that starts with a per cent sign", "put the text in quotes"),
    ("YAML document", "a line that starts with a per cent sign", "take it out"),
    ("document start", "text after the end of the document", "set all lines equally far in"),
)
"""Part of the parser's complaint, what it means, what to do; the first that fits counts."""


def plain_words(error: yaml.YAMLError, rows: Sequence[str]) -> tuple[int, str, str]:
    """Line (from 1), what and hint for a complaint of the parser about a file with these rows."""
    context, problem = (getattr(error, part, None) for part in ("context", "problem"))
    began, mark = (getattr(error, part, None) for part in ("context_mark", "problem_mark"))
    complaint = f"{context or ''} {problem or error}"
    line = (mark.line if mark else 0) + 1
    row = rows[line - 1] if line <= len(rows) else ""
    if "\t" in row[: len(row) - len(row.lstrip())]:
        return line, "a tab at the start of the line", "use spaces"
    what, hint = next(((w, h) for part, w, h in _HINTS if part in complaint), ("", _COMPARE))
    if began and any(part in complaint for part in ("quoted scalar", "flow", "expected ':'")):
        line = began.line + 1
    return line, what or f"this is not YAML ({problem or error})", hint

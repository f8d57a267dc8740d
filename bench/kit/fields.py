"""Typed values out of a YAML tree, with every fault collected.

    reader = Reader("my.yaml")
    top = reader.mapping(read_yaml(data, "my.yaml"), "a kit file")
    reader.known(top, ("name", "count"))            # a fault for each other key
    name = reader.text(top, "name", needed=True)    # "" and a fault when it is missing or a list
    count = reader.whole(top, "count", most=9)      # None when it is not there
    reader.finish()                                 # raises FileFaults when there was any fault

Each method goes on after a fault with an empty value, so one reading finds them all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from bench.errors import Fault, FileFaults
from bench.kit.yaml_text import Map, Node, Seq, Text
from bench.parts.english import counted as counted

MAX_FAULTS = 500
"""Faults reported for one file; what has more is the wrong file."""
_YES, _NO = ("yes", "true", "on"), ("no", "false", "off")


class Reader:
    """Takes values out of the tree of one file and remembers what is wrong with them."""

    def __init__(self, name: str, *, lenient: bool = False) -> None:
        self.name = name
        self.lenient = lenient
        """True for a build that was begun with the file as it is: `doubt` passes over what it finds."""
        self._faults: list[tuple[int, Fault]] = []

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All faults so far, in the order of their lines, each once."""
        return tuple(dict.fromkeys(fault for _, fault in sorted(self._faults, key=lambda found: found[0])))

    @property
    def count(self) -> int:
        """How many faults were noted so far."""
        return len(self._faults)

    @property
    def full(self) -> bool:
        """True when there are so many faults that reading on is of no use."""
        return len(self._faults) > MAX_FAULTS

    def fault(self, line: int, what: str, hint: str) -> None:
        """Note a fault in `line`."""
        self._faults.append((line, Fault(what=what, where=f"{self.name}:{line}", hint=hint)))

    def doubt(self, line: int, what: str, hint: str) -> None:
        """Note a fault that does not keep a build that was begun with it from being opened."""
        if not self.lenient:
            self.fault(line, what, hint)

    def finish(self) -> None:
        """Raise FileFaults when any fault was noted."""
        faults = self.faults
        if len(faults) > MAX_FAULTS:
            more = counted(len(faults) - MAX_FAULTS, "more fault")
            rest = Fault(what=more, where=self.name, hint="mend the first ones, or is it the wrong file?")
            faults = (*faults[:MAX_FAULTS], rest)
        if faults:
            raise FileFaults(faults)

    def suggest(self, word: str, among: Iterable[str]) -> str:
        """A hint for a word nobody knows: what it may be meant for, or all there are.

        >>> Reader("a.yaml").suggest("vlaue", ("refs", "value"))
        'did you mean "value"?'
        >>> Reader("a.yaml").suggest("colour", ("refs", "value"))
        'known here: refs, value'
        """
        import difflib

        known = tuple(among)
        folded = {name.casefold(): name for name in known}
        near: list[str] = []
        if len(word) <= 60 and not self.full:
            near = difflib.get_close_matches(word.strip().casefold(), folded, n=1, cutoff=0.6)
        return f'did you mean "{folded[near[0]]}"?' if near else "known here: " + ", ".join(known)

    def known(self, map: Map, keys: Sequence[str]) -> None:
        """A fault for every key of `map` that is not among `keys`."""
        for key, line, node in map.entries:
            if key in keys:
                continue
            hint = self.suggest(key, keys)
            if isinstance(node, Text) and not node.value and "did you mean" not in hint:
                hint = "if it belongs to the text before it, put that text in quotes: a comma ends it"
            self.fault(line, f"unknown key {quoted(key)}", hint)

    def mapping(self, node: Node, what: str) -> Map:
        """`node`, called `what` in messages, as a mapping; an empty one, with a fault, when it is none."""
        if isinstance(node, Map):
            return node
        self.fault(node.line, f"{what} should be a mapping, not {shape(node)}", "write `key: value` entries")
        return Map(entries=(), line=node.line)

    def mappings(self, map: Map, key: str, what: str, *, needed: bool = False) -> tuple[Map, ...]:
        """The list of mappings under `key`; `what` names one of them. Empty when it is not there."""
        node = self._wanted(map, key, needed)
        if node is None:
            return ()
        if isinstance(node, Text) and not node.value and not needed:
            return ()
        if not isinstance(node, Seq):
            self.fault(
                map.line_of(key),
                f"{quoted(key)} should be a list, not {shape(node)}",
                f"begin each {what} with a dash",
            )
            return ()
        if needed and not node.items:
            self.fault(map.line_of(key), f"{quoted(key)} is empty", f"give at least one {what}")
        for item in node.items:
            if isinstance(item, Map) and not item.entries:
                self.fault(item.line, f"an empty {what}", "fill it in or take it out")
        return tuple(self.mapping(item, what) for item in node.items)

    def text(self, map: Map, key: str, *, needed: bool = False, lines: bool = False) -> str:
        """The text under `key`, empty when it is not there; `lines` allows line breaks in it."""
        node = self._wanted(map, key, needed)
        if node is None:
            return ""
        if not isinstance(node, Text):
            hint = f'write one text; quotes keep it whole: {key}: "a, b"'
            self.fault(map.line_of(key), f"{quoted(key)} should be a text, not {shape(node)}", hint)
            return ""
        if needed and not node.value.strip():
            self.fault(map.line_of(key), f"{quoted(key)} is empty", "fill it in")
        return self._one_line(node, quoted(key), lines)

    @staticmethod
    def peek(map: Map, key: str) -> str:
        """The text under `key` where there is one, for a second look; `text` notes what is wrong with it."""
        node = map.get(key)
        return node.value if isinstance(node, Text) else ""

    def texts(self, map: Map, key: str) -> tuple[str, ...]:
        """The texts under `key`: a list of texts, or one text. Empty when it is not there."""
        node = map.get(key)
        if node is None or (isinstance(node, Text) and not node.value.strip()):
            return ()
        items = node.items if isinstance(node, Seq) else (node,)
        found = []
        for item in items:
            if not isinstance(item, Text):
                hint = "put a text with a colon or a comma in quotes"
                self.fault(item.line, f"{quoted(key)} should hold texts, not {shape(item)}", hint)
            elif not item.value.strip():
                self.fault(item.line, f"an empty entry under {quoted(key)}", "fill it in or take it out")
            else:
                found.append(item.value)
        return tuple(found)

    def whole(self, map: Map, key: str, *, least: int = 0, most: int) -> int | None:
        """The whole number under `key`, from `least` to `most`; None when it is not there or wrong."""
        text = self.text(map, key)
        if not text.strip():
            if map.get(key) is not None and isinstance(map.get(key), Text):
                self.fault(map.line_of(key), f"{quoted(key)} is empty", "give a whole number or take it out")
            return None
        if not re.fullmatch(r"[+-]?[0-9]{1,15}", text.strip()):
            self.fault(map.line_of(key), f"{quoted(key)} is {quoted(text)}", "give a whole number")
            return None
        number = int(text)
        if not least <= number <= most:
            self.fault(map.line_of(key), f"{quoted(key)} is {number}", f"give a number from {least} to {most}")
            return None
        return number

    def flag(self, map: Map, key: str, *, default: bool = False) -> bool:
        """The yes or no under `key`, `default` when it is not there."""
        text = self.text(map, key)
        word = text.strip().casefold()
        if map.get(key) is not None and word not in _YES + _NO:
            self.fault(map.line_of(key), f"{quoted(key)} is {quoted(text)}", "write yes or no")
        return word in _YES if word in _YES + _NO else default

    def choice(self, map: Map, key: str, among: Sequence[str]) -> str:
        """The word under `key`, spelled as in `among`; empty when it is not there or none of them."""
        text = self.text(map, key)
        found = next((name for name in among if name.casefold() == " ".join(text.split()).casefold()), "")
        if map.get(key) is not None and not found and isinstance(map.get(key), Text):
            self.fault(map.line_of(key), f"{quoted(key)} is {quoted(text)}", self.suggest(text, among))
        return found

    def _wanted(self, map: Map, key: str, needed: bool) -> Node | None:
        node = map.get(key)
        if node is None and needed:
            self.fault(map.line, f"{quoted(key)} is missing", f"add `{key}: ...`")
        return node

    def _one_line(self, node: Text, what: str, lines: bool) -> str:
        if "\n" in node.value and not lines:
            self.fault(node.line, f"a line break in {what}", "write it on one line")
        return node.value


def shape(node: Node) -> str:
    """What a node is, for messages.

    >>> shape(Text(value="4k7", line=1))
    'the text "4k7"'
    """
    match node:
        case Seq():
            return "a list"
        case Map():
            return "a mapping"
        case Text():
            return f"the text {quoted(node.value)}" if node.value.strip() else "nothing"


def quoted(text: str) -> str:
    """`text` in quotation marks, on one line and not too long, for messages.

    >>> quoted("4k7")
    '"4k7"'
    """
    flat = " ".join(text.split()) or text.strip()
    return f'"{flat[:57]}..."' if len(flat) > 60 else f'"{flat}"'

"""KiCad's S-expressions: the wanted items of a file as trees, the others skipped unread. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator

from bench.errors import SoldersideError

Node = list["str | Node"]
_TOKEN = re.compile(r'"((?:[^"\\]|\\.)*)"|([()])|([^\s()"]+)')
_ESCAPED = re.compile(r"\\(.)")
_DEEPEST = 60


def items(text: str, name: str, wanted: frozenset[str], opened: frozenset[str]) -> Iterator[tuple[Node, int]]:
    """The wanted items inside those that are `opened`, each as a tree with its place in the text.

    Raises SoldersideError when brackets do not match; `name` is the file as people know it.
    """
    tokens = _TOKEN.finditer(text)
    depth = 0
    for token in tokens:
        if token[2] != "(":
            depth -= token[2] == ")"
            continue
        head = next(tokens, token)
        if head[3] in wanted:
            yield _tree(head[3], tokens, name), token.start()
        elif head[3] in opened:
            depth += 1
        elif head[2] != ")":
            _skip(tokens, name)
    if depth > 0:
        raise _cut(name)


def _tree(head: str, tokens: Iterator[re.Match[str]], name: str) -> Node:
    """The item that begins with this word, up to its closing bracket."""
    stack: list[Node] = [[head]]
    for token in tokens:
        quoted, bracket, word = token.groups()
        if bracket == "(":
            node: Node = []
            stack[-1].append(node)
            stack.append(node)
            if len(stack) > _DEEPEST:
                raise SoldersideError("brackets lie too deep for a board file", name, "is it a board file?")
        elif bracket:
            done = stack.pop()
            if not stack:
                return done
        elif word is not None:
            stack[-1].append(word)
        else:
            stack[-1].append(_ESCAPED.sub(r"\1", quoted) if "\\" in quoted else quoted)
    raise _cut(name)


def _skip(tokens: Iterator[re.Match[str]], name: str) -> None:
    """Go past the item whose first word was read."""
    depth = 1
    for token in tokens:
        bracket = token[2]
        if bracket:
            depth += 1 if bracket == "(" else -1
            if not depth:
                return
    raise _cut(name)


def _cut(name: str) -> SoldersideError:
    return SoldersideError("the file breaks off, or its brackets do not match", name, "get it anew")


def children(node: Node, name: str) -> Iterator[Node]:
    """The items of a tree that begin with this word."""
    return (each for each in node if isinstance(each, list) and each and each[0] == name)


def child(node: Node, name: str) -> Node:
    """The first item that begins with this word; an empty one where there is none."""
    return next(children(node, name), [])


def word(node: Node, name: str) -> str:
    """The first word of an item that begins with this word; empty where there is none.

    >>> word(["comp", ["ref", "R1"]], "ref"), word(["comp"], "ref")
    ('R1', '')
    """
    said = child(node, name)[1:2]
    return said[0].strip() if said and isinstance(said[0], str) else ""


def numbers(node: Node) -> list[float]:
    """The numbers of a node, as far as they are some."""
    found = []
    for each in node[1:]:
        try:
            number = float(each) if isinstance(each, str) else None
        except ValueError:
            continue
        if number is not None and abs(number) < 1e6:
            found.append(number)
    return found

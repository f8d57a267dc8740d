"""Mutants of a module: one small change each, made on Python's own syntax tree."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
_OPPOSED = (ast.Eq, ast.NotEq, ast.In, ast.NotIn, ast.Is, ast.IsNot)
"""Changing one of these negates the comparison."""
_CALCULATED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
_TAKES_SIGNS = {"startswith", "endswith", "removeprefix", "removesuffix", "split", "rsplit", "partition"} | {
    "rpartition", "strip", "lstrip", "rstrip", "count", "find", "index", "get"
}  # fmt: skip
"""Methods whose text decides something: a sign or a name, not prose."""
_EITHER_WAY = {"isinstance", "max", "min", "math.hypot", "math.gcd", "math.isclose"}
"""Functions whose first two arguments can stand either way round, or cannot at all."""


class Mutant(Struct, frozen=True, kw_only=True):
    """One changed module."""

    path: str
    """From the root of the project, with strokes."""
    where: str
    """The function with its classes, `<module>` outside of any."""
    sort: str
    change: str
    """What stands there, an arrow, what stands there instead; numbered where a function has it twice."""
    lines: range
    """The lines of the function, of the whole file outside of any."""
    line: int
    number: int

    @property
    def told(self) -> str:
        """Which mutant this is, whatever line it stands at."""
        return f"{self.path} {self.where}: {self.change}"


def mutants(root: Path, path: str) -> list[Mutant]:
    """All mutants of a module in the order in which they stand there."""
    finder = _Finder(ast.parse((root / path).read_text(encoding="utf-8")))
    finder.go()
    seen: Counter[tuple[str, str]] = Counter()
    out = []
    for number, (where, sort, change, lines, line) in enumerate(finder.found):
        seen[where, change] += 1
        times = seen[where, change]
        told = change if times == 1 else f"{change} (number {times})"
        out.append(
            Mutant(path=path, where=where, sort=sort, change=told, lines=lines, line=line, number=number)
        )
    return out


def source(root: Path, mutant: Mutant) -> str:
    """The text of the changed module."""
    finder = _Finder(ast.parse((root / mutant.path).read_text(encoding="utf-8")), mutant.number)
    finder.go()
    return ast.unparse(ast.fix_missing_locations(finder.tree))


_Found = tuple[str, str, str, range, int]


class _Finder:
    """Walks a tree; with a number it makes that change in the tree and goes on without finding more."""

    def __init__(self, tree: ast.Module, wanted: int | None = None) -> None:
        self.tree = tree
        self._wanted = wanted
        self.found: list[_Found] = []
        self._names: list[str] = []
        self._lines = [range(0, 1_000_000)]

    def go(self) -> None:
        self._block(self.tree.body)

    # Changes

    def _change(self, sort: str, old: ast.AST, new: ast.AST, holder: ast.AST, field: str, at: int = -1) -> None:
        """Note a change of one child of a node, and make it if it is the one wanted."""
        if self._wanted is None:
            told = f"{_short(old)} -> {_short(new)}"
            line = getattr(old, "lineno", getattr(holder, "lineno", 0))
            self.found.append((".".join(self._names) or "<module>", sort, told, self._lines[-1], line))
            return
        if len(self.found) == self._wanted:
            if at >= 0:
                getattr(holder, field)[at] = new
            else:
                setattr(holder, field, new)
        self.found.append(("", "", "", range(0), 0))

    def _changes_of(self, node: ast.expr) -> Iterator[tuple[str, ast.expr]]:
        match node:
            case ast.Compare(left, ops, comparators):
                for at, op in enumerate(ops):
                    changed = [*ops[:at], _COMPARED[type(op)](), *ops[at + 1 :]]
                    yield "comparison", ast.Compare(left, changed, comparators)
            case ast.BoolOp(op, values):
                yield "and/or", ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
            case ast.BinOp(left, op, right) if type(op) in _CALCULATED and not (_texts(left) or _texts(right)):
                yield "arithmetic", ast.BinOp(left, _CALCULATED[type(op)](), right)
            case ast.UnaryOp(ast.USub(), operand) if not isinstance(operand, ast.Constant):
                yield "arithmetic", operand
            case ast.UnaryOp(ast.Not(), operand):
                yield "negation", operand
            case ast.Constant(bool() as value):
                yield "constant", ast.Constant(not value)
            case ast.Constant(int() | float() as value):
                yield "constant", ast.Constant(value + 1)
                yield "constant", ast.Constant(value - 1)
            case ast.Call(func, [first, second, *rest], keywords) if (
                not any(isinstance(each, ast.Starred) for each in (first, second))
                and ast.unparse(first) != ast.unparse(second)
                and ast.unparse(func) not in _EITHER_WAY
            ):
                yield "swapped", ast.Call(func, [second, first, *rest], keywords)

    # The walk

    def _block(self, body: list[ast.stmt]) -> None:
        for at, statement in enumerate(body):
            if at == 0 and _is_text(statement):
                continue
            if (gone := _removed(statement)) is not None:
                holder = ast.Module(body, [])  # the same list: a change in it is a change in the tree
                self._change("removed", statement, gone, holder, "body", at)
            self._statement(statement)

    def _statement(self, node: ast.stmt) -> None:
        match node:
            case ast.Import() | ast.ImportFrom() | ast.Raise() | ast.Assert() | ast.Global() | ast.Nonlocal():
                return
            case ast.FunctionDef() | ast.AsyncFunctionDef():
                self._names.append(node.name)
                self._lines.append(range(node.lineno, (node.end_lineno or node.lineno) + 1))
                self._children(node.args, ("defaults", "kw_defaults"))
                self._block(node.body)
                self._lines.pop()
                self._names.pop()
            case ast.ClassDef():
                self._names.append(node.name)
                self._block(node.body)
                self._names.pop()
            case ast.If(test=ast.Name(id="TYPE_CHECKING")):
                return
            case ast.Expr() if _is_text(node) or "assert_never" in ast.unparse(node):
                return
            case ast.Assign(targets=[ast.Name(id="__all__")]) | ast.AnnAssign(value=None):
                return
            case ast.AnnAssign():
                self._children(node, ("value",))
            case _:
                self._children(node)

    def _children(self, node: ast.AST, only: tuple[str, ...] = ()) -> None:
        for field, value in ast.iter_fields(node):
            if (
                (only and field not in only)
                or field in ("ctx", "annotation", "format_spec")
                or (isinstance(node, ast.match_case) and field == "pattern")
            ):
                continue
            if isinstance(value, list):
                if value and isinstance(value[0], ast.stmt):
                    self._block(value)
                    continue
                for at, each in enumerate(value):
                    self._child(node, field, each, at)
            else:
                self._child(node, field, value)

    def _child(self, holder: ast.AST, field: str, node: object, at: int = -1) -> None:
        if not isinstance(node, ast.AST):
            return
        if isinstance(node, ast.expr):
            self._expression(holder, field, node, at)
        self._children(node)

    def _expression(self, holder: ast.AST, field: str, node: ast.expr, at: int) -> None:
        if isinstance(holder, ast.JoinedStr) and isinstance(node, ast.Constant):
            return
        for sort, new in self._changes_of(node):
            self._change(sort, node, new, holder, field, at)
        if (
            _asked(holder, field)
            and not (isinstance(node, ast.Compare) and len(node.ops) == 1 and isinstance(node.ops[0], _OPPOSED))
            and not (isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not))
        ):
            self._change("negation", node, ast.UnaryOp(ast.Not(), node), holder, field, at)
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and _decides(holder, field, node.value)
        ):
            self._change("emptied", node, ast.Constant(""), holder, field, at)


def _asked(holder: ast.AST, field: str) -> bool:
    return (isinstance(holder, ast.If | ast.IfExp | ast.While) and field == "test") or (
        isinstance(holder, ast.comprehension) and field == "ifs"
    )


def _decides(holder: ast.AST, field: str, text: str) -> bool:
    """Whether a text is compared, looked up or split at: a word or a sign, not prose."""
    if not text or (" " in text.strip()):
        return False
    if isinstance(holder, ast.Compare) or (isinstance(holder, ast.Subscript) and field == "slice"):
        return True
    return (
        isinstance(holder, ast.Call)
        and field == "args"
        and (isinstance(holder.func, ast.Attribute) and holder.func.attr in _TAKES_SIGNS)
    )


def _removed(statement: ast.stmt) -> ast.stmt | None:
    """What is left when a statement is taken out; none where nothing is to be had from that."""
    match statement:
        case ast.Expr(value=ast.Call()) if "assert_never" in ast.unparse(statement):
            return None
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()):
            return ast.Pass()
        case ast.AugAssign() | ast.Delete() | ast.Continue() | ast.Break() | ast.Raise(exc=ast.expr()):
            return ast.Pass()
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            return ast.Pass()
        case ast.Return(value=ast.expr() as value) if not (
            isinstance(value, ast.Constant) and value.value is None
        ):
            return ast.Return(ast.Constant(None))
    return None


def _is_text(statement: ast.stmt) -> bool:
    return (
        isinstance(statement, ast.Expr)
        and isinstance(statement.value, ast.Constant)
        and isinstance(statement.value.value, str)
    )


def _texts(node: ast.expr) -> bool:
    """Whether something is a text for certain: `+` and `%` do not reckon there."""
    return (
        isinstance(node, ast.JoinedStr | ast.List | ast.Tuple)
        or (isinstance(node, ast.Constant) and isinstance(node.value, str))
        or (isinstance(node, ast.BinOp) and (_texts(node.left) or _texts(node.right)))
    )


def _short(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 90 else text[:87] + "..."

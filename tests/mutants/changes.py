"""Small faults in a source text, one at a time: a comparison turned, a term dropped, a figure shifted."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

FLIPS = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
SWAPS = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
NAMES = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "any": "all", "all": "any"}
SKIPPED = (ast.JoinedStr, ast.Raise, ast.Assert, ast.Import, ast.ImportFrom)
"""Words and messages of errors."""
PLAIN = (ast.Name, ast.Call, ast.Attribute)
DUST = 1e-6
"""Figures up to this and digits from `DIGITS` on make room for binary dust; a tenth more of it is no fault.

Nor is `strict` of a `zip`: it guards lengths that are equal already, no figure depends on it.
"""
DIGITS = 9
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


@dataclass(frozen=True)
class Change:
    """One fault: where it stands, what stood there, what stands there now.

    path      relative to the folder of the package
    function  first line of the function around it, 0 at the level of the module
    """

    path: Path
    function: int
    line: int
    column: int
    end: tuple[int, int]
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.path.as_posix()}:{self.line}: {self.old} → {self.new}"

    def apply(self, text: str) -> str:
        """The source with the fault in it."""
        lines = [line.encode() for line in text.splitlines(keepends=True)]
        last, column = self.end
        before = b"".join(lines[: self.line - 1]) + lines[self.line - 1][: self.column]
        after = lines[last - 1][column:] + b"".join(lines[last:])
        return (before + self.new.encode() + after).decode()


def changes(path: Path, text: str) -> Iterator[Change]:
    """Every fault that is tried on a module."""
    for node, function in _figures(ast.parse(text), None):
        for place, new in _faults(node, function):
            end = (place.end_lineno, place.end_col_offset)
            old = ast.unparse(place)
            yield Change(path, _first_line(function), place.lineno, place.col_offset, end, old, f"({new})")


def _first_line(function: ast.FunctionDef | None) -> int:
    """As the interpreter counts it: the line of the first decorator."""
    return min([function.lineno, *(mark.lineno for mark in function.decorator_list)]) if function else 0


def _figures(
    node: ast.AST, function: ast.FunctionDef | None
) -> Iterator[tuple[ast.AST, ast.FunctionDef | None]]:
    """Nodes that say something about figures, with the function each stands in."""
    for child in _children(node):
        if isinstance(child, SKIPPED) or _is_word(child):
            continue
        if isinstance(child, ast.keyword) and child.arg == "strict":
            continue
        if isinstance(child, FUNCTIONS):
            if child.name not in ("__repr__", "__str__"):
                yield from _figures(child, child)
            continue
        yield child, function
        yield from _figures(child, function)


def _children(node: ast.AST) -> Iterator[ast.AST]:
    """Parts of a node that are worked out; no decorators, no annotations."""
    if isinstance(node, ast.Call) and ast.unparse(node.func) == "round" and _keeps_all(node.args):
        yield node.args[0]
    elif isinstance(node, FUNCTIONS):
        yield from (*node.args.defaults, *filter(None, node.args.kw_defaults), *node.body)
    elif isinstance(node, ast.ClassDef):
        yield from node.body
    elif isinstance(node, ast.AnnAssign):
        yield from filter(None, [node.value])
    else:
        yield from ast.iter_child_nodes(node)


def _keeps_all(args: list[ast.expr]) -> bool:
    """Whether a rounding takes nothing off but dust."""
    digits = args[1] if len(args) > 1 else None
    return isinstance(digits, ast.Constant) and isinstance(digits.value, int) and digits.value >= DIGITS


def _is_word(node: ast.AST) -> bool:
    text = isinstance(node, ast.Constant) and isinstance(node.value, str | bytes)
    joined = isinstance(node, ast.BinOp) and (_is_word(node.left) or isinstance(node.left, ast.JoinedStr))
    lasting = isinstance(node, ast.Assign) and any(ast.unparse(name) == "__all__" for name in node.targets)
    typing = isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
    return text or joined or lasting or typing


def _faults(node: ast.AST, function: ast.FunctionDef | None) -> Iterator[tuple[ast.expr, str]]:
    """What is replaced, and by what."""
    if isinstance(node, ast.expr):
        yield from ((node, new) for new in _others(node))
    elif isinstance(node, ast.If | ast.While) and isinstance(node.test, PLAIN):
        yield node.test, f"not {ast.unparse(node.test)}"
    elif isinstance(node, ast.Return) and isinstance(node.value, PLAIN) and function and function.returns:
        sign = {"bool": "not ", "float": "-", "int": "-"}.get(ast.unparse(function.returns))
        if sign:
            yield node.value, f"{sign}{ast.unparse(node.value)}"


def _others(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Compare):
        yield from _turned(node)
    elif isinstance(node, ast.BoolOp):
        other = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield ast.unparse(ast.BoolOp(other(), node.values))
    elif isinstance(node, ast.BinOp) and type(node.op) in SWAPS:
        yield ast.unparse(ast.BinOp(node.left, SWAPS[type(node.op)](), node.right))
        if isinstance(node.op, ast.Add | ast.Sub):
            yield ast.unparse(node.left)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield ast.unparse(node.operand)
    elif isinstance(node, ast.Constant):
        yield from _shifted(node.value)
    elif isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Load):
        yield from _renamed(node)
    elif isinstance(node, ast.List):
        yield from _shortened(node)
    elif isinstance(node, ast.IfExp) and isinstance(node.test, PLAIN):
        yield ast.unparse(ast.IfExp(ast.UnaryOp(ast.Not(), node.test), node.body, node.orelse))


def _turned(node: ast.Compare) -> Iterator[str]:
    for at, operator in enumerate(node.ops):
        for other in FLIPS[type(operator)]:
            ops = [*node.ops[:at], other(), *node.ops[at + 1 :]]
            yield ast.unparse(ast.Compare(node.left, ops, node.comparators))


def _shifted(value: object) -> Iterator[str]:
    if isinstance(value, bool):
        yield repr(not value)
    elif isinstance(value, int):
        yield from (repr(value + 1), repr(value - 1))
    elif isinstance(value, float) and not 0 < abs(value) <= DUST:
        yield from (repr(value * 1.1 or 0.1), repr(value * 0.9 or -0.1))


def _renamed(node: ast.Name | ast.Attribute) -> Iterator[str]:
    """The least for the largest, any for all."""
    if isinstance(node, ast.Name) and node.id in NAMES:
        yield NAMES[node.id]
    elif isinstance(node, ast.Attribute) and node.attr in NAMES and isinstance(node.value, ast.Name):
        yield f"{node.value.id}.{NAMES[node.attr]}"


def _shortened(node: ast.List) -> Iterator[str]:
    """Without one of the parts that it is put together of."""
    for at, part in enumerate(node.elts):
        if isinstance(part, ast.Starred) and len(node.elts) > 1:
            yield ast.unparse(ast.List(node.elts[:at] + node.elts[at + 1 :], ast.Load()))

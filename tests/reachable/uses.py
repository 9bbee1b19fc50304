"""What one definition uses: places it names, and attributes of things whose type the text does not tell."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from tests.reachable.code import FUNCTIONS, Code, Place, imported

SCOPES = (*FUNCTIONS, ast.Lambda, ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
NAMED = (*FUNCTIONS, ast.ClassDef, ast.ExceptHandler, ast.MatchAs, ast.MatchStar)
BY_NAME = {"getattr": 1, "hasattr": 1, "attrgetter": 0, "methodcaller": 0}
"""Functions that take the name of an attribute as text, and at which argument."""


class Uses(ast.NodeVisitor):
    """Walks nodes of one module; `places` and `attributes` grow."""

    def __init__(self, code: Code, module: str) -> None:
        self.code, self.module = code, module
        self.places: set[Place] = set()
        self.attributes: set[str] = set()
        self._scopes: list[dict[str, Place | None]] = []

    def generic_visit(self, node: ast.AST) -> None:
        if isinstance(node, SCOPES):
            for part in _outside(node):
                self.visit(part)
            self._scopes.append(dict(self._bound(node)))
            super().generic_visit(node)
            self._scopes.pop()
        else:
            super().generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        self._reach(self._place(node))

    def visit_Attribute(self, node: ast.Attribute) -> None:
        if isinstance(node.value, ast.Call) and _called(node.value) == "import_module":
            self.places |= set(self.code.of_modules_in(self.module, node.attr))
        elif not self._reach(self._place(node)):
            self.attributes.add(node.attr)
        self.visit(node.value)

    def visit_Call(self, node: ast.Call) -> None:
        name = _called(node)
        if name in BY_NAME and len(node.args) > BY_NAME[name]:
            given = node.args[BY_NAME[name]]
            known = isinstance(given, ast.Constant)
            self.attributes |= {given.value} if known else self.code.strings[self.module]
        self.generic_visit(node)

    def _reach(self, place: Place | None) -> bool:
        if place in self.code.definitions:
            self.places.add(place)
            return True
        return place is not None

    def _place(self, node: ast.expr) -> Place | None:
        if isinstance(node, ast.Name):
            for scope in reversed(self._scopes):
                if node.id in scope:
                    local = scope[node.id]
                    return self.code.target(local) if local else None
            return self.code.member((self.module, ""), node.id)
        if isinstance(node, ast.Attribute) and (of := self._place(node.value)):
            return self.code.member(of, node.attr)
        return None

    def _bound(self, scope: ast.AST) -> Iterator[tuple[str, Place | None]]:
        """Names that mean something of their own inside a function or comprehension."""
        inside = list(_own(scope))
        for node in inside:
            if isinstance(node, ast.arg):
                yield node.arg, None
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                yield node.id, None
            elif isinstance(node, NAMED) and node.name:
                yield node.name, None
        yield from imported(iter(inside), self.module)


def _called(node: ast.Call) -> str:
    return getattr(node.func, "id", getattr(node.func, "attr", ""))


def _own(scope: ast.AST) -> Iterator[ast.AST]:
    """Nodes of a scope without those of the scopes inside it."""
    for child in ast.iter_child_nodes(scope):
        yield child
        if not isinstance(child, SCOPES):
            yield from _own(child)


def _outside(scope: ast.AST) -> list[ast.expr]:
    """Parts of a function or comprehension that are worked out where it stands, not inside it."""
    if isinstance(scope, ast.Lambda):
        return [*scope.args.defaults, *filter(None, scope.args.kw_defaults)]
    if isinstance(scope, FUNCTIONS):
        given = [*scope.args.defaults, *filter(None, scope.args.kw_defaults)]
        named = [node.annotation for node in ast.walk(scope.args) if isinstance(node, ast.arg)]
        return [*scope.decorator_list, *given, *filter(None, [*named, scope.returns])]
    return [scope.generators[0].iter]

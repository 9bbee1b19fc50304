"""The definitions of a source tree and what each name in a module stands for."""

from __future__ import annotations

import ast
import importlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

Place = tuple[str, str]
"""(module, qualified name); the name is empty for the module itself, "<body>" for its statements."""

BODY = "<body>"
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


@dataclass
class Definition:
    """A function, class, method, property or constant and the nodes that belong to it."""

    place: Place
    line: int
    nodes: list[ast.AST]
    bases: list[ast.expr] = field(default_factory=list)
    is_class: bool = False

    @property
    def owner(self) -> Place | None:
        """The class of a method or class constant."""
        module, name = self.place
        return (module, name.rpartition(".")[0]) if "." in name else None

    @property
    def public(self) -> bool:
        return not any(part.startswith(("_", "<")) for part in self.place[1].split("."))


class Code:
    """Every module of some packages, read and never imported."""

    def __init__(self, root: Path, packages: list[str]) -> None:
        self.definitions: dict[Place, Definition] = {}
        self.bindings: dict[str, dict[str, Place]] = {}
        self.strings: dict[str, set[str]] = {}
        self.inside: dict[Place, list[Place]] = defaultdict(list)
        for package in packages:
            top = root / package
            paths = sorted(top.rglob("*.py")) if top.is_dir() else [top.with_suffix(".py")]
            for path in paths:
                parts = path.relative_to(root).with_suffix("").parts
                self._read(".".join(parts).removesuffix(".__init__"), path)

    def _read(self, module: str, path: Path) -> None:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        self.bindings[module] = dict(imported(ast.walk(tree), module))
        self.strings[module] = set(words_in(tree))
        self._add(Definition((module, BODY), 1, []))
        self._statements(module, tree.body)

    def _statements(self, module: str, statements: list[ast.stmt]) -> None:
        for node in statements:
            if isinstance(node, FUNCTIONS):
                self._add(Definition((module, node.name), node.lineno, [node]))
            elif isinstance(node, ast.ClassDef):
                self._class(module, node)
            elif names := assigned(node):
                for name in names:
                    self._add(Definition((module, name), node.lineno, [node]))
            elif isinstance(node, ast.If | ast.Try):
                for branch in ("body", "orelse", "handlers", "finalbody"):
                    self._statements(module, getattr(node, branch, []))
            elif isinstance(node, ast.ExceptHandler):
                self._statements(module, node.body)
            elif not isinstance(node, ast.Import | ast.ImportFrom):
                self.definitions[module, BODY].nodes.append(node)

    def _class(self, module: str, node: ast.ClassDef) -> None:
        whole = Definition((module, node.name), node.lineno, [*node.decorator_list, *node.keywords])
        whole.bases, whole.is_class = node.bases, True
        self._add(whole)
        for part in node.body:
            names = [part.name] if isinstance(part, FUNCTIONS) else assigned(part)
            named = names and not isinstance(part, ast.AnnAssign) and not names[0].startswith("__")
            if not named:
                whole.nodes.append(part)
                continue
            for name in names:
                inner = Definition((module, f"{node.name}.{name}"), part.lineno, [part])
                self._add(inner)
                self.inside[whole.place].append(inner.place)

    def _add(self, found: Definition) -> None:
        if found.place in self.definitions:
            self.definitions[found.place].nodes += found.nodes
        else:
            self.definitions[found.place] = found

    def member(self, of: Place, name: str) -> Place | None:
        """What `of.name` stands for, through re-exports and base classes; None if not of this code."""
        module, inner = of
        if module not in self.bindings:
            return None
        if inner:
            return self._inherited(of, name)
        if (module, name) in self.definitions:
            return module, name
        target = self.bindings[module].get(name)
        if target is not None and target != (module, name):
            return self.target(target)
        return (f"{module}.{name}", "") if f"{module}.{name}" in self.bindings else None

    def target(self, place: Place) -> Place | None:
        """The definition or module an import stands for."""
        module, name = place
        if name:
            return self.member((module, ""), name)
        return place if module in self.bindings else None

    def of_modules_in(self, package: str, name: str) -> list[Place]:
        """The definitions of a name in every module of a package, which loads them by their names."""
        return [
            place for place in self.definitions if place[1] == name and place[0].rpartition(".")[0] == package
        ]

    def _inherited(self, of: Place, name: str) -> Place | None:
        module, inner = of
        if (module, f"{inner}.{name}") in self.definitions:
            return module, f"{inner}.{name}"
        for base in self.bases(of):
            if base in self.definitions and (found := self._inherited(base, name)):
                return found
        return None

    def bases(self, of: Place) -> list[Place]:
        """Base classes of a class that are of this code."""
        found = [self.dotted(of[0], base) for base in self.definitions[of].bases]
        return [base for base in found if base]

    def dotted(self, module: str, node: ast.expr) -> Place | None:
        if isinstance(node, ast.Name):
            return self.member((module, ""), node.id)
        if isinstance(node, ast.Attribute) and (of := self.dotted(module, node.value)):
            return self.member(of, node.attr)
        return None

    def called_from_outside(self, method: Definition) -> bool:
        """Whether a base class of another library calls this method by its name."""
        assert method.owner is not None
        name = method.place[1].rpartition(".")[2]
        return any(hasattr(base, name) for base in self._foreign(method.owner))

    def _foreign(self, of: Place) -> Iterator[type]:
        for node in self.definitions[of].bases:
            if self.dotted(of[0], node) is None:
                yield foreign(self.bindings[of[0]], node)
        for base in self.bases(of):
            yield from self._foreign(base)


def foreign(bindings: dict[str, Place], node: ast.expr) -> type:
    """The class of another library that a base names."""
    if isinstance(node, ast.Subscript):
        return foreign(bindings, node.value)
    if isinstance(node, ast.Attribute):
        return getattr(foreign(bindings, node.value), node.attr)
    assert isinstance(node, ast.Name)
    module, name = bindings.get(node.id, ("builtins", node.id))
    found = importlib.import_module(module)
    return getattr(found, name) if name else found


def imported(nodes: Iterator[ast.AST], module: str) -> Iterator[tuple[str, Place]]:
    for node in nodes:
        if isinstance(node, ast.Import):
            for alias in node.names:
                whole = alias.name if alias.asname else alias.name.partition(".")[0]
                yield alias.asname or whole, (whole, "")
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: imports name their room in full"
            for alias in node.names:
                yield alias.asname or alias.name, (str(node.module), alias.name)


def assigned(node: ast.AST) -> list[str]:
    """Names a statement gives a value to."""
    targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    if not isinstance(node, ast.Assign | ast.AnnAssign | ast.AugAssign):
        return []
    parts = [part for target in targets if target is not None for part in ast.walk(target)]
    return [part.id for part in parts if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Store)]


def words_in(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
            yield node.value

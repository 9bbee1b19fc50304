"""Topics of the reference rows whose adapters call what the app does not."""

from __future__ import annotations

import ast
import csv
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.reachable.code import Place
from tests.reachable.uses import Uses
from tests.reachable.walk import ROOT, app, by_app, public_api


@dataclass(frozen=True)
class Strange:
    """A topic, its rows, and what its adapter calls: unknown to the app, and known to it."""

    topic: str
    rows: int
    unreached: tuple[str, ...]
    reached: tuple[str, ...]


def strange() -> list[Strange]:
    """Topics that reach something no page, no command and no promise of the public API reaches."""
    rows = Counter(row["topic"] for path in _tables() for row in _rows(path))
    found = []
    for topic, adapter, module in _adapters():
        known, unknown = _parted(_calls(adapter, module))
        if unknown:
            found.append(Strange(topic, rows[topic], unknown, known))
    return found


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _tables():
    return sorted((ROOT / "tests" / "reference").glob("*_rows.csv"))


def _adapters() -> Iterator[tuple[str, ast.expr, str]]:
    for (module, name), definition in app().definitions.items():
        if name == "TOPICS" and module.startswith("tests.adapters."):
            for node in ast.walk(definition.nodes[0]):
                if isinstance(node, ast.Dict):
                    yield from (
                        (key.value, value, module)
                        for key, value in zip(node.keys, node.values, strict=True)
                        if isinstance(key, ast.Constant)
                    )


def _calls(adapter: ast.expr, module: str) -> Uses:
    """What an adapter uses of the package, through its own helpers."""
    uses = Uses(app(), module)
    uses.visit(adapter)
    done: set[Place] = set()
    while helpers := {place for place in uses.places - done if place[0].startswith("tests.")}:
        for place in helpers:
            uses.module = place[0]
            for node in app().definitions[place].nodes:
                uses.visit(node)
        done |= helpers
    return uses


def _parted(uses: Uses) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Dotted names of what is used: (known to the app, unknown to it)."""
    named = {place for place in uses.places if place[0].startswith("blendlab.")}
    for attribute in uses.attributes:
        methods = set(_methods(attribute))
        if not methods & by_app():
            named |= methods
    known = sorted(".".join(place) for place in named & by_app())
    strangers = named - by_app() - set(public_api())
    return tuple(known), tuple(sorted(".".join(place) for place in strangers))


def _methods(name: str) -> Iterator[Place]:
    for inner in app().inside.values():
        yield from (place for place in inner if place[1].endswith(f".{name}"))

"""From the doors of the app along every use: what is reached, and what is not."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from tests.reachable.code import BODY, Code, Definition, Place
from tests.reachable.uses import Uses

ROOT = Path(__file__).parents[2]
DOORS: list[Place] = [
    ("app", "app"),
    ("blendlab.ui.serve", "app"),
    ("blendlab.ui.door", BODY),
    ("blendlab.cli", "main"),
]
BY_HAND = "derive"
"""Package of scripts that make a derived table again; nothing in a running program calls them."""


def reached(code: Code, roots: list[Place]) -> set[Place]:
    """Places that some root uses, directly or not.

    An attribute of something unknown reaches every method and class constant of that name whose class is
    reached; a class reaches its bases, its fields and what another library calls on it.
    """
    found: set[Place] = set()
    attributes: set[str] = set()
    waiting = list(roots)
    while waiting:
        while waiting:
            place = waiting.pop()
            if place not in found:
                found.add(place)
                uses = _uses(code, place)
                attributes |= uses.attributes
                waiting += uses.places
        waiting = [place for place in _members(code, found, attributes) if place not in found]
    return found


def _uses(code: Code, place: Place) -> Uses:
    module, _ = place
    uses = Uses(code, module)
    definition = code.definitions[place]
    for node in [*definition.nodes, *definition.bases]:
        uses.visit(node)
    uses.places |= {(module, BODY)}
    if definition.owner:
        uses.places.add(definition.owner)
    return uses


def _members(code: Code, found: set[Place], attributes: set[str]) -> list[Place]:
    of_reached = [inner for place in found for inner in code.inside.get(place, ())]
    return [
        inner
        for inner in of_reached
        if inner[1].rpartition(".")[2] in attributes or code.called_from_outside(code.definitions[inner])
    ]


@cache
def app() -> Code:
    """The package with its doors and the adapters of the reference rows."""
    return Code(ROOT, ["blendlab", "app", "tests/topics", "tests/adapters"])


@cache
def public_api() -> list[Place]:
    """Dotted names of the section "Public API" of DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = re.search(r"^## Public API\n(.*?)(?=^## |\Z)", text, re.M | re.S)
    assert section, "DEVELOPERS.md has no section Public API"
    return [_named(name) for name in re.findall(r"^- `([\w.]+)`", section[1], re.M)]


def _named(dotted: str) -> Place:
    place: Place | None = ("blendlab", "")
    for part in dotted.removeprefix("blendlab.").split("."):
        place = app().member(place, part) if place else None
    assert place in app().definitions, f"DEVELOPERS.md promises {dotted}, which does not exist"
    return place


@cache
def by_app() -> frozenset[Place]:
    """What pages and terminal reach."""
    return frozenset(reached(app(), DOORS))


def unreached() -> list[Definition]:
    """Definitions of the package that neither the app nor the public API reaches, in order of the files."""
    kept = reached(app(), [*DOORS, *public_api()])
    return [
        definition
        for place, definition in app().definitions.items()
        if place not in kept
        and place[0].startswith("blendlab.")
        and BY_HAND not in place[0].split(".")
        and place[1] not in (BODY, "__all__")
    ]

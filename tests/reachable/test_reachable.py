"""The walk over the uses is right on a small program whose answer is known by reading it."""

from __future__ import annotations

import pytest

from tests.reachable.code import BODY, Code
from tests.reachable.topics import strange
from tests.reachable.walk import app, public_api, reached, unreached

PROGRAM = {
    "__init__": "from room.tools import passed_on, left_out\n",
    "tools": """
import json
from dataclasses import dataclass, field

LIMIT = 3
OLD = 4
CHOSEN = {"a": lambda: by_table()}

def passed_on(): return below()
def left_out(): return only_from_left_out()
def only_from_left_out(): return OLD
def below(): return LIMIT
def by_table(): pass
def wrapped(work): return work
def standard(): return 1
def shadowed(): pass
def outer(): pass
def statement(): pass

statement()

@dataclass(frozen=True)
class Thing:
    size: int = field(default_factory=standard)
    FLAG = 1
    SPARE = 2

    @property
    def wide(self): return self.helper()
    def helper(self): return self.FLAG
    def named(self): pass
    def never(self): return only_from_never()
    def __len__(self): return from_dunder()

class Grown(Thing):
    def grown(self): pass

class Unused:
    def wide(self): return only_from_unused()

class Reader(json.JSONDecoder):
    def decode(self, text): return from_override()
    def own(self, text): pass

def only_from_never(): pass
def only_from_unused(): pass
def from_dunder(): pass
def from_override(): pass
""",
    "door": """
import room
from room import tools
from room.tools import CHOSEN, Grown, Reader, outer, shadowed, wrapped

def main(shadowed, first=room.passed_on):
    thing = Grown()
    shadowed()
    return thing.wide, [outer for outer in outer()], CHOSEN, getattr(thing, "named"), Reader()

@tools.wrapped
def unreached(): return tools.shadowed()
""",
}
NOT_REACHED = {
    "tools": {
        "OLD", "left_out", "only_from_left_out", "wrapped", "shadowed", "Thing.SPARE", "Thing.never",
        "Grown.grown", "Unused", "Unused.wide", "Reader.own", "only_from_never", "only_from_unused",
    },
    "door": {"unreached"},
}  # fmt: skip


@pytest.fixture
def program(tmp_path):
    (tmp_path / "room").mkdir()
    for name, text in PROGRAM.items():
        (tmp_path / "room" / f"{name}.py").write_text(text, encoding="utf-8")
    return Code(tmp_path, ["room"])


def test_what_nothing_uses_is_found_and_nothing_else(program):
    kept = reached(program, [("room.door", "main")])
    left = {place for place in program.definitions if place not in kept and place[1] != BODY}
    assert left == {(f"room.{module}", name) for module, names in NOT_REACHED.items() for name in names}


def test_a_package_gives_the_function_and_not_the_module_of_that_name(tmp_path):
    (tmp_path / "room").mkdir()
    (tmp_path / "room" / "__init__.py").write_text("from room.plan import plan\n", encoding="utf-8")
    (tmp_path / "room" / "plan.py").write_text("def plan(): pass\ndef other(): pass\n", encoding="utf-8")
    (tmp_path / "room" / "door.py").write_text(
        "from room import plan\nimport room.plan as whole\ndef main(): plan()\n", encoding="utf-8"
    )
    kept = reached(Code(tmp_path, ["room"]), [("room.door", "main")])
    assert ("room.plan", "plan") in kept
    assert ("room.plan", "other") not in kept


def test_a_package_that_loads_its_modules_by_name_reaches_what_it_takes_from_each(tmp_path):
    (tmp_path / "room").mkdir()
    (tmp_path / "room" / "__init__.py").write_text(
        "from importlib import import_module\nTAKEN = [import_module(n).RULE for n in names]\n",
        encoding="utf-8",
    )
    (tmp_path / "room" / "one.py").write_text("def rule(): pass\nRULE = rule\nSPARE = 1\n", encoding="utf-8")
    kept = reached(Code(tmp_path, ["room"]), [("room", "TAKEN")])
    assert {("room.one", "RULE"), ("room.one", "rule")} <= kept
    assert ("room.one", "SPARE") not in kept


def test_every_promise_of_the_public_api_exists():
    assert public_api()
    assert all(app().definitions[place].public for place in public_api())


def test_nothing_public_is_left_that_no_page_and_no_command_reaches():
    assert [f"{module}.{name}" for module, name in (found.place for found in unreached())] == []


def test_no_reference_row_proves_what_the_app_does_not_use():
    assert [topic.topic for topic in strange()] == []

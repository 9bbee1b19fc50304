"""`python -m tests.mutants --rooms tint batch --count 200 --seed 1`: exit code 1 if too many faults live."""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue

from tests.mutants.changes import Change, changes
from tests.mutants.trial import ROOT, Copy, Room

AT_LEAST = 0.85


def main() -> int:
    asked = arguments()
    drawn = random.Random(asked.seed).sample(every_change(asked.rooms), asked.count)
    with tempfile.TemporaryDirectory() as place, ThreadPoolExecutor(asked.workers) as workers:
        copies: Queue[Copy] = Queue()
        for number in range(asked.workers):
            copies.put(Copy(Path(place) / str(number), asked.rooms))
        start = time.monotonic()
        rooms = dict(
            zip(asked.rooms, workers.map(lambda name: recorded(copies, name), asked.rooms), strict=True)
        )
        for room in rooms.values():
            for test in room.failed:
                print(f"fails without a fault and is left out: {test}")
        print(f"{time.monotonic() - start:.0f} s to see which test calls what", flush=True)
        start = time.monotonic()
        said = list(workers.map(lambda change: tried(copies, rooms, change), drawn))
        while not copies.empty():
            copies.get().close()
    print(f"{(time.monotonic() - start) / len(drawn):.1f} s a fault with {asked.workers} at work")
    return summed_up(asked.rooms, drawn, said, asked.least)


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Try small faults and see which the tests notice.")
    parser.add_argument("--rooms", nargs="+", default=["tint", "fragrance", "batch", "assess"])
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--least", type=float, default=AT_LEAST, help="share of faults that must be noticed")
    return parser.parse_args()


def every_change(rooms: list[str]) -> list[Change]:
    found = []
    for room in rooms:
        package = ROOT / "blendlab" / room
        paths = sorted(package.rglob("*.py")) if package.is_dir() else [package.with_suffix(".py")]
        for path in paths:
            found += changes(path.relative_to(ROOT), path.read_text(encoding="utf-8"))
    return found


def room_of(change: Change) -> str:
    return change.path.parts[1].removesuffix(".py")


def recorded(copies: Queue[Copy], name: str) -> Room:
    copy = copies.get()
    try:
        return copy.room(name)
    finally:
        copies.put(copy)


def tried(copies: Queue[Copy], rooms: dict[str, Room], change: Change) -> str:
    copy = copies.get()
    try:
        said = copy.noticed(change, rooms[room_of(change)])
    finally:
        copies.put(copy)
    print(f"{said:<28} {change}", flush=True)
    return said


def summed_up(rooms: list[str], drawn: list[Change], said: list[str], least: float) -> int:
    for room in [*rooms, ""]:
        of_room = [word for change, word in zip(drawn, said, strict=True) if room in ("", room_of(change))]
        killed = sum(word.startswith("killed") for word in of_room)
        share = killed / len(of_room) if of_room else 1.0
        print(f"{room or 'together':<12} {killed} of {len(of_room)} noticed, {100 * share:.0f} %")
    return int(share < least)


if __name__ == "__main__":
    sys.exit(main())

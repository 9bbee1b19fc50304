"""Make the tracked demo line again, as the program makes it now: `python -m tests.demo_line`."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from blendlab import store
from blendlab.assess import assess
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.show import cards

FOLDER = store.Folder(Path(__file__).parents[1] / "swatches")


def main() -> None:
    """Write the three cards with what is judged of them today."""
    shelf = demo_shelf()
    for design in demo_designs(shelf):
        seen = store.open_card(FOLDER, design.id).digest
        card, picture = cards.card(assess(design, shelf, date.today()), shelf)
        store.save(FOLDER, card, picture, seen)


if __name__ == "__main__":
    main()

"""What every edit and every save costs on this disk, and the cards on paper."""

from __future__ import annotations

import tempfile
from itertools import count
from pathlib import Path

from blendlab.facts import demo
from blendlab.printing import card_pdf, line_pdf
from blendlab.recipe import to_dict
from blendlab.store import atomic_write, save_draft
from blendlab.store.folder import Folder
from tests.bench.line import Line, best, median
from tests.printing.sheets import FULL


def lines() -> list[Line]:
    numbers = count()
    with tempfile.TemporaryDirectory() as place:
        folder = Folder.at(Path(place))
        document = {"design": to_dict(demo.demo_designs(demo.demo_shelf())[0]), "embedded": {}}
        path, seen, kept_as = Path(place) / "thing.json", None, None

        def keep() -> None:
            nonlocal kept_as
            kept_as = save_draft(folder, "one", {**document, "at": next(numbers)}, kept_as)

        kept = median(keep, 50)

        def save() -> None:
            nonlocal seen
            seen = atomic_write.write(path, f"{next(numbers)}".encode() * 2000, seen)

        saved = median(save, 30)
    papers = {
        "swatch card A6": best(lambda: card_pdf(FULL)),
        "swatch card A4": best(lambda: card_pdf(FULL, "A4")),
        "line of six cards": best(lambda: line_pdf([FULL] * 6, "Line")),
    }
    return [
        Line("draft of an edit", kept * 1e3, "ms", most=5),
        Line("one save that the disk confirms", saved * 1e3, "ms", most=50, remark="depends on the disk"),
        *(Line(f"{name} as PDF", taken * 1e3, "ms", most=1000) for name, taken in papers.items()),
    ]

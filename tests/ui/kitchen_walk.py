"""A careful maker in the kitchen under AppTest: start a batch, weigh and tick, write lots down."""

from __future__ import annotations

from blendlab import store
from blendlab.production import kitchen_log
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from tests.ui.conftest import Pages


def a_lot(folder, item: str, grams: float, code: str, **more):
    kind, _, name = item.partition(":")
    book = store.open_book(folder)
    lot = Lot(code=code, of=Ref(kind=kind, id=name), name=name, supplier="Invented supplier")
    return book, book.receive(lot, grams, more or None)


def started(pages: Pages) -> str:
    """Start the batch of the open design and stay in the kitchen."""
    pages.go("batch").press("Kitchen view").press("Begin the batch")
    found = pages.at.query_params["batch"]
    return found[0] if isinstance(found, list) else found


def page_of(folder, code: str) -> store.BatchPage:
    return store.batch(store.open_book(folder), code)


def through(pages: Pages, folder, code: str, until: str) -> Pages:
    """Weigh and tick like a careful maker until a step is open."""
    for _ in range(80):
        now = kitchen_log.stand(page_of(folder, code))
        if now.current is None or now.current.id == until:
            return pages
        step_on(pages, now, "77" if store.read_settings(folder).get("heat_in") == "F" else "25")
    raise AssertionError(f"never came to {until}")


def step_on(pages: Pages, now, warm: str = "25") -> None:
    step = now.current
    if now.line is not None:
        pages.press("Weighed, next")
    elif step.kind == "gate":
        pages.at.text_input(key=f"heat-{step.id}").set_value(warm)
        pages.press("Measured, next")
    elif step.id == "density":
        pages.at.text_input(key="cup-g").set_value("61,5")
        pages.press("Weighed, next")
    elif step.id == "retain":
        pages.press("Set aside, next")
    elif step.id == "yield":
        pages.at.text_input(key="left-g").set_value("40")
        pages.at.text_input(key="ph-yield").set_value("6,1")
        pages.press("Close the batch")
    elif step.id == "fill":
        fill(pages)
    else:
        pages.press("Tick, next" if step.kind == "tick" else "Done, next")


def fill(pages: Pages, count: int = 24) -> None:
    for jar in range(1, count + 1):
        key = next(each.key for each in pages.at.text_input if each.key and each.key.startswith("jar-"))
        pages.at.text_input(key=key).set_value(f"{78 + jar % 3}")
        pages.press("Next jar")
    pages.press("All jars filled")

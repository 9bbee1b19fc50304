"""A making day in a real Chromium: a base is cooked, jars are made of it, released, sold, one comes back.

What the book must hold at the end is worked by hand beside each figure that is typed.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from blendlab import store
from blendlab.batch import Family
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.production import assessments, kitchen_log, sales
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from tests.browser.walk import Kitchen

pytestmark = pytest.mark.browser

COOKED = {
    "purified water": 300.0,
    "glycerin": 140.0,
    "betaine solution 30 %": 180.0,
    "chelator": 1.0,
    "stearic acid": 107.0,
    "isethionate powder 85 %": 260.0,
    "preservative a": 10.0,
    "citric acid solution 50 %": 2.0,
}
"""1000 g at 30, 14, 18, 0.1, 10.7, 26, 1 and 0.2 %."""
RECEIVED = 1200.0
CAME_OUT = 985.0
JARS = (78.4, 79.1, 78.8, 78.9)
"""Net grams typed for the four jars: 315.2 g together, 78.8 g in the mean."""
RETAINED, LEFT = 30.0, 6.0
FILLED_UP = 31.0


def lay_in(folder: store.Folder) -> None:
    """A lot of everything that either batch weighs, and what the assessor wrote, before the day."""
    shelf, book = demo_shelf(), store.open_book(folder)
    lagoon = demo_designs(shelf)[0]
    base = shelf.find(lagoon.base)
    bought = [line.ingredient for line in base.lines] + [share.oil for share in lagoon.scent.oils]
    bought += [dose.pigment for tone in lagoon.tones for dose in tone.doses]
    for at, ref in enumerate({ref.key: ref for ref in bought}.values()):
        lot = Lot(
            code=f"IN-{at}",
            of=Ref(kind=ref.kind, id=ref.id),
            name=shelf.today(ref.kind, ref.id).name,
            supplier="Invented supplier",
            expiry=date.today() + timedelta(days=500),
        )
        book.receive(lot, RECEIVED)
    assessments.keep_family(
        book,
        Family(
            id="lagoon",
            name="Lagoon",
            assessor="A. Assessor",
            on=date.today(),
            base=base.ref,
            product=lagoon.product,
            markets=lagoon.markets,
            pigments={dose.pigment.id: 2.0 for tone in lagoon.tones for dose in tone.doses},
            scents={share.oil.id: 2.0 for share in lagoon.scent.oils},
            load_pct=2.0,
            preservative=base.preservative.id,
            preservative_pct=(0.9, 1.1),
        ),
    )


class Day(Kitchen):
    """The maker in the kitchen: types what each step asks for, and notes what the screen asked of her."""

    def type_in(self, key: str, text: str) -> None:
        self.fill(self.field(key), text)

    def work(self) -> dict[str, float]:
        """Through every step; gives the grams that each line showed, as they went in."""
        went: dict[str, float] = {}
        while (now := kitchen_log.stand(self.kept)).current is not None:
            step = now.current
            if now.line is not None:
                shown = self.text(".bl-kgrams").removesuffix(" g").replace("\u2009", "")
                name = self.line.lower()
                went[name] = went.get(name, 0.0) + float(shown)
                self.press("Weighed, next")
            elif step.kind == "gate":
                self.type_in(f"heat-{step.id}", "28,5")
                self.press("Measured, next")
            elif hasattr(self, f"do_{step.id}"):
                getattr(self, f"do_{step.id}")()
            else:
                self.press("Tick, next" if step.kind == "tick" else "Done, next")
        return went

    def do_pot(self) -> None:
        self.fill(self.page.get_by_label("Empty pot, g"), "500")
        self.press("Weighed, next")

    def do_refill(self) -> None:
        """500 g of pot and 988 g of melt went on the heat; at 1457 g, 31 g of water are gone."""
        self.fill(self.page.get_by_label("Pot with the melt, g"), "1457")
        assert "31 g" in self.text(".st-key-kitchen-line")
        self.fill(self.page.get_by_label("Water filled up, g"), f"{FILLED_UP:g}")
        self.press("Filled up, next")

    def do_ph(self) -> None:
        self.type_in("ph-ph", "5,9")
        self.press("Measured, next")

    def do_density(self) -> None:
        self.type_in("cup-g", "61")
        self.press("Weighed, next")

    def do_fill(self) -> None:
        for grams in JARS:
            self.fill(self.page.get_by_label("Net weight of jar"), f"{grams}".replace(".", ","))
            self.press("Next jar")
        self.press("All jars filled")

    def do_retain(self) -> None:
        self.press("Set aside, next")

    def do_yield(self) -> None:
        self.type_in("left-g", f"{LEFT:g}")
        self.type_in("ph-yield", "5,8")
        self.press("Close the batch")


def test_from_the_pot_to_the_parcel(visit, app):
    lay_in(app.folder)
    day = visit(1180, 820, kind=Day).open("shelf", ".st-key-shelf-kind")
    cook(day)
    make(day)
    dispatch(day)


def cook(day: Day) -> None:
    with day.run():
        day.page.get_by_role("radio", name="Bases").or_(day.button("Bases")).first.click()
    with day.run():
        day.page.locator(".st-key-show-base-soap-white button").click()
    day.page.get_by_text("Cook a lot").first.click()
    day.type("cook-grams", "1000")
    day.press("Cook it in the kitchen view")
    day.press("Begin the batch")
    assert day.work() == COOKED
    code = day.kept.line.code
    day.type_in("cooked-grams", f"{CAME_OUT:g}")
    day.press("Make it a base lot")

    book = store.open_book(day.app.folder)
    left = {
        line.lot.name.lower(): line.left_g for line in store.lots(book) if line.lot.of.kind == "ingredient"
    }
    drawn = {**COOKED, "purified water": COOKED["purified water"] + FILLED_UP}
    assert left == {name: round(RECEIVED - grams, 4) for name, grams in drawn.items()}
    (lot,) = (line for line in store.lots(book) if line.batch == code)
    assert lot.left_g == CAME_OUT
    assert lot.data["pH"] == 5.9
    assert lot.data["preservative_pct"] == [1.0, 1.0]  # 10 g of 1000 g


def make(day: Day) -> None:
    """Four jars of 78.6 g: (4 x 78.6 x 1.01 + 30) / 0.96 = 362 g; 1.2 % of it is scent, 4.34 g."""
    day.open("batch", ".bl-weigh")
    day.type("n-batch-page-jars", "4")
    day.press("Kitchen view")
    day.press("Begin the batch")
    went = day.work()
    page = day.kept
    assert page.plan.jars == 4
    whole = sum(went.values())
    assert whole == pytest.approx(362.0, abs=1.5)
    scent = {"lavender": 0.35, "petitgrain": 0.25, "atlas cedarwood": 0.2, "green tea accord": 0.2}
    for oil, share in scent.items():
        assert went[oil] == pytest.approx(4.34 * share, abs=0.03)
    assert sum(went[oil] for oil in scent) / whole == pytest.approx(0.012, abs=0.0002)

    book = store.open_book(day.app.folder)
    assert {page.plan.line(weighing.line).name.lower() for weighing in page.weighings} == set(went)
    coloured = [line for line in store.lots(book) if line.lot.of.kind in ("oil", "pigment")]
    left = {line.lot.name.lower(): line.left_g for line in coloured}
    assert left == {
        name: pytest.approx(RECEIVED - grams)
        for name, grams in went.items()
        if name not in ("whipped soap base", "preservative a")
    }
    bases = [line for line in store.lots(book) if line.lot.of.kind == "base"]
    assert [line.left_g for line in bases] == [pytest.approx(CAME_OUT - went["whipped soap base"])]
    assert page.filled_g == JARS
    assert page.densities("foam") == (0.61,)
    kept = [entry.data for entry in page.of("yield")]
    assert sum(entry.get("retained_g", 0.0) for entry in kept) == RETAINED
    assert sum(entry.get("left_g", 0.0) for entry in kept) == LEFT
    lost = whole - 315.2 - RETAINED - LEFT
    day.press("Open it in the Book")
    told = day.text("[data-testid=stMain]")
    assert f"{lost:.0f} g" in told
    assert "mean 78.8 g net" in told


def dispatch(day: Day) -> None:
    box = day.page.get_by_text("I have read the")
    if box.count():
        with day.run():
            box.click()
    day.press("Release for sale")
    book = store.open_book(day.app.folder)
    code = store.batches(book)[0].code
    assert [entry.subject for entry in store.batch(book, code).of("release")] == [store.FOR_SALE]
    day.page.get_by_role("button", name="Write a sale down").click()
    for key, said in (("to", "garden shop"), ("order", "G-17"), ("jars", "3")):
        day.type_in(f"sale-{key}", said)
    day.page.locator(".st-key-put-sale button").click()
    day.page.wait_for_selector("text=order G-17")
    day.page.keyboard.press("Escape")
    day.page.get_by_role("button", name="Jars came back").click()
    for key, said in (("jars", "1"), ("why", "lid cracked on the way")):
        day.type_in(f"back-{key}", said)
    with day.run():
        day.page.locator(".st-key-put-return button").click()
    page = store.batch(book, code)
    sold = [(sale.data["to"], sale.data["order"], sale.data["jars"]) for sale in page.of("sale")]
    assert sold == [("garden shop", "G-17", 3)]
    assert [(back.data["jars"], back.data["sellable"]) for back in page.of("return")] == [(1, False)]
    assert (sales.jars(page).left, sales.jars(page).out) == (1, 2)  # 4 made - 3 sold; 3 sold - 1 back

"""The book over any order of acts: an account kept beside it in plain figures must agree after each.

The account adds and takes away by itself and reads the tables by SQL of its own; it asks no function
of the book for what it compares.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections import defaultdict
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    multiple,
    precondition,
    rule,
    run_state_machine_as_test,
)

from blendlab import store
from blendlab.batch import Family, Plan, cook
from blendlab.errors import BlendlabError
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.production import (
    assessments,
    base_lots,
    corrections,
    held_lots,
    judgement,
    kitchen_acts,
    kitchen_log,
    pot,
    release,
    sales,
)
from blendlab.production.plausible import Doubtful
from blendlab.recipe import Design, Ref
from blendlab.shelf import Lot, Shelf
from tests.production.released import read_and_release

TODAY = date(2026, 11, 26)
LETTERS = 24
"""Batches of one day that a code has letters for (A to Z without I and O)."""
GRAMS = st.floats(0.5, 4000).map(lambda grams: round(grams, 2))


@cache
def shelf() -> Shelf:
    return demo_shelf()


@cache
def design() -> Design:
    lagoon = demo_designs(shelf())[0]
    return replace(lagoon, batch=replace(lagoon.batch, jars=6))


@cache
def jars_sheet() -> Plan:
    made = judgement.judge(design(), shelf(), TODAY, {}).plan
    assert made is not None
    return made


@cache
def base_sheet() -> Plan:
    return cook(shelf().find(design().base), shelf(), 800.0, on=TODAY)


@cache
def assessed() -> Family:
    """An assessment that covers the design with room to spare."""
    made = design()
    kept = shelf().find(made.base).preservative
    return Family(
        id="machine",
        name="machine",
        assessor="A. Assessor",
        on=date(2026, 10, 1),
        base=made.base,
        product=made.product,
        markets=("EU", "GB"),
        pigments={dose.pigment.id: 5.0 for tone in made.tones for dose in tone.doses},
        scents={share.oil.id: 5.0 for share in made.scent.oils},
        load_pct=5.0,
        preservative=kept.id if kept else "",
        preservative_pct=(0.5, 1.2),
    )


class Account:
    """What the machine itself adds up: grams left of each lot, days, jars."""

    def __init__(self) -> None:
        self.left: dict[int, float] = {}
        self.ends: dict[int, date | None] = {}
        self.held: set[int] = set()
        self.item: dict[int, str] = {}
        self.drawn: dict[int, tuple[int, float]] = {}
        """Standing weighing -> its lot, and the grams that left the lot."""
        self.of_batch: dict[int, str] = {}
        """Standing weighing -> code of its batch."""
        self.water: dict[str, tuple[int | None, float]] = {}
        """Code of a base -> lot of the water that was filled up in its pot, and its grams."""
        self.cooked: dict[int, str] = {}
        """Lot -> code of the base it was cooked as."""
        self.filled: dict[str, int] = {}
        self.sold: dict[str, int] = defaultdict(int)
        self.back: dict[str, int] = defaultdict(int)
        self.again: dict[str, int] = defaultdict(int)
        self.codes: list[str] = []


class BookMachine(RuleBasedStateMachine):
    """Receive, cook, draw, weigh, correct, throw away, fill, release, sell, take back, trace."""

    lots = Bundle("lots")
    pots = Bundle("pots")
    batches = Bundle("batches")
    released = Bundle("released")

    def __init__(self) -> None:
        super().__init__()
        self.root = Path(tempfile.mkdtemp(prefix="machine", dir=_memory()))
        self.book = store.open_book(store.Folder(self.root))
        self.mine = Account()

    def teardown(self) -> None:
        shutil.rmtree(self.root)

    @initialize()
    def the_assessor_has_seen_it(self) -> None:
        assessments.keep_family(self.book, assessed())

    # --- lots ---------------------------------------------------------------------------------------

    @rule(target=lots, which=st.integers(0, 30), grams=GRAMS, ends=st.sampled_from((None, -40, 30, 400)))
    def receive(self, which: int, grams: float, ends: int | None):
        wanted = [line.item for line in (*jars_sheet().lines, *base_sheet().lines)]
        return self._received(wanted[which % len(wanted)], grams, ends)

    @rule(target=lots)
    def receive_everything(self):
        """A day on which all that a batch of jars needs is delivered."""
        items = dict.fromkeys(line.item for line in (*jars_sheet().lines, *base_sheet().lines))
        return multiple(*(self._received(item, 3000.0, 400) for item in items))

    def _received(self, item: str, grams: float, ends: int | None) -> int:
        kind, _, name = item.partition(":")
        expiry = None if ends is None else TODAY + timedelta(days=ends)
        code = f"L{len(self.mine.left)}"
        number = self.book.receive(
            Lot(code=code, of=Ref(kind=kind, id=name), name=name, expiry=expiry), grams
        )
        self._new_lot(number, item, grams, expiry)
        return number

    def _new_lot(self, number: int, item: str, grams: float, expiry: date | None) -> None:
        assert number not in self.mine.left
        self.mine.left[number], self.mine.item[number], self.mine.ends[number] = grams, item, expiry

    @rule(lot=lots, grams=GRAMS)
    def lose(self, lot: int, grams: float) -> None:
        if grams > self.mine.left[lot] + 1e-6:
            with pytest.raises(store.Short):
                self.book.move(lot, -grams, "count", "counted")
            return
        self.book.move(lot, -grams, "count", "counted")
        self.mine.left[lot] -= grams

    @rule(lot=lots)
    def hold_or_free(self, lot: int) -> None:
        if lot in self.mine.held:
            held_lots.free_again(self.book, lot, "cleared by the supplier")
            self.mine.held.remove(lot)
        else:
            held_lots.hold_back(self.book, lot, "smells of rancid oil")
            self.mine.held.add(lot)

    # --- batches ------------------------------------------------------------------------------------

    @precondition(lambda self: len(self.mine.codes) < LETTERS)
    @rule(target=batches)
    def begin(self) -> str:
        code = self.book.start(jars_sheet(), TODAY, sku="MACHINE", design=design())
        assert code not in self.mine.codes
        self.mine.codes.append(code)
        return code

    @precondition(lambda self: len(self.mine.codes) < LETTERS)
    @rule(target=pots)
    def begin_to_cook(self) -> str:
        code = self.book.start(base_sheet(), TODAY, kind="base")
        assert code not in self.mine.codes
        self.mine.codes.append(code)
        return code

    @precondition(lambda self: len(self.mine.codes) < LETTERS)
    @rule(target=batches)
    def make(self) -> str:
        """A batch from its delivery to its last jar, as it should go."""
        code = self.begin()
        self.receive_everything()
        self.work(code, steps=200, off=0.0, lucky=True)
        return code

    @precondition(lambda self: len(self.mine.codes) < LETTERS)
    @rule(target=lots)
    def cook(self):
        """A base from its delivery to the lot it becomes, as it should go."""
        code = self.begin_to_cook()
        self.receive_everything()
        self.work(code, steps=200, off=0.0, lucky=True)
        return self.becomes_a_lot(code, 780.0)

    @rule(
        code=st.one_of(batches, pots), steps=st.integers(1, 60), off=st.floats(-0.4, 0.4), lucky=st.booleans()
    )
    def work(self, code: str, steps: int, off: float, lucky: bool) -> None:
        """Work on, step by step; one line in between is weighed off, or lots are taken as they come."""
        for at in range(steps):
            page = store.batch(self.book, code)
            now = kitchen_log.stand(page)
            if now.current is None:
                return
            if now.line is not None:
                if not self._weigh(
                    page, kitchen_log.asked_line(page, now.line), off if at == 3 else 0.0, lucky
                ):
                    return
            else:
                self._do(code, now.current)

    def _do(self, code: str, step) -> None:
        if step.kind == "gate":
            kitchen_acts.pass_gate(self.book, code, step.id, 20.0)
        elif step.id == "pot":
            pot.weigh_empty(self.book, code, step.id, 500)
        elif step.id == "refill":
            page = store.batch(self.book, code)
            water = pot.water_line(self.book, page, shelf())
            there = [lot for lot, item in self.mine.item.items() if water and item == water.item]
            lot = next((lot for lot in there if self._fit(lot) and self.mine.left[lot] >= 20), None)
            pot.fill_up(self.book, page, step.id, 480 + sum(page.weighed.values()), 20, lot=lot)
            self.mine.water[code] = (lot, 20.0)
            if lot is not None:
                self.mine.left[lot] -= 20
        elif step.id == "density":
            kitchen_acts.weigh_foam(self.book, code, step.id, 100, 62)
        elif step.id == "retain":
            kitchen_acts.retain(self.book, code, step.id, 30)
        elif step.id == "yield":
            kitchen_acts.close(self.book, code, step.id, 40, 6.1)
        elif step.id == "ph":
            kitchen_acts.measure_ph(self.book, code, step.id, 6.1)
        elif step.id == "fill":
            for _ in range(4):
                kitchen_acts.fill_jar(self.book, code, 75.0)
            self.mine.filled[code] = store.batch(self.book, code).now.jars
            kitchen_acts.all_filled(self.book, code, step.id, self.mine.filled[code], "counted twice")
        else:
            kitchen_acts.tick(self.book, code, step.id)

    def _weigh(self, page: store.BatchPage, line, off: float, lucky: bool) -> bool:
        grams = round(line.grams * (1 + off), 4)
        drawn = grams * line.stock_pct / 100
        there = [number for number, item in self.mine.item.items() if item == line.item]
        good = [number for number in there if self._fit(number) and self.mine.left[number] >= drawn]
        good.sort(key=lambda number: number not in self.mine.cooked)  # her own base before a bought one
        chosen = good[0] if good and lucky else next(iter(there), None)
        try:
            kitchen_log.weigh(self.book, page, line, grams, chosen, "it is what there was" if off else "")
        except BlendlabError:
            assert not (chosen in good and chosen is not None and off == 0.0)
            return False
        if chosen is not None:
            assert chosen not in self.mine.held, "a lot that is held back was drawn from"
            self.mine.left[chosen] -= drawn
            newest = max(found.number for found in store.batch_log(self.book, page.line.code).weighings)
            self.mine.drawn[newest], self.mine.of_batch[newest] = (chosen, drawn), page.line.code
        return True

    def _fit(self, lot: int) -> bool:
        ends = self.mine.ends[lot]
        return lot not in self.mine.held and (ends is None or ends >= TODAY)

    @precondition(lambda self: self.mine.drawn)
    @rule(which=st.integers(0, 200), share=st.floats(0.2, 1.8))
    def correct(self, which: int, share: float) -> None:
        number = sorted(self.mine.drawn)[which % len(self.mine.drawn)]
        (lot, drawn), code = self.mine.drawn[number], self.mine.of_batch[number]
        log = store.batch_log(self.book, code)
        old = next(found for found in log.weighings if found.number == number)
        grams = round(old.weighed_g * share, 3)
        fresh = drawn * grams / old.weighed_g
        try:
            back = corrections.correct_weighing(
                self.book, code, number, grams, "misread", shelf=shelf(), on=TODAY
            )
        except store.Short:
            assert fresh - drawn > self.mine.left[lot] - 1e-3
            return
        except BlendlabError:
            assert code in self.decided or grams <= 0
            return
        self.mine.left[lot] += drawn - fresh
        assert all(self.decided[each] == store.CALLED_BACK for each in back)  # of a base, its jars
        newest = max(found.number for found in store.batch_log(self.book, code).weighings)
        del self.mine.drawn[number], self.mine.of_batch[number]
        self.mine.drawn[newest], self.mine.of_batch[newest] = (lot, fresh), code

    @precondition(lambda self: self.mine.water)
    @rule(
        which=st.integers(0, 20),
        lot=st.one_of(st.none(), lots),
        grams=st.floats(0, 300),
        of_none=st.booleans(),
    )
    def correct_the_pot(self, which: int, lot: int | None, grams: float, of_none: bool) -> None:
        """Water that was filled up: other grams, another lot or none, the pot lighter by as much."""
        code = sorted(self.mine.water)[which % len(self.mine.water)]
        (old, before), grams = self.mine.water[code], round(grams, 2)
        entry = next(each for each in store.batch(self.book, code).of("pot") if each.subject == pot.FULL)
        said = {"water_g": grams, "pot_g": entry.data["pot_g"] + before - grams}
        new = (None if of_none else lot) if of_none or lot is not None else old
        said |= {"lot": new} if of_none or lot is not None else {}
        given = {"shelf": shelf(), "on": TODAY}
        back = before if new == old else 0.0
        try:
            codes = corrections.correct_entry(self.book, code, entry.number, said, "misread", **given)
        except store.Short:
            assert new is not None
            assert grams > self.mine.left[new] + back - 1e-3
            return
        except store.Refused:
            wanted = {line.item for line in base_sheet().lines}
            assert new is not None
            assert new != old
            assert self.mine.item[new] not in wanted
            return
        if old is not None:
            self.mine.left[old] += before
        new = new if grams else None
        if new is not None:
            self.mine.left[new] -= grams
        self.mine.water[code] = (new, grams)
        assert all(self.decided[each] == store.CALLED_BACK for each in codes)
        for lot, of in self.mine.cooked.items():
            for jars in self._took_of(lot) if of == code else ():
                assert self.decided.get(jars) != store.FOR_SALE or self._bad_in(jars) == set()

    def _took_of(self, lot: int) -> set[str]:
        """Codes of batches that weighed of a lot or filled water up from it."""
        weighed = {self.mine.of_batch[number] for number, (of, _) in self.mine.drawn.items() if of == lot}
        return weighed | {code for code, (of, _) in self.mine.water.items() if of == lot}

    def _reached_from(self, lot: int) -> set[str]:
        """Codes of batches that hold of a lot: what took of it, and of each base that was cooked of it."""
        codes = self._took_of(lot)
        onward = (self._reached_from(base) for base, code in self.mine.cooked.items() if code in codes)
        return codes.union(*onward)

    def _bad_in(self, code: str) -> set[int]:
        """Lots that a batch was made of, those behind its base too, that ended or are held back."""
        lots = {lot for number, (lot, _) in self.mine.drawn.items() if self.mine.of_batch[number] == code}
        water = self.mine.water.get(code, (None, 0.0))[0]
        lots |= {water} if water is not None else set()
        behind = (self._bad_in(self.mine.cooked[lot]) for lot in lots if lot in self.mine.cooked)
        return {lot for lot in lots if not self._fit(lot)}.union(*behind)

    @rule(target=lots, code=consumes(pots), grams=GRAMS)
    def becomes_a_lot(self, code: str, grams: float):
        page = store.batch(self.book, code)
        base = shelf().find(design().base)
        lot = f"B{len(self.mine.left)}"
        typed = {"grams": f"{grams}", "code": lot}
        try:
            answers = base_lots.cooked_lot(page, base, typed, self.book)
        except Doubtful:
            assert grams < sum(page.weighed.values())
            assert not [line for line in store.lots(self.book) if line.lot.code == lot]
            answers = base_lots.cooked_lot(page, base, {**typed, "why": "it boiled over"}, self.book)
        made = [line for line in store.lots(self.book) if line.lot.code == lot]
        whole = sum(page.weighed.values())
        if answers:
            assert not made
            return multiple()
        assert kitchen_log.stand(page).current is None
        assert grams <= whole + 1, "more base came out of the pot than went in"
        self.mine.cooked[made[0].number] = code
        self._new_lot(made[0].number, f"base:{base.id}", grams, made[0].lot.expiry)
        return made[0].number

    # --- after the kitchen --------------------------------------------------------------------------

    @property
    def decided(self) -> dict[str, str]:
        rows = self._sql(
            "SELECT b.code AS code, e.subject AS subject FROM entries e JOIN batches b ON b.id = e.batch"
            " WHERE e.kind = 'release' AND NOT EXISTS (SELECT 1 FROM entries l WHERE l.corrects = e.id)"
        )
        return dict(rows)

    @rule(target=released, code=batches)
    def release(self, code: str):
        before = self.decided.get(code, store.CALLED_BACK) != store.CALLED_BACK
        try:
            read_and_release(self.book, code, shelf(), TODAY)
        except BlendlabError:
            return multiple()
        assert not before
        taken = {lot for number, (lot, _) in self.mine.drawn.items() if self.mine.of_batch[number] == code}
        assert taken, "a batch without a single lot was released"
        bad = self._bad_in(code)
        assert not bad, f"released with lots that ended or are held back: {bad}"
        return code

    @rule(code=batches, sure=st.integers(0, 3))
    def keep(self, code: str, sure: int) -> None:
        if sure:
            return
        before = self.decided.get(code, store.CALLED_BACK) != store.CALLED_BACK
        try:
            release.keep_as_test_jars(self.book, code, TODAY)
        except BlendlabError:
            assert before

    @rule(code=st.one_of(batches, released), jars=st.integers(-1, 9))
    def sell(self, code: str, jars: int) -> None:
        try:
            sales.sell(self.book, code, jars, "gift shop", TODAY, "market", "O-1")
        except BlendlabError:
            return
        assert jars > 0
        assert self.decided.get(code) == store.FOR_SALE
        self.mine.sold[code] += jars

    @rule(code=released, jars=st.integers(-1, 9), again=st.booleans(), which=st.integers(0, 20))
    def take_back(self, code: str, jars: int, again: bool, which: int) -> None:
        sold = store.batch_log(self.book, code).of("sale")
        if not sold:
            return
        try:
            sales.take_back(self.book, code, sold[which % len(sold)].number, jars, TODAY, "broken lid", again)
        except BlendlabError:
            return
        self.mine.back[code] += jars
        self.mine.again[code] += jars if again else 0

    @rule(lot=lots)
    def recall(self, lot: int) -> None:
        """From a lot every batch that took of it is reached, through the bases cooked of it as well."""
        reach = store.forward(self.book, lot)
        found = {line.code for line in reach.batches}
        assert found == self._took_of(lot)  # by itself, before anything that was cooked of it
        onward = [*reach.onward]
        while onward:
            further = onward.pop()
            found |= {line.code for line in further.batches}
            onward += further.onward
        assert found == self._reached_from(lot)

    # --- what must hold after every act -------------------------------------------------------------

    def _sql(self, asked: str) -> list[tuple]:
        with closing(sqlite3.connect(self.book.path)) as link:
            return link.execute(asked).fetchall()

    @invariant()
    def grams_agree_and_are_never_less_than_none(self) -> None:
        sums = dict(self._sql("SELECT lot, sum(units) FROM movements GROUP BY lot"))
        assert all(units >= 0 for units in sums.values())
        assert set(sums) == set(self.mine.left)
        for lot, grams in self.mine.left.items():
            assert sums[lot] / 10_000 == pytest.approx(grams, abs=0.005)

    @invariant()
    def codes_are_unique(self) -> None:
        codes = [code for (code,) in self._sql("SELECT code FROM batches")]
        assert sorted(codes) == sorted(self.mine.codes)
        assert len(set(codes)) == len(codes)

    @invariant()
    def nothing_is_sold_twice(self) -> None:
        for code, sold in self.mine.sold.items():
            page = store.batch(self.book, code)
            made = self.mine.filled.get(code, page.plan.jars)
            assert sold - self.mine.again[code] <= made
            assert self.mine.back[code] <= sold
            kept = sales.jars(page)
            assert (kept.sold, kept.back) == (sold, self.mine.back[code])
            assert kept.left == made - sold + self.mine.again[code] >= 0


def _memory() -> str | None:
    """A folder in memory where there is one: thousands of books are written and thrown away."""
    return "/dev/shm" if Path("/dev/shm").is_dir() else None


QUIET = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)


def _run(sequences: int, steps: int) -> None:
    kept = settings(
        max_examples=sequences, stateful_step_count=steps, deadline=None, suppress_health_check=QUIET
    )
    run_state_machine_as_test(BookMachine, settings=kept)


def test_the_book_agrees_with_an_account_over_short_orders_of_acts():
    _run(15, 15)


def test_a_base_that_is_cooked_and_used_is_traced_from_each_of_its_lots_to_the_jars():
    machine = BookMachine()
    try:
        base, jars = machine.cook(), machine.make()
        assert machine._took_of(base) == {jars}
        for lot in tuple(machine.mine.left):
            machine.recall(lot)
        machine.grams_agree_and_are_never_less_than_none()
    finally:
        machine.teardown()


@pytest.mark.slow
def test_the_book_agrees_with_an_account_over_two_thousand_orders_of_acts():
    _run(2000, 30)

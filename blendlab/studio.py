"""What the pages and the terminal share: the demo, pictures of a design, its card, its prints.

It carries nouns from room to room and holds no figure and no formula of its own.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab import jar, printing, recipe, store, tint
from blendlab.assess import Assessment, ToneJudged, assess
from blendlab.errors import LEVELS, BadDocument, Problem
from blendlab.facts.jars import jars
from blendlab.facts.library import demo_oils
from blendlab.facts.palette import bases, pigments
from blendlab.facts.scales import scales
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, item_from_dict

DEMO = ("lagoon", "fern-glade", "dune-rose")
LINE = store.Line(id="spring-line", name="Spring line", cards=DEMO)
CARD_PX = (840, 720)
Picture = NDArray[np.uint8]


# --- the demo -------------------------------------------------------------------------------------


@cache
def demo_shelf() -> Shelf:
    """The shelf of the demo: starter pigments, invented oils, bases, jars and two scales."""
    return Shelf((*pigments(), *demo_oils(), *bases(), *jars(), *scales()))


def demo_designs(shelf: Shelf) -> tuple[Design, ...]:
    """The three jars of the demo line, taking their revisions from a shelf."""
    return tuple(_demo(name, shelf) for name in DEMO)


def _demo(name: str, shelf: Shelf) -> Design:
    text = (files("blendlab.facts") / "demo" / f"{name}.json").read_text(encoding="utf-8")
    return store.pinned(recipe.from_dict(json.loads(text)), shelf)


def demo_design(shelf: Shelf) -> tuple[Design, tuple[Item, ...]]:
    """The demo to open on a first visit, and the revisions it uses.

    What was taken off her shelf comes from the demo's own.
    """
    with_demo = Shelf((*demo_shelf().items, *shelf.items))
    made = _demo(DEMO[0], with_demo)
    return made, store.embedded(made, with_demo)


def blank_design(shelf: Shelf) -> tuple[Design, tuple[Item, ...]]:
    """A white jar without scent, to start from."""
    made, _ = demo_design(shelf)
    white = recipe.Tone(id="white", name="White", share_pct=100)
    blank = replace(
        made,
        id=store.new_id(),
        name="New design",
        tones=(white,),
        arrangement=recipe.Arrangement(),
        top=recipe.Top(),
        scent=recipe.Scent(),
        view=recipe.View(),
    )
    return blank, store.embedded(blank, Shelf((*demo_shelf().items, *shelf.items)))


def first_start(folder: store.Folder) -> None:
    """Lay the demo shelf and the demo line out where there is none."""
    if store.lay_out(folder, demo_shelf().items, _demo_cards()):
        known = [saved.line.id for saved in store.lines(folder)]
        if LINE.id not in known and all(store.has_card(folder, one) for one in LINE.cards):
            store.save_line(folder, LINE, None)


def _demo_cards() -> Any:
    for made in demo_designs(demo_shelf()):
        yield card(made, demo_shelf())


# --- pictures -------------------------------------------------------------------------------------


def colours(assessed: Assessment, shelf: Shelf, weeks: float | None = None) -> jar.Colours:
    """Colours of every tone under the lamp and for the eye of the view."""
    design, tints = assessed.design, assessed.tints
    if weeks is not None and weeks != design.weeks:
        tints = tint.predict(design, shelf, weeks=weeks, vanillin_pct=assessed.vanillin_pct)
    view, dust = design.view, design.top.dust
    pigment = shelf.find(dust.pigment) if dust and shelf.has(dust.pigment) else None
    return jar.colours(design, tints, view.lamp, view.observer_deg, view.eye, pigment)


def picture(
    assessed: Assessment, shelf: Shelf, view: str, px: tuple[int, int], mode: str = "shaded"
) -> Picture:
    """One view of the jar; with weeks on the shelf the front shows now and then as its halves."""
    design = assessed.design
    turn = design.view.turn_deg

    def drawn(weeks: float | None) -> Picture:
        return jar.paint(assessed.layout, colours(assessed, shelf, weeks), view, turn=turn, mode=mode, px=px)

    if design.weeks and view == "front" and mode == "shaded":
        return jar.halves(drawn(0.0), drawn(None))
    return drawn(None)


def encoded(assessed: Assessment, shelf: Shelf, view: str, px: tuple[int, int]) -> bytes:
    """One view of the jar as JPEG bytes for the screen."""
    return jar.encode(picture(assessed, shelf, view, px), "jpeg")


def describe(assessed: Assessment, shelf: Shelf) -> str:
    """Text alternative of the front picture."""
    spreads = [each.spread.delta_e00 for each in assessed.tones if each.spread is not None]
    return jar.describe(
        assessed.design,
        shelf.find(assessed.design.jar),
        assessed.layout,
        {each.tone.id: tint.words(each.seen.lab) for each in assessed.tones},
        known="estimate" if any(each.tint.known == "estimate" for each in assessed.tones) else "measured",
        spread=max(spreads, default=0.0),
    )


def hexes(judged: ToneJudged) -> tuple[str, str, str]:
    """Weak, likely and strong of a tone as hex."""
    if judged.spread is None:
        return (judged.seen.hex,) * 3
    return judged.spread.weak.hex, judged.seen.hex, judged.spread.strong.hex


# --- cards and prints -----------------------------------------------------------------------------


def card(design: Design, shelf: Shelf, on: date | None = None) -> tuple[store.Card, bytes]:
    """The card of a design and its picture (PNG)."""
    assessed = assess(design, shelf, on)
    made = store.Card(design=design, embedded=store.embedded(design, shelf), judged=judged(assessed))
    return made, jar.encode(_card_picture(assessed, shelf), "png")


def _card_picture(assessed: Assessment, shelf: Shelf) -> Picture:
    if assessed.layout is None:
        return np.full((CARD_PX[1], CARD_PX[0], 3), jar.PANEL, np.uint8)
    return picture(assessed, shelf, "front", CARD_PX)


def judged(assessed: Assessment) -> dict[str, Any]:
    """What a card keeps of an assessment: plain values only."""
    market, check = next(iter(assessed.scents.items()), ("", None))
    labels = assessed.labels.get(market)
    return {
        "on": assessed.on.isoformat(),
        "product": assessed.design.product,
        "counts": {level: assessed.count(level) for level in LEVELS},
        "checks": _checks(check),
        "findings": [[one.level, one.text] for one in assessed.findings],
        "tones": [
            {
                "name": each.tone.name,
                "share_pct": each.tone.share_pct,
                "hex": each.seen.hex,
                "lab": [round(float(one), 2) for one in each.seen.lab],
                "known": each.tint.known,
            }
            for each in assessed.tones
        ],
        "oils": [share.oil.id for share in assessed.design.scent.oils],
        "names": [one.name for one in labels.names] if labels else [],
        "market": market,
        "ceiling_pct": check.ceiling_pct if check else None,
    }


def _checks(check: Any) -> dict[str, Any]:
    if check is None:
        return {}
    counts = check.counts
    return {"checked": counts.checked, "unverified": counts.unverified, "unknown": counts.unknown}


def read_document(data: Any, folder: str | None = None) -> tuple[Design, Shelf]:
    """The design in a card or in a design file, with the shelf to judge it on.

    Raises BadDocument, NewerFormat.
    """
    where = store.Folder.at(folder or store.default_folder())
    shelf = store.read_shelf(where)
    shelf = Shelf((*demo_shelf().items, *shelf.items))
    if not isinstance(data, Mapping):
        raise BadDocument("file", [Problem("", "is not a card and not a design")])
    if "design" in data:
        opened = store.card_from_dict(data)
        return opened.design, shelf.carrying(opened.embedded)
    return recipe.from_dict(data), shelf


def sheet(assessed: Assessment, shelf: Shelf) -> printing.CardSheet:
    """What is printed of a design."""
    design = assessed.design
    market, check = next(iter(assessed.scents.items()), ("", None))
    labels = assessed.labels.get(market)
    glass = shelf.find(design.jar) if shelf.has(design.jar) else None
    return printing.CardSheet(
        name=design.name,
        product=design.product.replace("_", " "),
        jar=glass.name if glass else "no jar",
        load=f"{design.scent.load_pct:.2f} % of the finished product",
        on=assessed.on,
        picture=_card_picture(assessed, shelf),
        tones=tuple(_tone_line(each, shelf) for each in assessed.tones),
        scent=tuple((shelf.find(one.oil).name, one.share_pct) for one in design.scent.oils if shelf.has(one.oil)),
        ceiling=_ceiling(check),
        names=tuple(one.name for one in labels.names) if labels else (),
        market=market,
        findings=tuple((one.level, one.text) for one in assessed.findings),
        counts=_counts(assessed, check),
    )


def _tone_line(each: ToneJudged, shelf: Shelf) -> printing.ToneLine:
    weak, likely, strong = hexes(each)
    return printing.ToneLine(
        name=each.tone.name,
        share_pct=each.tone.share_pct,
        weak=weak,
        likely=likely,
        strong=strong,
        lab=tuple(float(one) for one in each.seen.lab),
        known=each.tint.known,
        delta_e=each.spread.delta_e00 if each.spread else None,
        doses=tuple((shelf.find(one.pigment).name, one.pct) for one in each.tone.doses if shelf.has(one.pigment)),
        in_gamut=bool(each.seen.in_gamut),
    )


def _ceiling(check: Any) -> str:
    if check is None:
        return "not checked: the shares do not make 100 %"
    if check.ceiling_pct is None:
        return f"none for sale: {check.reason}"
    return f"{check.ceiling_pct:.2f} %, {check.governing} binds"


def _counts(assessed: Assessment, check: Any) -> str:
    said = [f"{assessed.count(level)} {level}" for level in LEVELS]
    if check is not None:
        counts = check.counts
        said.append(
            f"checked {counts.checked} of {counts.restricted_total} restricted materials, "
            f"{counts.unverified} on figures from memory, {counts.unknown} unknown"
        )
    return ", ".join(said) + f"; {assessed.on.isoformat()}"


def print_design(design: Design, shelf: Shelf, suffix: str, on: date | None = None) -> bytes:
    """The swatch card of a design as bytes; `suffix` "pdf" or "png"."""
    made = sheet(assess(design, shelf, on), shelf)
    return printing.card_pdf(made) if suffix == "pdf" else printing.card_png(made)


def printed(folder: store.Folder, card_id: str, suffix: str) -> bytes:
    """The swatch card of a saved card as bytes."""
    opened = store.open_card(folder, card_id).card
    shelf = store.read_shelf(folder).carrying(opened.embedded)
    return print_design(opened.design, shelf, suffix)


def line_pdf(folder: store.Folder, name: str, card_ids: list[str]) -> bytes:
    """The cards of a line on sheets of A4."""
    sheets = []
    for card_id in card_ids:
        opened = store.open_card(folder, card_id).card
        shelf = store.read_shelf(folder).carrying(opened.embedded)
        sheets.append(sheet(assess(opened.design, shelf), shelf))
    return printing.line_pdf(sheets, name)

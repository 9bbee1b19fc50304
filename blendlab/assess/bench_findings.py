"""What the design itself is told: things nobody has, shares that do not make 100 %, loads by tone."""

from __future__ import annotations

from collections.abc import Iterator

from blendlab.assess.scent_checks import sums_up
from blendlab.batch.formula import check_sum
from blendlab.codec import unknown_keys
from blendlab.errors import Finding
from blendlab.recipe import Design, Scent, tone_load
from blendlab.recipe.tones import names
from blendlab.shelf import Shelf, embedded, missing

_WHERE = {
    "oil": "scent.oils",
    "pigment": "look.tones",
    "base": "look.base",
    "jar": "look.jar",
    "scale": "batch.scales",
    "ingredient": "batch.additions",
}


def of_bench(design: Design, shelf: Shelf) -> Iterator[Finding]:
    """What can be said of a design before anything is computed."""
    yield from _missing(design, shelf)
    yield from _half_understood(design, shelf)
    yield from _base_of_another_kind(design, shelf)
    for path in unknown_keys(design):
        yield Finding("note", f"key:{path}", "look.file", f'"{path}" of the file is kept but not understood.')
    yield from _tone_shares(design)
    if not sums_up(design.scent):
        yield _scent_sum(design.scent)


def _missing(design: Design, shelf: Shelf) -> Iterator[Finding]:
    for ref in {place.ref.key: place.ref for place in missing(design, shelf)}.values():
        yield Finding(
            "stop",
            f"missing:{ref.key}",
            _WHERE[ref.kind],
            f'The {ref.kind} "{ref.id}" is not on the shelf and the design does not carry it.',
            f"Add the {ref.kind} to the shelf or choose another.",
            "your shelf",
        )


def _half_understood(design: Design, shelf: Shelf) -> Iterator[Finding]:
    """Things in a format of a later version: a limit may stand where this one does not look for it."""
    for item in embedded(design, shelf, past=False):
        if item.newer:
            yield Finding(
                "stop",
                f"later:{item.kind}:{item.id}",
                _WHERE[item.kind],
                f"{item.name} was written by a newer version (format {item.format}); what this one does not "
                "know of it is not checked.",
                "Judge the design with that version.",
                "your shelf",
            )


def _base_of_another_kind(design: Design, shelf: Shelf) -> Iterator[Finding]:
    base = shelf.find(design.base) if shelf.has(design.base) else None
    if base is not None and base.product != design.product:
        yield Finding(
            "stop",
            "base-kind",
            "look.base",
            f"{base.name} is a base for {_kind(base.product)}; this is {_kind(design.product)}.",
            "Choose the base of this product.",
            "your shelf",
        )


def _kind(product: str) -> str:
    return product.replace("_", " ")


def _tone_shares(design: Design) -> Iterator[Finding]:
    total, fits = check_sum([tone.share_pct for tone in design.tones])
    if total <= 0:
        count = len(design.tones)
        yield Finding(
            "stop",
            "tone-sum",
            "look.tones",
            "No tone has a share of the jar, so there is nothing to weigh; drawn in equal shares.",
            "Give each tone its share.",
            "a jar holds 100 %",
            {f"tones.{at}.share_pct": round(100 / count, 2) for at in range(count)},
            "Share the jar out evenly",
        )
        return
    if not fits:
        yield Finding(
            "caution",
            "tone-sum",
            "look.tones",
            f"The tones add up to {total:.2f} % by weight of the jar; drawn as if they made 100 %.",
            "Even them out to 100 %.",
            "a jar holds 100 %",
            {
                f"tones.{at}.share_pct": round(100 * (tone.share_pct / total), 2)
                for at, tone in enumerate(design.tones)
            },
            "Even out to 100 %",
        )
    named = names(design)
    for tone in design.tones:
        if tone.share_pct <= 0:
            yield Finding(
                "caution",
                f"tone-empty.{tone.id}",
                f"look.tones.{tone.id}",
                f"{named[tone.id]} has no share of the jar: it is not weighed and not seen.",
                "Give it a share or take it out.",
                "a jar holds 100 %",
            )


def _scent_sum(scent: Scent) -> Finding:
    total = sum(share.share_pct for share in scent.oils)
    evened = (
        {f"scent.oils.{at}.share_pct": 100 * (share.share_pct / total) for at, share in enumerate(scent.oils)}
        if total
        else None
    )
    return Finding(
        "stop",
        "scent-sum",
        "scent.oils",
        f"The shares of the oils add up to {total:.2f} % of the scent; "
        "they must make 100 %. Checked and weighed in proportion.",
        "Even them out to 100 %.",
        "a scent is 100 % of its oils",
        evened,
        "Even out to 100 %" if evened else "",
    )


def loads_by_tone(design: Design) -> Iterator[Finding]:
    """Loads by tone are checked one by one; the batch sheet shares one scent out by weight."""
    if len({tone_load(design, tone.id) for tone in design.tones}) > 1:
        yield Finding(
            "stop",
            "scent-by-tone",
            "batch.scent",
            "The tones have loads of their own; the batch sheet shares the scent of the jar out by weight.",
            "Weigh the scent of each tone by its own load, or give every tone the same load.",
            "this program",
            {"scent.tone_loads": {}},
            "Same load in every tone",
        )

"""Typed words -> the assessment of a formula family; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from blendlab.assess import Assessment
from blendlab.batch import Family, ledger
from blendlab.forms.form import Form, Typed
from blendlab.forms.named_percents import named_percents
from blendlab.recipe import MARKETS, slug
from blendlab.shelf import Base, Resolved, Shelf
from blendlab.units import plain


def typed_of(assessed: Assessment) -> dict[str, str]:
    """What the form of an assessment begins with: the design on the bench."""
    design, resolved, made = assessed.design, assessed.resolved, assessed.plan
    colours: dict[str, float] = {}
    for dose in (dose for dosed in (resolved.tones if resolved else ()) for dose in dosed.doses):
        colours[dose.pigment.name] = max(colours.get(dose.pigment.name, 0.0), dose.pct)
    oils = {
        share.oil.name: design.scent.load_pct * share.share_pct / 100
        for share in (resolved.oils if resolved else ())
    }
    stirred = {item.name: pct for item, pct in (resolved.additions if resolved else ())}
    mica, dust = resolved.dust if resolved else None, design.top.dust
    kept = made.preservative if made else None
    return {
        "name": design.name,
        "colours": _lines(colours),
        "scents": _lines(oils),
        "additions": _lines(stirred),
        "dusts": _lines({mica.name: dust.mg_per_cm2}) if mica and dust else "",
        "load": plain(design.scent.load_pct),
        "low": plain(kept.low_pct, 2) if kept and kept.low_pct is not None else "",
        "high": plain(kept.most_pct, 2) if kept else "",
        "markets": " ".join(design.markets),
    }


def _lines(named: Mapping[str, float]) -> str:
    return "\n".join(f"{name} {plain(pct)}" for name, pct in named.items())


def family_of(typed: Typed, assessed: Assessment, shelf: Shelf) -> tuple[Family | None, list[str]]:
    """The assessment that was typed, for the base of the design on the bench, or every answer at once."""
    form = Form(typed)
    for name, what in (("name", "A name"), ("assessor", "The assessor"), ("on", "The day of the assessment")):
        if not form.text(name):
            form.answers.append(f"{what} is missing.")
    day = form.day("on", "Day of the assessment")
    markets = _markets(form)
    colours = named_percents(form, form.text("colours"), shelf.of("pigment"), "pigment")
    scents = named_percents(form, form.text("scents"), shelf.of("oil"), "oil")
    additions = named_percents(form, form.text("additions"), shelf.of("ingredient"), "ingredient")
    dusts = named_percents(form, form.text("dusts"), shelf.of("pigment"), "pigment", "mg/cm2")
    load = form.wanted("load", "Highest load", "%", 0, 100)
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
    form.rising("Preservative", low, high)
    resolved = assessed.resolved
    if resolved is None:
        form.answers.append("The design has no jar or no base on the shelf: there is nothing to assess.")
    if form.answers or day is None or resolved is None:
        return None, form.answers
    base = _assessed_base(resolved)
    kept = ledger.choose(resolved) if assessed.plan and assessed.plan.preservative else None
    range_ = (low, high) if kept and low is not None and high is not None else None
    made = Family(
        id=slug(f"{form.text('name')} {day.isoformat()}"),
        name=form.text("name"),
        assessor=form.text("assessor"),
        on=day,
        base=replace(base.ref, rev=base.matter),
        product=assessed.design.product,
        markets=markets,
        pigments={item.id: pct for item, pct in colours},
        scents={item.id: pct for item, pct in scents},
        additions={item.id: pct for item, pct in additions},
        dusts={item.id: mg for item, mg in dusts},
        load_pct=load,
        preservative=kept.id if kept and range_ else "",
        preservative_pct=range_ or (0.0, 0.0),
        label=form.text("label"),
        document=form.text("document"),
    )
    return made, []


def _markets(form: Form) -> tuple[str, ...]:
    markets = tuple(form.text("markets").upper().replace(",", " ").split())
    if not markets or not set(markets) <= set(MARKETS):
        form.answers.append(f"Markets: of {', '.join(MARKETS)}.")
    return markets


def _assessed_base(resolved: Resolved) -> Base:
    """The base as it stands on the shelf: what was assessed is no single lot of it."""
    base: Base = resolved.shelf.find(resolved.design.base)
    return base

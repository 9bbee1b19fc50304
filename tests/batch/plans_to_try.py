"""Random designs for the tests of the batch, and one shelf to make them from."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from functools import cache

from blendlab.batch.plan import plan
from blendlab.batch.sheet import Line, Plan
from blendlab.facts.ingredients import ingredients, scales, whip_formula
from blendlab.facts.jars import jars
from blendlab.facts.library import demo_oils
from blendlab.facts.palette import bases, pigments
from blendlab.recipe import Addition, Batch, Design, Dilution, Dose, OilShare, Ref, Scent, Tone
from blendlab.shelf import Scale, Shelf, resolve

PRESERVATIVE = Ref(kind="ingredient", id="preservative-a")
SCALES = (
    Scale(id="gross", name="gross", step_g=1, capacity_g=5000),
    Scale(id="tenth", name="tenth", step_g=0.1, capacity_g=2000),
    Scale(id="fine", name="fine", step_g=0.01, capacity_g=500),
    Scale(id="finest", name="finest", step_g=0.001, capacity_g=50),
)


@dataclass(frozen=True)
class Filling:
    """ml of a jar."""

    fill_ml: float
    top_ml: float = 0.0


LOW_JAR = Filling(118.09)


@cache
def shelf(held: tuple[float, float] | None = (1.0, 1.0)) -> Shelf:
    base = replace(
        bases()[0], id="cooked", lines=whip_formula(), preservative=PRESERVATIVE, preservative_pct=held
    )
    unending = (replace(oil, expiry=None) for oil in demo_oils())  # a test is right on every day
    return Shelf((*pigments(), *unending, *bases(), *jars(), *scales(), *SCALES, *ingredients(), base))


def design(**change) -> Design:
    """Two tones, a scent of two oils, 24 low jars of 120 ml."""
    blue, cream = shelf().today("pigment", "ultramarine_blue"), shelf().today("pigment", "iron_oxide_yellow")
    lavender, petitgrain = shelf().today("oil", "lavender"), shelf().today("oil", "petitgrain")
    made = Design(
        id="two",
        name="Two tones",
        product="whipped_soap",
        jar=shelf().today("jar", "j120-70").ref,
        base=shelf().today("base", "cooked").ref,
        tones=(
            Tone(id="deep", name="Deep", share_pct=60, doses=(Dose(pigment=blue.ref, pct=0.3),)),
            Tone(id="cream", name="Cream", share_pct=40, doses=(Dose(pigment=cream.ref, pct=0.02),)),
        ),
        scent=Scent(
            load_pct=1.2,
            oils=(
                OilShare(oil=lavender.ref, share_pct=60),
                OilShare(oil=petitgrain.ref, share_pct=40),
            ),
        ),
        batch=Batch(jars=24),
    )
    return replace(made, **change)


def random_design(rng: random.Random) -> tuple[Design, Filling, float | None, tuple[float, float]]:
    """A design, a jar, a ceiling of the load, and what the base holds of its preservative."""
    colours = list(pigments())
    count = rng.randint(1, 4)
    tones = tuple(
        Tone(id=f"t{at}", name=f"Tone {at}", share_pct=rng.uniform(1, 100), doses=_doses(rng, colours))
        for at in range(count)
    )
    oils = rng.sample(demo_oils(), rng.randint(1, 4))
    load = rng.choice((0.0, rng.uniform(0.05, 2.5)))
    stirred = rng.random() < 0.4
    additions = (Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=rng.uniform(0, 8)),)
    picked = tuple(scale.ref for scale in rng.sample(SCALES, rng.randint(1, 4)))
    stocks = _stocks(rng, tones) if rng.random() < 0.3 else ()
    low = rng.uniform(0.5, 1.05)
    held = (low, low) if rng.random() < 0.7 else (low, min(1.1, low + 0.05))
    asked = Batch(
        jars=rng.randint(1, 200),
        grams=rng.uniform(300, 10_000) if rng.random() < 0.3 else None,
        scales=picked,
        additions=additions if stirred else (),
        dilutions=stocks,
        preservative_pct=rng.choice((None, rng.uniform(0.5, 1.1))),
        overrun_pct=rng.uniform(30, 120),
    )
    made = design(
        tones=tones,
        scent=Scent(
            load_pct=load, oils=tuple(OilShare(oil=o.ref, share_pct=rng.uniform(1, 9)) for o in oils)
        ),
        batch=asked,
    )
    ceiling = rng.choice((None, load, load * 1.001)) if load else None
    return made, Filling(rng.uniform(30, 500), rng.choice((0.0, 12.0))), ceiling, held


def _doses(rng: random.Random, colours) -> tuple[Dose, ...]:
    chosen = rng.sample(colours, rng.randint(0, 3))
    share = 1.0 / max(1, len(chosen))
    return tuple(
        Dose(
            pigment=pigment.ref,
            pct=rng.choice((pigment.cap_pct, rng.uniform(0.005, 1) * pigment.cap_pct)) * share,
        )
        for pigment in chosen
    )


def _stocks(rng: random.Random, tones) -> tuple[Dilution, ...]:
    glycerin = Ref(kind="ingredient", id="glycerin")
    thin = [dose.pigment for tone in tones for dose in tone.doses if dose.pct < 0.1]
    return tuple(Dilution(of=dosed, pct=10.0, carrier=glycerin) for dosed in thin[:1])


@cache
def made() -> Plan:
    """The sheet of that design."""
    return plan(resolve(design(), shelf()), LOW_JAR)


def ids(findings) -> set[str]:
    return {finding.id for finding in findings}


def line(**change) -> Line:
    """A line of 10 g on a scale of 0.01 g that carries 500 g, 1 % of the product."""
    plain = replace(made().line("oil:lavender"), grams=10.0, exact_g=10.0, pct=1.0, wanted_pct=1.0)
    return replace(plain, step_g=0.01, capacity_g=500.0, least_g=0.5, **change)

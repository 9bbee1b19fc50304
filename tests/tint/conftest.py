import warnings

import pytest

from blendlab.facts.palette import bases, pigments, starter
from blendlab.recipe import Design, Dose, Tone, slug
from blendlab.shelf import Jar, Shelf, resolve
from blendlab.tint import findings, predict


@pytest.fixture(scope="session")
def colour():
    """colour-science, the second route; its import warns where plotting is not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


@pytest.fixture
def jar():
    return Jar(id="round", name="Round", nominal_ml=120, outer_mm=72, inner_mm=68, height_mm=40)


@pytest.fixture
def shelf(jar):
    return Shelf((*pigments(), *bases(), jar))


@pytest.fixture
def make(jar):
    """A design from tones given as {name: {pigment id: percent}} or {name: [(pigment or id, percent)]}."""

    def made(tones, base=None, **more):
        base = base or bases()[0]
        made_tones = tuple(
            Tone(
                id=slug(name),
                name=name,
                share_pct=100 / len(tones),
                doses=tuple(
                    Dose(pigment=(starter(pigment) if isinstance(pigment, str) else pigment).ref, pct=pct)
                    for pigment, pct in (doses.items() if isinstance(doses, dict) else doses)
                ),
            )
            for name, doses in tones.items()
        )
        whole = {"id": "d", "name": "D", "product": base.product, "jar": jar.ref, "base": base.ref, **more}
        return Design(tones=made_tones, **whole)

    return made


@pytest.fixture
def told(shelf):
    def of(design, on=None, **more):
        on = on or shelf
        return {
            finding.id: finding
            for finding in findings(resolve(design, on), predict(resolve(design, on)), **more)
        }

    return of

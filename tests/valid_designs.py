"""Valid designs of every shape over the demo shelf, the unwise ones above all."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from blendlab.facts.demo import demo_shelf
from blendlab.recipe import (
    ARRANGEMENTS,
    MARKETS,
    PLACES,
    TOPS,
    Addition,
    Arrangement,
    Batch,
    Design,
    Dilution,
    Dose,
    Dust,
    OilShare,
    Ref,
    Scent,
    Tone,
    Top,
    View,
)
from blendlab.shelf import Jar, Scale, Shelf

COARSE = Scale(id="coarse", name="Parcel scale", step_g=100, capacity_g=50_000)
THIMBLE = Jar(id="thimble", name="Thimble", nominal_ml=1, outer_mm=13, inner_mm=10, height_mm=5)
SHELF = Shelf((*demo_shelf().items, COARSE, THIMBLE))
"""The demo shelf with a scale far too coarse and a jar far too small."""
PRODUCTS = ("whipped_soap", "sugar_scrub", "oil_sugar_scrub", "body_butter", "lip_scrub")


def _refs(kind: str) -> st.SearchStrategy[Ref]:
    known = [item.ref for item in SHELF.of(kind)]
    gone = Ref(kind=kind, id="gone")
    return st.sampled_from([*known, *(replace(ref, rev="") for ref in known), gone])


def _pct(most: float = 100.0) -> st.SearchStrategy[float]:
    edges = st.sampled_from([0.0, 0.001, 0.02, 0.05, 50.0, most])
    return st.floats(0, most) | edges.map(lambda pct: min(pct, most))


_DOSES = st.lists(st.builds(Dose, pigment=_refs("pigment"), pct=_pct(3) | _pct()), max_size=4).map(tuple)
_TONES = st.lists(
    st.builds(Tone, id=st.sampled_from("abcdef"), name=st.sampled_from(["Sea", "Sand", "Moss"]),
              share_pct=_pct(), doses=_DOSES),
    min_size=1, max_size=5, unique_by=lambda tone: tone.id,
).map(tuple)  # fmt: skip
_ARRANGEMENT = st.builds(
    Arrangement,
    kind=st.sampled_from(ARRANGEMENTS),
    start_deg=st.floats(-360, 360),
    turns=st.floats(0.25, 8),
    hand=st.sampled_from(["right", "left"]),
    width=st.floats(0.05, 1),
    wave_mm=st.floats(0, 8),
    tilt_mm=st.floats(0, 8),
    core_height=st.floats(0.2, 1),
    one_bag=st.booleans(),
)
_DUST = st.none() | st.builds(Dust, pigment=_refs("pigment"), mg_per_cm2=st.floats(0, 5))
_SCENT = st.builds(
    Scent,
    load_pct=_pct(3) | _pct(),
    oils=st.lists(st.builds(OilShare, oil=_refs("oil"), share_pct=_pct()), max_size=4).map(tuple),
    tone_loads=st.dictionaries(st.sampled_from("abz"), _pct(5), max_size=2),
)
_ADDITION = st.builds(Addition, ingredient=_refs("ingredient"), pct=_pct())
_STOCK = st.builds(
    Dilution,
    of=_refs("pigment") | _refs("oil"),
    pct=st.floats(0.01, 100),
    carrier=_refs("ingredient"),
)
_BATCH = st.builds(
    Batch,
    jars=st.integers(1, 60) | st.just(100_000),
    grams=st.none() | st.floats(1, 20_000),
    spare=st.integers(0, 5),
    overrun_pct=st.none() | st.floats(0, 400),
    loss_pct=st.none() | st.floats(0, 90),
    retained_g=st.none() | st.floats(0, 500),
    scales=st.lists(_refs("scale"), max_size=2).map(tuple),
    preservative=st.none() | _refs("ingredient"),
    preservative_pct=st.none() | st.floats(0, 20),
    additions=st.lists(_ADDITION, max_size=2).map(tuple),
    dilutions=st.lists(_STOCK, max_size=2).map(tuple),
    bowl_ml=st.none() | st.floats(10, 20_000),
)  # fmt: skip


@st.composite
def designs(draw: st.DrawFn) -> Design:
    """A design that its own validation takes."""
    tones = draw(_TONES)
    return Design(
        id="tried",
        name="Tried",
        product=draw(st.sampled_from(PRODUCTS)),
        tones=tones,
        jar=draw(_refs("jar")),
        base=draw(_refs("base")),
        markets=tuple(draw(st.lists(st.sampled_from(MARKETS), max_size=4, unique=True))),
        place=draw(st.sampled_from(PLACES)),
        arrangement=draw(_ARRANGEMENT),
        top=draw(
            st.builds(
                Top,
                kind=st.sampled_from(TOPS),
                height_mm=st.none() | st.floats(0, 60),
                tone=st.sampled_from(["shared", *(tone.id for tone in tones)]),
                dust=_DUST,
                points=st.integers(4, 16),
                headspace_mm=st.none() | st.floats(0, 100),
            )
        ),
        scent=draw(_SCENT),
        batch=draw(_BATCH),
        weeks=draw(st.floats(0, 104)),
        view=draw(st.builds(View, turn_deg=st.floats(-360, 360), sunk_mm=st.floats(0, 60))),
    )

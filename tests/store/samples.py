"""Designs, shelves and pictures to save in tests; every figure in them is invented."""

import codecs
import os
import struct
from contextlib import contextmanager
from datetime import date
from io import BytesIO
from stat import S_IXGRP, S_IXOTH

from hypothesis import strategies as st
from PIL import Image

from blendlab.codec import YEARS
from blendlab.recipe import Arrangement, Batch, Design, Dose, Dust, OilShare, Ref, Scent, Tone, Top, View
from blendlab.shelf import Base, Jar, Oil, Pigment, Scale, Sheet, Shelf, embedded, pinned
from blendlab.store import Card

JAR = Jar(id="straight-120", name="Straight 120 ml", nominal_ml=120, outer_mm=68, inner_mm=63, height_mm=50)
BASE = Base(
    id="foam", name="White foam", product="whipped_soap", k0=(0.01,) * 31, s0=(1.0,) * 31, known="estimate",
    basis="invented", ref_overrun_pct=120, density_mix_g_ml=1.02,
)  # fmt: skip
BLUE = Pigment(
    id="iron_blue", name="Iron blue", group="absorbing", ci=("77510",), strength_sd=0.5, known="estimate",
    k=tuple(0.1 * n for n in range(31)), s=(0.02,) * 31, basis="invented", cap_pct=1,
)  # fmt: skip
GOLD = Pigment(
    id="gold", name="Gold mica", group="pearl", ci=("77019", "77891"), strength_sd=0.7, known="measured",
    k=(0.01,) * 31, s=(0.3,) * 31, basis="invented", cap_pct=2, powder_srgb=(0.8, 0.7, 0.4),
)  # fmt: skip
LAVENDER = Oil(
    id="lavender", name="Lavender", group="essential_oil",
    sheet=Sheet(amendment=51, issued=None, limits={"9": 8.5}, document="invented"),
)  # fmt: skip
FINE = Scale(id="fine", name="Fine scale", step_g=0.01, capacity_g=500)
ITEMS = (JAR, BASE, BLUE, GOLD, LAVENDER, FINE)
SHELF = Shelf(ITEMS)


def png(colour=(184, 184, 184), size=(12, 10)):
    """A small picture of one colour."""
    buffer = BytesIO()
    Image.new("RGB", size, colour).save(buffer, "PNG")
    return buffer.getvalue()


def jpeg(colour=(150, 90, 60), size=(40, 30)):
    """A photo of one colour."""
    buffer = BytesIO()
    Image.new("RGB", size, colour).save(buffer, "JPEG")
    return buffer.getvalue()


def swollen(data, width=60_000, height=60_000):
    """The same JPEG, its head saying another size."""
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4 :]


def design(name="Lagoon", id_="a1b2c3d4", **more):
    """A design of two tones and one oil."""
    blue = Dose(pigment=Ref(kind="pigment", id="iron_blue"), pct=0.03)
    tones = (
        Tone(id="deep", name="Deep water", share_pct=60, doses=(blue,)),
        Tone(id="cream", name="Cream", share_pct=40),
    )
    values = {
        "tones": tones,
        "jar": Ref(kind="jar", id="straight-120"),
        "base": Ref(kind="base", id="foam"),
        "top": Top(kind="star", dust=Dust(pigment=Ref(kind="pigment", id="gold"))),
        "scent": Scent(load_pct=1.2, oils=(OilShare(oil=Ref(kind="oil", id="lavender"), share_pct=100),)),
    }
    return Design(id=id_, name=name, product="whipped_soap", **{**values, **more})


def card(name="Lagoon", id_="a1b2c3d4", judged=None, **more):
    """A card of that design with every revision it uses."""
    made = pinned(design(name, id_, **more), SHELF)
    tone = {"name": "Deep water", "share_pct": 60, "hex": "#6FB1AE"}
    plain = {"on": "2026-11-25", "findings": [["note", "scent", "Invented."]], "tones": [tone]}
    return Card(design=made, embedded=embedded(made, SHELF), judged=judged if judged is not None else plain)


PASS = S_IXGRP | S_IXOTH


@contextmanager
def read_only(folder):
    """The folder without the right to write in it; a root user lends itself to nobody meanwhile.

    The way to it is opened to nobody and stays open: a test beside this one may be on it too.
    """
    modes = [(path, path.stat().st_mode) for path in (folder, *folder.rglob("*"))]
    root = os.geteuid() == 0
    for path, _ in modes:
        path.chmod(0o555 if path.is_dir() else 0o444)
    if root:
        codecs.lookup("cp437")  # a zip asks for it, and nobody may not read the library of a root user
        for way in folder.parents:
            if (mode := way.stat().st_mode) | PASS != mode:
                way.chmod(mode | PASS)
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        for path, mode in modes:
            path.chmod(mode)


_text = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
_name = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=60)
_pct = st.floats(0, 100)
_figures = st.integers(-(2**53), 2**53) | st.floats(allow_nan=False, allow_infinity=False)
_json = st.recursive(
    st.none() | st.booleans() | _figures | _text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_text, inner, max_size=3),
    max_leaves=8,
)  # fmt: skip
_doses = st.lists(
    st.builds(Dose, pigment=st.sampled_from([BLUE.ref, GOLD.ref]), pct=_pct), max_size=3
).map(tuple)  # fmt: skip
_tones = st.lists(
    st.builds(Tone, id=_name, name=_name, share_pct=_pct, doses=_doses), min_size=1, max_size=4,
    unique_by=lambda tone: tone.id,
).map(tuple)  # fmt: skip
DESIGNS = st.builds(
    Design,
    id=_name,
    name=_name,
    product=st.just("whipped_soap"),
    tones=_tones,
    jar=st.just(JAR.ref),
    base=st.just(BASE.ref),
    placed_on=st.none() | st.dates(date(YEARS[0], 1, 1), date(YEARS[1], 12, 31)),
    arrangement=st.builds(Arrangement, kind=st.sampled_from(["layers", "helix"]), turns=st.floats(0.25, 8)),
    top=st.builds(Top, kind=st.sampled_from(["flat", "star"]), height_mm=st.none() | st.floats(0, 60)),
    scent=st.builds(Scent, load_pct=_pct),
    batch=st.builds(Batch, jars=st.integers(1, 100_000)),
    weeks=st.floats(0, 104),
    view=st.builds(View, turn_deg=st.floats(-360, 360)),
)
CARDS = st.builds(
    lambda made, judged: Card(design=made, embedded=embedded(made, SHELF), judged=judged),
    DESIGNS,
    st.dictionaries(_text, _json, max_size=4),
)

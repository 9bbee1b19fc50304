"""Designs and colours that the tests of the jar share."""

from __future__ import annotations

import numpy as np

from blendlab.facts.jars import jars
from blendlab.jar import Colours, Layout, layout, palette
from blendlab.recipe import Arrangement, Design, Dust, Ref, Tone, Top, View
from blendlab.tint.appearance import decode, encode

TEAL, CREAM, PLUM = (0.353, 0.639, 0.627), (0.941, 0.922, 0.867), (0.478, 0.227, 0.353)
WHITE, COAL, RED = (0.965, 0.961, 0.949), (0.170, 0.170, 0.196), (0.690, 0.180, 0.160)
JAR = {jar.id: jar for jar in jars()}
SMALL = (220, 240)


def design(
    kind: str = "layers",
    shares: tuple[float, ...] = (50, 50),
    top: str = "flat",
    top_tone: str = "shared",
    jar: str = "j180-70",
    turn: float = 0.0,
    dust: float = 0.0,
    **pattern: object,
) -> Design:
    tones = tuple(
        Tone(id=name, name=f"tone {name}", share_pct=share)
        for name, share in zip("abcdef", shares, strict=False)
    )
    veil = Dust(pigment=Ref(kind="pigment", id="gold"), mg_per_cm2=dust) if dust else None
    return Design(
        id="one",
        name="One",
        product="whipped_soap",
        tones=tones,
        jar=JAR[jar].ref,
        base=Ref(kind="base", id="white"),
        arrangement=Arrangement(kind=kind, **pattern),
        top=Top(kind=top, tone=top_tone, dust=veil),
        view=View(turn_deg=turn),
    )


def filled(densities: dict[str, float] | None = None, **how: object) -> Layout:
    made = design(**how)
    jar = JAR[str(how.get("jar", "j180-70"))]
    given = {tone.id: 0.62 for tone in made.tones} if densities is None else densities
    return layout(made, jar, given)


def coloured(*tones: tuple[float, float, float], fade: bool = False) -> Colours:
    """Colours as given; a fade here is mixed as light, which is enough for drawing."""
    if not fade:
        return palette.plain(tones)
    weights = palette.passage_weights(len(tones))
    way = encode(weights @ decode(np.array(tones[::-1])))
    return palette.plain(tones, None, None, way, way)

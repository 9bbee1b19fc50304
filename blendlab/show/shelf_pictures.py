"""Pictures of what is on the shelf: a jar filled with white, a pigment in a base."""

from __future__ import annotations

from blendlab import jar, recipe, tint
from blendlab.jar.palette import plain
from blendlab.recipe import Design
from blendlab.shelf import Base, Jar, Pigment

WHITE = plain([[0.955, 0.950, 0.935]])


def plain_jar(glass: Jar, px: tuple[int, int] = (420, 380)) -> tuple[bytes, str]:
    """A jar of the shelf filled with plain white, with a scale bar, and its text alternative."""
    tone = recipe.Tone(id="white", name="white", share_pct=100)
    base = recipe.Ref(kind="base", id="white")
    design = Design(id="plain", name="Plain", product="", tones=(tone,), jar=glass.ref, base=base)
    filled = jar.layout(design, glass, {})
    drawn = jar.paint(filled, WHITE, px=px, bar=True, lid=glass.lid == "domed")
    said = jar.describe(design, filled, certainty="plain white")
    return jar.encode(drawn, "png"), said


def pigment_swatch(pigment: Pigment, base: Base, pct: float) -> tuple[str, str, str]:
    """Weak, likely and strong of one pigment alone in a base."""
    weak, likely, strong = (tint.see(R).hex for R in tint.alone(pigment, base, pct))
    return weak, likely, strong

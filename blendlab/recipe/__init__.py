"""The frozen nouns of one design. Validation and dict in, dict out only; no behaviour.

Shares of tones and of oils are percent; that they add up to 100 is a finding, not an error,
because a design on the bench may be unfinished. Percents of pigment are of the finished portion,
the load is of the finished product, lengths are mm, angles degrees.
"""

from blendlab.recipe.batch import Addition, Batch, Dilution
from blendlab.recipe.design import (
    FORMAT,
    MARKETS,
    PLACES,
    Design,
    from_dict,
    slug,
    to_dict,
    tone_load,
)
from blendlab.recipe.look import (
    ARRANGEMENTS,
    EYES,
    LAMPS,
    OBSERVERS,
    SHARED,
    TOPS,
    VERDICTS,
    Arrangement,
    Dose,
    Dust,
    Tone,
    Top,
    Trial,
    View,
)
from blendlab.recipe.refs import KINDS, Ref
from blendlab.recipe.scent import Answer, Caps, OilShare, Scent, evened
from blendlab.recipe.walk import Place, places, repointed

__all__ = [
    "ARRANGEMENTS",
    "EYES",
    "FORMAT",
    "KINDS",
    "LAMPS",
    "MARKETS",
    "OBSERVERS",
    "PLACES",
    "SHARED",
    "TOPS",
    "VERDICTS",
    "Addition",
    "Answer",
    "Arrangement",
    "Batch",
    "Caps",
    "Design",
    "Dilution",
    "Dose",
    "Dust",
    "OilShare",
    "Place",
    "Ref",
    "Scent",
    "Tone",
    "Top",
    "Trial",
    "View",
    "evened",
    "from_dict",
    "places",
    "repointed",
    "slug",
    "to_dict",
    "tone_load",
]

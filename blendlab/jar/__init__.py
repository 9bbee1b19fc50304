"""From a design to a filled jar: volumes, grams, shares that are seen, and a picture of it."""

from blendlab.jar.arrangements import RULES, Rule
from blendlab.jar.contact import Contact
from blendlab.jar.contact import fit as fit_contact
from blendlab.jar.dust import lying
from blendlab.jar.filled_jar import JarTone, Layout, by_hand, default_turn, layout, sunk
from blendlab.jar.findings import findings
from blendlab.jar.marks import encode, shrunk
from blendlab.jar.nominal_size import Named, named
from blendlab.jar.painter import halves, paint
from blendlab.jar.palette import Colours, colours
from blendlab.jar.piping_bags import Bags, Side, bags, rope_mm, rope_turns
from blendlab.jar.profile import Profile, inner_from_water, profile, scale_factor
from blendlab.jar.sentence import describe
from blendlab.jar.series import row, turning
from blendlab.jar.strip import Band, strip
from blendlab.jar.volume import corner_loss_ml

__all__ = [
    "RULES",
    "Bags",
    "Band",
    "Colours",
    "Contact",
    "JarTone",
    "Layout",
    "Named",
    "Profile",
    "Rule",
    "Side",
    "bags",
    "by_hand",
    "colours",
    "corner_loss_ml",
    "default_turn",
    "describe",
    "encode",
    "findings",
    "fit_contact",
    "halves",
    "inner_from_water",
    "layout",
    "lying",
    "named",
    "paint",
    "profile",
    "rope_mm",
    "rope_turns",
    "row",
    "scale_factor",
    "shrunk",
    "strip",
    "sunk",
    "turning",
]

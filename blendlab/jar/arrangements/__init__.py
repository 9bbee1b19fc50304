"""Arrangements: how tones sit in a jar, one module each.

A new one is a module of the name its word has in `recipe.ARRANGEMENTS`, with a `RULE`.
"""

from __future__ import annotations

from importlib import import_module

from blendlab import recipe
from blendlab.jar.arrangements.rule import Asked, PassageRule, Rule

__all__ = ["RULES", "Asked", "PassageRule", "Rule"]

RULES: dict[str, Rule] = {kind: import_module(f"{__name__}.{kind}").RULE for kind in recipe.ARRANGEMENTS}
"""Word of `recipe.ARRANGEMENTS` -> its rule, in the order of the page."""

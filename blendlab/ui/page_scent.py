"""Scent: oils and load; what binds and what is unknown; names on the label; what to do about it."""

from __future__ import annotations

import streamlit as st

from blendlab.assess import Assessment
from blendlab.recipe import MARKETS
from blendlab.ui import (
    scent_blend,
    scent_findings,
    scent_label,
    scent_limits,
    scent_load,
    scent_oils,
    scent_smell,
    scent_wishes,
)


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    market = (assessed.design.markets or MARKETS)[0]
    check = assessed.scents.get(market)
    with st.container(key="scent"):
        left, middle, right = st.columns([10, 11, 8], gap="medium")
        with left:
            scent_oils.oils(assessed)
            scent_smell.balances(assessed, check)
        with middle:
            scent_load.load(assessed)
            scent_limits.ceiling(assessed, check)
            asked = scent_blend.asked()
            table = None if asked else st.container(key="beside")
            proposed = scent_blend.proposed(assessed, market)
            with table or st.container(key="beside"):
                if check is not None:
                    scent_limits.headroom(assessed, market, check, proposed)
            if check is not None:
                scent_limits.found(check)
            scent_wishes.wishes(assessed)
            if len(assessed.design.tones) > 1:
                scent_load.by_tone(assessed, market)
        with right:
            scent_label.names(assessed, market)
            scent_findings.findings(assessed)
        scent_smell.smell(assessed, check)

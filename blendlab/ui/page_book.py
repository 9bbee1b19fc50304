"""Book."""

from __future__ import annotations

import streamlit as st


def page() -> None:
    """Draw the page."""
    st.write("book")

"""The door: `streamlit run app.py` or `blendlab`."""

import streamlit as st

from blendlab.ui import hosts

app = st.App(hosts.DOOR, middleware=hosts.GUARD)

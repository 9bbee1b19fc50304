"""The door of an installed copy, the same as app.py of a checkout."""

import streamlit as st

from blendlab.ui import hosts

app = st.App(hosts.DOOR, middleware=hosts.GUARD)

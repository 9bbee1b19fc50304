"""The door: `streamlit run app.py` or `blendlab`."""

from blendlab.ui import frame

frame.run()

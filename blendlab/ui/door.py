"""The door of an installed copy, the same as app.py of a checkout."""

from blendlab.ui import frame

frame.run()

"""What every session runs: the frame with its pages."""

from blendlab.ui import frame

frame.run()

"""Words, widgets, order; no arithmetic."""

"""Scripts that print tables derived from what this room computes; run by hand, compared in the tests."""

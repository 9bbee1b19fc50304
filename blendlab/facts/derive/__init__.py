"""Scripts that print derived tables again; run by hand, compared in the tests."""

"""Scripts that derive tables again; run by hand with colour-science, compared in the tests."""

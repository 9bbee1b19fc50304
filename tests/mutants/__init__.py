"""How many small faults the tests notice: `python -m tests.mutants --rooms tint batch --count 40`."""

"""Which definitions the app reaches: `python -m tests.reachable`, `python -m tests.reachable --topics`."""

"""`python -m tests.bench`: every budget as a ratio or a time of one run."""

from __future__ import annotations

import importlib
import pkgutil
import sys

from tests import bench


def main() -> int:
    """Print each line; return 1 if one is over its budget."""
    lines = []
    for module in pkgutil.iter_modules(bench.__path__):
        if module.name.startswith("bench_"):
            lines += importlib.import_module(f"tests.bench.{module.name}").lines()
    for line in lines:
        bound = f"at most {line.most:g}" if line.most is not None else ""
        bound += f"at least {line.least:g}" if line.least is not None else ""
        word = "holds" if line.holds else "OVER"
        print(f"{line.name:<62} {line.value:>10.4g} {line.unit:<6} {bound:<16} {word:<6} {line.remark}")
    return 0 if all(line.holds for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main())

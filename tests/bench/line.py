"""One measured line: a time beside its budget, or a ratio of two times of the same run."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """What was measured, in seconds or as a ratio; `most` is the budget, `least` a ratio to reach."""

    name: str
    value: float
    unit: str
    most: float | None = None
    least: float | None = None
    remark: str = ""

    @property
    def holds(self) -> bool:
        return (self.most is None or self.value <= self.most) and (
            self.least is None or self.value >= self.least
        )


def best(work: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of some runs, in seconds: the machine is shared and noise only ever adds."""
    return min(_timed(work) for _ in range(repeats))


def median(work: Callable[[], object], repeats: int = 15) -> float:
    """Median of some runs, in seconds."""
    return statistics.median(_timed(work) for _ in range(repeats))


def _timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start

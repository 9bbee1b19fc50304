"""What a finding advises once the thing was made: nothing of the design can be changed any more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from blendlab.errors import Finding

PLANNED = (
    "small-",
    "drift-",
    "capacity-",
    "mixer",
    "bags",
    "flash-unknown",
    "heat",
    "density-unweighed",
    "short-jar",
)
"""Ids, or what they begin with, of findings on how to weigh and to mix: over, once it was weighed."""
STILL = ("Ask ", "Enter ", "Measure ", "Look ", "Name what ", "Say so ", "Add the CI ", "Judge ")
"""What advice begins with that papers, shelf and book can still follow, up to its " or "."""
JARS = {
    "stop": "Do not sell these jars while this stands.",
    "caution": "Judge by the jars, and decide whether you sell them.",
    "note": "",
}
SPOON = "Sell it with a spoon, or do not sell it."


def of_jars(findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings of a design as they hold for what was made of it, none with a button.

    >>> [found.fix for found in of_jars([Finding("stop", "load.over", "scent.load_pct", "", "Lower it.")])]
    ['Do not sell these jars while this stands.']
    """
    for finding in findings:
        if not _planned(finding.id):
            yield replace(finding, act=None, button="", fix=_advice(finding))


def _planned(id: str) -> bool:
    return any(id == known or (known.endswith("-") and id.startswith(known)) for known in PLANNED)


def _advice(finding: Finding) -> str:
    if finding.id == "wet-fingers":
        return SPOON
    if not finding.fix.startswith(STILL):
        return JARS[finding.level] if finding.fix else ""
    return f"{finding.fix.partition(', or ')[0].rstrip('.')}."

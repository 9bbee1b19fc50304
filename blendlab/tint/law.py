"""Colour lists of the markets: may the colorants of a design colour this product there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from blendlab.errors import Finding, Level
from blendlab.facts.read import Row, maybe_number, table
from blendlab.shelf import Pigment, Resolved

LISTS = {
    "EU": "Annex IV of Regulation (EC) 1223/2009",
    "GB": "the GB copy of Annex IV of Regulation (EC) 1223/2009",
    "US": "21 CFR 73, 74 and 82",
}
_OTHER = "Take another colorant, or leave this market out."


@cache
def additives() -> Mapping[str, Row]:
    """Rows of the colour lists by CI number.

    >>> additives()["77007"]["us"]
    'not_lips'
    """
    return {row["ci"]: row for row in table("tint/colour_additives")}


def is_lake(pigment: Pigment) -> bool:
    """Whether a dye is in it, alone or as a part, that water can carry away.

    >>> from blendlab.facts.palette import starter
    >>> is_lake(starter("carmine")), is_lake(starter("iron_oxide_red"))
    (True, False)
    """
    kinds = (additives()[ci]["kind"] for ci in pigment.ci if ci in additives())
    return pigment.group == "lake" or any("lake" in kind or "dye" in kind for kind in kinds)


def first_used(resolved: Resolved) -> Iterator[tuple[str, Pigment]]:
    """Each pigment of a design once, with the place it is used first: a tone or the dusted top."""
    for pigment in resolved.pigments:
        tones = (tone.id for tone in resolved.tones if pigment in tone.pigments)
        tone_id = next(tones, None)
        yield ("look.top" if tone_id is None else f"look.tones.{tone_id}"), pigment


def law_findings(resolved: Resolved) -> Iterator[Finding]:
    """What the colour lists of the design's markets say of its colorants.

    A CI number that is in no list held here is a stop: the lists are positive lists. A mica or another
    composite is judged by every number of its parts.
    """
    design = resolved.design
    place = "lips" if design.product.startswith("lip") else design.place
    for market in design.markets:
        if market not in LISTS:
            yield Finding(
                "caution",
                f"tint.law.{market}",
                "look.tones",
                f"No list of colorants for {market} is held here; what may be used there is unknown.",
                "Look the CI numbers up for that market.",
                "no table",
            )
            continue
        for where, pigment in first_used(resolved):
            yield from listed(market, where, pigment, place, _dosed(resolved, pigment))


def _dosed(resolved: Resolved, pigment: Pigment) -> float:
    """Highest percent of a portion that is this pigment."""
    tones = (tone.doses for tone in resolved.tones)
    return max(sum(dose.pct for dose in doses if dose.pigment.id == pigment.id) for doses in tones)


def listed(market: str, where: str, pigment: Pigment, place: str, pct: float) -> Iterator[Finding]:
    """What the list of one market says of one pigment.

    market  of "EU", "GB", "US"; where is the place of the finding
    place   of `PLACES`; pct percent of the portion
    """
    if not pigment.ci:
        yield Finding(
            "stop",
            f"tint.law.{market}.{pigment.id}",
            where,
            f"{_capital(pigment.name)} has no CI number on the shelf, so no list of {market} can be asked.",
            "Add the CI numbers from its sheet.",
            LISTS[market],
        )
    for ci in pigment.ci:
        verdict = _us(ci, place, pct) if market == "US" else _eu(ci, place)
        if verdict:
            level, words, fix = verdict
            yield Finding(
                level,
                f"tint.law.{market}.{pigment.id}.{ci}",
                where,
                f"{_capital(pigment.name)} (CI {ci}): {words} ({market}).",
                fix,
                _source(market, ci),
            )


def _eu(ci: str, place: str) -> tuple[Level, str, str] | None:
    row = additives().get(ci)
    if row is None:
        return "stop", "not in the list of colorants held here", _OTHER
    if row["eu"] == "not_mucous" and place == "lips":
        return "stop", "not for products on mucous membranes, so not for lips", _OTHER
    if row["eu"] in ("not_eye", "not_mucous") and place == "eye":
        return "stop", "not for the eye area", _OTHER
    return None


def _us(ci: str, place: str, pct: float) -> tuple[Level, str, str] | None:
    row = additives().get(ci)
    if row is None or row["us"] == "unlisted":
        why = f"; {row['us_words']}" if row and row["us_words"] else ""
        return "stop", f"not in the list of colour additives for this product{why}", _OTHER
    if place == "lips" and (told := _us_lips(row, pct)):
        return told
    if place == "eye" and row["us_eye"] != "yes":
        unknown = row["us_eye"] == "unknown"
        return "stop", "not known to be listed" if unknown else "not listed for the eye area", _OTHER
    if row["us"].startswith("certified"):
        name = row["us_section"].partition("(")[2].rstrip(")") or row["name"]
        fix = "Ask the supplier for the lot number of the agency and keep it with the lot."
        return "caution", f"only from a lot the US agency has tested, sold as {name}", fix
    if row["us"] == "carrier" and row["us_words"].startswith("use as filler"):
        return "note", "may be in it as a filler, not for its colour", ""
    return None


def _us_lips(row: Row, pct: float) -> tuple[Level, str, str] | None:
    if row["us"].endswith("not_lips"):
        return "stop", "listed for external use, not for lips", _OTHER
    most = maybe_number(row, "us_lips_max_pct")
    if most is not None and pct > most:
        return (
            "stop",
            f"at most {most:g} % on lips, here {pct:g} % of the portion",
            f"Lower it to {most:g} %.",
        )
    return None


def _source(market: str, ci: str) -> str:
    row = additives().get(ci)
    if row is None:
        return f"{LISTS[market]}; no row for this number"
    side = "us" if market == "US" else "eu"
    place = f"21 CFR {row['us_section']}" if market == "US" and row["us_section"] else LISTS[market]
    recalled = ", from memory" if row[f"{side}_source_kind"] == "from_memory" else ""
    return f"{place}{recalled}"


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]

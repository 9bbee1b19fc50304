"""Words for a label and beside it: warnings, claims to leave out, names of colours, the maker's tasks."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from blendlab.errors import UnknownName
from blendlab.facts.read import maybe_number, table


@cache
def label_words(market: str, kind: str) -> tuple[str, ...]:
    """Warnings and use text for a kind of product in a market.

    >>> label_words("EU", "body_butter")[0]
    'Try a little on the inner arm and wait 24 hours. Stop if the skin is irritated.'
    """
    return tuple(
        row["text"]
        for row in table("batch/warnings")
        if row["market"] in ("*", market) and kind in row["products"].split()
    )


@cache
def maker_tasks(market: str) -> tuple[str, ...]:
    """What only the maker can do before she sells in a market.

    >>> maker_tasks("EU")[1]
    'Notification before the first jar is sold. (Reg. (EC) 1223/2009 Art. 13)'
    """
    rows = table("batch/maker_tasks")
    return tuple(f"{row['text']} ({row['source']})" for row in rows if row["market"] in ("*", market))


@cache
def claims() -> Mapping[str, tuple[str, str]]:
    """Words that a cosmetic may not say -> a pattern in small letters that finds them, and why.

    >>> claims()["treats"][1]
    'drug claim'
    """
    return {row["word"]: (row["pattern"], row["why"]) for row in table("batch/claims")}


@cache
def us_colour_names() -> Mapping[str, str]:
    """Colour index number -> name that a US label uses.

    >>> us_colour_names()["77019"]
    'Mica'
    """
    return {row["ci"]: row["us"] for row in table("batch/colour_names")}


class DateRule(NamedTuple):
    """How a market has the time said that a jar lasts.

    words   before month and year
    above   months above which the open jar stands in the place of a date; None = always a date
    symbol  whether the market knows the symbol of the open jar
    known   kind of the source: "published" or "from_memory"
    """

    words: str
    above: float | None
    symbol: bool
    source: str
    known: str


@cache
def date_rule(market: str) -> DateRule:
    """How a market has the time said that a jar lasts. Raises UnknownName.

    >>> date_rule("EU").words, date_rule("EU").above, date_rule("US").above
    ('Best used before the end of', 30.0, None)
    """
    rows = {row["market"]: row for row in table("batch/durability")}
    if market not in rows:
        raise UnknownName("market", market, rows)
    row = rows[market]
    above = maybe_number(row, "symbol_above_months")
    return DateRule(row["words"], above, row["symbol"] == "yes", row["source"], row["source_kind"])

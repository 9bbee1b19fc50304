"""What a jar says: ingredients, net weight, code, dates, warnings, who answers for it, by market."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from blendlab.batch import weight
from blendlab.batch.durability import Durability
from blendlab.batch.inci import IngredientList, found, ingredients
from blendlab.batch.record import retained_until
from blendlab.batch.sheet import Plan
from blendlab.errors import Finding
from blendlab.facts.labels import claims, label_words, maker_tasks
from blendlab.recipe import MARKETS
from blendlab.shelf import Jar, Resolved
from blendlab.units import convert, floor_text


@dataclass(frozen=True)
class NetWeight:
    """Net weight of a market: words, least height of its figures [mm], and from what it follows.

    text is "" while it cannot be told
    """

    text: str
    figure_mm: float | None
    basis: str


def net_weight(market: str, weighed_g: Sequence[float], glass: Jar) -> NetWeight:
    """Net weight from the lightest weighed jars, in the units and type of a market.

    Fewer than three weighed jars give no label weight.

    >>> from blendlab.facts.jars import jars
    >>> net_weight("US", [73.0, 74.0, 75.0], jars()[5]).text
    'Net wt. 2.5 oz (70 g)'
    """
    least = weight.lightest(weighed_g)
    if least is None or least <= 0:
        return NetWeight("", None, "Weigh at least three filled jars: there is no label weight yet.")
    basis = f"lowest credible fill {floor_text(least, 1)} g of {len(weighed_g)} weighed jars"
    if market == "US":
        made = weight.us_net_weight(least)
        panel = weight.us_panel(glass.outer_mm, glass.height_mm)
        told = f"Net wt. {made.oz:.1f} oz ({made.g} g)"
        return NetWeight(told, convert(panel.type_in, "in", "mm"), f"{basis}; {_variation(made.g)}")
    grams = weight.metric_net_weight(least)
    if market == "CA":
        return NetWeight(f"{grams} g", None, f"{basis}; figure height by the Canadian rules, ask")
    return NetWeight(f"{grams} g", weight.figure_height(market, grams), basis)


def _variation(label_g: float) -> str:
    """What a US label allows one jar to be short by."""
    most = weight.maximum_variation(label_g)
    if most is None:
        return "how far one jar may be short is not known here above this weight"
    grams, source = most
    return f"no jar may be short by more than {grams:g} g ({source})"


@dataclass(frozen=True)
class Maker:
    """Who answers for the product. Names and addresses as printed, one a line."""

    name: str = ""
    address: str = ""
    contact: str = ""
    country: str = ""


@dataclass(frozen=True)
class Label:
    """Everything a jar label of one market says, and what holds it back.

    lasts     how long a jar lasts; None while no batch was started
    warnings  warning and use text; tasks  what only the maker can do, in words
    """

    market: str
    product: str
    net: NetWeight
    ingredients: IngredientList
    code: str
    lasts: Durability | None
    warnings: tuple[str, ...]
    maker: Maker
    tasks: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def export(self) -> bool:
        """Whether nothing holds the label back."""
        return not any(finding.level == "stop" for finding in self.findings)


def label(
    resolved: Resolved,
    made: Plan,
    market: str,
    *,
    allergens: Sequence[str] = (),
    weighed_g: Sequence[float] = (),
    code: str = "",
    lasts: Durability | None = None,
    maker: Maker | None = None,
    in_order: Mapping[str, tuple[float, float]] | None = None,
    barred: Sequence[Finding] = (),
) -> Label:
    """The label of a batch for a market.

    barred  stops of the design that keep it from sale; they hold the label back too

    Raises UnknownName for a market that is not one of EU, GB, US, CA.
    """
    weight.known_market(market, MARKETS)
    design, who = resolved.design, maker or Maker()
    names = ingredients(resolved, made, market, allergens, in_order)
    net = net_weight(market, weighed_g, resolved.jar)
    stops = (finding for finding in barred if finding.level == "stop")
    problems = (*names.findings, *_missing(market, net, code, who), *claim_findings(design.name), *stops)
    if lasts is not None:
        problems = (*problems, *lasts.findings)
    return Label(
        market=market,
        product=design.product.replace("_", " "),
        net=net,
        ingredients=names,
        code=code,
        lasts=lasts,
        warnings=label_words(market, design.product),
        maker=who,
        tasks=(*maker_tasks(market), *_kept_until(lasts.last if lasts else None)),
        findings=problems,
    )


def _kept_until(last: date | None) -> Iterator[str]:
    if last is not None:
        yield f"Keep the retained jar until {retained_until(last)}."


def claim_findings(words: str) -> Iterator[Finding]:
    """Stops for a name or a text that says what a cosmetic may not say.

    >>> [finding.level for finding in claim_findings("Heals eczema")]
    ['stop', 'stop']
    """
    said = words.lower()
    for word, (pattern, why) in claims().items():
        if re.search(rf"\b({pattern})(\b|(?<= ))", said):
            text = f'"{words}" speaks of "{word}": {why}.'
            yield found(
                "stop", f"claim-{word}", "claims", text, "Say what it looks and smells like.", "from memory"
            )


def _missing(market: str, net: NetWeight, code: str, who: Maker) -> Iterator[Finding]:
    if not net.text:
        yield found("stop", "label-weight", "weight", net.basis, "Weigh filled jars into the book.")
    if not code:
        yield found(
            "stop",
            "label-code",
            "code",
            "No batch code.",
            "It gets one when you begin it in the kitchen view.",
        )
    if not who.name or not who.address:
        what = "responsible person" if market in ("EU", "GB") else "maker or distributor"
        text = f"Name and address of the {what} are missing."
        yield found(
            "stop", "label-maker", "maker", text, "Enter them once: on Batch, under Who answers for it."
        )
    if market == "US" and not who.contact:
        text = "No contact for event reports."
        yield found(
            "stop",
            "label-contact",
            "maker",
            text,
            "Enter a phone number, an address or a page.",
            "MoCRA 2022, section 609",
        )
    if market in ("EU", "GB") and not who.country:
        text = "Country of origin is missing; imported goods must name it."
        yield found("caution", "label-country", "maker", text, "Enter it if the jars are imported.")

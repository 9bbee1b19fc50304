"""What a name promises and a jar resembles: therapy words, and a jar that could be taken for food."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from blendlab.errors import Finding
from blendlab.facts.read import figure
from blendlab.facts.wording import warning, words_in
from blendlab.recipe import Answer

Lab = tuple[float, float, float]
FOOD_RULE = "Dir. 87/357/EEC; in Great Britain the Food Imitations (Safety) Regulations 1989, from memory"
STRICT = ("EU", "GB")


@dataclass(frozen=True)
class Impression:
    """What a buyer sees and reads of a jar.

    names  on the jar; oils: names of the oils in it
    top    kind of its top; labs: CIELAB of its tones, L* first
    """

    names: tuple[str, ...]
    oils: tuple[str, ...]
    top: str
    labs: tuple[Lab, ...]


def of_words(names: Sequence[str]) -> Iterator[Finding]:
    """Words that make a cosmetic a medicine, a claim, or a product for small children.

    >>> [finding.level for finding in of_words(["Calming lagoon", "Fern"])]
    ['stop']
    """
    for found in words_in(names, "therapy"):
        text = f'"{found.word}" in a name promises an effect on health; a cosmetic may not.'
        yield Finding("stop", f"word.{found.word}", "scent.name", text, "Choose another name.", found.source)
    for found in words_in(names, "children"):
        text = f'"{found.word}" in a name: other categories and lower limits hold; nothing here checks them.'
        yield Finding("stop", f"word.{found.word}", "scent.name", text, "Choose another name.", found.source)
    for found in words_in(names, "claim"):
        text = f'"{found.word}" in a name is a claim that has to be proved.'
        yield Finding(
            "caution", f"word.{found.word}", "scent.name", text, "Leave the word out.", found.source
        )


def food_signs(seen: Impression) -> tuple[str, ...]:
    """What of the name or the scent makes one think of food, in words."""
    read = [f'"{found.word}" in the name' for found in words_in(seen.names, "food")]
    smelt = [f'"{found.word}" in an oil' for found in words_in(seen.oils, "food", of_scent=True)]
    return tuple(dict.fromkeys([*read, *smelt]))


def dessert_signs(seen: Impression) -> tuple[str, ...]:
    """What of the look makes one think of a dessert, in words.

    >>> dessert_signs(Impression((), (), "star", ((90.0, 1.0, 14.0),)))
    ('a piped star top', 'a cream colour')
    """
    signs = ["a piped star top"] if seen.top == "star" else []
    signs += ["a cream colour"] if any(_cream(lab) for lab in seen.labs) else []
    signs += ["a chocolate or caramel colour"] if any(_brown(lab) for lab in seen.labs) else []
    return tuple(signs)


def _cream(lab: Lab) -> bool:
    light, a, b = lab
    return (
        light >= figure("fragrance", "cream.L_least").value
        and figure("fragrance", "cream.a_least").value <= a <= figure("fragrance", "cream.a_most").value
        and figure("fragrance", "cream.b_least").value <= b <= figure("fragrance", "cream.b_most").value
    )


def _brown(lab: Lab) -> bool:
    light, a, b = lab
    inside = figure("fragrance", "brown.L_least").value <= light <= figure("fragrance", "brown.L_most").value
    return (
        inside
        and a >= figure("fragrance", "brown.a_least").value
        and b >= figure("fragrance", "brown.b_least").value
    )


def signs(seen: Impression) -> str:
    """Why a jar could be taken for food: name or scent, and look; "" when one of them says nothing.

    >>> signs(Impression(("Vanilla cloud",), (), "star", ()))
    '"vanilla" in the name; a piped star top'
    """
    food, look = food_signs(seen), dessert_signs(seen)
    return f"{', '.join(food)}; {', '.join(look)}" if food and look else ""


def imitation(seen: Impression, markets: Sequence[str], answer: Answer | None) -> Iterator[Finding]:
    """A food-like name or scent together with a dessert look: a stop until the assessor has answered.

    An answer to other signs than those of today is no answer.

    >>> like = Impression(("Vanilla cloud",), (), "star", ())
    >>> [next(imitation(like, [market], None)).level for market in ("EU", "US")]
    ['stop', 'caution']
    """
    like_food = signs(seen)
    if not like_food:
        return
    said = warning("food")
    if answer is not None and answer.words.strip() and answer.about == like_food:
        when = f" on {answer.on}" if answer.on else ""
        text = f'{answer.by or "The assessor"} answered{when}: "{answer.words}" The label says: {said}'
        yield Finding("note", "food", "scent.food", text, "", FOOD_RULE)
        return
    strict = [market for market in markets if market in STRICT]
    text = f"The jar could be taken for food: {like_food}."
    if answer is not None and answer.about != like_food:
        text += f" The answer on file was about {answer.about or 'another jar'}."
    if strict:
        text += f" Not for sale in {' and '.join(strict)} before the assessor has answered."
    fix = "Record the answer, or change the name, the scent or the look."
    yield Finding("stop" if strict else "caution", "food", "scent.food", text, fix, FOOD_RULE)


def label_warnings(seen: Impression, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Warning texts that go on the label because of the scent.

    findings  of the whole design
    """
    told = {finding.id for finding in findings}
    asked = {"phototoxic": "photo" in told, "children": "young" in told}
    asked["food"] = bool(signs(seen))
    return tuple(warning(word) for word, wanted in asked.items() if wanted)

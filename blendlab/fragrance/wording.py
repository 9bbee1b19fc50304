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
class Jar:
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

    >>> [one.level for one in of_words(["Calming lagoon", "Fern"])]
    ['stop']
    """
    for one in words_in(names, "therapy"):
        text = f'"{one.word}" in a name promises an effect on health; a cosmetic may not.'
        yield Finding("stop", f"word.{one.word}", "scent.name", text, "Choose another name.", one.source)
    for one in words_in(names, "children"):
        text = f'"{one.word}" in a name: other categories and lower limits hold; nothing here checks them.'
        yield Finding("stop", f"word.{one.word}", "scent.name", text, "Choose another name.", one.source)
    for one in words_in(names, "claim"):
        text = f'"{one.word}" in a name is a claim that has to be proved.'
        yield Finding("caution", f"word.{one.word}", "scent.name", text, "Leave the word out.", one.source)


def food_signs(jar: Jar) -> tuple[str, ...]:
    """What of the name or the scent makes one think of food, in words."""
    read = [f'"{one.word}" in the name' for one in words_in(jar.names, "food")]
    smelt = [f'"{one.word}" in an oil' for one in words_in(jar.oils, "food", of_scent=True)]
    return tuple(dict.fromkeys([*read, *smelt]))


def dessert_signs(jar: Jar) -> tuple[str, ...]:
    """What of the look makes one think of a dessert, in words.

    >>> dessert_signs(Jar((), (), "star", ((90.0, 1.0, 14.0),)))
    ('a piped star top', 'a cream colour')
    """
    signs = ["a piped star top"] if jar.top == "star" else []
    signs += ["a cream colour"] if any(_cream(lab) for lab in jar.labs) else []
    signs += ["a chocolate or caramel colour"] if any(_brown(lab) for lab in jar.labs) else []
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


def signs(jar: Jar) -> str:
    """Why a jar could be taken for food: name or scent, and look; "" when one of them says nothing.

    >>> signs(Jar(("Vanilla cloud",), (), "star", ()))
    '"vanilla" in the name; a piped star top'
    """
    food, look = food_signs(jar), dessert_signs(jar)
    return f"{', '.join(food)}; {', '.join(look)}" if food and look else ""


def imitation(jar: Jar, markets: Sequence[str], answer: Answer | None) -> Iterator[Finding]:
    """A food-like name or scent together with a dessert look: a stop until the assessor has answered.

    An answer to other signs than those of today is no answer.

    >>> like = Jar(("Vanilla cloud",), (), "star", ())
    >>> [next(imitation(like, [market], None)).level for market in ("EU", "US")]
    ['stop', 'caution']
    """
    seen = signs(jar)
    if not seen:
        return
    said = warning("food")
    if answer is not None and answer.words.strip() and answer.about == seen:
        when = f" on {answer.on}" if answer.on else ""
        text = f'{answer.by or "The assessor"} answered{when}: "{answer.words}" The label says: {said}'
        yield Finding("note", "food", "scent.food", text, "", FOOD_RULE)
        return
    strict = [one for one in markets if one in STRICT]
    text = f"The jar could be taken for food: {seen}."
    if answer is not None and answer.about != seen:
        text += f" The answer on file was about {answer.about or 'another jar'}."
    if strict:
        text += f" Not for sale in {' and '.join(strict)} before the assessor has answered."
    fix = "Record the answer, or change the name, the scent or the look."
    yield Finding("stop" if strict else "caution", "food", "scent.food", text, fix, FOOD_RULE)


def label_warnings(jar: Jar, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Warning texts that go on the label because of the scent.

    findings  of the whole design
    """
    told = {one.id for one in findings}
    asked = {"phototoxic": "photo" in told, "children": "young" in told}
    asked["food"] = bool(signs(jar))
    return tuple(warning(one) for one, wanted in asked.items() if wanted)

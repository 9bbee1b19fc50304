"""Registry numbers: read, checked by their last digit, and the names that go with them."""

from __future__ import annotations

import re
from functools import cache

from blendlab.errors import BlendlabError
from blendlab.facts.allergens import by_cas, by_name
from blendlab.facts.read import table

DASHES = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212\ufe63\uff0d\u00ad", "-"))
CAS = re.compile(r"(?<![0-9])[0-9]{2,7} ?- ?[0-9]{2} ?- ?[0-9]+(?![0-9])")


class BadCas(BlendlabError, ValueError):
    """Text that is not a registry number, with the reason.

    >>> str(BadCas("78-70-5", "its last digit must be 6"))
    '"78-70-5" is not a CAS number: its last digit must be 6.'
    """

    def __init__(self, text: str, reason: str) -> None:
        self.text, self.reason = text, reason
        super().__init__(f'"{text}" is not a CAS number: {reason}.')


def check_digit(cas: str) -> int:
    """Last digit that a registry number must have: digits from the right times 1, 2, 3 ..., mod 10.

    >>> check_digit("78-70-6")
    6
    """
    digits = [int(sign) for sign in cas[:-1] if sign.isdigit()]
    return sum(place * digit for place, digit in enumerate(reversed(digits), start=1)) % 10


def read_cas(text: str) -> str:
    """A registry number with plain hyphens and no blanks.

    Raises BadCas for another form or a wrong check digit. A right digit proves nothing about identity.

    >>> read_cas(" 5989\u201327\u20135 ")
    '5989-27-5'
    """
    plain = re.sub(r"\s+", "", text).translate(DASHES)
    if not re.fullmatch(r"[0-9]{2,7}-[0-9]{2}-[0-9]", plain):
        raise BadCas(text.strip(), "it is written like 78-70-6")
    wanted = check_digit(plain)
    if int(plain[-1]) != wanted:
        raise BadCas(text.strip(), f"its last digit must be {wanted}")
    return plain


def clash(name: str, given: str) -> str:
    """Sentence when a name and a number belong to two different entries of the list."""
    listed = by_name().get(_label(name))
    if given and listed is not None and given not in listed.cas:
        other = by_cas().get(given)
        return f"{listed.name} does not have the number {given}" + (
            f"; that is {other.name}." if other else "."
        )
    return ""


@cache
def names() -> dict[str, str]:
    """Names of the list and of the library's substances in lower case -> a registry number."""
    found = {row["name"].lower(): row["cas"] for row in table("fragrance/constituents")}
    for row in table("fragrance/allergens_cas"):
        found.setdefault(row["name_in_list"].lower(), row["cas_number"])
    first: dict[str, str] = {}
    for row in table("fragrance/allergens_cas"):
        first.setdefault(row["inci_label_name"].lower(), row["cas_number"])
    for label, allergen in by_name().items():
        if found.get(label.lower()) not in allergen.cas:
            found[label.lower()] = first[label.lower()]
    found.update({label: cas for label, cas in first.items() if label not in found})
    return found


@cache
def _labels() -> dict[str, str]:
    return {label.lower(): label for label in by_name()}


def _label(name: str) -> str:
    return _labels().get(name.lower(), "")

"""One walk over everything that refers to the shelf: which reference stands where."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from blendlab.codec import Noun
from blendlab.recipe.refs import Ref

T = TypeVar("T")


@dataclass(frozen=True)
class Place:
    """A reference and where it stands: dotted path, as in the plain dict of the noun."""

    path: str
    ref: Ref

    @property
    def past(self) -> bool:
        """Whether it belongs to a test jar that was mixed already: a record, not a wish."""
        return ".trials." in self.path


def places(noun: Any, path: str = "") -> Iterator[Place]:
    """Every reference inside a noun, in the order of its fields.

    >>> from blendlab.recipe.batch import Addition
    >>> [place.path for place in places(Addition(ingredient=Ref(kind="ingredient", id="sugar"), pct=5))]
    ['ingredient']
    """
    if isinstance(noun, Ref):
        yield Place(path, noun)
    elif isinstance(noun, Noun):
        for each in fields(noun):
            if each.name != "extra":
                yield from places(getattr(noun, each.name), _below(path, each.name))
    elif isinstance(noun, tuple):
        for position, inner in enumerate(noun):
            yield from places(inner, _below(path, str(position)))
    elif isinstance(noun, Mapping):
        for key, inner in noun.items():
            yield from places(inner, _below(path, key))


def _below(path: str, step: str) -> str:
    return f"{path}.{step}" if path else step


def repointed(noun: T, change: Callable[[Place], Ref], path: str = "") -> T:
    """The same noun with every reference changed; `change` is given the place of each."""
    made: Any = noun
    if isinstance(noun, Ref):
        made = change(Place(path, noun))
    elif isinstance(noun, Noun):
        inner = {
            each.name: repointed(getattr(noun, each.name), change, _below(path, each.name))
            for each in fields(noun)
            if each.name != "extra"
        }
        made = replace(noun, **inner)
    elif isinstance(noun, tuple):
        made = type(noun)(
            repointed(inner, change, _below(path, str(position))) for position, inner in enumerate(noun)
        )
    elif isinstance(noun, Mapping):
        made = {key: repointed(inner, change, _below(path, key)) for key, inner in noun.items()}
    return made  # type: ignore[no-any-return]

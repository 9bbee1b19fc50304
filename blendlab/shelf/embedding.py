"""What a save carries with it: every revision a design uses, and the design pinned to them."""

from __future__ import annotations

from dataclasses import replace

from blendlab.codec import Noun
from blendlab.recipe import Design, Place, Ref, places, repointed
from blendlab.shelf.item import Item
from blendlab.shelf.owned import Shelf


def embedded(design: Noun, shelf: Shelf, past: bool = True) -> tuple[Item, ...]:
    """Every revision a design or a thing uses, each once, by key, and what those are made of in turn.

    past  with what went into its test jars

    What is on no shelf is left out.

    >>> from blendlab.recipe import Tone
    >>> jar, base = Ref(kind="jar", id="gone"), Ref(kind="base", id="gone")
    >>> tone = Tone(id="t", name="White", share_pct=100)
    >>> embedded(Design(id="d", name="d", product="p", tones=(tone,), jar=jar, base=base), Shelf())
    ()
    """
    found: dict[str, Item] = {}
    asked = [place.ref for place in places(design) if past or not place.past]
    while asked:
        ref = asked.pop()
        item: Item | None = shelf.find(ref) if shelf.has(ref) else None
        if item is not None and item.ref.key not in found:
            found[item.ref.key] = item
            asked += [place.ref for place in places(item)]
    return tuple(found[key] for key in sorted(found))


def pinned(design: Design, shelf: Shelf) -> Design:
    """The design with each reference naming the revision it uses now."""

    def pin(place: Place) -> Ref:
        ref = place.ref
        return replace(ref, rev=shelf.find(ref).rev) if shelf.has(ref) else ref

    return repointed(design, pin)

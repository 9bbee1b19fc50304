"""Swatch cards: a design with its picture, what was judged of it, and every revision it used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any, NamedTuple

from blendlab import recipe
from blendlab.codec import (
    Noun,
    decode,
    encode,
    format_of,
    moment,
    number,
    object_in,
    refuse_newer,
    text,
    unknown_keys,
)
from blendlab.errors import BadDocument, NewerFormat, Problem, UnknownName
from blendlab.recipe import Design
from blendlab.shelf import Item, item_from_dict
from blendlab.store import atomic_write, card_files, documents
from blendlab.store.folder import Folder

FORMAT = 1
WHAT = "card"


@dataclass(frozen=True, kw_only=True)
class Card(Noun):
    """A saved design.

    embedded  every revision of the shelf that the design used
    judged    what was judged on the day of saving, plain values only: date, counts, findings, tones
    saved_at  moment of the save, ISO, UTC; set by `save`
    picture   digest of the picture that belongs to it; set by `save`
    newer     the file has a later format: to look at, not to change
    """

    design: Design
    embedded: tuple[Item, ...] = ()
    judged: Mapping[str, Any] = field(default_factory=dict)
    saved_at: str = moment(default="")
    picture: str = text(64, default="")
    format: int = FORMAT

    @property
    def id(self) -> str:
        """The card and its design share one id."""
        return self.design.id

    @property
    def newer(self) -> bool:
        """Whether a later version of the program wrote it."""
        return self.format > FORMAT or self.design.format > recipe.FORMAT

    @property
    def known_part(self) -> Design:
        """The design as this version knows it, to start a card of its own from."""
        return replace(self.design, format=recipe.FORMAT)

    @property
    def notes(self) -> tuple[str, ...]:
        """What she should know of the file: keys kept without being understood."""
        kept = sorted(unknown_keys(self))
        return (f"Kept without being understood: {', '.join(kept)}.",) if kept else ()


class Saved(NamedTuple):
    """A card as it stands on the disk, and the digest of its file."""

    card: Card
    digest: str


def _by_key(items: Iterable[Item]) -> tuple[Item, ...]:
    keyed = {item.ref.key: item for item in items}
    return tuple(keyed[key] for key in sorted(keyed))


def to_dict(card: Card) -> dict[str, Any]:
    """The card as plain values; revisions stand under ``kind:id@rev``."""
    plain = dict(encode(card))
    plain["embedded"] = {item.ref.key: encode(item) for item in card.embedded}
    return plain


def card_from(plain: Mapping[str, Any]) -> Card:
    """The card in plain values; a later format is read as far as it can be.

    Raises BadDocument with every problem, NewerFormat for a later format that cannot be read at all.
    """
    design = plain.get("design")
    later = max(format_of(plain) - FORMAT, format_of(design) - recipe.FORMAT) > 0
    try:
        made = decode(Design, design) if later else recipe.from_dict(design)
        items = embedded_items(plain.get("embedded", {}))
        rest = {key: kept for key, kept in plain.items() if key not in ("design", "embedded")}
        shell = decode(_Shell, rest)
        _check_judged(shell.judged)
    except BadDocument:
        refuse_newer(WHAT, plain, FORMAT)
        refuse_newer(WHAT, design, recipe.FORMAT)
        raise
    values = {declared.name: getattr(shell, declared.name) for declared in fields(_Shell)}
    return Card(design=made, embedded=items, **values)


@dataclass(frozen=True, kw_only=True)
class _Shell(Noun):
    judged: Mapping[str, Any] = field(default_factory=dict)
    saved_at: str = moment(default="")
    picture: str = text(64, default="")
    format: int = FORMAT


@dataclass(frozen=True, kw_only=True)
class _JudgedTone(Noun):
    name: str = text(60)
    share_pct: float = number(0, 100, "% by weight of the jar")
    hex: str = text(7, pattern="#[0-9a-fA-F]{6}")


@dataclass(frozen=True, kw_only=True)
class _JudgedWith(Noun):
    """The lots of the book that it was judged with: grams of each thing, digest of what its lots said."""

    needs: Mapping[str, float]
    lots: str = text(40)


@dataclass(frozen=True, kw_only=True)
class _Judged(Noun):
    """What a list of cards shows of what was judged."""

    on: str = text(40, default="")
    product: str = text(40, default="")
    counts: Mapping[str, int] = field(default_factory=dict)
    tones: tuple[_JudgedTone, ...] = ()
    oils: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    stock: _JudgedWith | None = None


def _check_judged(judged: Mapping[str, Any]) -> None:
    decode(_Judged, encode(judged))


def embedded_items(plain: Any) -> tuple[Item, ...]:
    """The revisions that a save carries, out of plain values under ``kind:id@rev``.

    Raises BadDocument with every problem of every revision, NewerFormat.
    """
    if not isinstance(plain, Mapping):
        raise BadDocument(WHAT, [Problem("embedded", "is not a set of revisions")])
    items, problems = [], []
    for key, data in plain.items():
        try:
            items.append(item_from_dict(str(key).partition(":")[0], data))
        except BadDocument as bad:
            problems += [Problem(f"embedded.{key}.{found.where}", found.text) for found in bad.problems]
        except UnknownName as unknown:
            problems.append(Problem(f"embedded.{key}", str(unknown)))
    if problems:
        raise BadDocument(WHAT, problems)
    return tuple(items)


def save(folder: Folder, card: Card, picture_png: bytes, seen: str | None) -> Saved:
    """Save a card and its picture; returns it as saved, and the digest to show at the next save.

    seen  digest it had when it was opened; None = a new card, which gets a new id if its own is taken

    Raises ChangedOutside when the file is another by now, NotSaved when the disk refuses,
    NewerFormat for a card of a later format.
    """
    if card.newer:
        raise NewerFormat(WHAT, max(card.format, card.design.format), FORMAT)
    _check_judged(card.judged)
    with atomic_write.locked(folder.cards):
        path = documents.seek(WHAT, folder.cards, card.id, ("design", "id"))
        if seen is None and path is not None:
            card, path = replace(card, design=replace(card.design, id=atomic_write.new_id())), None
        if path is None:
            path = atomic_write.inside(
                folder.cards, f"{atomic_write.file_stem(card.design.name, card.id)}.json"
            )
        atomic_write.check(path, seen)
        return _put(path, card, picture_png)


def _put(path: Path, card: Card, picture_png: bytes) -> Saved:
    saved = replace(
        card,
        embedded=_by_key(card.embedded),
        saved_at=documents.now(),
        picture=atomic_write.digest_of(picture_png),
    )
    data = documents.to_bytes(WHAT, to_dict(saved))
    digest = card_files.write(path, data, picture_png)
    documents.settle_name(path, atomic_write.file_stem(saved.design.name, saved.id))
    return Saved(saved, digest)


def put_new(folder: Folder, card: Card, data: bytes, picture_png: bytes) -> None:
    """Write a card that was not here as it came, with its moment; without a picture where none came.

    Raises ChangedOutside for a card that is there by now, NotSaved.
    """
    path = atomic_write.inside(folder.cards, f"{atomic_write.file_stem(card.design.name, card.id)}.json")
    with atomic_write.locked(folder.cards):
        atomic_write.check(path, None)
        if picture_png:
            card_files.write(path, data, picture_png)
        else:
            atomic_write.put(path, data)


def save_as_copy(folder: Folder, card: Card, picture_png: bytes) -> Saved:
    """Save a card beside the one it came from, under an id and a name of its own."""
    return save(folder, _copy_of(card), picture_png, None)


def _copy_of(card: Card) -> Card:
    name = f"{card.design.name[:74]}, copy"
    return replace(card, design=replace(card.design, id=atomic_write.new_id(), name=name))


def open_card(folder: Folder, card_id: str) -> Saved:
    """A card, and the digest of its file.

    Raises UnknownName, BadDocument, or NewerFormat for a later format that cannot even be looked at.
    """
    path = documents.find(WHAT, folder.cards, card_id, ("design", "id"))
    data = documents.read(WHAT, path)
    return Saved(card_from(object_in(WHAT, data)), atomic_write.digest_of(data))


def has_card(folder: Folder, card_id: str) -> bool:
    """Whether a card of that id is there."""
    return documents.seek(WHAT, folder.cards, card_id, ("design", "id")) is not None


def picture_of(folder: Folder, card_id: str) -> bytes:
    """The picture that belongs to a card, PNG; empty when it is missing."""
    path = documents.find(WHAT, folder.cards, card_id, ("design", "id"))
    return card_files.pair(path)[1] or b""


def rename(folder: Folder, card_id: str, name: str, seen: str) -> Saved:
    """Give a card another name; its file follows.

    Raises ChangedOutside when the card is another than the one that was seen.
    """
    card, _ = open_card(folder, card_id)
    picture = picture_of(folder, card_id)
    return save(folder, replace(card, design=replace(card.design, name=name)), picture, seen)


def duplicate(folder: Folder, card_id: str) -> Saved:
    """A second card like this one, with an id and a name of its own."""
    return save_as_copy(folder, open_card(folder, card_id).card, picture_of(folder, card_id))

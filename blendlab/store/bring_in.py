"""Bringing a backup in: what is new comes, what is equal stays, what differs is kept beside hers.

Nothing of hers is overwritten. The book of a backup takes the place of hers only where hers is empty, or
on her word; hers is then kept in the bin. What differs in its price alone stays hers, or costs on her word
what it costs in the backup.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path, PurePosixPath

from blendlab.codec import decode, encode, object_in
from blendlab.errors import BadDocument, ChangedOutside, NewerFormat, UnknownName
from blendlab.recipe import Design, Place, Ref, repointed
from blendlab.shelf import Item, item_from_dict
from blendlab.store import atomic_write, book_file, cards, documents, photos, settings, shelf_items
from blendlab.store.archive import BOOK, Archive, opened, shown
from blendlab.store.book_schema import TABLES, connect, fault, foreign, migrate, newer
from blendlab.store.cards import Card
from blendlab.store.folder import Folder
from blendlab.store.lines import CardLine, lines, save_line
from blendlab.store.listing import listing

BESIDE = "{name}, brought in"
NEW, EQUAL, BOTH, PRICE, LEFT = "new", "equal", "both", "price", "left"
PLACES = {
    part: re.compile(pattern)
    for part, pattern in {
        "shelf": r"shelf/[^/]+/[^/]+\.json",
        "cards": r"cards/[^/]+\.json",
        "pictures": r"cards/[^/]+\.png",
        "lines": r"lines/[^/]+\.json",
        "photos": r"photos/[^/]+",
        "files": rf"drafts/[^/]+\.json|draft\.json|{re.escape(settings.NAME)}",
        "book": rf"{re.escape(BOOK)}(-wal)?",
    }.items()
}
"""Part of a backup -> names of its files; every other file stays in the backup and is told."""


@dataclass(frozen=True)
class Step:
    """One thing of a backup and what becomes of it.

    what    NEW = it comes; EQUAL = it is here already; BOTH = it comes beside hers under a name of its
            own; PRICE = it is here at another price; LEFT = it stays in the file
    why     a sentence for what is left
    prices  hers and that of the backup, of what is here at another price
    taken   the price of the backup takes the place of hers
    """

    kind: str
    name: str
    what: str
    why: str = ""
    prices: tuple[str, str] = ("", "")
    taken: bool = False


@dataclass(frozen=True)
class Arrival:
    """Everything a backup holds against what is here."""

    made_at: str
    steps: tuple[Step, ...]

    def of(self, what: str) -> tuple[Step, ...]:
        """The steps that end in one way."""
        return tuple(step for step in self.steps if step.what == what)

    @property
    def book_asks(self) -> bool:
        """Whether the book of the backup is another than hers and waits for her word."""
        return any(step.kind == "book" for step in self.of(LEFT))

    @property
    def prices_ask(self) -> bool:
        """Whether the backup has prices that differ from hers and wait for her word."""
        return any(not step.taken and not step.why for step in self.of(PRICE))


def bring_in(
    folder: Folder, path: Path, *, write: bool, with_book: bool = False, with_prices: bool = False
) -> Arrival:
    """Bring a backup in, or only say what would come.

    write        False = look only, nothing is written
    with_book    her word that the book of the backup takes the place of hers
    with_prices  her word that what differs in its price alone costs what it costs in the backup

    Raises BadDocument for what is no backup, NewerFormat for one of a later version, NotSaved.
    """
    with opened(path) as packed:
        arriving = _Arriving(folder, packed, write, with_prices)
        steps = [*arriving.shelf(), *arriving.cards(), *arriving.lines(), *arriving.rest()]
        steps += arriving.photos()  # before the book that names them
        steps += _book(folder, packed, write, with_book)
        return Arrival(packed.manifest.made_at, tuple(steps))


def bring_in_bytes(
    folder: Folder, data: bytes, *, write: bool, with_book: bool = False, with_prices: bool = False
) -> Arrival:
    """The same with a backup that was uploaded."""
    with atomic_write.elsewhere() as place:
        path = place / "upload.zip"
        path.write_bytes(data)
        return bring_in(folder, path, write=write, with_book=with_book, with_prices=with_prices)


class _Arriving:
    """One backup on its way in; cards that come under another id are remembered for the lines."""

    def __init__(self, folder: Folder, packed: Archive, write: bool, with_prices: bool) -> None:
        self.folder, self.packed, self.write, self.with_prices = folder, packed, write, with_prices
        self.moved: dict[str, str] = {}

    def _each(self, part: str, take: Callable[[str], Step]) -> Iterator[Step]:
        """What becomes of the files in one part of the backup."""
        for name in self.packed.names:
            if PLACES[part].fullmatch(name):
                try:
                    yield take(name)
                except (BadDocument, ChangedOutside, NewerFormat, UnknownName) as problem:
                    yield Step(part, name, LEFT, str(problem))

    def _put(self, path: Path, data: bytes, what: str) -> None:
        if self.write and what in (NEW, BOTH):
            atomic_write.write(path, data, None)

    def cards(self) -> Iterator[Step]:
        """Cards with their pictures."""
        hers = {entry.card_id: entry.design for entry in listing(self.folder) if entry.card_id}
        return self._each("cards", lambda name: self._card(name, hers))

    def _card(self, name: str, hers: dict[str, Design | None]) -> Step:
        data = self.packed.read(name)
        card = cards.card_from(object_in("card", data))
        twin = _twin(data)
        same = self._same_design(hers[card.id], card) if card.id in hers else None
        what = _against(same, twin in hers)
        self.moved[card.id] = card.id if what in (NEW, EQUAL) else twin
        if what == BOTH:
            if card.newer:
                raise NewerFormat("card", max(card.format, card.design.format), cards.FORMAT)
            card = replace(card, design=replace(card.design, id=twin, name=_beside(card.design.name)))
            data = documents.to_bytes("card", cards.to_dict(card))
        if self.write and what in (NEW, BOTH):
            cards.put_new(self.folder, card, data, self._picture(name))
        if what in (NEW, BOTH):
            hers[card.id] = card.design
        return _step("card", card.design.name, what)

    def _same_design(self, here: Design | None, card: Card) -> bool:
        """Whether a card of hers means the same jar: revisions that differ in their price alone are one."""
        if here is None or here == card.design:
            return here is not None
        carried = (*card.embedded, *cards.open_card(self.folder, here.id).card.embedded)
        matters = {item.ref.key: item.matter for item in carried}

        def free(place: Place) -> Ref:
            return replace(place.ref, rev=matters.get(place.ref.key, place.ref.rev))

        mine: Design = repointed(here, free)
        return mine == repointed(card.design, free)

    def _picture(self, name: str) -> bytes:
        picture = str(PurePosixPath(name).with_suffix(".png"))
        return self.packed.read(picture) if picture in self.packed.names else b""

    def lines(self) -> Iterator[Step]:
        """Lines, each with the cards as they are called here."""
        hers = {saved.line.id: saved.line for saved in lines(self.folder)}
        return self._each("lines", lambda name: self._line(name, hers))

    def _line(self, name: str, hers: dict[str, CardLine]) -> Step:
        data = self.packed.read(name)
        line = decode(CardLine, object_in("line", data))
        line = replace(line, cards=tuple(self.moved.get(card, card) for card in line.cards))
        here, twin = hers.get(line.id), _twin(data)
        what = _against(here == line if here else None, twin in hers)
        if what == BOTH:
            line = replace(line, id=twin, name=_beside(line.name))
        if self.write and what in (NEW, BOTH):
            save_line(self.folder, line, None)
        return _step("line", line.name, what)

    def shelf(self) -> Iterator[Step]:
        """What stands on the shelf, of every kind."""
        hers = {(item.kind, item.id): item for item in shelf_items.read_shelf(self.folder).items}
        return self._each("shelf", lambda name: self._item(name, hers))

    def _item(self, name: str, hers: dict[tuple[str, str], Item]) -> Step:
        data, kind = self.packed.read(name), PurePosixPath(name).parts[1]
        item: Item = item_from_dict(kind, object_in(kind, data))
        here, twin = hers.get((kind, item.id)), _twin(data)
        if here is not None and here.matter == item.matter and here.rev != item.rev:
            return self._price(here, item, data)
        what = _against(here.matter == item.matter if here else None, (kind, twin) in hers)
        if what == BOTH:
            item = replace(item, id=twin, name=_beside(item.name))
            data = documents.to_bytes(kind, encode(item))
        self._put(shelf_items.path_of(self.folder, kind, item.id), data, what)
        return _step(kind, item.name, what)

    def _price(self, here: Item, item: Item, data: bytes) -> Step:
        """What is here at another price: hers stays, or gives way on her word where the money is the same."""
        yours, theirs = self._money
        why = "" if yours == theirs else f"Its prices are in {theirs}, yours in {yours}."
        taken = self.with_prices and not why
        if self.write and taken:
            path = shelf_items.path_of(self.folder, item.kind, item.id)
            atomic_write.write(path, data, atomic_write.digest(path))
        prices = (here.price_words(yours), item.price_words(theirs))
        return Step(item.kind, item.name, PRICE, why, prices, taken)

    @cached_property
    def _money(self) -> tuple[str, str]:
        """The currency of hers, and that of the backup."""
        packed = self.packed.read(settings.NAME) if settings.NAME in self.packed.names else b"{}"
        theirs, own = settings.currency_in(packed), self.folder.root / settings.NAME
        if not own.is_file():
            return theirs, theirs  # hers will be those of the backup
        return settings.currency_in(documents.read(settings.WHAT, own)), theirs

    def photos(self) -> Iterator[Step]:
        """Photos of kept jars; one that is here under whatever name is not brought twice."""
        return self._each("photos", self._photo)

    def _photo(self, name: str) -> Step:
        data, own = self.packed.read(name), PurePosixPath(name).name
        photos.refuse_other(data)
        digest = atomic_write.digest_of(data)
        if photos.find(self.folder, digest) is not None:
            return _step("photo", own, EQUAL)
        path = photos.free_place(self.folder, own, digest)
        what = NEW if path.name == own else BOTH
        self._put(path, data, what)
        return _step("photo", path.name, what)

    def rest(self) -> Iterator[Step]:
        """Settings and drafts where there are none; what this version does not know stays in the file."""
        yield from self._each("files", self._file)
        for name in self.packed.names:
            if not any(place.fullmatch(name) for place in PLACES.values()):
                yield Step("file", shown(name), LEFT, "This version does not know what it is.")

    def _file(self, name: str) -> Step:
        data, kind = self.packed.read(name), "settings" if name == settings.NAME else "draft"
        if kind == "settings":
            settings.settings_in(data)
        else:
            object_in("draft", data)
        target = atomic_write.inside(self.folder.root, *PurePosixPath(name).parts)
        here = atomic_write.digest(target)
        if here not in (None, atomic_write.digest_of(data)):
            return Step(kind, name, LEFT, "Yours is another one and stays.")
        what = NEW if here is None else EQUAL
        self._put(target, data, what)
        return Step(kind, name, what)


def _against(same: bool | None, twin_here: bool) -> str:
    """How a thing stands to hers.

    same       whether hers of the same id is equal; None = there is none
    twin_here  it was brought in beside hers before
    """
    if same is None:
        return NEW
    return EQUAL if same or twin_here else BOTH


def _twin(data: bytes) -> str:
    """Id under which a thing comes beside hers: the same however often it is brought in."""
    return atomic_write.digest_of(data)[:12]


def _beside(name: str) -> str:
    return BESIDE.format(name=name[: 60 - len(BESIDE.format(name=""))])


def _step(kind: str, name: str, what: str) -> Step:
    return Step(kind, name, what)


# --- the book -----------------------------------------------------------------------------------------


def _book(folder: Folder, packed: Archive, write: bool, with_book: bool) -> Iterator[Step]:
    if BOOK not in packed.names:
        return
    with atomic_write.elsewhere() as place:
        arriving = place / BOOK
        packed.extract(BOOK, arriving)
        wrong = newer(arriving) or fault(arriving) or foreign(arriving)
        if wrong:
            yield Step("book", BOOK, LEFT, f"The book in the file cannot be taken: {wrong}")
            return
        migrate(arriving, place)
        what, why = _against_hers(folder, arriving)
        if what == LEFT and with_book:
            what, why = NEW, ""
        if write and what == NEW:
            with book_file.replacement(folder) as fresh:
                book_file.copy_book(arriving, fresh)
        yield Step("book", _size(book_file.counted(arriving)), what, why)


def _against_hers(folder: Folder, arriving: Path) -> tuple[str, str]:
    """What becomes of a book that arrives without a word of hers, and why it waits for one."""
    wrong = book_file.book_fault(folder)
    if wrong:
        return LEFT, f"Yours cannot be read ({wrong}); on your word this one takes its place."
    hers, theirs = book_file.counted(folder.book), book_file.counted(arriving)
    if not any(theirs.values()):
        return EQUAL, ""
    if not any(hers.values()):
        return NEW, ""
    lacking = _lacking(folder.book, arriving)
    if not lacking:
        return EQUAL, ""
    beyond = _lacking(arriving, folder.book)
    return LEFT, (
        f"It has {lacking} lines that yours has not, yours has {beyond} that it has not. On your word it"
        " takes the place of yours, which is then kept in bin."
    )


def _lacking(book: Path, other: Path) -> int:
    """How many lines of another book are not in this one, to the letter."""
    with closing(connect(book, "ro")) as link:
        link.execute("ATTACH ? AS other", (f"{other.absolute().as_uri()}?mode=ro",))
        counts = (
            f"SELECT count(*) FROM (SELECT * FROM other.{table} EXCEPT SELECT * FROM main.{table})"
            for table in TABLES
        )
        return sum(int(link.execute(count).fetchone()[0]) for count in counts)


def _size(lines_of: Mapping[str, int]) -> str:
    return f"{lines_of.get('batches', 0)} batches, {sum(lines_of.values())} lines"

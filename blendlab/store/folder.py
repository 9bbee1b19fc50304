"""The maker's folder: where it lies and what lies where in it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from blendlab.errors import FolderGone, NotSaved
from blendlab.store import atomic_write, card_files


@dataclass(frozen=True)
class Folder:
    """Layout of one maker's folder; nothing is made or read until asked.

    >>> Folder(Path("swatches")).cards.as_posix()
    'swatches/cards'
    """

    root: Path

    @property
    def cards(self) -> Path:
        """Swatch cards: ``<slug>-<id>.json`` and ``.png``."""
        return self.root / "cards"

    @property
    def lines(self) -> Path:
        """Ordered sets of cards."""
        return self.root / "lines"

    @property
    def shelf(self) -> Path:
        """What she owns: ``<kind>/<id>.json``."""
        return self.root / "shelf"

    @property
    def book(self) -> Path:
        """The book of batches."""
        return self.root / "book.sqlite3"

    @property
    def photos(self) -> Path:
        """Photos of kept jars: ``<batch>-<test>-<day>-<digest>.jpg``."""
        return self.root / "photos"

    @property
    def drafts(self) -> Path:
        """Designs at work and those left without being saved: ``<id>.json``."""
        return self.root / "drafts"

    @property
    def draft(self) -> Path:
        """The one draft that earlier versions kept; it moves in among the others."""
        return self.root / "draft.json"

    @property
    def bin(self) -> Path:
        """What she took away; damaged files lie in ``bin/damaged``."""
        return self.root / "bin"

    @property
    def damaged(self) -> Path:
        """Files that could not be read, as they were found."""
        return self.bin / "damaged"

    @classmethod
    def at(cls, path: str | Path) -> Folder:
        """The folder of a path as the program starts: what cut-off saves left behind is swept."""
        folder = cls(Path(path).expanduser())
        if folder.root.is_dir():
            atomic_write.sweep(folder.root)
            card_files.sweep(folder.cards)
        return folder


def ready(folder: Folder) -> None:
    """Make the folder if it is not there, and try whether it takes a file.

    Raises NotSaved with the reason: read-only, full, gone, no folder at all.
    """
    atomic_write.put(folder.root / ".try", b"x")
    try:
        (folder.root / ".try").unlink()
    except OSError as problem:
        raise NotSaved(str(folder.root), atomic_write.reason(problem)) from problem


def place(folder: Folder) -> tuple[int, int]:
    """What tells this folder from another at the same path: its disk and its number there.

    Raises FolderGone when there is none.
    """
    try:
        stat = folder.root.stat()
    except OSError as problem:
        raise FolderGone(str(folder.root)) from problem
    if not folder.root.is_dir():
        raise FolderGone(str(folder.root))
    return stat.st_dev, stat.st_ino


def default_folder(start: Path | None = None) -> Path:
    """``./swatches`` in a checkout of this project, else a folder of the system for user data.

    start  folder the program was started in; None = the present one
    """
    here = start or Path.cwd()
    if _is_checkout(here):
        return here / "swatches"
    return user_data_path("blendlab", appauthor=False) / "swatches"


def _is_checkout(folder: Path) -> bool:
    try:
        project = (folder / "pyproject.toml").read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False
    return 'name = "blendlab"' in project and (folder / "blendlab" / "__init__.py").is_file()

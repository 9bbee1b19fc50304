"""The same for the terminal: open the app, check a design, print a card."""

from __future__ import annotations

import argparse
import errno
import os
import socket
import sys
import tempfile
import time
import webbrowser
from datetime import datetime
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from filelock import FileLock, Timeout

from blendlab.errors import LEVELS, MARKS, PLANNING, BlendlabError, NotSaved, counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from blendlab.recipe import Design
    from blendlab.shelf import Shelf
    from blendlab.store import Folder


PORT, LAST_PORT = 8501, 65535
PORTS_TRIED = 50
_ports: dict[int, FileLock] = {}
"""Ports that this process has reserved: two that start at once both find the same one free."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; return its exit code.

    Without a command the app opens in the browser. `check` returns 1 when there is a stop, 2 when
    the file cannot be read, or when something nobody foresaw went wrong with it.
    """
    asked = _parser().parse_args(argv)
    try:
        return int(asked.act(asked))
    except BlendlabError as problem:
        print(problem, file=sys.stderr)
        return 2
    except OSError as problem:
        print(f"{problem.filename or ''}: {problem.strerror or problem}", file=sys.stderr)
        return 2
    except Exception as problem:
        if asked.act is _open:
            raise
        print(_unforeseen(asked, problem), file=sys.stderr)
        return 2


def _unforeseen(asked: argparse.Namespace, problem: Exception) -> str:
    """One sentence on an error that nobody foresaw; its details go to the log of her folder."""
    from blendlab import store

    try:
        folder = store.Folder.at(asked.folder or store.default_folder())
        told = f"The details are in {store.record_error(folder, 'terminal', '', problem)}."
    except BlendlabError:
        told = f"({type(problem).__name__}: {problem})"
    about = getattr(asked, "file", None) or "blendlab"
    return f"{about}: something went wrong that nobody foresaw; nothing is known of the outcome. {told}"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="blendlab",
        description="Design the colour and the scent of a jar before anything is mixed. "
        "Without a command the app opens in the browser.",
        epilog=PLANNING,
    )
    parser.add_argument("--folder", help="folder of your cards and shelf")
    parser.add_argument(
        "--port",
        type=_port,
        default=PORT,
        help=f"port of the app on this machine (default {PORT}); when it is taken, the next free one",
    )
    parser.add_argument("--no-browser", action="store_true", help="start the app without opening a browser")
    parser.set_defaults(act=_open)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    check = commands.add_parser("check", help="print the findings of a design or card; exit code 1 on a stop")
    check.add_argument("file", type=Path, help="a card (.json) or a design")
    check.set_defaults(act=_check)
    card = commands.add_parser("card", help="print the swatch card of a design or card")
    card.add_argument("file", type=Path, help="a card (.json) or a design")
    card.add_argument(
        "-o", "--output", type=Path, required=True, metavar="OUT.pdf|.png", help="file to write"
    )
    card.set_defaults(act=_card)
    _safekeeping(commands)
    return parser


def _safekeeping(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    backup = commands.add_parser("backup", help="pack your folder and book into one zip and read it back")
    backup.add_argument("file", type=Path, nargs="?", help="zip to write, or the folder to put it in")
    backup.set_defaults(act=_backup)
    verify = commands.add_parser(
        "verify", help="read every file and the book, or a backup; exit code 1 when something is wrong"
    )
    verify.add_argument("file", type=Path, nargs="?", help="a backup; without it your folder is looked over")
    verify.set_defaults(act=_verify)
    bring_in = commands.add_parser("bring-in", help="bring a backup in; nothing of yours is overwritten")
    bring_in.add_argument("file", type=Path, help="a backup")
    bring_in.add_argument("--look", action="store_true", help="say what would come and write nothing")
    bring_in.add_argument(
        "--book", action="store_true", help="let its book take the place of yours, which is kept in bin"
    )
    bring_in.add_argument(
        "--prices",
        action="store_true",
        help="let what differs only in price cost what it costs in the backup",
    )
    bring_in.set_defaults(act=_bring_in)


def _port(text: str) -> int:
    if text.isdecimal() and 0 < int(text) <= LAST_PORT:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is no port; it must be a whole number from 1 to {LAST_PORT}")


def _open(asked: argparse.Namespace) -> int:
    if told := _unready(asked):
        print(told, file=sys.stderr, flush=True)
        return 2
    port = _free_port(asked.port)
    if port != asked.port:
        print(f"Port {asked.port} is taken by another program; blendlab takes {port}.", flush=True)
    Thread(target=_show, args=(port, not asked.no_browser), daemon=True).start()
    from streamlit.web import cli as streamlit

    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if asked.folder:
        os.environ["BLENDLAB_FOLDER"] = str(Path(asked.folder).expanduser().resolve())
    served = Path(__file__).with_name("ui") / "serve.py"
    sys.argv = [
        "streamlit",
        "run",
        str(served),
        "--server.address=localhost",
        f"--server.port={port}",
        "--server.headless=true",
        "--server.showEmailPrompt=false",
        "--server.fileWatcherType=none",
        "--browser.gatherUsageStats=false",
        "--logger.hideWelcomeMessage=true",
        "--logger.level=warning",
    ]
    code = streamlit.main(standalone_mode=False)
    return int(code or 0)


def _unready(asked: argparse.Namespace) -> str:
    """Why there is no folder to work in, in a sentence; "" for one that can be looked at at least."""
    from blendlab import store

    folder = store.Folder(Path(asked.folder).expanduser() if asked.folder else store.default_folder())
    try:
        store.ready(folder)
    except NotSaved as problem:
        told = f"{folder.root} takes no files: {problem.reason}."
        if not folder.cards.is_dir():
            return f"{told} Name another with --folder."
        print(f"{told} What is there can be looked at; nothing is kept.", file=sys.stderr, flush=True)
    return ""


def _free_port(first: int) -> int:
    """The first port from `first` on that nobody listens at; raises OSError when there is none."""
    for port in range(first, min(first + PORTS_TRIED, LAST_PORT + 1)):
        if not _taken(port) and _reserved(port):
            return port
    raise OSError(errno.EADDRINUSE, f"{PORTS_TRIED} ports from this one on are taken", f"port {first}")


def _reserved(port: int) -> bool:
    """Whether no other start of this program is about to listen at a port; reserved until this one ends."""
    if port in _ports:
        return True
    lock = FileLock(Path(tempfile.gettempdir()) / f"blendlab-port-{port}.lock")
    try:
        lock.acquire(timeout=0)
    except Timeout:
        return False
    except OSError:  # nowhere to keep a lock, or it is another user's: the port is tried all the same
        return True
    _ports[port] = lock
    return True


def _taken(port: int) -> bool:
    """Whether a port of this machine is in use, under either kind of address."""
    for family, address in ((socket.AF_INET, "127.0.0.1"), (socket.AF_INET6, "::1")):
        try:
            with socket.socket(family) as door:
                if os.name != "nt":  # there it would share the port instead of asking for it
                    door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
                door.bind((address, port))
        except OSError as problem:
            if problem.errno == errno.EADDRINUSE:
                return True
            if family == socket.AF_INET:
                raise OSError(problem.errno, problem.strerror, f"port {port}") from problem
    return False


def _show(port: int, in_browser: bool) -> None:
    """Once the server answers, say where the app is and open it."""
    while not _answers(port):
        time.sleep(0.05)
    url = f"http://localhost:{port}"
    print(f"blendlab is at {url} on this machine. Ctrl+C ends it.", flush=True)
    if in_browser and not (_has_screen() and webbrowser.open(url)):
        print("No browser could be opened here; open that address in one.", flush=True)


def _answers(port: int) -> bool:
    asked = HTTPConnection("localhost", port, timeout=2)
    try:
        asked.request("GET", "/_stcore/health")
        return asked.getresponse().status == 200
    except (OSError, HTTPException):
        return False
    finally:
        asked.close()


def _has_screen() -> bool:
    """Whether a browser has a window to open in; without one a text browser would take the terminal."""
    if not sys.platform.startswith("linux"):
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"))


def _read(path: Path, folder: str | None) -> tuple[Design, Shelf]:
    from blendlab.forms.documents import read_document

    try:
        return read_document(path, folder)
    except BlendlabError as problem:
        raise _Unreadable(f"{path}: {problem}") from problem


class _Unreadable(BlendlabError, ValueError):
    """A file that holds no design this version can judge."""


def _check(asked: argparse.Namespace) -> int:
    from blendlab.assess import assess

    design, shelf = _read(asked.file, asked.folder)
    assessed = assess(design, shelf)
    for finding in assessed.findings:
        source = f" [{finding.source}]" if finding.source else ""
        print(f"{MARKS[finding.level]} · {finding.text} {finding.fix}{source}")
    counts = ", ".join(counted(assessed.count(level), level) for level in LEVELS)
    print(f"{design.name}: {counts}, on {assessed.on.isoformat()}, without the lots of a book.")
    if not assessed.count("stop"):
        print("No listed limit exceeded." if not assessed.count("caution") else "Read the cautions.")
    print(PLANNING)
    return 1 if assessed.count("stop") else 0


def _card(asked: argparse.Namespace) -> int:
    from blendlab import store
    from blendlab.assess import assess
    from blendlab.show.card_prints import printed

    design, shelf = _read(asked.file, asked.folder)
    suffix = asked.output.suffix.lower().lstrip(".")
    if suffix not in ("pdf", "png"):
        print(f"{asked.output}: the name must end in .pdf or .png.", file=sys.stderr)
        return 2
    store.export(asked.output, printed(assess(design, shelf), suffix))
    print(f"Written: {asked.output}")
    return 0


def _hers(asked: argparse.Namespace) -> Folder:
    from blendlab import store

    return store.Folder.at(asked.folder or store.default_folder())


def _backup(asked: argparse.Namespace) -> int:
    from blendlab import store
    from blendlab.show import safekeeping

    target = asked.file or Path()
    if target.is_dir():
        target /= store.backup_name(datetime.now())
    made = store.make_backup(_hers(asked), target)
    print(f"{safekeeping.made_words(made)}\nWritten: {made.path}")
    for sentence in made.told:
        print(sentence, file=sys.stderr)
    return 1 if made.told else 0


def _verify(asked: argparse.Namespace) -> int:
    from blendlab import store
    from blendlab.codec import local_time
    from blendlab.show import safekeeping

    if asked.file:
        packed = store.read_back(asked.file)
        moment = local_time(packed.made_at)
        print(f"Every file of it can be read: {len(packed.files)}, packed {moment}.")
        prices = store.prices_in(asked.file)
        for sentence in safekeeping.packed_prices_words(prices):
            print(sentence)
        return 1 if prices.unread or not prices.currency else 0
    folder = _hers(asked)
    if not folder.root.is_dir():
        print(f"{folder.root}: there is no such folder.", file=sys.stderr)
        return 2
    looked = store.verify(folder)
    print(looked.told)
    for sentence in looked.found or ("Nothing was found wrong.",):
        print(sentence)
    return 1 if looked.found else 0


def _bring_in(asked: argparse.Namespace) -> int:
    from blendlab import store
    from blendlab.show import safekeeping

    came = store.bring_in(
        _hers(asked), asked.file, write=not asked.look, with_book=asked.book, with_prices=asked.prices
    )
    for sentence in safekeeping.told(came, came=not asked.look):
        print(sentence)
    if came.prices_ask:
        print("To take the backup's prices: --prices")
    if came.book_asks:
        print("Your word for the book: --book")
    return 1 if safekeeping.left_words(came) else 0


if __name__ == "__main__":
    sys.exit(main())

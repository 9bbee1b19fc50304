"""The same for the terminal: open the app, check a design, print a card."""

from __future__ import annotations

import argparse
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from blendlab.errors import LEVELS, MARKS, PLANNING, BlendlabError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from blendlab.recipe import Design
    from blendlab.shelf import Shelf


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; return its exit code.

    Without a command the app opens in the browser. `check` returns 1 when there is a stop, 2 when
    the file cannot be read.
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


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="blendlab",
        description="Design the colour and the scent of a jar before anything is mixed. "
        "Without a command the app opens in the browser.",
        epilog=PLANNING,
    )
    parser.add_argument("--folder", help="folder of your cards and shelf")
    parser.add_argument(
        "--port", type=int, default=8501, help="port of the app on this machine (default 8501)"
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
    return parser


def _open(asked: argparse.Namespace) -> int:
    from streamlit.web import cli as streamlit

    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if asked.folder:
        os.environ["BLENDLAB_FOLDER"] = str(Path(asked.folder).resolve())
    door = Path(__file__).with_name("ui") / "door.py"
    sys.argv = [
        "streamlit",
        "run",
        str(door),
        "--server.address=localhost",
        f"--server.port={asked.port}",
        f"--server.headless={str(asked.no_browser).lower()}",
        "--server.showEmailPrompt=false",
        "--server.fileWatcherType=none",
        "--browser.gatherUsageStats=false",
    ]
    code = streamlit.main(standalone_mode=False)
    return int(code or 0)


def _read(path: Path, folder: str | None) -> tuple[Design, Shelf]:
    from blendlab.forms.documents import read_document

    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, json.JSONDecodeError) as problem:
        raise _Unreadable(f"{path} is not readable as JSON: {problem}") from problem
    return read_document(data, folder)


class _Unreadable(BlendlabError, ValueError):
    """A file that is no JSON."""


def _check(asked: argparse.Namespace) -> int:
    from blendlab.assess import assess

    design, shelf = _read(asked.file, asked.folder)
    assessed = assess(design, shelf)
    for finding in assessed.findings:
        source = f" [{finding.source}]" if finding.source else ""
        print(f"{MARKS[finding.level]} · {finding.text} {finding.fix}{source}")
    counts = ", ".join(f"{assessed.count(level)} {level}" for level in LEVELS)
    print(f"{design.name}: {counts}, on {assessed.on.isoformat()}.")
    if not assessed.count("stop"):
        print("No listed limit exceeded." if not assessed.count("caution") else "Read the cautions.")
    print(PLANNING)
    return 1 if assessed.count("stop") else 0


def _card(asked: argparse.Namespace) -> int:
    from blendlab import store
    from blendlab.show.cards import print_design

    design, shelf = _read(asked.file, asked.folder)
    suffix = asked.output.suffix.lower().lstrip(".")
    if suffix not in ("pdf", "png"):
        print(f"{asked.output}: the name must end in .pdf or .png.", file=sys.stderr)
        return 2
    store.export(asked.output, print_design(design, shelf, suffix))
    print(f"Written: {asked.output}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Tables in and out: cells of a csv file or of what was pasted, and rows as a csv file.

pandas reads and writes them; it is loaded when a table is asked for, never before.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from io import StringIO

from blendlab.errors import BadDocument, OutOfRange, Problem

MOST_CHARACTERS = 5_000_000
"""More than any table of a studio; what is longer is refused unread."""
MARKS = ("\t", ";", ",")
QUOTED = r'(?:(?<=[\n{mark}])|\A)"[^"]*(?:""[^"]*)*"'
"""A cell in quotes, which may go on over lines and hold marks that part nothing."""
RUN = re.compile(r"'*[=+\-@\t\r\n]")
"""How a cell begins that a spreadsheet would run as a formula, apostrophes before it or not."""
NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?", re.IGNORECASE)

PRICE = re.compile(
    r"\s*(price (?:of a kilogram|(?:per )?k?g))(?:[\s,(/\[]+([^\s,()\[\]]{1,5}))?[\s)\]]*", re.IGNORECASE
)
"""Head of a column of prices, and the currency behind it."""


def price_head(head: str) -> tuple[str, str]:
    """A head without the currency of its prices, and that currency; "" = it names none, or is of no price.

    >>> price_head("Price per g, EUR"), price_head("Price per kg"), price_head("Density, g/ml")
    (('Price per g', 'EUR'), ('Price per kg', ''), ('Density, g/ml', ''))
    """
    found = PRICE.fullmatch(head)
    return (found[1], found[2] or "") if found else (head, "")


def other_currency(heads: Iterable[str], hers: str) -> str:
    """What is said of a table whose prices are not in her currency; "" where they are, or none is named."""
    named = dict.fromkeys(currency for _, currency in map(price_head, heads) if currency)
    other = [currency for currency in named if currency.casefold() != hers.casefold()]
    if not other:
        return ""
    return (
        f"The prices of this table are in {' and '.join(other)}, yours are in {hers}: reckon them into "
        f"{hers} and say so in the name of the column, or leave the column out."
    )


def text_of(data: bytes) -> str:
    r"""Text of an uploaded table: UTF-8 or UTF-16 by its first bytes, else the older western code page.

    >>> text_of(b"\xef\xbb\xbfOil"), text_of("Öl".encode("cp1252")), text_of("Öl".encode("utf-16"))
    ('Oil', 'Öl', 'Öl')
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def cells(text: str) -> tuple[tuple[str, ...], ...]:
    r"""Cells of a table, row by row, without blanks round them; a row without a word is empty.

    Cells are parted by tabs, else semicolons, else commas, as the first line has them; a cell in quotes
    may hold them. Lines may end as any system ends them. Cells missing at the end of a row are not made up.
    The apostrophe that `csv_of` puts before a cell is taken away.

    Raises BadDocument for a quote that never closes, OutOfRange for a text of more than 5 million
    characters.

    >>> cells('name;price\rReed;"4,6"\r\rMoss')
    (('name', 'price'), ('Reed', '4,6'), (), ('Moss',))
    """
    if len(text) > MOST_CHARACTERS:
        raise OutOfRange("The table", len(text), 0, MOST_CHARACTERS, "characters")
    plain = text.replace("\r\n", "\n").replace("\r", "\n").replace("\0", "").strip("\n")
    lines = [line for line in plain.split("\n") if line.strip()]
    if not lines:
        return ()
    mark = next((sign for sign in MARKS if sign in lines[0]), ",")
    bare = re.sub(QUOTED.format(mark=mark), "", plain)
    width = max(line.count(mark) for line in bare.split("\n")) + 1
    rows = [_shortened([_hers(str(cell)) for cell in row]) for row in _frame(plain, mark, width)]
    while rows and not rows[-1]:
        rows.pop()
    return tuple(rows)


def _frame(text: str, mark: str, width: int) -> list[list[str]]:
    import pandas as pd

    try:
        frame = pd.read_csv(
            StringIO(text), sep=mark, header=None, names=range(width), dtype=str, keep_default_na=False,
            na_filter=False, engine="c", skip_blank_lines=False, index_col=False, quotechar='"',
        )  # fmt: skip
    except pd.errors.ParserError as problem:
        raise BadDocument("table", [Problem("", f"has a quote that never closes ({problem})")]) from problem
    rows: list[list[str]] = frame.fillna("").to_numpy().tolist()
    return rows


def _shortened(row: list[str]) -> tuple[str, ...]:
    last = max((at for at, cell in enumerate(row, start=1) if cell), default=0)
    return tuple(row[:last])


def _hers(cell: str) -> str:
    """A cell as she wrote it."""
    bare = cell.strip()
    return bare[1:].strip() if bare.startswith("'") and RUN.match(bare) else bare


def _shown(cell: object) -> object:
    """A cell as a spreadsheet shows it: text that it would run has an apostrophe before it."""
    if isinstance(cell, str) and RUN.match(cell) and not NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell


def csv_of(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    r"""Rows as a csv file that every spreadsheet opens: UTF-8 with its mark, commas, one line a row.

    None is an empty cell. Text that a spreadsheet would run as a formula has an apostrophe before it, which
    `cells` takes away again.

    >>> csv_of(("name", "g"), [("Reed, dry", 4.5), ("Moss", None)]).decode("utf-8-sig")
    'name,g\r\n"Reed, dry",4.5\r\nMoss,\r\n'
    >>> csv_of(("name", "pH shift"), [("=1+1", "-0.2")]).decode("utf-8-sig")
    "name,pH shift\r\n'=1+1,-0.2\r\n"
    """
    import pandas as pd

    frame = pd.DataFrame(
        [[_shown(cell) for cell in row] for row in rows], columns=list(map(_shown, columns)), dtype=object
    )
    return str(frame.to_csv(index=False, lineterminator="\r\n")).encode("utf-8-sig")

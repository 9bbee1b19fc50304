"""The batch sheet on A4: what to weigh, in working order, with room to write; and plain lists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from types import MappingProxyType

from blendlab.batch import Line, Plan, Step
from blendlab.errors import PLANNING, counted
from blendlab.printing import fonts, paper
from blendlab.printing.nouns import DRAFT
from blendlab.printing.paper import GREY, HAIR, INK, Block, Box, Mark, Page, Text
from blendlab.units import in_degrees, on_scale, plain

W, H, MARGIN = 210.0, 297.0, 12.0
INNER = W - 2 * MARGIN
GRAMS, NAME, TEXT, SMALL = 16.0, 12.0, 9.0, 6.5
GRAMS_X, LOT_X, WEIGHED_X, TICK_X = 112.0, 116.0, 148.0, 179.0
LOT_W, WEIGHED_W, TICK = 30.0, 28.0, 7.0
ROW, RULE = 11.0, 0.6
DONE = "✓"


def sheet_pdf(
    plan: Plan,
    code: str,
    on: date,
    base: str,
    heat_in: str = "C",
    weighed: Mapping[str, tuple[str, str]] = MappingProxyType({}),
    done: Mapping[str, str] = MappingProxyType({}),
    record: Mapping[str, Sequence[tuple[str, str]]] = MappingProxyType({}),
) -> bytes:
    """A batch sheet as PDF: a block for each cup with boxes for what is not known yet.

    code  "" for a sheet of a batch that was not started; base  name of the base it takes, or ""
    heat_in  "C" or "F"
    weighed  line id -> codes of its lots and grams that went in, for what was weighed
    done     step id -> what was measured, or "", for what is ticked
    record   heading -> rows: what became of the batch, once it is done
    """
    made = f"{counted(plan.jars, 'jar')} of {plain(plan.net_g, 1)} g · " if plan.jars else ""
    head = f"{code or DRAFT} · {on.isoformat()} · {made}{plan.batch_g:.0f} g planned"
    blocks = [*_blocks(plan, heat_in, weighed, done), *_record(record)]
    return _pages(plan.title, head + (f" · {base}" if base else ""), code, blocks)


def list_pdf(
    title: str, head: str, rows: Sequence[tuple[str, ...]], widths: Sequence[float], whole: int = 0
) -> bytes:
    """A plain list as PDF: the first row is its head.

    widths  of the columns, shares that add up to 1
    whole   columns from the left that stay on one line, smaller where they must: codes
    """
    blocks = [_row(row, widths, number == 0, whole) for number, row in enumerate(rows)]
    return _pages(title, head, "", blocks)


def _pages(title: str, head: str, code: str, blocks: Sequence[Block]) -> bytes:
    foot = 9.0
    top = _head(title, head)
    room = H - 2 * MARGIN - foot
    laid = paper.paginate(blocks, room - top.height, room - 7)
    pages = []
    for number, part in enumerate(laid, start=1):
        marks = list(paper.moved(top.marks, MARGIN, MARGIN)) if number == 1 else []
        start = MARGIN + (top.height if number == 1 else 7)
        if number > 1:
            marks.append(Text(MARGIN, MARGIN + 4, fonts.printable(f"{title} · {code}"), TEXT, True))
        marks += paper.stacked(part, MARGIN, start)
        marks += _foot(code, f"{number} of {len(laid)}")
        pages.append(Page(W, H, tuple(marks)))
    return paper.to_pdf(pages, fonts.printable(f"{title} {code}".strip()))


def _head(title: str, head: str) -> Block:
    lines = paper.wrap(head, INNER, TEXT)
    marks: list[Mark] = [Text(0, 6.5, paper.wrap(title, INNER, 17, True, most=1)[0], 17, True)]
    marks += [Text(0, 12 + 4.2 * at, line, TEXT, colour=GREY) for at, line in enumerate(lines)]
    return Block(15 + 4.2 * len(lines), tuple(marks))


def _foot(code: str, number: str) -> tuple[Mark, ...]:
    y = H - MARGIN
    said = paper.ellipsis(PLANNING, INNER - 50, SMALL)
    return (
        Box(MARGIN, y - 4, INNER, 0.15, HAIR),
        Text(MARGIN, y, said, SMALL, colour=GREY),
        paper.right(W - MARGIN, y, f"{code}   {number}".strip(), SMALL, True, GREY),
    )


def _blocks(
    plan: Plan, heat_in: str, weighed: Mapping[str, tuple[str, str]], done: Mapping[str, str]
) -> Iterator[Block]:
    """Everything in working order; a heading where the next cup begins."""
    cup = ""
    for step in plan.steps:
        if step.kind == "weigh":
            line = plan.line(step.line)
            if line.cup != cup:
                yield _cup(line.cup)
            cup = line.cup
            yield _line(line, weighed.get(line.id))
        else:
            cup = ""
            yield _step(step, heat_in, done.get(step.id))


def _record(record: Mapping[str, Sequence[tuple[str, str]]]) -> Iterator[Block]:
    """What became of the batch, after everything that was weighed; a heading without rows is left out."""
    for heading, rows in record.items():
        head = [(heading, "")] if rows else []
        for at, row in enumerate((*head, *rows)):
            yield _row(row, (0.5, 0.5), head=at == 0)


def _cup(name: str) -> Block:
    marks = (
        Box(0, 2, INNER, RULE, INK),
        Text(0, 7.6, fonts.printable(name), TEXT, True),
        Text(LOT_X, 7.6, "lot", SMALL, colour=GREY),
        Text(WEIGHED_X, 7.6, "weighed, g", SMALL, colour=GREY),
        Text(TICK_X, 7.6, "done", SMALL, colour=GREY),
    )
    return Block(9, marks, hold=True)


def _line(line: Line, went: tuple[str, str] | None) -> Block:
    base = 7.2
    grams, low, high = (on_scale(mass, line.step_g) for mass in (line.grams, *line.good))
    room = GRAMS_X - fonts.width_mm(grams, GRAMS, True) - 12
    scale = f"{line.scale}, good {low} to {high}"
    about = paper.ellipsis(
        fonts.printable(" · ".join(words for words in (scale, line.note) if words)), room, SMALL
    )
    marks: list[Mark] = [
        Text(4, base - 1.6, paper.ellipsis(fonts.printable(line.name), room, NAME), NAME),
        Text(4, base + 2.2, about, SMALL, colour=GREY),
        paper.right(GRAMS_X - 5, base, grams, GRAMS, True),
        Text(GRAMS_X - 4, base, "g", TEXT),
        *_tick(1.8, went is not None),
        Box(0, ROW - 0.2, INNER, 0.1, HAIR),
    ]
    lot, grams = went or (line.lot, "")
    if not (went and lot):
        marks += frame(LOT_X, 1.6, LOT_W, 7.6)
    if went is None:
        marks += frame(WEIGHED_X, 1.6, WEIGHED_W, 7.6)
    lot = paper.ellipsis(fonts.printable(lot), LOT_W - 2, TEXT)
    marks.append(Text(LOT_X + 1.2, base - 0.6, lot, TEXT, colour=INK if went else GREY))
    marks.append(paper.right(WEIGHED_X + WEIGHED_W - 1.2, base - 0.6, grams, NAME, True))
    return Block(ROW, tuple(marks))


def _tick(y: float, done: bool) -> tuple[Mark, ...]:
    """A box to tick, or its tick where the book has it."""
    if not done:
        return frame(TICK_X, y, TICK, TICK)
    return (Text(TICK_X + 1.8, y + 5.2, DONE, NAME, True),)


def _step(step: Step, heat_in: str, done: str | None) -> Block:
    """A step with its box; `done` None = not ticked, else what was measured of it."""
    gate = step.kind == "gate"
    text = in_degrees(step.text, step.heats, heat_in)
    lines = paper.wrap(text, (WEIGHED_X if gate else TICK_X) - 6, TEXT, step.holds)
    high = max(8.5, 4.2 * len(lines) + 3.6)
    marks: list[Mark] = [
        Text(2 if step.holds else 4, 5.4 + 4.2 * at, line, TEXT, step.holds) for at, line in enumerate(lines)
    ]
    marks += _tick(0.9, done is not None)
    if gate and done:
        marks.append(paper.right(WEIGHED_X + WEIGHED_W - 1.2, 5.4, done, TEXT, True))
    elif gate:
        marks += [
            *frame(WEIGHED_X, 0.9, WEIGHED_W, 7),
            Text(WEIGHED_X + 1, 3.2, "measured", 5.5, colour=GREY),
        ]
    if step.holds:
        marks.append(Box(0, 0.9, 0.6, high - 1.6, INK))
    marks.append(Box(0, high - 0.2, INNER, 0.1, HAIR))
    return Block(high, tuple(marks))


def _row(row: Sequence[str], widths: Sequence[float], head: bool, whole: int = 0) -> Block:
    marks: list[Mark] = []
    x, most = 0.0, 1
    for column, (text, share) in enumerate(zip(row, widths, strict=True)):
        room, size = INNER * share - 2, TEXT
        if column < whole:
            lines = [fonts.printable(text)]
            size = min(TEXT, TEXT * room / max(room, fonts.width_mm(lines[0], TEXT, head)))
        else:
            lines = paper.wrap(text, room, TEXT, head)
        marks += [Text(x, 4.2 + 4.2 * at, line, size, head) for at, line in enumerate(lines)]
        x, most = x + INNER * share, max(most, len(lines))
    high = 4.2 * most + 2
    marks.append(Box(0, high - 0.2, INNER, 0.4 if head else 0.1, INK if head else HAIR))
    return Block(high, tuple(marks), hold=head)


def frame(x: float, y: float, w: float, h: float, thick: float = 0.2, colour: str = GREY) -> tuple[Mark, ...]:
    """An empty box to write in.

    >>> len(frame(0, 0, 30, 8))
    4
    """
    return (
        Box(x, y, w, thick, colour),
        Box(x, y + h - thick, w, thick, colour),
        Box(x, y, thick, h, colour),
        Box(x + w - thick, y, thick, h, colour),
    )

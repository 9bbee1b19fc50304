"""The parts of a card as blocks: title, tones, scent, findings, foot."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from blendlab.errors import MARKS
from blendlab.printing import fonts, paper
from blendlab.printing.nouns import LACKING, CardSheet, ToneLine, missing_letters
from blendlab.printing.paper import GREY, HAIR, INK, PANEL, Block, Box, Corner, Mark, Text, line_mm

NAME_LINES = 4
"""Lines of the name; it takes smaller type before it is cut."""

LONGEST_HELD = 12
"""Lines of one tone or finding that are kept on one page."""

SMALL = 6.5
"""Smallest type in points."""


@dataclass(frozen=True)
class Type:
    """Sizes of one card: content width in mm, sizes of type in points."""

    w: float
    name: float
    text: float
    small: float

    @property
    def gap(self) -> float:
        """Space between two parts, mm."""
        return self.text * 0.3


def strip(tones: Iterable[ToneLine], w: float, h: float) -> tuple[Mark, ...]:
    """The likely colours in their shares, framed by the panel grey."""
    shown = [tone for tone in tones if tone.share_pct > 0]
    total = sum(tone.share_pct for tone in shown) or 1.0
    marks: list[Mark] = [Box(0, 0, w, h, PANEL)]
    x = 1.0
    for tone in shown:
        part = (w - 2) * tone.share_pct / total
        marks.append(Box(x, 1, part, h - 2, tone.likely))
        x += part
    return tuple(marks)


def title(sheet: CardSheet, type_: Type) -> Iterator[Block]:
    """Name, product and jar."""
    sizes = [factor * type_.name for factor in (1.0, 0.85, 0.7, 0.6)]
    fits = (size for size in sizes if len(paper.wrap(sheet.name, type_.w, size, True)) <= NAME_LINES)
    size = next(fits, sizes[-1])
    for line in paper.wrap(sheet.name, type_.w, size, True, most=NAME_LINES):
        yield _line(line, size, bold=True)
    for about in (sheet.product, sheet.jar):
        for line in paper.wrap(about, type_.w, type_.text, most=2):
            yield _line(line, type_.text, colour=GREY)


def _line(text: str, size: float, x: float = 0, bold: bool = False, colour: str = INK) -> Block:
    return Block(line_mm(size), (Text(x, 0.76 * line_mm(size), text, size, bold, colour),))


def _heading(text: str, aside: str, type_: Type) -> Block:
    base = type_.gap + 0.76 * line_mm(type_.text) + 0.6
    marks: list[Mark] = [
        Box(0, type_.gap * 0.7, type_.w, 0.15, HAIR),
        Text(0, base, text, type_.text, True),
    ]
    room = type_.w - fonts.width_mm(text, type_.text, True) - 3
    if aside:
        cut = paper.ellipsis(fonts.printable(aside), room, type_.small)
        marks.append(paper.right(type_.w, base, cut, type_.small, colour=GREY))
    return Block(type_.gap + line_mm(type_.text) + 1.0, tuple(marks), hold=True)


def tones(sheet: CardSheet, type_: Type, percents: bool) -> Iterator[Block]:
    """Each tone with its swatch, hex, Lab, how it is known, doses."""
    yield _heading("Tones, top of the jar first", "swatch: weak, likely, strong", type_)
    for tone in sheet.tones:
        yield from _tone(tone, type_, percents)


def _tone(tone: ToneLine, type_: Type, percents: bool) -> Iterator[Block]:
    left, size = 0.34 * type_.w, type_.small
    room = type_.w - left
    share = f"{tone.share_pct:.4g} %"
    name_w = room - fonts.width_mm(share, type_.text, True) - 2
    named = paper.wrap(tone.name, name_w, type_.text, True, most=2)
    lines = [(line, type_.text, True, INK) for line in named]
    for text, colour in _facts(tone, percents):
        lines += [(line, size, False, colour) for line in paper.wrap(text, room, size)]
    lead = list(lines[: len(named) + 2])
    marks: list[Mark] = [paper.right(type_.w, 0.76 * line_mm(type_.text), share, type_.text, True)]
    y = 0.0
    for line, points, bold, colour in lead:
        marks.append(Text(left, y + 0.76 * line_mm(points), line, points, bold, colour))
        y += line_mm(points)
    marks += swatch(tone, left - 3, min(y, 3.2 * line_mm(type_.text)))
    rest = lines[len(lead) :]
    whole = len(rest) < LONGEST_HELD
    yield Block(y, tuple(marks), hold=bool(rest))
    for number, (line, points, bold, colour) in enumerate(rest, start=1):
        yield replace(_line(line, points, left, bold, colour), hold=whole and number < len(rest))
    yield Block(0.9, ())


def _facts(tone: ToneLine, percents: bool) -> Iterator[tuple[str, str]]:
    yield f"{tone.likely}, from {tone.weak} to {tone.strong}", INK
    named = zip(("L", "a", "b"), tone.lab, strict=True)
    lab = " ".join(f"{part}\u00a0{_signed(value)}" for part, value in named)
    spread = "" if tone.delta_e is None else f"spread Delta\u00a0E\u00a0{tone.delta_e:.1f}"
    gamut = "" if tone.in_gamut else "deeper than a screen can show"
    yield joined(lab, spread, tone.known, gamut), INK
    if tone.doses:
        yield joined(*(_share(pigment, pct, percents) for pigment, pct in tone.doses)), GREY


def joined(*texts: str) -> str:
    """Texts in a row with a dot between them that never begins a line."""
    return "\u00a0· ".join(text for text in texts if text)


def _signed(value: float) -> str:
    return f"{value + 0.0:.1f}".replace("-0.0", "0.0").replace("-", "\u2212")


def _share(what: str, pct: float, percents: bool) -> str:
    return f"{what}\u00a0{pct:.4g}\u00a0%" if percents else what


def swatch(tone: ToneLine, w: float, h: float) -> tuple[Mark, ...]:
    """Weak, likely, strong as 1 : 2 : 1, touching, framed by the panel grey; cut when out of gamut."""
    frame, inner = 0.8, w - 1.6
    marks: list[Mark] = [Box(0, 0, w, h, PANEL)]
    for at, part, colour in ((0.0, 0.25, tone.weak), (0.25, 0.5, tone.likely), (0.75, 0.25, tone.strong)):
        marks.append(Box(frame + at * inner, frame, part * inner, h - 2 * frame, colour))
    if not tone.in_gamut:
        marks.append(Corner(w - frame, frame, 1.8, PANEL))
    return tuple(marks)


def scent(sheet: CardSheet, type_: Type, percents: bool) -> Iterator[Block]:
    """Load, oils, highest load."""
    load = fonts.printable(sheet.load)
    fits = fonts.width_mm(f"Scent {load}", type_.text, True) <= type_.w
    yield _heading("Scent", load if fits else "", type_)
    oils = joined(*(_share(oil, pct, percents) for oil, pct in sheet.scent)) or "No scent."
    for text in ("" if fits else load, oils, sheet.ceiling):
        for line in paper.wrap(text, type_.w, type_.small) if text else []:
            yield _line(line, type_.small)


def names(sheet: CardSheet, type_: Type) -> Iterator[Block]:
    """Names on the label."""
    if sheet.label_names:
        text = f"Names on the label: {', '.join(sheet.label_names)}."
        yield Block(type_.gap * 0.4, ())
        for line in paper.wrap(text, type_.w, type_.small):
            yield _line(line, type_.small, colour=GREY)


def findings(sheet: CardSheet, type_: Type) -> Iterator[Block]:
    """Findings in their order, then the counts."""
    yield _heading("Findings", sheet.date, type_)
    for mark, text in sheet.findings:
        yield from _finding(mark, text, type_)
    for line in paper.wrap(sheet.counts, type_.w, type_.small) if sheet.counts else []:
        yield _line(line, type_.small, colour=GREY)


def _finding(mark: str, text: str, type_: Type) -> Iterator[Block]:
    size, indent = type_.small, 2.6
    word = fonts.printable(mark)
    after = indent + fonts.width_mm(word + "  ", size, True)
    high = line_mm(size)
    first, *rest = _hanging(text, type_.w - after, type_.w - indent, size)
    head = Text(indent, 0.76 * high, word, size, True)
    yield Block(high, (*_rule(mark, high), head, Text(after, 0.76 * high, first, size)), hold=bool(rest))
    for number, line in enumerate(rest, start=1):
        hold = number < len(rest) < LONGEST_HELD
        yield Block(high, (*_rule(mark, high), Text(indent, 0.76 * high, line, size)), hold)
    yield Block(0.6, ())


def _hanging(text: str, first_w: float, w: float, size: float) -> list[str]:
    first = paper.wrap(text, first_w, size)[0]
    rest = fonts.printable(text)[len(first) :].strip()
    return [first, *(paper.wrap(rest, w, size) if rest else [])]


def _rule(mark: str, high: float) -> tuple[Mark, ...]:
    if mark == MARKS["stop"]:
        return (Box(0, 0, 1.2, high, INK),)
    if mark == MARKS["caution"]:
        return Box(0, 0, 0.4, high, INK), Box(0.8, 0, 0.4, high, INK)
    return (Box(0.5, 0, 0.15, high, INK),)


def foot(sheet: CardSheet, type_: Type, page: str) -> Block:
    """Standing words and the number of the page."""
    size = max(SMALL, 0.85 * type_.small)
    said = [*sheet.standing, *([LACKING] if missing_letters(sheet) else [])]
    number = fonts.width_mm(page, size) + 3 if page else 0.0
    blocks = [_line(line, size, colour=GREY) for line in paper.wrap(" ".join(said), type_.w - number, size)]
    marks = (Box(0, 0, type_.w, 0.15, HAIR), *paper.stacked(blocks, 0, 0.8))
    high = 0.8 + sum(block.height for block in blocks)
    if page:
        marks += (paper.right(type_.w, high - 0.24 * line_mm(size), page, size, colour=GREY),)
    return Block(high, marks)

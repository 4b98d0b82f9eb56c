"""The pour sheet: one page of paper that is read at arm's length, with gloves on.

A sheet is composed elsewhere; here it is laid out in the largest letters that fit.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from matplotlib.figure import Figure

from solidsim.errors import ResultsError
from solidsim.pictures.paper_text import POINT, SMALL, Pen
from solidsim.pictures.sheet_sketch import draw_sketch
from solidsim.pictures.style import new_figure, save_figure, settings
from solidsim.quantities import Units
from solidsim.section.layout import Section

Paper = Literal["letter", "a4"]
PAPERS: dict[Paper, tuple[float, float]] = {"letter": (8.5, 11.0), "a4": (8.268, 11.693)}  # in
MARGIN, GUTTER, GAP = 0.5, 0.3, 0.1  # in
LABEL = 1.05  # in, at letters of 10 pt: the column of what is asked
SIZES = (12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0)  # pt
LEAST_SKETCH, MOST_SKETCH = 2.3, 3.6  # in
BLANK = 0.3  # in, from one line to be written on to the next
CELLS = 4  # blanks in a row


@dataclass(frozen=True)
class Line:
    """One thing to know: what, how much, and a word beside it."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True)
class Block:
    """Lines that belong together, under a heading."""

    heading: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Sheet:
    """What stands on a pour sheet, in words.

    Parameters
    ----------
    parting : height [m] and name
        Of the parting line in the section.
    blocks : tuple of Block
        They fill two columns.
    blanks : tuple of str
        What is written down on the floor.
    assumptions, cautions : tuple of str
    more : str
        Where the assumptions stand that find no room.
    """

    title: str
    subtitle: str
    units: Units
    section: Section
    parting: tuple[float, str]
    blocks: tuple[Block, ...]
    blanks: tuple[str, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    more: str


def draw_sheet(sheet: Sheet, path: str | Path, paper: Paper) -> Path:
    """Draw a sheet on one page, as PDF or what else the suffix says.

    Raises
    ------
    ResultsError
        If it does not fit on one page, or cannot be written.
    """
    with settings():
        figure = new_figure(*PAPERS[paper])
        pen, kept, height = _fit(figure, sheet)
        _draw_page(pen, sheet, kept, height)
        return save_figure(figure, path)


def _fit(figure: Figure, sheet: Sheet) -> tuple[Pen, int, float]:
    """Largest pen, number of assumptions kept, and height of the sketch [in] that fit."""
    count = len(sheet.assumptions)
    tries = [(size, count) for size in SIZES] + [(SMALL, kept) for kept in range(count, -1, -1)]
    for size, kept in tries:
        pen = Pen(figure, size)
        height = figure.get_figheight() - 2 * MARGIN - _height(pen, sheet, kept)
        if height >= LEAST_SKETCH:
            return pen, kept, min(height, MOST_SKETCH)
    raise ResultsError("the sheet does not fit on one page; shorten the title or the part names")


def _page_width(pen: Pen) -> float:
    return pen.figure.get_figwidth() - 2 * MARGIN


def _column_width(pen: Pen) -> float:
    return (_page_width(pen) - GUTTER) / 2


def _height(pen: Pen, sheet: Sheet, kept: int) -> float:
    """Height of everything but the sketch, [in]."""
    columns = max(_blocks_height(pen, blocks) for blocks in _columns(pen, sheet))
    bottom = _blanks_height(pen, sheet) + _cautions_height(pen, sheet)
    return _head(pen, sheet, write=False) + columns + bottom + _assumed(pen, sheet, kept) + 4 * GAP


def _draw_page(pen: Pen, sheet: Sheet, kept: int, height: float) -> None:
    y = MARGIN + _head(pen, sheet, write=True)
    place = (MARGIN, y, _page_width(pen), height)
    draw_sketch(pen.figure, sheet.section, place, sheet.units, sheet.parting)
    y += height + GAP
    for number, blocks in enumerate(_columns(pen, sheet)):
        _write_blocks(pen, MARGIN + number * (_column_width(pen) + GUTTER), y, blocks)
    bottom = pen.figure.get_figheight() - MARGIN - _cautions_height(pen, sheet)
    _write_cautions(pen, bottom, sheet)
    bottom -= GAP + _assumed(pen, sheet, kept)
    _assumed(pen, sheet, kept, bottom)
    _write_blanks(pen, bottom - GAP - _blanks_height(pen, sheet), sheet)


def _head(pen: Pen, sheet: Sheet, *, write: bool) -> float:
    """Height [in] of title and subtitle, written if so wished."""
    y = MARGIN
    for text, size in ((sheet.title, pen.size + 5.0), (sheet.subtitle, pen.size)):
        own = pen.sized(size)
        for line in own.wrap(text, _page_width(pen), "bold"):
            if write:
                own.write(MARGIN, y, line, "bold" if size > pen.size else "normal")
            y += own.line
    return y - MARGIN + GAP


def _columns(pen: Pen, sheet: Sheet) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """The blocks in two columns, parted where the longer one is shortest."""
    pairs = [(sheet.blocks[:n], sheet.blocks[n:]) for n in range(1, len(sheet.blocks) + 1)]
    return min(pairs, key=lambda pair: max(_blocks_height(pen, blocks) for blocks in pair))


def _label_width(pen: Pen) -> float:
    return LABEL * pen.size / 10.0


def _line_texts(pen: Pen, line: Line) -> tuple[list[str], list[str], list[str]]:
    """Lines of the label, of the value and of the note."""
    room = _column_width(pen) - _label_width(pen)
    return (
        pen.wrap(line.label, _label_width(pen) - 0.05),
        pen.wrap(line.value, room, "bold"),
        pen.sized(SMALL).wrap(line.note, room),
    )


def _beside(pen: Pen, value: list[str], note: list[str]) -> float:
    """Where a note stands on the line of its value, from the value's left [in]; zero if below."""
    if len(value) != 1 or len(note) != 1:
        return 0.0
    start = pen.width(value[0], "bold") + 0.12
    room = _column_width(pen) - _label_width(pen)
    return start if start + pen.sized(SMALL).width(note[0]) <= room else 0.0


def _line_height(pen: Pen, line: Line) -> float:
    label, value, note = _line_texts(pen, line)
    below = 0 if _beside(pen, value, note) else len(note)
    told = len(value) * pen.line + below * pen.sized(SMALL).line
    return max(len(label) * pen.line, told) + 0.02


def _blocks_height(pen: Pen, blocks: tuple[Block, ...]) -> float:
    lines = sum(_line_height(pen, line) for block in blocks for line in block.lines)
    return lines + len(blocks) * (pen.line + 0.04 + GAP)


def _write_blocks(pen: Pen, x: float, y: float, blocks: tuple[Block, ...]) -> None:
    small = pen.sized(SMALL)
    for block in blocks:
        pen.write(x, y, block.heading.upper(), "bold")
        y += pen.line
        pen.rule(x, y, _column_width(pen))
        y += 0.04
        for line in block.lines:
            label, value, note = _line_texts(pen, line)
            for number, text in enumerate(label):
                pen.write(x, y + number * pen.line, text)
            across = x + _label_width(pen)
            for number, text in enumerate(value):
                pen.write(across, y + number * pen.line, text, "bold")
            beside = _beside(pen, value, note)
            drop = (pen.size - SMALL) * POINT if beside else len(value) * pen.line
            for number, text in enumerate(note):
                small.write(across + beside, y + drop + number * small.line, text)
            y += _line_height(pen, line)
        y += GAP


def _blanks_height(pen: Pen, sheet: Sheet) -> float:
    rows = -(-len(sheet.blanks) // CELLS) + 1
    return pen.line + 0.06 + rows * BLANK + 0.06


def _write_blanks(pen: Pen, y: float, sheet: Sheet) -> None:
    """A box of what is to be written down, with a line for each, and one for defects."""
    width = _page_width(pen)
    pen.box(MARGIN, y, width, _blanks_height(pen, sheet))
    pen.write(MARGIN + 0.08, y + 0.05, "WHAT HAPPENED", "bold")
    small, cell = pen.sized(SMALL), (width - 0.16) / CELLS
    first = y + pen.line + 0.06
    for number, label in enumerate(sheet.blanks):
        row, column = divmod(number, CELLS)
        _write_blank(small, MARGIN + 0.08 + column * cell, first + row * BLANK, cell - 0.1, label)
    rows = -(-len(sheet.blanks) // CELLS)
    _write_blank(small, MARGIN + 0.08, first + rows * BLANK, width - 0.26, "defects, and where")


def _write_blank(pen: Pen, x: float, y: float, width: float, label: str) -> None:
    pen.write(x, y + BLANK - pen.line - 0.02, label)
    start = pen.width(label) + 0.06
    pen.rule(x + start, y + BLANK - 0.04, width - start, 0.6)


def _assumed(pen: Pen, sheet: Sheet, kept: int, y: float | None = None) -> float:
    """Height [in] of the assumptions that are kept, written where a place is given."""
    small = pen.sized(SMALL)
    left = len(sheet.assumptions) - kept
    told = [*sheet.assumptions[:kept], *([f"and {left} more: {sheet.more}"] if left else [])]
    lines = ["WHAT THIS RESTS ON", *small.wrap("; ".join(told) + ".", _page_width(pen))]
    if y is not None:
        for number, line in enumerate(lines):
            level = y + number * small.line
            small.write(MARGIN, level, line, "normal" if number else "bold")
    return len(lines) * small.line


def _caution_lines(pen: Pen, sheet: Sheet) -> list[str]:
    return pen.sized(SMALL).wrap(
        "  ".join(f"• {each}" for each in sheet.cautions), _page_width(pen) - 0.2
    )


def _cautions_height(pen: Pen, sheet: Sheet) -> float:
    return (len(_caution_lines(pen, sheet)) + 1) * pen.sized(SMALL).line + 0.14


def _write_cautions(pen: Pen, y: float, sheet: Sheet) -> None:
    small = pen.sized(SMALL)
    pen.box(MARGIN, y, _page_width(pen), _cautions_height(pen, sheet), 2.5)
    for number, line in enumerate(["CAUTION", *_caution_lines(pen, sheet)]):
        small.write(
            MARGIN + 0.1, y + 0.07 + number * small.line, line, "normal" if number else "bold"
        )

"""Tables on paper: heads repeated on each page, rows whole, long words broken, columns as wide as they need.

Columns in which nothing stands are left out on paper; files have them all.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.records.flow import TICK_MM, Flow
from routeviz.records.paper import Anchor, Path, line, sized, square
from routeviz.records.settings import Paper
from routeviz.records.tables import Cell, Column, Table, Tick, words_of
from routeviz.records.typefaces import lines_of, longest_word_mm, printable, rise_mm, width_mm

PT = 8.0
NOTE_PT = 8.5
PAD = 1.2  # at both sides of a cell
SLACK = 2 * PAD + 0.1  # that a column is wider than its words
AROUND = 0.9  # above and below a cell's lines
LONGEST_MM = 34.0  # a word that runs wider may be broken
RULE, HEAD_RULE = 0.1, 0.4
FEW = 9  # columns at most that an upright page takes


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table's columns on paper: which of them, and how wide each is."""

    columns: tuple[Column, ...]
    kept: tuple[int, ...]
    widths: tuple[float, ...]
    pt: float


def table_pages(table: Table, paper: Paper, *, pt: float = PT) -> Flow:
    """Return a table on pages of its own, its notes below the last row."""
    kept = kept_columns(table)
    flow = Flow(paper, table.title, lying=len(kept) >= FEW)
    put_table(flow, table, pt=pt)
    return flow


def put_table(flow: Flow, table: Table, *, pt: float = PT) -> None:
    """Put a table and its notes where a flow has come to.

    Parameters
    ----------
    flow : Flow
        Pages begin as they are needed; a row higher than a page alone is parted.
    table : Table
        Any.
    pt : float
        Size of the letters.
    """
    grid = grid_of(table, flow.wide, pt)
    if table.rows:
        _head(flow, grid)
    else:
        flow.paragraph("None.", NOTE_PT)
    for row in table.rows:
        _row(flow, grid, [row[k] for k in grid.kept])
    flow.skip(2.0)
    flow.bullets(table.notes, NOTE_PT)


def kept_columns(table: Table) -> tuple[int, ...]:
    """Return the columns in which something stands, those of a table without rows all."""
    every = range(len(table.columns))
    return tuple(k for k in every if not table.rows or any(row[k] not in (None, "") for row in table.rows))


def grid_of(table: Table, room: float, pt: float = PT) -> Grid:
    """Return how wide columns are in a room: each its longest word at least, what is left by their shares.

    Parameters
    ----------
    table : Table
        Any.
    room : float
        In which all stand beside each other.
    pt : float
        Size of the letters.

    Returns
    -------
    grid : Grid
        No column is wider than its longest cell while another one lacks room.
    """
    kept = kept_columns(table)
    columns = tuple(table.columns[k] for k in kept)
    texts = [
        [column.header, *(words_of(row[k]) for row in table.rows)]
        for k, column in zip(kept, columns, strict=True)
    ]
    texts = [list(dict.fromkeys(some)) for some in texts]
    runs = [
        [width_mm(printable(text), pt, bold=not k or _bold(column)) for k, text in enumerate(some)]
        for column, some in zip(columns, texts, strict=True)
    ]
    least = [_least(some, pt, _bold(column)) for column, some in zip(columns, texts, strict=True)]
    most = [max(some) + SLACK for some in runs]
    most = [max(want, low) for want, low in zip(most, least, strict=True)]
    if sum(least) > room:
        return Grid(columns=columns, kept=kept, widths=tuple(low * room / sum(least) for low in least), pt=pt)
    # What runs twice as long takes as much height when it is wider by the root of two.
    weights = [
        c.share * math.sqrt(1.0 + sum(some) / len(some)) for c, some in zip(columns, runs, strict=True)
    ]
    widths = filled(least, most, weights, room)
    return Grid(columns=columns, kept=kept, widths=tuple(widths), pt=pt)


def filled(
    least: Sequence[float], most: Sequence[float], shares: Sequence[float], room: float
) -> list[float]:
    """Return widths that fill a room: by their shares, each at least and if possible at most so wide."""
    widths, open_ones = list(least), [k for k in range(len(least)) if most[k] > least[k]]
    left = room - sum(widths)
    while left > 1e-6 and open_ones:
        step = min((most[k] - widths[k]) / shares[k] for k in open_ones)
        step = min(step, left / sum(shares[k] for k in open_ones))
        for k in open_ones:
            widths[k] += step * shares[k]
        left = room - sum(widths)
        open_ones = [k for k in open_ones if most[k] - widths[k] > 1e-6]
    return [wide + max(left, 0.0) / len(widths) for wide in widths]


def _least(texts: Sequence[str], pt: float, bold: bool) -> float:
    words = max(longest_word_mm(text, pt, bold=bold or not k) for k, text in enumerate(texts))
    return max(min(words, LONGEST_MM), TICK_MM) + SLACK


def _head(flow: Flow, grid: Grid) -> None:
    cells = [
        lines_of(c.header, grid.pt, w - 2 * PAD, bold=True)
        for c, w in zip(grid.columns, grid.widths, strict=True)
    ]
    most = max(map(len, cells))
    flow.need((most + 2) * sized(grid.pt) + 4 * AROUND)
    high = most * sized(grid.pt) + 2 * AROUND
    left = flow.left
    for column, wide, lines in zip(grid.columns, grid.widths, cells, strict=True):
        top = flow.y + AROUND + (most - len(lines)) * sized(grid.pt)
        _lines(flow, (left, top), lines, (column, wide, grid.pt), bold=True)
        left += wide
    flow.skip(high)
    flow.page.draw(_rule(flow, HEAD_RULE))


def _row(flow: Flow, grid: Grid, cells: Sequence[Cell]) -> None:
    rows = list(zip(grid.columns, grid.widths, cells, strict=True))
    texts = [lines_of(words_of(cell), grid.pt, wide - 2 * PAD, bold=_bold(c)) for c, wide, cell in rows]
    ticks = [isinstance(cell, Tick) for cell in cells]
    while True:
        most = max(1, *map(len, texts))
        high = max(most * sized(grid.pt), TICK_MM if any(ticks) else 0.0) + 2 * AROUND
        if high > flow.room and not flow.is_fresh:
            flow.next_page()
            _head(flow, grid)
        fits = max(int((flow.room - 2 * AROUND) / sized(grid.pt)), 1)
        _put_row(flow, grid, [some[:fits] for some in texts], ticks)
        texts, ticks = [some[fits:] for some in texts], [False] * len(ticks)
        if not any(texts):
            return
        flow.next_page()
        _head(flow, grid)


def _put_row(flow: Flow, grid: Grid, texts: Sequence[list[str]], ticks: Sequence[bool]) -> None:
    left, most = flow.left, max(1, *map(len, texts))
    for column, wide, lines, tick in zip(grid.columns, grid.widths, texts, ticks, strict=True):
        if tick:
            flow.page.draw(square(left + (wide - TICK_MM) / 2, flow.y + AROUND, TICK_MM))
        _lines(flow, (left, flow.y + AROUND), lines, (column, wide, grid.pt), bold=_bold(column))
        left += wide
    high = most * sized(grid.pt)
    flow.skip(max(high, TICK_MM if any(ticks) else 0.0) + 2 * AROUND)
    flow.page.draw(_rule(flow, RULE, 0.5))


def _lines(
    flow: Flow, at: tuple[float, float], lines: Sequence[str], how: tuple[Column, float, float], *, bold: bool
) -> None:
    column, wide, pt = how
    anchors: dict[str, tuple[Anchor, float]] = {
        "left": ("start", PAD),
        "right": ("end", wide - PAD),
        "centre": ("middle", wide / 2),
    }
    anchor, off = anchors[column.align]
    for k, text in enumerate(lines):
        base = at[1] + k * sized(pt) + rise_mm(pt)
        flow.page.write((at[0] + off, base), text, pt, bold=bold, anchor=anchor)


def _bold(column: Column) -> bool:
    """Return whether a column is printed heavier: what a tube is known by, and what is wrong with it."""
    return column.name in ("tag", "mark")


def _rule(flow: Flow, wide: float, grey: float = 0.0) -> Path:
    return line((flow.left, flow.y), (flow.left + flow.wide, flow.y), wide, grey=grey)

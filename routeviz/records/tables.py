"""What is a table, whoever writes it out: one truth for pages, CSV files and the workbook.

How it is written as CSV is in csv_files.py, as a workbook in workbook.py.
"""

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from routeviz.scene.lengths import UNITS, as_inches

SIXTEENTHS = 16  # of an inch, as a workshop's tape shows them
NEARLY_MM = 1e-6  # by which arithmetic may lie above the length that is meant


@dataclass(frozen=True, slots=True, kw_only=True)
class Inches:
    """A length in whole sixteenths of an inch: a fraction on paper, an exact decimal in a file."""

    sixteenths: int

    def __str__(self) -> str:
        """Return it as a tape shows it, without the unit: ``51 11/16``."""
        whole, rest = divmod(self.sixteenths, SIXTEENTHS)
        words = [str(whole)] if whole or not rest else []
        return " ".join([*words, str(Fraction(rest, SIXTEENTHS))] if rest else words)

    @property
    def decimal(self) -> float:
        """Return it in inches; sixteenths are exact in binary."""
        return self.sixteenths / SIXTEENTHS


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A box to be ticked by hand; empty in a file."""


Cell = str | int | float | Inches | Tick | None


def words_of(cell: Cell) -> str:
    """Return what a reader sees of a cell; nothing of one to be ticked."""
    return "" if cell is None or isinstance(cell, Tick) else str(cell)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    name : str
        Short and stable, for those who read by machine.
    title : str
        For the reader, without the unit.
    unit : str or None
        What its numbers are in; stands in the header, never in a cell.
    share : float
        How wide it is on paper, beside the others.
    align : str
        ``left`` for words, ``right`` for numbers, ``centre`` for ticks.
    """

    name: str
    title: str
    unit: str | None = None
    share: float = 1.0
    align: Literal["left", "right", "centre"] = "left"

    @property
    def header(self) -> str:
        """Return the title with the unit: ``expected length, mm``."""
        return self.title if self.unit is None else f"{self.title}, {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under columns, and what has to be said with them.

    Parameters
    ----------
    name : str
        Short, for file names: ``tube-list``.
    title : str
        For the reader.
    columns : tuple of Column
        No two of one name.
    rows : tuple of tuple of Cell
        As many cells each as there are columns; no number is infinite or NaN.
    notes : tuple of str
        How its numbers come about, and what is not in it.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the columns, columns of one name, and numbers that are none."""
        names = [column.name for column in self.columns]
        if len(set(names)) < len(names):
            raise ValueError(f"{self.name}: two columns of one name among {', '.join(names)}")
        for row in self.rows:
            if len(row) != len(names):
                raise ValueError(f"{self.name}: a row of {len(row)} cells under {len(names)} columns: {row}")
            if any(isinstance(cell, float) and not math.isfinite(cell) for cell in row):
                raise ValueError(f"{self.name}: a number that is not finite: {row}")


def first_in(table: Table, unit: str) -> Table:
    """Return a table in which of two columns for one length, side by side, the one in a system comes first.

    Parameters
    ----------
    table : Table
        With pairs of columns of one title, in mm and in, or in m and ft.
    unit : str
        ``mm`` for metric ones first, ``in`` for inches and feet.

    Returns
    -------
    table : Table
        The same cells.
    """
    order = list(range(len(table.columns)))
    for left, right in pairwise(range(len(order))):
        one, other = table.columns[left], table.columns[right]
        paired = one.title == other.title and {one.unit, other.unit} in ({"mm", "in"}, {"m", "ft"})
        if paired and (one.unit in ("in", "ft")) != (unit == "in"):
            order[left], order[right] = right, left
    return replace(
        table,
        columns=tuple(table.columns[k] for k in order),
        rows=tuple(tuple(row[k] for k in order) for row in table.rows),
    )


def inches_up(mm: float) -> Inches:
    """Return a length in sixteenths of an inch, the nearest that is not short of it."""
    exact = Fraction(repr(float(mm) - NEARLY_MM)) / UNITS["in"]
    return Inches(sixteenths=max(math.ceil(exact * SIXTEENTHS), 0))


def mm_up(mm: float) -> int:
    """Return a length in whole millimetres, the nearest that are not short of it."""
    return max(math.ceil(mm - NEARLY_MM), 0)


def size_text(mm: float) -> str:
    """Return a diameter in both units, inches to a sixty-fourth: ``5.6 mm (7/32 in)``."""
    return f"{mm:.1f} mm ({as_inches(mm, 64)})"

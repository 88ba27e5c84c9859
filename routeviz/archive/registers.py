"""What is a register: rows under described columns, written as CSV for those who read in fifty years.

Unlike a table for the bench (records/tables.py) it is for machines and archivists: one value a cell, lengths
in mm alone, no rounding to a tape, nothing escaped. How its columns are described as CSVW is in csvw.py.
"""

import csv
import io
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Value = str | int | float | bool | None
Kind = Literal["text", "number", "whole", "yes or no"]
HELD: Mapping[Kind, tuple[type, ...]] = {
    "text": (str,),
    "number": (float, int),
    "whole": (int,),
    "yes or no": (bool,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A column of a register.

    Parameters
    ----------
    name : str
        Header of the column, ``[a-z0-9_]``; ends in ``_mm``, ``_deg`` and so on where it has a unit.
    about : str
        What it says, in a sentence; printed in the reading guide and in the CSVW file.
    kind : str
        What stands in its cells.
    unit : str
        As a reader is told it: ``mm``, ``deg``; empty for none.
    required : bool
        Whether every row has it.
    one_of : tuple of str
        The words that may stand there; empty where any may.
    least : float or None
        No number there is below it; None where any may stand.
    """

    name: str
    about: str
    kind: Kind = "text"
    unit: str = ""
    required: bool = True
    one_of: tuple[str, ...] = ()
    least: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """Rows under described columns.

    Parameters
    ----------
    name : str
        Of its file, without ``.csv``: ``tubes``, ``centreline-pieces``.
    title, about : str
        For the reader: a heading, and what a row is.
    fields : tuple of Field
        No two of one name.
    rows : tuple of tuple
        As many values each as there are fields; None for an empty cell, as which an empty text counts too.
    key : tuple of str
        The columns that tell one row from all others.
    refers : mapping
        From a column to ``(register, column)`` in which its values stand.

    Raises
    ------
    ValueError
        Rows that do not fit their fields, or a key that stands twice.
    """

    name: str
    title: str
    about: str
    fields: tuple[Field, ...]
    rows: tuple[tuple[Value, ...], ...]
    key: tuple[str, ...]
    refers: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what would make a table that contradicts its own description."""
        names = [one.name for one in self.fields]
        if len(set(names)) < len(names):
            raise ValueError(f"{self.name}: two columns of one name among {', '.join(names)}")
        for row in self.rows:
            if len(row) != len(names):
                raise ValueError(f"{self.name}: a row of {len(row)} cells under {len(names)} columns: {row}")
            for one, value in zip(self.fields, row, strict=True):
                _check(self.name, one, value)
        columns = [names.index(name) for name in self.key]
        keys = [tuple(row[k] for k in columns) for row in self.rows]
        if len(set(keys)) < len(keys):
            twice = next(key for key in keys if keys.count(key) > 1)
            raise ValueError(f"{self.name}: the key {twice} stands twice")


def csv_of(register: Register) -> bytes:
    """Return a register as a CSV file: RFC 4180, UTF-8 without a mark, a header, a point before decimals.

    Parameters
    ----------
    register : Register
        Any.

    Returns
    -------
    content : bytes
        The same for the same register. Texts stand as they are: a spreadsheet may take one for a formula.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([one.name for one in register.fields])
    writer.writerows([_written(value) for value in row] for row in register.rows)
    return text.getvalue().encode("utf-8")


def _check(name: str, one: Field, value: Value) -> None:
    if value is None or value == "":
        if one.required:
            raise ValueError(f"{name}: nothing under {one.name}, which every row has")
        return
    right = isinstance(value, HELD[one.kind]) and isinstance(value, bool) == (one.kind == "yes or no")
    if not right or (isinstance(value, float) and not math.isfinite(value)):
        raise ValueError(f"{name}: {value!r} under {one.name}, where a {one.kind} belongs")
    if one.least is not None and isinstance(value, int | float) and value < one.least:
        raise ValueError(f"{name}: {value!r} under {one.name}, where nothing is below {one.least:g}")
    if one.one_of and value not in one.one_of:
        raise ValueError(f"{name}: {value!r} under {one.name}; allowed: {', '.join(one.one_of)}")


def _written(value: Value) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case float():
            return repr(float(value) + 0.0)  # neither -0.0 nor what another package prints of its numbers
        case _:
            return str(value)

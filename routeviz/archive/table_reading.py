"""Does a table in an archive fit its description? Read again as strictly as it was written.

How tables are written is in registers.py, how they are described (CSV on the Web) in csvw.py. A description
is only understood as far as that goes: no pattern of a stranger is ever run.
"""

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from routeviz.archive.bag_reading import quoted, shown, wrong
from routeviz.archive.csvw import BASES
from routeviz.archive.documents import MOST_BYTES
from routeviz.errors import Problem

_SIGNS = re.compile(r"\\(?P<sign>[\\^$.|?*+()\[\]{}])|(?P<plain>[^\\^$.|?*+()\[\]{}])|(?P<next>\|)")
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
FITTING = {
    "string": re.compile(r"[^\0]*"),
    "double": re.compile(_NUMBER),
    "integer": re.compile(r"[+-]?[0-9]{1,18}"),
    "boolean": re.compile("true|false"),
}
KINDS = {base: kind for kind, base in BASES.items()} | {"boolean": "true or false"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """What may stand under a heading."""

    name: str
    base: str
    unit: str
    required: bool
    words: frozenset[str]
    least: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """What a table is said to hold: its columns, and those by which its rows are told apart."""

    columns: tuple[Column, ...]
    key: tuple[str, ...]
    refers: tuple[tuple[str, str, str], ...]  # a column, and table and column in which its cells stand

    @property
    def names(self) -> list[str]:
        """Return what its columns are called."""
        return [column.name for column in self.columns]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table as it was read: cells as they are written, a row's line, and which columns are its key."""

    file: str
    description: Description
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]

    def has(self, *names: str) -> bool:
        """Return whether columns of these names are among its own."""
        return {*names} <= {*self.description.names}

    def column(self, name: str) -> tuple[str, ...]:
        """Return the cells under a heading."""
        at = self.description.names.index(name)
        return tuple(row[at] for row in self.rows)

    def keys(self) -> tuple[tuple[str, ...], ...]:
        """Return each row's key."""
        names = self.description.names
        places = [names.index(name) for name in self.description.key]
        return tuple(tuple(row[k] for k in places) for row in self.rows)


# ── descriptions ─────────────────────────────────────────────────────────────────────────────────
def description_in(file: str, told: Any) -> tuple[Description | None, tuple[Problem, ...]]:
    """Return a table's description.

    Parameters
    ----------
    file : str
        In which it stands, for a message.
    told : object
        One table's part of a JSON document.

    Returns
    -------
    description : Description or None
        None where there are problems.
    problems : tuple of Problem
        What is not as this program describes tables.
    """
    try:
        schema = told["tableSchema"]
        columns = tuple(_column(one) for one in schema["columns"])
        names = [column.name for column in columns]
        key = tuple(_text(name) for name in schema["primaryKey"])
        refers = tuple(_reference(one) for one in schema.get("foreignKeys", ()))
        _check_names(names, key, [one[0] for one in refers])
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        reason = f"no {error}" if isinstance(error, KeyError) else shown(str(error))
        found = f"a description that cannot be understood: {reason}"
        return None, (wrong(file, found, "CSV on the Web as `routeviz archive` writes it"),)
    return Description(columns=columns, key=key, refers=refers), ()


def _check_names(names: Sequence[str], key: Sequence[str], others: Sequence[str]) -> None:
    if len(set(names)) < len(names):
        raise ValueError("a column twice")
    if not key or not {*key, *others} <= {*names}:
        raise ValueError("a key or a reference of a column that is not there")


def _column(told: Any) -> Column:
    kind = told["datatype"]
    told_kind = {"base": kind} if isinstance(kind, str) else dict(kind)
    base = _text(told_kind["base"])
    if base not in FITTING or not told_kind.keys() <= {"base", "format", "minimum"}:
        raise ValueError(f"the datatype {kind!r}")
    words = told_kind.get("format")
    least = told_kind.get("minimum")
    if told["titles"] != told["name"] or not isinstance(told["required"], bool):
        raise ValueError(f"the column {told['name']!r}")
    return Column(
        name=_text(told["name"]),
        base=base,
        unit=_text(told.get("schema:unitText", "")),
        required=told["required"],
        words=frozenset() if words is None else frozenset(_words(_text(words))),
        least=None if least is None else float(_text(least)),
    )


def _words(pattern: str) -> list[str]:
    """Return the words that a pattern allows, which must be nothing but words with strokes between."""
    words, place = [""], 0
    while place < len(pattern):
        sign = _SIGNS.match(pattern, place)
        if sign is None:
            raise ValueError(f"the pattern {pattern!r}")
        if sign["next"]:
            words.append("")
        else:
            words[-1] += sign["sign"] or sign["plain"]
        place = sign.end()
    return words


def _reference(told: Any) -> tuple[str, str, str]:
    to = told["reference"]
    return _text(told["columnReference"]), _text(to["resource"]), _text(to["columnReference"])


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(f"{value!r} where a text belongs")
    return value


# ── tables ───────────────────────────────────────────────────────────────────────────────────────
def table_in(file: str, content: bytes, description: Description) -> tuple[Table | None, tuple[Problem, ...]]:
    """Return a table that fits its description, or everything in which it does not.

    Parameters
    ----------
    file : str
        Its path in the archive.
    content : bytes
        All of it: CSV as RFC 4180 has it, UTF-8.
    description : Description
        What it is said to hold.

    Returns
    -------
    table : Table or None
        None where its cells cannot be told apart.
    problems : tuple of Problem
        Each with its line.
    """
    if len(content) > MOST_BYTES:
        return None, (wrong(file, f"{len(content) / 1e6:.0f} MB", f"at most {MOST_BYTES / 1e6:.0f} MB"),)
    try:
        lines, rows = _rows(content.decode("utf-8"))
    except UnicodeDecodeError:
        return None, (wrong(file, "letters that are not UTF-8", "text in UTF-8 without a mark"),)
    except csv.Error as error:
        return None, (wrong(file, f"cells that cannot be told apart: {shown(str(error))}", "CSV (RFC 4180)"),)
    names = description.names
    if not rows or rows[0] != names:
        found = f"the headings {quoted(', '.join(rows[0]))}" if rows else "no headings"
        return None, (wrong(file, found, ", ".join(names), line=1),)
    uneven = [
        wrong(file, f"{len(row)} cells", f"{len(names)} cells, one a heading", line=line)
        for line, row in zip(lines, rows, strict=True)
        if len(row) != len(names)
    ]
    if uneven:
        return None, tuple(uneven)
    table = Table(
        file=file, description=description, rows=tuple(map(tuple, rows[1:])), lines=tuple(lines[1:])
    )
    return table, (*_unfit(table), *_twice(table))


def _rows(text: str) -> tuple[list[int], list[list[str]]]:
    """Return rows, each with its first line."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    lines, rows, line = [], [], 1
    for row in reader:
        lines.append(line)
        rows.append(row)
        line = reader.line_num + 1
    return lines, rows


def _unfit(table: Table) -> Iterator[Problem]:
    """Yield the cells that do not fit their column."""
    for column, cells in zip(table.description.columns, zip(*table.rows, strict=True), strict=False):
        fits = FITTING[column.base].fullmatch
        for line, cell in zip(table.lines, cells, strict=True):
            if cell == "":
                if column.required:
                    yield wrong(table.file, f"nothing under {column.name}", "a value in each row", line=line)
            elif fits(cell) is None or column.words or column.least is not None:
                yield from _cell_problem(table.file, line, column, cell)


def _cell_problem(file: str, line: int, column: Column, cell: str) -> Iterator[Problem]:
    """Yield what is wrong with a cell that holds something."""
    allowed = None
    if not FITTING[column.base].fullmatch(cell):
        allowed = f"a {KINDS[column.base]}"
    elif column.words and cell not in column.words:
        allowed = ", ".join(sorted(column.words))
    elif column.least is not None and float(cell) < column.least:
        allowed = f"at least {column.least:g}"
    if allowed is not None:
        yield wrong(file, f"{quoted(cell)} under {column.name}", allowed, line=line)


def _twice(table: Table) -> Iterator[Problem]:
    first: dict[tuple[str, ...], int] = {}
    for line, key in zip(table.lines, table.keys(), strict=True):
        other = first.setdefault(key, line)
        if other != line:
            found = f"{quoted(', '.join(key))} again, as in line {other}"
            names = ", ".join(table.description.key)
            yield wrong(table.file, found, f"rows that differ in {names}", line=line)


def astray(tables: Mapping[str, Table]) -> Iterator[Problem]:
    """Yield the cells that should stand in another table, and do not.

    Parameters
    ----------
    tables : mapping of Table
        By the name of their files, ``tubes.csv``.

    Yields
    ------
    problem : Problem
        For a cell, or for a table or a column that is not there.
    """
    for table in tables.values():
        for column, name, key in table.description.refers:
            other = tables.get(name)
            if other is None or key not in other.description.names:
                yield wrong(table.file, f"{column} refers to {shown(name)}", "tables of this archive")
                continue
            known = set(other.column(key))
            for line, cell in zip(table.lines, table.column(column), strict=True):
                if cell not in known:
                    found = f"{quoted(cell)} under {column}"
                    yield wrong(table.file, found, f"what stands in {name} under {key}", line=line)

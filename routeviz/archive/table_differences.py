"""Do the tables of an archive follow from the scene in it? Made anew, they are compared cell by cell.

How a table is read is in table_reading.py; how they are made anew, in recomputing.py.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from routeviz.archive.bag_reading import quoted, wrong
from routeviz.archive.table_reading import Column, Table
from routeviz.checks.findings import SLACK_MM
from routeviz.errors import Problem

# How far two machines may be apart. A length is measured to the width of an interval.
TOLERANCES = {"mm": SLACK_MM, "deg": 0.05}
SHARE = 1e-3  # of other numbers: a direction moves by as much where a length of 50 mm moves by 0.05 mm
UNIT = "unit"
MOST_A_TABLE = 5  # differences of one table that are told one by one
SOUND = "what the scene in the archive gives"
REMEDY = "keep the archive as it is, and ask whoever made it: its tables do not follow from its own scene"


def differences(stored: Table, made: Table) -> tuple[Problem, ...]:
    """Return in what a table as it is stored differs from the same table made anew.

    Parameters
    ----------
    stored, made : Table
        Each fits its own description.

    Returns
    -------
    problems : tuple of Problem
        With the line in the stored table; of many alike, the first.
    """
    columns = made.description.columns
    if (stored.description.columns, stored.description.key) != (columns, made.description.key):
        return (wrong(stored.file, "columns that are described otherwise", SOUND, REMEDY),)
    if stored.rows == made.rows:
        return ()
    told = [*_rows_apart(stored, made), *_cells_apart(stored, made, columns)]
    more = len(told) - MOST_A_TABLE
    if more <= 1:
        return tuple(told)
    return (*told[:MOST_A_TABLE], wrong(stored.file, f"{more:,} more differences", SOUND, REMEDY))


def _rows_apart(stored: Table, made: Table) -> Iterator[Problem]:
    """Yield rows that only one of the two has, or their order."""
    old, new = stored.keys(), made.keys()
    wanted = set(new)
    for line, key in zip(stored.lines, old, strict=True):
        if key not in wanted:
            yield wrong(
                stored.file, f"the row {_told(key)} is stored, but does not come anew", SOUND, REMEDY, line
            )
    there = set(old)
    for key in new:
        if key not in there:
            yield wrong(stored.file, f"the row {_told(key)} comes anew, but is not stored", SOUND, REMEDY)
    if old != new and there == wanted:
        yield wrong(stored.file, "its rows stand in another order", SOUND, REMEDY)


def _cells_apart(stored: Table, made: Table, columns: tuple[Column, ...]) -> Iterator[Problem]:
    """Yield the cells of the rows that both have, where they are further apart than they may be."""
    anew = dict(zip(made.keys(), made.rows, strict=True))
    names = [column.name for column in columns]
    for line, key, row in zip(stored.lines, stored.keys(), stored.rows, strict=True):
        for column, old, new in zip(columns, row, anew.get(key, row), strict=True):
            if old != new and not _near(column.base, column.unit or _unit_in(row, names), old, new):
                found = f"{column.name} of {_told(key)}: stored {_cell(old)}, made anew {_cell(new)}"
                yield wrong(stored.file, found, SOUND, REMEDY, line)


def _unit_in(row: Sequence[str], names: Sequence[str]) -> str:
    """Return the unit of a row's numbers, where it stands in a column of its own."""
    return row[names.index(UNIT)] if UNIT in names else ""


def _near(base: str, unit: str, old: str, new: str) -> bool:
    """Return whether two cells say the same within what two machines may be apart."""
    if base != "double" or not old or not new:
        return False
    first, second = float(old), float(new)
    return abs(first - second) <= TOLERANCES.get(unit, SHARE * max(1.0, abs(first)))


def rules_apart(stored: Table, made: Table, column: str) -> Iterator[Problem]:
    """Yield for which rules other numbers of findings are stored than come anew.

    Parameters
    ----------
    stored, made : Table
        The findings.
    column : str
        In which their rule stands.

    Yields
    ------
    problem : Problem
        For a rule.
    """
    old, new = Counter(stored.column(column)), Counter(made.column(column))
    for rule in sorted(old.keys() | new.keys()):
        if old[rule] != new[rule]:
            found = f"findings of the rule {quoted(rule)}: {old[rule]} stored, {new[rule]} made anew"
            yield wrong(stored.file, found, SOUND, REMEDY)


def _told(key: tuple[str, ...]) -> str:
    return quoted(", ".join(key))


def _cell(text: str) -> str:
    return quoted(text) if text else "nothing"

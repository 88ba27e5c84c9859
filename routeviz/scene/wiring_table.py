"""Which tubes does a wiring table hold? CSV as RFC 4180 has it, a row a tube or a run of tubes.

What the tubes may say is in description.py; their ends are understood in wiring.py.
"""

import csv
import io
import re
from pathlib import Path, PureWindowsPath
from typing import Any

from routeviz.errors import Problem, SceneError
from routeviz.scene.parsing import text_of
from routeviz.scene.positions import Key, Place
from routeviz.scene.spelling import nearest_first

COLUMNS = (
    "from", "to", "tubing", "name", "tag", "label", "carries", "through", "stage", "cut", "note",
)  # fmt: skip
NEEDED = ("from", "to", "tubing")
MOST_ROWS = 2000
_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")


def tubes_in(
    path: Path, file: str, first: int
) -> tuple[list[dict[str, Any]], dict[Key, Place], tuple[Problem, ...]]:
    """Return the tubes of a wiring table as a scene would say them.

    Parameters
    ----------
    path : Path
        Where the table lies; commas or semicolons between the columns, a byte order mark allowed.
    file : str
        As the user is told of it.
    first : int
        How many tubes the scene has by itself.

    Returns
    -------
    tubes : list of dict
        Like the scene's ``[[tubes]]``; an empty cell says nothing; ``through`` is parted by semicolons.
    places : dict
        Where each value stands in the table.
    problems : tuple of Problem
        Of the header, and rows with too many cells.
    """
    try:
        text = text_of(path, file)
    except SceneError as error:
        return [], {}, error.problems
    try:
        header, *rows = _rows(text) or [(1, [])]
    except csv.Error:
        found, allowed = "cells that cannot be told apart", "a table as RFC 4180 has it"
        remedy = "put quotes around whole cells, and write a quote inside as two"
        return [], {}, (_problem(file, 1, found, allowed, remedy),)
    columns = [cell.strip().casefold() for cell in header[1]]
    problems = [*_wrong_header(columns, file)]
    if len(rows) > MOST_ROWS:
        problems.append(
            _problem(file, 1, f"{len(rows)} rows", f"at most {MOST_ROWS}", "part the table, or use ranges")
        )
    if problems:
        return [], {}, tuple(problems)
    tubes: list[dict[str, Any]] = []
    places: dict[Key, Place] = {}
    for line, cells in rows:
        if len(cells) > len(columns):
            found = f"{len(cells)} cells under {len(columns)} headings"
            remedy = "put quotes around a cell that holds the sign between the columns"
            problems.append(_problem(file, line, found, "a cell for each heading", remedy))
            continue
        key: Key = ("tubes", first + len(tubes))
        places[key] = Place(file, line, 1)
        places |= {(*key, column): Place(file, line, 1) for column in columns}
        tubes.append(_tube(dict(zip(columns, cells, strict=False))))
    return tubes, places, tuple(problems)


def path_in(folder: Path, name: str) -> Path | None:
    """Return where a file in the scene's folder lies, or None for one that lies outside of it.

    Parameters
    ----------
    folder : Path
        The scene's.
    name : str
        As the scene names the file, with either slash.

    Returns
    -------
    path : Path or None
        With links followed.
    """
    said = PureWindowsPath(name)  # the stricter rules, so that a scene means the same everywhere
    if said.anchor or ".." in said.parts or ":" in name or not said.parts or "\0" in name:
        return None
    home = folder.resolve()
    try:
        real = home.joinpath(*said.parts).resolve()
    except (OSError, RuntimeError):
        return None
    return real if real.is_relative_to(home) else None


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Return rows that hold something, each with its first line."""
    heading = text.lstrip("\n").split("\n", 1)[0]
    delimiter = ";" if ";" in heading else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    line = 1
    for cells in reader:
        if any(cell.strip() for cell in cells):
            rows.append((line, [cell.strip() for cell in cells]))
        line = reader.line_num + 1
    return rows


def _wrong_header(columns: list[str], file: str) -> list[Problem]:
    problems = []
    for column in columns:
        if column not in COLUMNS:
            near = nearest_first(column, COLUMNS)
            found = f"the heading {column[:60]!r}"
            problems.append(_problem(file, 1, found, ", ".join(COLUMNS), f"did you mean {near[0]!r}?"))
    for column in sorted({column for column in columns if columns.count(column) > 1 and column in COLUMNS}):
        problems.append(_problem(file, 1, f"the heading {column!r} twice", "each heading once", "keep one"))
    for column in NEEDED:
        if column not in columns:
            remedy = f"name {', '.join(NEEDED)} in the first line"
            problems.append(_problem(file, 1, f"no column {column!r}", ", ".join(COLUMNS), remedy))
    return problems


def _tube(cells: dict[str, str]) -> dict[str, Any]:
    tube: dict[str, Any] = {column: cell for column, cell in cells.items() if cell}
    if "through" in tube:
        tube["through"] = [name.strip() for name in tube["through"].split(";") if name.strip()]
    if _NUMBER.fullmatch(tube.get("cut", "")):
        tube["cut"] = float(tube["cut"])
    return tube


def _problem(file: str, line: int, found: str, allowed: str, remedy: str) -> Problem:
    return Problem(file=file, key="", found=found, allowed=allowed, remedy=remedy, line=line, column=1)

"""A table as a CSV file that a spreadsheet opens and no cell of which it takes for a formula.

RFC 4180: lines end in CR LF, cells with commas, quotes or line ends stand in quotes, quotes are doubled.
UTF-8 with a byte order mark, so that spreadsheets know it. Numbers are bare, with a point before decimals;
their unit stands in the header. An inch cell is a decimal, exact to the sixteenth; a tick is empty.

A text that a spreadsheet would take for a formula, one that begins with ``= + - @`` or their wide forms, a
tab or an end of line, be it after blanks, gets an apostrophe before it; so does one that begins with an
apostrophe. To have back what was written, take one apostrophe off each text that begins with one:
``unescaped``.
"""

import csv
import io
import unicodedata

from routeviz.records.tables import Cell, Inches, Table, Tick

TAKEN = frozenset("=+-@＝＋－＠\t\r\n\0")
ESCAPE = "'"
BYTE_ORDER_MARK = "\ufeff"


def csv_bytes(table: Table) -> bytes:
    """Return a table as the content of a CSV file: a header, then a line a row; notes are not in it.

    Parameters
    ----------
    table : Table
        Any.

    Returns
    -------
    content : bytes
        The same for the same table.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([escaped(column.header) for column in table.columns])
    writer.writerows([_written(cell) for cell in row] for row in table.rows)
    return (BYTE_ORDER_MARK + text.getvalue()).encode("utf-8")


def escaped(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula; ``unescaped`` gives it back."""
    return f"{ESCAPE}{text}" if text.startswith(ESCAPE) or _begins(text) in TAKEN else text


def unescaped(text: str) -> str:
    """Return a text as it was before ``escaped``."""
    return text.removeprefix(ESCAPE)


def _begins(text: str) -> str:
    """Return the first sign that a spreadsheet may look at, past blanks and signs without width."""
    for sign in text:
        if sign in TAKEN or not (sign.isspace() or unicodedata.category(sign) in ("Cf", "Cc")):
            return sign
    return ""


def _written(cell: Cell) -> str:
    match cell:
        case str():
            return escaped(cell)
        case Inches():
            return repr(cell.decimal)
        case None | Tick():
            return ""
        case _:
            return repr(cell)

"""All tables as one workbook, a sheet each: numbers as numbers, text as text, the same bytes each time."""

import io
import re
import textwrap
import zipfile
from collections.abc import Sequence
from datetime import datetime

from openpyxl import Workbook
from openpyxl.cell.cell import Cell as Place
from openpyxl.cell.cell import MergedCell
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.xml.functions import tostring

from routeviz.records.settings import Paper
from routeviz.records.tables import Cell, Column, Inches, Table, Tick, words_of
from routeviz.views.lines import plain

MADE = datetime(1980, 1, 1)  # in place of the hour, so that the same scene gives the same bytes
ZIPPED = (1980, 1, 1, 0, 0, 0)  # the first moment that a zip file can name
PROPERTIES = "docProps/core.xml"
SIXTEENTHS_SHOWN = "# ??/16"
LONGEST_TEXT = 32_767  # characters in a cell, by the file format
LONGEST_NAME = 31  # characters in a sheet's name, likewise
NARROWEST, WIDEST = 6, 48  # columns, in characters
MARGIN = 2  # of a column, likewise
LINE_PT, HIGHEST_PT = 15.0, 409.0  # rows: a line of the usual letters, and the file format's limit
BOX = "☐"
PAPER_SIZES = {"A4": 9, "Letter": 1}  # as the file format numbers them
THIN = Side(style="thin", color="999999")


def workbook_bytes(title: str, tables: Sequence[Table], paper: Paper = "A4") -> bytes:
    """Return tables as the content of an XLSX file, after a sheet with the notes of all.

    Parameters
    ----------
    title : str
        The scene's.
    tables : sequence of Table
        No two of one title.
    paper : str
        On what it is printed.

    Returns
    -------
    content : bytes
        The same for the same tables. A cell never holds a formula: text is stored as text, whatever its first
        sign; signs that are no print are spelt out.
    """
    book = Workbook()
    book.properties.title, book.properties.creator = plain(title), "routeviz"
    book.properties.created = book.properties.modified = MADE
    del book["Sheet"]
    for table in (_notes(tables), *tables):
        _fill(book.create_sheet(_sheet_name(table.title)), table, paper)
    written = io.BytesIO()
    book.save(written)
    book.properties.modified = MADE  # saving has put the hour there
    return _repacked(written.getvalue(), tostring(book.properties.to_tree()))


def _notes(tables: Sequence[Table]) -> Table:
    """Return what has to be said with the tables, as one more."""
    columns = (Column(name="sheet", title="sheet", share=1), Column(name="note", title="note", share=5))
    rows = tuple((table.title, note) for table in tables for note in table.notes)
    return Table(name="notes", title="Notes", columns=columns, rows=rows)


def _sheet_name(title: str) -> str:
    return re.sub(r"[\[\]:*?/\\]", " ", title)[:LONGEST_NAME].strip("' ")


def _fill(sheet: Worksheet, table: Table, paper: Paper) -> None:
    for number, column in enumerate(table.columns, 1):
        head = sheet.cell(1, number)
        _set(head, column.header or " ", "s")
        head.font, head.border = Font(bold=True), Border(bottom=THIN)
        head.alignment = Alignment(wrap_text=True, vertical="bottom")
        sheet.column_dimensions[get_column_letter(number)].width = _width(table, number - 1)
    widths = [_width(table, number) for number in range(len(table.columns))]
    _raise(sheet, 1, [column.header for column in table.columns], widths)
    for row, cells in enumerate(table.rows, 2):
        for number, cell in enumerate(cells, 1):
            _put(sheet, row, number, cell)
        _raise(sheet, row, [words_of(cell) for cell in cells], widths)
    sheet.freeze_panes = "A2"
    if table.rows:
        sheet.auto_filter.ref = sheet.dimensions
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = PAPER_SIZES[paper]
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _raise(sheet: Worksheet, row: int, texts: Sequence[str], widths: Sequence[float]) -> None:
    """Give a row room for all lines of its texts; not every program reckons that by itself."""
    lines = [
        sum(max(1, len(textwrap.wrap(line, int(width) - MARGIN))) for line in text.splitlines())
        for text, width in zip(texts, widths, strict=True)
    ]
    sheet.row_dimensions[row].height = min(LINE_PT * max([1, *lines]), HIGHEST_PT)


def _put(sheet: Worksheet, row: int, number: int, cell: Cell) -> None:
    if cell is None or cell == "":
        return
    place = sheet.cell(row, number)
    place.alignment = Alignment(wrap_text=isinstance(cell, str), vertical="top")
    match cell:
        case str():
            _set(place, plain(cell)[:LONGEST_TEXT], "s")
            place.quotePrefix = True
        case Inches():
            _set(place, cell.decimal, "n")
            place.number_format = SIXTEENTHS_SHOWN
        case Tick():
            _set(place, BOX, "s")
            place.alignment = Alignment(horizontal="center", vertical="top")
        case _:
            _set(place, cell, "n")


def _set(place: Place | MergedCell, value: str | float, kind: str) -> None:
    """Store a value as what it is: the package would take a text with an equals sign for a formula."""
    assert isinstance(place, Place)  # nothing is merged
    place.value = value
    place.data_type = kind


def _width(table: Table, number: int) -> float:
    """Return a column's width in characters: that of its longest word or cell, within bounds."""
    words = [len(word) for word in table.columns[number].header.split()]
    cells = [len(line) for row in table.rows for line in words_of(row[number]).splitlines()]
    return float(min(max([*words, *cells, NARROWEST]) + MARGIN, WIDEST))


def _repacked(content: bytes, properties: bytes | str) -> bytes:
    """Return a workbook whose parts bear no hour, with these properties."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(packed, "w") as new:
        for name in sorted(old.namelist(), key=lambda name: (name != "[Content_Types].xml", name)):
            info = zipfile.ZipInfo(name, ZIPPED)
            info.compress_type, info.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            info.create_system = 3
            new.writestr(info, properties if name == PROPERTIES else old.read(name))
    return packed.getvalue()

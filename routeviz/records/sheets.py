"""The set for the bench: all pages as one PDF, and beside it tables and drawings as files."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import PurePath

from routeviz.lay import Lay
from routeviz.records.bench_tables import bench_tables
from routeviz.records.caution_page import caution_pages
from routeviz.records.chart_pages import chart_pages
from routeviz.records.csv_files import csv_bytes
from routeviz.records.drawing_pages import drawing_pages, drawings_for
from routeviz.records.paper import Block, Page, finished
from routeviz.records.plate_pages import plate_pages
from routeviz.records.press import pdf_bytes
from routeviz.records.settings import Settings
from routeviz.records.supply_page import supply_pages
from routeviz.records.survey_form import survey_pages
from routeviz.records.table_pages import table_pages
from routeviz.records.tables import Table
from routeviz.records.tag_pages import tag_pages
from routeviz.records.tubing_test import tubing_pages
from routeviz.records.typefaces import printable
from routeviz.records.wall_sheet import wall_pages
from routeviz.records.workbook import workbook_bytes
from routeviz.views.drawing import Drawing
from routeviz.views.dxf import dxf_of
from routeviz.views.svg import svg_of

UNDATED = datetime(1980, 1, 1, tzinfo=UTC)  # in a file whose date nobody gave, as in the workbook
ELSEWHERE = ("wall", "rows", "supply")  # tables that have a page of their own kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What a set says of itself.

    Parameters
    ----------
    when : datetime or None
        Its date, as printed and as its file tells; None leaves a blank to be filled in by hand.
    survey : bool
        Whether the survey form is in it.
    """

    when: datetime | None = None
    survey: bool = False

    @property
    def date(self) -> str:
        """Return the date as ISO 8601 writes it; empty where there is none."""
        return self.when.date().isoformat() if self.when is not None else ""


def sheets_pdf(
    lay: Lay, settings: Settings, made: Made | None = None, drawn: Sequence[Drawing] | None = None
) -> bytes:
    """Return the PDF set of a lay, the same bytes for the same lay.

    Parameters
    ----------
    lay : Lay
        As checked; ``refusing.why_refused`` says whether it is ready.
    settings : Settings
        How sheets are to be made.
    made : Made or None
        Date and survey form; None for neither.
    drawn : sequence of Drawing or None
        As ``drawings_for`` gives them, where they are at hand; None has them made.

    Returns
    -------
    content : bytes
        Of the PDF file.
    """
    made = made or Made()
    if drawn is None:
        drawn = drawings_for(lay, settings, made.date)
    pages = sheets_pages(lay, settings, made, bench_tables(lay, settings), drawn)
    return _printed(lay, pages, made)


def survey_pdf(lay: Lay, settings: Settings, made: Made | None = None) -> bytes:
    """Return the survey form alone, with the tubing test: for a scene whose tubes await a route."""
    made = made or Made(survey=True)
    return _printed(lay, [*survey_pages(lay, settings.paper), *tubing_pages(lay, settings)], made)


def sheets_files(lay: Lay, settings: Settings, made: Made) -> Mapping[str, bytes]:
    """Return all files of the set of a lay by their names, the PDF first.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        How sheets are to be made.
    made : Made
        Date and survey form.

    Returns
    -------
    files : mapping of bytes
        PDF, workbook, a CSV file a table, an SVG and a DXF file a drawing.
    """
    stem = stem_of(lay)
    tables, drawn = bench_tables(lay, settings), drawings_for(lay, settings, made.date)
    files = {
        f"{stem}-sheets.pdf": _printed(lay, sheets_pages(lay, settings, made, tables, drawn), made),
        f"{stem}-sheets.xlsx": workbook_bytes(lay.reading.scene.title, tables, settings.paper),
    }
    files |= {f"{stem}-{table.name}.csv": csv_bytes(table) for table in tables}
    for drawing in drawn:
        files[f"{stem}-{drawing.name}.svg"] = svg_of(drawing).encode()
        files[f"{stem}-{drawing.name}.dxf"] = dxf_of(drawing)
    return files


def stem_of(lay: Lay) -> str:
    """Return with what the names of all files of a set begin: the scene's."""
    return PurePath(lay.reading.file).stem


def sheets_pages(
    lay: Lay, settings: Settings, made: Made, tables: Sequence[Table], drawn: Sequence[Drawing]
) -> list[Page]:
    """Return all pages of a set, the cautions and what is in it first, without title blocks yet."""
    parts: Iterable[Callable[[], list[Page]]] = (
        lambda: wall_pages(lay, settings),
        lambda: chart_pages(lay, settings),
        lambda: supply_pages(lay, settings),
        lambda: _table_pages(tables, settings),
        lambda: plate_pages(lay, settings),
        lambda: drawing_pages(drawn),
        lambda: tag_pages(lay, settings),
        lambda: survey_pages(lay, settings.paper) if made.survey else [],
        lambda: tubing_pages(lay, settings),
    )
    rest = [page for part in parts for page in part()]
    bare = [table.title for table in tables if not table.rows and table.name not in ELSEWHERE]
    first: list[Page] = []
    for _ in range(3):  # what stands before moves all numbers; a page more or less shows the second time
        first = caution_pages(lay, settings, contents_of(rest, len(first) or 1, bare))
    return first + rest


def contents_of(pages: Sequence[Page], before: int, bare: Sequence[str]) -> list[tuple[str, str]]:
    """Return what is on which sheets, for pages that come after some others; then what there is none of."""
    spans: dict[str, list[int]] = {}
    for number, page in enumerate(pages, before + 1):
        kind = "Plates, true size" if page.title.startswith("Plate:") else page.title
        kind = "Drawings" if page.title.startswith("Drawing:") else kind
        spans.setdefault(kind, []).append(number)
    told = [(title, str(on[0]) if len(on) == 1 else f"{on[0]}–{on[-1]}") for title, on in spans.items()]
    return [*told, *((title, "none") for title in bare)]


def _table_pages(tables: Sequence[Table], settings: Settings) -> list[Page]:
    some = [table for table in tables if table.name not in ELSEWHERE and table.rows]
    return [page for table in some for page in table_pages(table, settings.paper).pages]


def _printed(lay: Lay, pages: Sequence[Page], made: Made) -> bytes:
    block = Block(
        title=lay.reading.scene.title,
        file=PurePath(lay.reading.file).name,
        date=made.date,
        maker=f"routeviz {version('routeviz')}",
    )
    title = f"{' '.join(printable(lay.reading.scene.title).split())}: sheets for the bench"
    return pdf_bytes(finished(pages, block), title, made.when or UNDATED)

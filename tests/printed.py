"""Words to read a PDF back, and a print of it as dots, by a library that has no part in making it: PDFium."""

import io
import re
from functools import cache

import numpy as np
import pypdfium2
import shapely
from benched import lay_of
from shapely import STRtree

from routeviz.records.bench_tables import bench_tables
from routeviz.records.drawing_pages import drawings_for
from routeviz.records.paper import Block, Box, finished
from routeviz.records.press import pdf_bytes
from routeviz.records.settings import Settings
from routeviz.records.sheets import UNDATED, Made, sheets_pages, sheets_pdf

PAPERS = ("A4", "Letter")
MM = 25.4 / 72
BLOCK = Block(title="Any", file="any.toml", date="", maker="a test")
SURVEYED = Made(survey=True)


@cache
def set_of(name, paper):
    """The whole set of an example scene."""
    return sheets_pdf(lay_of(name), Settings(paper=paper), SURVEYED)


@cache
def pages_of(name, paper):
    """The pages of that set, as values."""
    lay, settings = lay_of(name), Settings(paper=paper)
    tables = bench_tables(lay, settings)
    return finished(sheets_pages(lay, settings, SURVEYED, tables, drawings_for(lay, settings, "")), BLOCK)


def pressed(pages):
    """Pages as a PDF."""
    return pdf_bytes(finished(pages, BLOCK), "any", UNDATED)


def opened(content):
    """A PDF, opened."""
    return pypdfium2.PdfDocument(io.BytesIO(content))


def texts(content):
    """What PDFium reads on each page; blanks and line ends are one blank."""
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_bounded()) for page in opened(content)]


def rects(page):
    """The rectangles in which words stand on a page."""
    _, high = page.get_size()
    words = page.get_textpage()
    found = []
    for k in range(words.count_rects()):
        left, bottom, right, top = words.get_rect(k)
        said = words.get_text_bounded(left, bottom, right, top)
        sides = left * MM, (high - top) * MM, right * MM, (high - bottom) * MM
        found.append(Box(left=sides[0], top=sides[1], right=sides[2], bottom=sides[3], what=said))
    return found


def dots(page, dpi=600, below=None):
    """How dark each dot of a print is, from 0 to 1, and how many millimetres a dot is wide.

    With ``below``, a pair of millimetres from the upper edge, only the strip between them is printed.
    """
    high = page.get_size()[1]
    crop = (0, 0, 0, 0) if below is None else (0, high - below[1] / MM, 0, below[0] / MM)
    print_ = page.render(scale=dpi / 72, grayscale=True, crop=crop).to_numpy()
    return 1.0 - np.squeeze(print_).astype(np.float64) / 255.0, 25.4 / dpi


def window(ink, mm, box):
    """What is printed in a box, given in millimetres."""
    left, top, right, bottom = (round(v / mm) for v in box)
    return ink[max(top, 0) : bottom, max(left, 0) : right], (max(left, 0) * mm, max(top, 0) * mm)


def stroke_at(profile, mm, begin):
    """Where the middle of the ink of a profile is, in millimetres."""
    places = begin + (np.arange(len(profile)) + 0.5) * mm
    return float((places * profile).sum() / profile.sum())


def overlapping(boxes, by=0.01):
    """Pairs of boxes that lie on each other by more than a hair."""
    half = by / 2
    shapes = [shapely.box(b.left + half, b.top + half, b.right - half, b.bottom - half) for b in boxes]
    ones, others = STRtree(shapes).query(shapes, predicate="intersects")
    return [(boxes[i].what, boxes[j].what) for i, j in zip(ones, others, strict=True) if i < j]

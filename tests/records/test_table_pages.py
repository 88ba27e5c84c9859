"""Tables on paper: whatever stands in them is printed whole, heads on every page, rows in one piece."""

import re

import pytest
from printed import PAPERS, opened, pressed, rects, texts

from routeviz.records.table_pages import filled, grid_of, table_pages
from routeviz.records.tables import Column, Inches, Table, Tick
from routeviz.records.typefaces import printable, width_mm

LONG = "an endless name " * 62 + "of a thousand"  # 1,005 characters
UNBROKEN = "x" * 1000
HOSTILE = [
    "=1+1",
    "<b>&amp;",
    "a\nb\tc",
    "\u202eright to left",
    "\u5b57\u5e55",
    "\u05d0\u05d1\u05d2",
    "",
    " ",
    "\U0001f3b9",
    "%PDF (\\)",
]


def table_of(rows, columns=3, **more):
    named = tuple(Column(name=f"c{k}", title=f"column {k}") for k in range(columns))
    return Table(name="any", title="Any table", columns=named, rows=tuple(rows), **more)


def squeezed(text):
    """A text without blanks: a word that was broken is one again."""
    return re.sub(r"\s", "", text)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_thousand_rows_all_stand_there_under_a_head_on_every_page(paper):
    content = pressed(table_pages(table_of([(f"row {k}", k, Tick()) for k in range(1000)]), paper).pages)
    pages = texts(content)
    assert 10 < len(pages) < 60
    for page in pages:
        assert "column 0 column 1 column 2" in page
    found = [int(k) for page in pages for k in re.findall(r"row (\d+)", page)]
    assert found == list(range(1000))


@pytest.mark.parametrize("paper", PAPERS)
def test_a_row_is_never_parted_between_two_pages(paper):
    # Each row says its number in its first and in its last line.
    rows = [(f"begin{k} {'word ' * (k % 60)} end{k}", k, "") for k in range(150)]
    for page in texts(pressed(table_pages(table_of(rows), paper).pages)):
        assert re.findall(r"begin(\d+)", page) == re.findall(r"end(\d+)", page)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", [LONG, UNBROKEN], ids=["of many words", "of one word"])
def test_a_name_of_a_thousand_characters_is_printed_whole(name, paper):
    flow = table_pages(table_of([(name, 1, name), ("short", 2, "short")]), paper)
    content = pressed(flow.pages)
    found = sorted((r for p in opened(content) for r in rects(p)), key=lambda r: (round(r.left), r.top))
    first = "".join(squeezed(r.what) for r in found if r.left < 30)
    assert squeezed(name) in first
    assert "short" in " ".join(texts(content))


def test_a_row_higher_than_a_page_goes_on_on_the_next_and_nothing_is_lost():
    flow = table_pages(table_of([("word " * 3000, 1, "x")]), "A4")
    pages = texts(pressed(flow.pages))
    assert len(pages) > 1
    assert sum(page.count("word") for page in pages) == 3000


@pytest.mark.parametrize("text", HOSTILE)
def test_any_text_is_printed_in_a_form_that_can_be_told_from_others(text):
    content = pressed(table_pages(table_of([(text, 1, "after")]), "A4").pages)
    (page,) = texts(content)
    assert "after" in page
    seen = set(squeezed(printable(text)))
    assert seen <= set(squeezed(page))


def test_numbers_stand_at_the_right_fractions_as_a_tape_shows_them_and_empty_columns_are_left_out():
    columns = (
        Column(name="mm", title="length", unit="mm", align="right"),
        Column(name="in", title="length", unit="in", align="right"),
        Column(name="none", title="never filled"),
        Column(name="done", title="done", align="centre"),
    )
    rows = ((1234, Inches(sixteenths=777), None, Tick()), (5, Inches(sixteenths=8), "", Tick()))
    content = pressed(table_pages(Table(name="t", title="T", columns=columns, rows=rows), "A4").pages)
    (page,) = texts(content)
    assert "1234 48 9/16" in page  # 777 = 48 x 16 + 9
    assert "5 1/2" in page
    assert "length, mm" in page
    assert "never filled" not in page
    ends = {r.what.strip(): r.right for p in opened(content) for r in rects(p)}
    assert ends["1234"] == pytest.approx(ends["5"], abs=0.3)


def test_a_table_without_rows_says_so_and_keeps_its_notes():
    (page,) = texts(pressed(table_pages(table_of([], notes=("why there is none",)), "A4").pages))
    assert "None." in page
    assert "why there is none" in page


@pytest.mark.parametrize("count", [1, 3, 9, 14, 40])
def test_columns_fill_the_width_and_no_more(count):
    rows = [tuple(f"{'word ' * (k % 5)}{k}" for k in range(count)) for _ in range(3)]
    grid = grid_of(table_of(rows, count), 190.0)
    assert sum(grid.widths) == pytest.approx(190.0)
    assert min(grid.widths) > 0


def test_what_is_left_goes_where_room_is_lacking():
    assert filled([10, 10], [10, 100], [1, 1], 60) == pytest.approx([10, 50])
    assert filled([10, 10], [20, 20], [1, 3], 30) == pytest.approx([12.5, 17.5])
    assert filled([10, 10], [12, 12], [1, 1], 60) == pytest.approx([30, 30])


def test_a_word_that_fits_is_not_broken():
    word = "indivisible-name-of-a-tube"
    grid = grid_of(table_of([(word, 1, "x " * 400)]), 190.0)
    assert grid.widths[0] >= width_mm(word, grid.pt)

"""Paper as the standards have it: ISO 216 and ANSI/ASME Y14.1; boxes of pages held to what PDFium reads."""

import pypdfium2.raw as pdfium
import pytest
from benched import NAMES
from printed import MM, PAPERS, opened, overlapping, pages_of, rects, set_of

from routeviz.records.paper import Box, Page, box_of, new_page
from routeviz.records.paper import Writing as W

INCH = 25.4
SMALLEST_MARGIN = 5.0  # what usual printers leave white, common practice, no source


def sides_by_the_standards():
    # ISO 216: A0 is one square metre with sides as 1 to the root of 2; each next size is half of
    # the one before, rounded down to the millimetre. ANSI A, the letter: 8 1/2 by 11 inches.
    wide, high = 841, 1189
    for _ in range(4):
        wide, high = high // 2, wide
    return {"A4": (wide, high), "Letter": (8.5 * INCH, 11 * INCH)}


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_of_a_set_has_the_size_of_its_standard_upright_or_lying(paper):
    wanted = sides_by_the_standards()[paper]
    for page in opened(set_of("harbour_hall", paper)):
        assert sorted(side * MM for side in page.get_size()) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("paper", PAPERS)
def test_readers_are_asked_not_to_scale(paper):
    pdf = opened(set_of("thistledown", paper))
    assert pdfium.FPDF_VIEWERREF_GetPrintScaling(pdf) == 0


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_nothing_leaves_the_paper_and_no_words_lie_on_others(name, paper):
    for number, page in enumerate(pages_of(name, paper), 1):
        whole = Box(left=0, top=0, right=page.size[0], bottom=page.size[1])
        inside = Box(
            left=SMALLEST_MARGIN - 2,
            top=SMALLEST_MARGIN,
            right=whole.right - SMALLEST_MARGIN,
            bottom=whole.bottom - 3.0,
        )
        assert page.boxes, f"sheet {number} is empty"
        for box in page.boxes:
            assert box.within(inside), f"sheet {number}, {page.title}: {box}"
        assert overlapping(page.boxes) == [], f"sheet {number}, {page.title}"


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_words_that_a_reader_finds_stand_apart_too(name, paper):
    pages = pages_of(name, paper)
    for number, (page, made) in enumerate(zip(opened(set_of(name, paper)), pages, strict=True), 1):
        if not made.has_block:
            continue  # words on drawings are held to arithmetic elsewhere
        found = rects(page)
        for box in found:
            assert box.left > SMALLEST_MARGIN
            assert box.right < made.size[0] - SMALLEST_MARGIN
        assert overlapping(found, 0.15) == [], f"sheet {number}, {made.title}"


def test_two_boxes_that_overlap_are_found():
    one, other = (Box(left=k, top=0, right=k + 10, bottom=5) for k in (0, 9))
    assert len(overlapping([one, other])) == 1
    assert one.overlaps(other)
    apart = Box(left=10, top=0, right=12, bottom=5)
    assert not one.overlaps(apart)
    assert overlapping([one, apart]) == []


@pytest.mark.parametrize(("turn", "sides"), [(0, (True, False)), (90, (False, True))])
def test_turned_words_take_up_turned_room(turn, sides):
    box = box_of(W(text="a long text", at=(50, 50), pt=10, turn_deg=turn))
    wide, high = box.right - box.left, box.bottom - box.top
    assert (wide > high, high > wide) == sides
    # Anticlockwise from the right: words turned by a quarter run upwards from where they begin.
    assert (box.top < 45) == (turn == 90)


def test_a_page_keeps_room_for_its_title_block():
    page = new_page("A4", "any", lying=True)
    assert isinstance(page, Page)
    assert page.size == (297.0, 210.0)
    assert page.body.bottom < 210 - 10 - 9

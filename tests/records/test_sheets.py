"""The set as a whole, read back from its PDF: what must stand in it, for scenes of much and of nothing."""

import re
from collections import Counter

import pypdfium2.raw as pdfium
import pytest
from benched import NAMES, lay_of
from builders import a_scene, toml, with_box, with_tube, written
from planned import HIGH, LOW, UNDRAWN, a_plan, a_route, planned
from printed import PAPERS, Made, opened, overlapping, set_of, texts
from verdicts import a_tube_up

from routeviz.pipeline import check_scene
from routeviz.records.bench_tables import bench_tables
from routeviz.records.press import pdf_bytes
from routeviz.records.settings import Settings
from routeviz.records.sheets import UNDATED, sheets_files, sheets_pages, sheets_pdf, survey_pdf

LONG = "a case with a name that does not end " * 27  # 999 characters
NAMED = ["W" * 60, "\u5b57" * 20, "a<script>alert(1)</script>", "\u05d0\u05d1\u05d2", "\u05d0 7 bar"]
TOLD = [LONG, "\u202egnp.exe", "=cmd|' /C calc'!A0", "m" * 1000, "\u5b57\u5e55 " * 300]


def lay_in(folder, text):
    return check_scene(written(folder, text))


def pages_titled(content, title):
    """The texts of the pages whose title block says what they are."""
    return [
        page
        for page in texts(content)
        if re.search(rf"document {re.escape(title)}|^{re.escape(title)}", page)
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_every_tube_stands_on_the_tube_list_by_its_tag_with_both_ends(name, paper):
    text = " ".join(pages_titled(set_of(name, paper), "Tube list"))
    for tube in lay_of(name).tubes:
        start = tube.start.nipple or f"its {tube.start.state} end"
        assert re.search(rf"(?<!\S){re.escape(tube.tag)} .{{0,200}}?{re.escape(start)}", text), tube.name


@pytest.mark.parametrize("name", NAMES)
def test_the_same_number_is_on_the_flags_of_both_ends(name):
    tags = Counter(word for page in pages_titled(set_of(name, "A4"), "Wrap flags") for word in page.split())
    for tube in lay_of(name).tubes:
        if " " not in tube.tag:
            assert tags[tube.tag] >= 2, tube.tag


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_the_wall_sheet_is_one_page_with_every_run_and_letters_of_arms_length(name, paper):
    (page,) = pages_titled(set_of(name, paper), "Wall sheet")
    found = opened(set_of(name, paper))
    number = next(k for k, text in enumerate(texts(set_of(name, paper))) if text.startswith("Wall sheet"))
    words = found[number].get_textpage()
    sizes = Counter(
        round(words.get_charbox(k)[3] - words.get_charbox(k)[1], 1) for k in range(words.count_chars())
    )
    assert page.count("first on:") >= 1
    # Usual sight reads letters of 5 minutes of arc (ISO 8596): 1 mm at 0.7 m; these are twice as large.
    capitals = max(height for height, count in sizes.items() if count > 8)
    assert capitals / 72 * 25.4 > 2.0


@pytest.mark.parametrize("name", NAMES)
def test_the_first_page_names_every_part_of_the_set_with_its_sheets(name):
    pages = texts(set_of(name, "A4"))
    listed = re.findall(r"• ([^•]+?) (\d+)(?:–(\d+))?(?= •| How)", pages[0][pages[0].index("In this set") :])
    assert len(listed) > 8
    numbers = []
    for title, first, last in listed:
        numbers += range(int(first), int(last or first) + 1)
        if not title.startswith(("Plates", "Drawings")):
            assert pages[int(first) - 1].startswith(title), title
    assert sorted(numbers) == list(range(2, len(pages) + 1))


@pytest.mark.parametrize("name", ["thistledown", "harbour_hall"])
def test_every_page_tells_its_number_and_how_many_there_are(name):
    pages = texts(set_of(name, "A4"))
    for number, page in enumerate(pages, 1):
        assert f"{number} / {len(pages)}" in page


def test_the_cautions_come_first_and_say_what_is_not_for_us():
    first = texts(set_of("thistledown", "A4"))[0]
    for words in (
        "falls backwards",
        "mains plug",
        "lead",
        "never by mouth",
        "Local rules come first",
        "licensed",
    ):
        assert words in first


def test_all_letters_are_embedded():
    for content in (set_of("harbour_hall", "A4"),):
        names = set(re.findall(rb"/BaseFont /([A-Za-z+\-]+)", content))
        assert names
        assert all(re.fullmatch(rb"[A-Z]{6}\+DejaVuSans(Book|Bold)", name) for name in names)
        assert content.count(b"/FontFile2") >= 2


def test_drawings_are_vectors_not_pictures():
    pdf = opened(set_of("harbour_hall", "A4"))
    kinds = Counter(one.type for page in pdf for one in page.get_objects())
    assert kinds[pdfium.FPDF_PAGEOBJ_IMAGE] == 0
    assert kinds[pdfium.FPDF_PAGEOBJ_PATH] > 1000


@pytest.mark.parametrize("paper", PAPERS)
def test_a_set_is_the_same_each_time_and_not_too_large(paper):
    once = set_of("harbour_hall", paper)
    assert sheets_pdf(lay_of("harbour_hall"), Settings(paper=paper), Made(survey=True)) == once
    assert len(once) < 3_000_000


def test_a_date_that_is_given_is_printed_and_told_by_the_file():
    when = UNDATED.replace(year=2026, month=3, day=14)
    content = sheets_pdf(lay_of("thistledown"), Settings(), Made(when=when))
    assert b"<xmp:CreateDate>2026-03-14T00:00:00+00:00</xmp:CreateDate>" in content
    assert "2026-03-14" in texts(content)[0]
    assert "2026-03-14" in texts(content)[-1]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "pieces",
    [(), (with_box("board", (0, 0, 0), (10, 10, 10)),), (a_tube_up(),)],
    ids=["nothing", "no tube", "one tube"],
)
def test_a_scene_of_little_has_a_set(pieces, paper, tmp_path):
    lay = lay_in(tmp_path, a_scene(*pieces))
    pages = texts(sheets_pdf(lay, Settings(paper=paper), Made(survey=True)))
    assert pages[0].startswith("Before you begin")
    assert any(page.startswith("Survey form") for page in pages)
    assert any(page.startswith("Tubing test: bends") for page in pages)
    assert any("first on: a low" in page for page in pages) == bool(lay.tubes)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("name", "told"), list(zip(NAMED, TOLD, strict=True)), ids=range(len(NAMED)))
def test_names_and_texts_of_any_kind_are_printed(name, told, paper, tmp_path):
    tube = with_tube("low 1", "high 1", name=name, note=told, label=told)
    box = with_box(name, (900, 0, 0), (5, 5, 5), why=told)
    text = a_scene(LOW, HIGH, box, tube, title=told, top=f"about = {toml(told)}")
    route = a_route(name=name)
    lay = check_scene(planned(tmp_path, text, a_plan(route)))
    assert lay.tubes[0].curve is not None
    settings = Settings(paper=paper)
    pages = sheets_pages(lay, settings, Made(survey=True), bench_tables(lay, settings), [])
    for page in pages:
        assert overlapping(page.boxes) == [], page.title
        assert all(
            b.left > 5 and b.right < page.size[0] - 5 and b.bottom < page.size[1] - 3 for b in page.boxes
        )
    assert len(texts(pdf_bytes(pages, "any", UNDATED))) == len(pages)


def test_tubes_without_a_way_or_at_fault_are_on_the_list_marked():
    text = " ".join(pages_titled(set_of("as_found", "A4"), "Tube list"))
    bare = [tube for tube in lay_of("as_found").tubes if tube.curve is None]
    assert bare
    assert "marked because" in text
    assert re.search(r"fault \d+", text)


def test_a_survey_form_alone_is_made_of_a_scene_whose_tubes_await_a_route(tmp_path):
    lay = lay_in(tmp_path, a_scene(LOW, HIGH, UNDRAWN))
    pages = texts(survey_pdf(lay, Settings()))
    assert pages[0].startswith("Survey form")
    assert not any("Wall sheet" in page for page in pages)


def test_all_files_of_a_set_bear_the_name_of_the_scene():
    files = sheets_files(lay_of("thistledown"), Settings(), Made())
    names = list(files)
    assert names[:2] == ["thistledown-sheets.pdf", "thistledown-sheets.xlsx"]
    assert all(name.startswith("thistledown-") for name in names)
    ends = Counter(name.rpartition(".")[2] for name in names)
    assert (ends["svg"], ends["dxf"]) == (7, 7)  # front, top, side, and four passages
    assert ends["csv"] == 10

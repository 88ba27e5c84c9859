"""How words are measured, broken and spelt out; widths held to another library's reading of the same face."""

import pytest
from PIL import ImageFont, features
from printed import opened, pressed

from routeviz.records.paper import new_page
from routeviz.records.typefaces import as_seen, lines_of, printable, shortened, width_mm
from routeviz.views.inking import font_file

MM_PER_PT = 25.4 / 72
TEXTS = ["tracker bar 61", "WAVE", "0123456789", "Übergröße, naïve façade", "Жёлтый рояль"]


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", TEXTS)
def test_widths_are_those_of_the_face(text, bold):
    # Pillow reads the same face by FreeType; letter by letter, as kerning is not printed.
    face = ImageFont.truetype(font_file(bold=bold), 2048, layout_engine=ImageFont.Layout.BASIC)
    wanted = sum(face.getlength(letter) for letter in text) / 2048 * 10 * MM_PER_PT
    assert width_mm(text, 10, bold=bold) == pytest.approx(wanted, rel=2e-3)
    assert features.check("freetype2")


def test_words_take_up_on_paper_the_width_that_is_reckoned_with():
    page = new_page("A4", "any")
    text = "Mmm iii 0123456789"
    page.write((20, 50), text, 20.0)
    page.write((190, 80), text, 20.0, anchor="end", bold=True)
    (printed,) = opened(pressed([page]))
    words = printed.get_textpage()
    said = words.get_text_range()
    for begins, bold in zip(
        [k for k in range(len(said)) if said.startswith(text, k)], (False, True), strict=True
    ):
        boxes = [words.get_charbox(begins + k, loose=True) for k in (0, len(text) - 1)]
        left, right = boxes[0][0] * MM_PER_PT, boxes[1][2] * MM_PER_PT
        assert right - left == pytest.approx(width_mm(text, 20.0, bold=bold), abs=0.1)
        assert (right == pytest.approx(190, abs=0.1)) == bold


@pytest.mark.parametrize("room", [5.0, 30.0, 80.0])
@pytest.mark.parametrize("text", [*TEXTS, "a" * 300, "one two three " * 30])
def test_lines_fit_and_keep_every_letter(text, room):
    lines = lines_of(text, 9.0, room)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(width_mm(line, 9.0) <= room or len(line) == 1 for line in lines)


def test_a_text_without_letters_has_no_lines():
    assert lines_of("", 9.0, 50.0) == []
    assert lines_of(" \n\t ", 9.0, 50.0) == []


def test_what_the_face_lacks_and_what_is_no_print_is_spelt_out():
    assert printable("a\u5b57b") == "a\\u5b57b"
    assert printable("a\u202eb") == "a\\u202eb"
    assert printable("one\ntwo\tthree") == "one two three"
    assert printable("\U0001f3b9") == "\\u1f3b9"
    assert printable("é Ж א") == "é Ж א"


def test_names_that_run_from_right_to_left_are_printed_as_they_are_read():
    # Unicode Standard Annex 9: a run of Hebrew in a line from left to right is turned round, and a number
    # after it goes along (rules W7, N1, I1 and L2); digits keep their order.
    assert as_seen("\u05d0\u05d1\u05d2") == "\u05d2\u05d1\u05d0"
    assert as_seen("bar \u05d0\u05d1 12") == "bar 12 \u05d1\u05d0"
    assert as_seen("bar 7") == "bar 7"


def test_what_is_cut_short_ends_in_an_ellipsis_and_fits():
    short = shortened("a name that is much too long for its field", 9.0, 30.0)
    assert short.endswith("…")
    assert width_mm(short, 9.0) <= 30.0
    assert shortened("short", 9.0, 30.0) == "short"

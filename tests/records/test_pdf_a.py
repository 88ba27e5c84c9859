"""The sheets declare themselves PDF/A-2u; here the structure that ISO 19005-2 asks for is looked for.

Clauses are given from memory of the standard, whose text is not free; this certifies nothing. The file is
read by pikepdf and the embedded letters by fontTools, neither of which has a part in what a page says.
"""

import io
import re
from functools import cache

import numpy as np
import pikepdf
import pytest
from benched import lay_of
from fontTools.ttLib import TTFont
from printed import Made, set_of

from routeviz.records.press import pdf_bytes
from routeviz.records.settings import Settings
from routeviz.records.sheets import UNDATED, sheets_pdf, survey_pdf

NAMES = ("thistledown", "harbour_hall", "as_found")
ACTIVE = {"/JavaScript", "/JS", "/Launch", "/Sound", "/Movie", "/ResetForm", "/ImportData", "/Rendition"}


@cache
def content_of(name):
    if name == "survey alone":
        return survey_pdf(lay_of("first_six"), Settings())
    return set_of(*name.split())


FILES = [*(f"{name} A4" for name in NAMES), "harbour_hall Letter", "survey alone"]


@cache
def opened(name):
    return pikepdf.open(io.BytesIO(content_of(name)))


def dictionaries(pdf):
    """Every dictionary of a file, that of a stream included, however deep it lies in its object."""
    left = [
        one for one in pdf.objects if isinstance(one, pikepdf.Dictionary | pikepdf.Stream | pikepdf.Array)
    ]
    while left:
        one = left.pop()
        inner = list(one) if isinstance(one, pikepdf.Array) else [value for _, value in one.items()]
        left += [i for i in inner if isinstance(i, pikepdf.Dictionary | pikepdf.Array) and not i.is_indirect]
        if not isinstance(one, pikepdf.Array):
            yield one


@pytest.mark.parametrize("name", FILES)
def test_a_file_declares_pdf_a_2u_and_its_title_and_date(name):
    pdf = opened(name)
    with pdf.open_metadata() as told:
        assert told.pdfa_status == "2U"  # 6.6.4
        assert "sheets for the bench" in told["dc:title"]
        assert told["xmp:CreateDate"] == told["xmp:ModifyDate"] == "1980-01-01T00:00:00+00:00"
    for key, value in pdf.docinfo.items():  # 6.1.5: it may be there, and must not say otherwise
        assert key != "/Title" or str(value) == told["dc:title"]
    assert "/Filter" not in pdf.Root.Metadata  # 6.6.2: read by those who cannot unpack
    assert pdf.Root.Metadata.Subtype == "/XML"


@pytest.mark.parametrize("name", FILES)
def test_a_file_says_which_colours_are_meant_by_a_profile_of_its_own(name):
    (intent,) = list(opened(name).Root.OutputIntents)  # 6.2.3
    profile = intent.DestOutputProfile.read_bytes()
    assert intent.S == "/GTS_PDFA1"
    assert int(intent.DestOutputProfile.N) == 3
    # ICC.1, 7.2: length, version at most 4.x, class, space of its colours, signature.
    assert int.from_bytes(profile[:4], "big") == len(profile)
    assert profile[8] <= 4
    assert (profile[12:16], profile[16:20], profile[36:40]) == (b"mntr", b"RGB ", b"acsp")


@pytest.mark.parametrize("name", FILES)
def test_nothing_in_a_file_is_locked_runs_or_lies_elsewhere(name):
    content, pdf = content_of(name), opened(name)
    assert not pdf.is_encrypted
    assert "/Encrypt" not in pdf.trailer  # 6.1.3
    assert len(bytes(pdf.trailer.ID[0])) == 16
    assert re.match(rb"%PDF-1\.[4-7]\n%[\x80-\xff]{4}", content)  # 6.1.2
    assert content.rstrip(b"\r\n").endswith(b"%%EOF")
    assert pdf.get_warnings() == []
    for one in dictionaries(pdf):
        keys = {key for key, _ in one.items()}
        assert not keys & {"/JS", "/AA", "/XFA", "/EmbeddedFiles", "/Alternates"}  # 6.4, 6.5, 6.8
        assert str(one.get("/S", "")) not in ACTIVE
        if isinstance(one, pikepdf.Stream):
            assert not keys & {"/F", "/FFilter", "/FDecodeParms"}  # 6.1.7.1
            assert str(one.get("/Filter", "")) in ("", "/FlateDecode")  # 6.1.7.2: never LZW
    assert pdf.Root.ViewerPreferences.PrintScaling == "/None"  # the plates are of true size


@pytest.mark.parametrize("name", FILES)
def test_every_letter_on_the_pages_is_in_the_file_and_can_be_read_back(name):
    shown = letters_of(name)
    assert len(shown) == 2  # plain and bold
    for fontname, codes in shown.items():
        font = fonts_of(opened(name))[fontname]
        (drawn,) = list(font.DescendantFonts)
        inside = TTFont(io.BytesIO(drawn.FontDescriptor.FontFile2.read_bytes()))  # 6.2.11.4.1
        glyphs = np.frombuffer(drawn.CIDToGIDMap.read_bytes(), ">u2")  # 6.2.11.3.2
        meant, wide = unicode_of(font), widths_of(drawn)
        per_em = inside["head"].unitsPerEm
        assert len(codes) > 30
        for code in codes:
            assert meant[code] not in (0, 0xFEFF, 0xFFFE)  # 6.2.11.7.2
            glyph = inside.getGlyphName(int(glyphs[code]))
            assert glyph != ".notdef"  # 6.2.11.8
            # 6.2.11.5: widths agree with the letters' own within a thousandth of their size
            assert wide[code] == pytest.approx(1000 * inside["hmtx"][glyph][0] / per_em, abs=1)


def fonts_of(pdf):
    return {name: font for page in pdf.pages for name, font in page.Resources.Font.items()}


@cache
def letters_of(name):
    """The codes that pages show, by the font they are shown in."""
    shown = {}
    for page in opened(name).pages:
        font = None
        for operands, operator in pikepdf.parse_content_stream(page):
            if str(operator) == "Tf":
                font = str(operands[0])
            elif str(operator) in ("Tj", "TJ", "'", '"'):
                strings = operands[0] if str(operator) == "TJ" else [operands[-1]]
                for text in strings:
                    if isinstance(text, pikepdf.String):
                        shown.setdefault(font, set()).update(np.frombuffer(bytes(text), ">u2").tolist())
    return shown


def unicode_of(font):
    """What each code means, by the file's own table."""
    pairs = re.findall(rb"<([0-9A-F]{4})> <([0-9A-F]+)>\n", font.ToUnicode.read_bytes())
    return {int(code, 16): int(meant[:4], 16) for code, meant in pairs if len(meant) >= 4}


def widths_of(drawn):
    """The width of each code: after a first code a list of widths, or a last code and one width for all."""
    wide, left = {}, list(drawn.W)
    while left:
        first, then = int(left.pop(0)), left.pop(0)
        if isinstance(then, pikepdf.Array):
            wide |= {first + k: float(each) for k, each in enumerate(then)}
        else:
            wide |= dict.fromkeys(range(first, int(then) + 1), float(left.pop(0)))
    return wide


def test_a_title_of_any_signs_stands_in_the_description_as_it_is():
    title = 'Piano <No. 1> & "effects", the maker\'s: Ωψ'
    pdf = pikepdf.open(io.BytesIO(pdf_bytes([], title, UNDATED)))
    with pdf.open_metadata() as told:
        assert told["dc:title"] == title


def test_a_file_of_a_date_tells_that_date_and_not_the_hour_of_printing():
    when = UNDATED.replace(year=2026, month=3, day=14, hour=9)
    once, twice = (sheets_pdf(lay_of("thistledown"), Settings(), Made(when=when)) for _ in range(2))
    assert once == twice
    with pikepdf.open(io.BytesIO(once)).open_metadata() as told:
        assert told["xmp:CreateDate"] == told["xmp:MetadataDate"] == "2026-03-14T09:00:00+00:00"

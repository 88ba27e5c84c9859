"""What a scene says it is a record of: what may stand there, and what is refused."""

from pathlib import Path

import pytest
from builders import read

from routeviz.errors import SceneError
from routeviz.scene.record import Evidence, Record

WHOLE = """
[record]
shows = "as found"
on = 2026-05-14
by = ["A. Finder", "B. Keeper"]
why = "before anything is taken out"
object = "T 17"
name = "Thistlebank cabinet piano"
maker = "not known"
model = "C"
serial = "1042"
made = "about 1926"
place = "the long gallery"
owner = "the house"
rights = "free to read"
licence = "CC-BY-4.0"
language = "en"
keywords = ["piano", "tubing"]
not_known = ["who repaired it"]
supersedes = "a sheet of 1961, on paper"

[record.classification]
"a system" = "314.122"

[record.tools]
tape = "steel tape, 3 m"

[[record.evidence]]
file = "photos/bar.jpg"
kind = "photo"
caption = "the bar from behind"
by = "A. Finder"
on = "2026-05"
rights = "as for the record"

[[record.evidence]]
file = "./notes.txt"
kind = "note"
caption = "what was written down on the spot"
"""


def record_of(folder: Path, text: str) -> Record:
    record = read(folder, text).scene.record
    assert record is not None
    return record


def refusal_of(folder: Path, lines: str) -> str:
    """What is said of these lines of a record; the first is line 11."""
    with pytest.raises(SceneError) as refused:
        read(folder, f"[record]\n{lines}")
    return str(refused.value).replace(str(folder / "scene.toml"), "FILE")


def test_all_that_a_record_says_is_read(tmp_path: Path):
    assert record_of(tmp_path, WHOLE) == Record.model_construct(
        shows="as found",
        on="2026-05-14",
        by=("A. Finder", "B. Keeper"),
        why="before anything is taken out",
        object="T 17",
        name="Thistlebank cabinet piano",
        maker="not known",
        model="C",
        serial="1042",
        made="about 1926",
        place="the long gallery",
        owner="the house",
        rights="free to read",
        licence="CC-BY-4.0",
        language="en",
        keywords=("piano", "tubing"),
        classification={"a system": "314.122"},
        tools={"tape": "steel tape, 3 m"},
        not_known=("who repaired it",),
        supersedes="a sheet of 1961, on paper",
        evidence=(
            Evidence.model_construct(
                file="photos/bar.jpg",
                kind="photo",
                caption="the bar from behind",
                by=("A. Finder",),
                on="2026-05",
                rights="as for the record",
            ),
            Evidence.model_construct(
                file="notes.txt", kind="note", caption="what was written down on the spot"
            ),
        ),
    )


def test_no_record_is_asked_for(tmp_path: Path):
    assert read(tmp_path).scene.record is None
    assert record_of(tmp_path, "[record]") == Record.model_construct()


@pytest.mark.parametrize(
    ("written", "on"),
    [
        ("2026-05-14", "2026-05-14"),
        ('"2026-05-14"', "2026-05-14"),
        ('" 2026-05 "', "2026-05"),
        ('"1926"', "1926"),
        ("1926", "1926"),
        ("2024-02-29", "2024-02-29"),
        ('"2024-02-29"', "2024-02-29"),
    ],
)
def test_a_day_is_read_as_exactly_as_it_is_known(tmp_path: Path, written: str, on: str):
    assert record_of(tmp_path, f"[record]\non = {written}\nmade = {written}").on == on


@pytest.mark.parametrize(
    ("written", "made"),
    [("1926", "1926"), ("1926-03-01", "1926-03-01"), ('"about 1926"', "about 1926"), ('"1920s"', "1920s")],
)
def test_when_it_was_made_may_be_told_in_words(tmp_path: Path, written: str, made: str):
    assert record_of(tmp_path, f"[record]\nmade = {written}").made == made


@pytest.mark.parametrize("licence", ["CC0-1.0", "https://licences.example/own", "LicenseRef-house"])
def test_a_licence_is_an_address_or_an_identifier(tmp_path: Path, licence: str):
    assert record_of(tmp_path, f"[record]\nlicence = '{licence}'").licence == licence


@pytest.mark.parametrize("file", ["a.txt", "photos/2026/a b.jpg", "..a/b..c", "Fotos/Brücke.jpg"])
def test_whether_a_file_is_there_nobody_asks_while_reading(tmp_path: Path, file: str):
    text = f"[[record.evidence]]\nfile = '{file}'\nkind = 'scan'\ncaption = 'a'"
    assert record_of(tmp_path, text).evidence[0].file == file


DAY = "  allowed: a day such as 2026-05-14, a month such as '2026-05', or a year such as 1926\n  remedy: "
ORDER = "write year, month and day in this order"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            'shows = "as it was"',
            "FILE:11:1: record.shows: 'as it was'\n"
            "  allowed: one of as restored, as found, proposed, hypothetical\n  remedy: write one of these",
        ),
        ('on = "about 1926"', f"FILE:11:1: record.on: 'about 1926', which is no day\n{DAY}{ORDER}"),
        ('on = "14.05.2026"', f"FILE:11:1: record.on: '14.05.2026', which is no day\n{DAY}{ORDER}"),
        ("on = 26", f"FILE:11:1: record.on: 26, which is no day\n{DAY}{ORDER}"),
        ("on = 20260514", f"FILE:11:1: record.on: 20260514, which is no day\n{DAY}{ORDER}"),
        ("on = 1926.5", f"FILE:11:1: record.on: 1926.5, which is no day\n{DAY}write the day alone"),
        ("on = 10:30:00", f"FILE:11:1: record.on: a time of day, which is no day\n{DAY}write the day alone"),
        (
            "on = 2026-05-14T10:30:00",
            f"FILE:11:1: record.on: a time of day, which is no day\n{DAY}write the day alone",
        ),
        (
            'on = "2026-02-30"',
            f"FILE:11:1: record.on: '2026-02-30', which is in no calendar\n{DAY}correct the day",
        ),
        (
            'on = "2026-13"',
            f"FILE:11:1: record.on: '2026-13', which is in no calendar\n{DAY}correct the day",
        ),
        (
            'by = ["A", 3]',
            "FILE:11:12: record.by.2: 3\n  allowed: a text in quotes\n  remedy: write a text in quotes",
        ),
        (
            "by = 3",
            "FILE:11:1: record.by: 3\n  allowed: a name, or a list of names\n"
            "  remedy: write a name, or a list of names",
        ),
        (
            'name = "two\\nlines"',
            "FILE:11:1: record.name: a text of more than one line\n"
            "  allowed: one line\n  remedy: write it on one line",
        ),
        (
            'why = "a\\u0001b"',
            "FILE:11:1: record.why: the sign '\\x01' in a text\n"
            "  allowed: letters and signs that can be printed\n  remedy: take it out",
        ),
        (
            'place = "a\\u2028b"',
            "FILE:11:1: record.place: the sign '\\u2028' in a text\n"
            "  allowed: letters and signs that can be printed\n  remedy: take it out",
        ),
        (
            'owner = ""',
            "FILE:11:1: record.owner: an empty text\n"
            "  allowed: words\n  remedy: write what is known, or leave the key out",
        ),
        (
            'licence = "free for all"',
            "FILE:11:1: record.licence: 'free for all'\n"
            "  allowed: an address, 'https://...', or an SPDX identifier, such as 'CC-BY-4.0'\n"
            "  remedy: write one of these; words of your own belong in rights",
        ),
        (
            'language = "English"',
            "FILE:11:1: record.language: 'English'\n"
            "  allowed: the code of a language, such as 'en' or 'de-CH'\n"
            "  remedy: write the code of the language",
        ),
        (
            'rigths = "mine"',
            "FILE:11:1: record.rigths: the unknown key 'rigths'\n"
            "  allowed: rights, shows, tools, serial, keywords, supersedes, why, classification, ...\n"
            "  remedy: did you mean rights?",
        ),
        (
            '[record.tools]\n"" = "a tape"',
            'FILE:12:1: record.tools."": an empty text\n'
            "  allowed: words\n  remedy: write what is known, or leave the key out",
        ),
        (
            "[record.tools]\ntape = 3",
            "FILE:12:1: record.tools.tape: 3\n  allowed: a text in quotes\n  remedy: write a text in quotes",
        ),
        (
            "[[record.evidence]]\nfile = 'a.jpg'",
            "FILE:11:10: record.evidence.1.caption: no caption\n"
            "  allowed: caption = ... (what is to be seen on it)\n  remedy: write caption\n"
            "FILE:11:10: record.evidence.1.kind: no kind\n"
            "  allowed: kind = ... (photo, note, scan or drawing)\n  remedy: write kind",
        ),
    ],
    ids=lambda said: said.splitlines()[0],
)
def test_what_is_wrong_with_a_record_is_told_at_its_place(tmp_path: Path, line: str, said: str):
    assert refusal_of(tmp_path, line) == said


OUTSIDE = "outside of the scene's folder"
BESIDE = "put the file beside the scene"


@pytest.mark.parametrize(
    ("file", "found", "remedy"),
    [
        ("/etc/hosts", OUTSIDE, BESIDE),
        ("../notes.txt", OUTSIDE, BESIDE),
        ("photos/../../notes.txt", OUTSIDE, BESIDE),
        ("C:/notes.txt", OUTSIDE, BESIDE),
        ("https://photos.example/a.jpg", OUTSIDE, BESIDE),
        ("//server/share/a.jpg", OUTSIDE, BESIDE),
        ("~/a.jpg", OUTSIDE, BESIDE),
        ("photos\\a.jpg", "with a backslash", "write forward slashes: they do everywhere"),
        ("\\\\server\\share\\a.jpg", "with a backslash", "write forward slashes: they do everywhere"),
        ("photos/", "which names no file", "name the file itself"),
        (".", "which names no file", "name the file itself"),
    ],
)
def test_a_file_lies_in_the_folder_of_the_scene(tmp_path: Path, file: str, found: str, remedy: str):
    lines = f"[[record.evidence]]\nfile = '{file}'\nkind = 'scan'\ncaption = 'a'"
    assert refusal_of(tmp_path, lines) == (
        f"FILE:12:1: record.evidence.1.file: {file!r}, {found}\n"
        f"  allowed: a file in the scene's folder or below, such as 'photos/bar.jpg'\n  remedy: {remedy}"
    )


def test_a_file_bears_witness_once(tmp_path: Path):
    one, other = (
        f"[[record.evidence]]\nfile = '{file}'\nkind = 'scan'\ncaption = 'a'\n"
        for file in ("a/b.png", "A//B.png")
    )
    assert refusal_of(tmp_path, one + other) == (
        "FILE:16:1: record.evidence.2.file: the file 'A/B.png' again, as evidence 1\n"
        "  allowed: each file once, also by other capitals\n"
        "  remedy: keep one of the two, and say all in its caption"
    )

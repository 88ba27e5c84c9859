import time
from pathlib import Path

import pytest
from builders import a_scene, with_row, written

from routeviz.errors import SceneError
from routeviz.scene.reading import read_scene


def refusal(folder: Path, text: str) -> str:
    """Return what is said of a scene, the file's name shortened."""
    path = written(folder, text)
    with pytest.raises(SceneError) as refused:
        read_scene(path)
    return str(refused.value).replace(str(path), "FILE")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "FILE: an empty file\n  allowed: a scene\n  remedy: begin with format = 1, title and units"),
        (
            "a = 1\na = 2\n",
            "FILE:2:6: this name was given before\n"
            "  allowed: once each\n  remedy: keep one of the two, or give the second another name",
        ),
        (
            'bore = 5/32 in\ntitle = "x"',
            "FILE:1:9: something more after the value\n"
            "  allowed: one value a line\n"
            "  remedy: start a new line, or put quotes around the whole value",
        ),
        (
            "size = { wide = 3",
            "FILE:1:18: a list or a table that is not closed, or lacks a comma\n"
            "  allowed: commas between the items, ] or } at the end\n  remedy: add the comma, or close it",
        ),
        (
            "title = 'Oak\n",
            "FILE:1:13: a text that is not closed\n"
            "  allowed: a text in quotes, on one line\n  remedy: close the quotes on the same line",
        ),
        (
            "at = { right = 10,5, back = 3 }",
            "FILE:1:20: a comma within a number\n  allowed: a point before decimals\n  remedy: write 10.5",
        ),
        (
            "deep = -10,25",
            "FILE:1:11: a comma within a number\n  allowed: a point before decimals\n  remedy: write -10.25",
        ),
        (
            "at = { right = 10 1/2, back = 3 }",
            "FILE:1:19: a length without quotes: 10 1/2\n"
            '  allowed: a plain number, or a length in quotes, such as "5/32 in"\n'
            "  remedy: put quotes around it",
        ),
        (
            "rows = [1, 12.5 mm, 4]",
            "FILE:1:17: a length without quotes: 12.5 mm\n"
            '  allowed: a plain number, or a length in quotes, such as "5/32 in"\n'
            "  remedy: put quotes around it",
        ),
        (
            "[part.shelf\n",
            "FILE:1:12: a header that is not closed\n"
            "  allowed: [table] or [[list]]\n  remedy: close the brackets",
        ),
        (
            "höhe = 3\n",
            "FILE:1:2: no '=' after a key\n  allowed: key = value\n  remedy: write the '=' and the value",
        ),
        (
            "size = { wide = 3,\n",
            "FILE:1:19: no name where a name is expected\n"
            "  allowed: letters, digits, - and _, or any name in quotes; a table in { } on one line\n"
            "  remedy: put quotes around a name with other signs",
        ),
        (
            'title = "a\\q"\n',
            "FILE:1:13: a backslash that means nothing\n"
            '  allowed: \\\\, \\" or \\n after a backslash\n'
            "  remedy: write the text in single quotes, where a backslash stands for itself",
        ),
        (
            "a = " + "[" * 40,
            "FILE:1:37: lists and tables in one another, more than 32 deep\n"
            "  allowed: at most 32 deep\n  remedy: close a bracket that was left open",
        ),
        (
            "a." * 20_000 + "b = 1",
            "FILE:1:1: a key of more than 16 words\n"
            "  allowed: at most 16 words with points between\n  remedy: write it shorter",
        ),
        (
            "a = " + "9" * 5000,
            "FILE:1:5: a number of 1000 digits or more\n"
            "  allowed: numbers that a tape shows\n  remedy: write it shorter",
        ),
        (
            "a = [" + "1," * 120_000 + "]",
            "FILE: more than 100,000 values\n  allowed: fewer\n  remedy: keep to what was measured",
        ),
        (
            'title = "' + "\\\\" * 5_001 + '"',
            "FILE: more than 10,000 backslashes\n  allowed: fewer\n  remedy: take them out",
        ),
        (
            "#" * 5_000_001,
            "FILE: 5.0 MB\n  allowed: at most 5 MB\n"
            "  remedy: keep the scene to what was measured; meshes lie in files of their own",
        ),
    ],
)
def test_a_text_that_is_no_scene_is_refused_in_one_message(tmp_path: Path, text: str, message: str):
    assert refusal(tmp_path, text) == message


def test_letters_that_are_not_utf8_are_told_with_their_place(tmp_path: Path):
    path = tmp_path / "scene.toml"
    path.write_bytes(b'format = 1\ntitle = "M\xfcller"\n')
    with pytest.raises(SceneError) as refused:
        read_scene(path)
    assert str(refused.value) == (
        f"{path}:2:11: letters that are not UTF-8\n  allowed: text in UTF-8\n  remedy: save the file as UTF-8"
    )


def test_a_missing_file_and_a_folder_are_told(tmp_path: Path):
    for path, found in ((tmp_path / "none.toml", "No such file or directory"), (tmp_path, "not a file")):
        with pytest.raises(SceneError, match=found):
            read_scene(path)


def test_a_byte_order_mark_and_line_ends_of_another_system_do_not_matter(tmp_path: Path):
    path = tmp_path / "scene.toml"
    path.write_bytes(
        b"\xef\xbb\xbf"
        + a_scene(with_row("bar", "1..3", (0, 0, 0), (20, 0, 0))).replace("\n", "\r\n").encode()
    )
    assert read_scene(path).scene.part["bar"].kind == "nipples"


@pytest.mark.parametrize(
    "text",
    [
        "#" + "x" * 4_900_000,
        "a = '" + "x" * 4_900_000 + "'",
        '"' + "\\" * 4_900_000,
        "[[tubes]]\nfrom = 1\n" * 40_000,
        "'a'." * 1_200_000,
        "0" * 999 + (" " + "0" * 999) * 4_000,
    ],
    ids=["comment", "text", "backslashes", "tubes", "points", "digits"],
)
def test_a_hostile_file_of_five_megabytes_costs_seconds_at_most(tmp_path: Path, text: str):
    start = time.process_time()
    refusal(tmp_path, text[:5_000_000])
    assert time.process_time() - start < 10  # measured at most 1.5 s; a slip into squares costs minutes

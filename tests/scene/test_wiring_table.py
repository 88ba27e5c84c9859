from pathlib import Path

import pytest
from builders import a_scene, with_board, with_row, with_tube, written

from routeviz.errors import SceneError
from routeviz.scene.reading import Reading, read_scene

PIECES = (
    with_row("bar", "1..9", (0, 0, 0), (80, 0, 0)),
    with_row("stack", "1..9", (0, 0, 90), (80, 0, 90), "down"),
    with_board(
        "shelf",
        (0, 0, 50),
        (300, 200, 20),
        opening={"bass": {"at": {"right": 40, "back": 40}, "size": {"wide": 50, "deep": 60}}},
    ),
)


def reading(folder: Path, table: str | bytes, *pieces: str, name: str = "tubes.csv") -> Reading:
    data = table if isinstance(table, bytes) else table.encode()
    (folder / "tubes.csv").write_bytes(data)
    return read_scene(written(folder, a_scene(*PIECES, *pieces, top=f'wiring = "{name}"')))


def refusal(folder: Path, table: str | bytes, name: str = "tubes.csv") -> str:
    with pytest.raises(SceneError) as refused:
        reading(folder, table, name=name)
    return str(refused.value).replace(f"{folder}/", "")


def test_the_tubes_of_a_table_come_after_those_of_the_scene(tmp_path: Path):
    table = "from,to,tubing,name,cut\nbar 2..3,stack 2..3,note,,\nbar 4,loose,note,spare,12.5\n"
    found = reading(tmp_path, table, with_tube("bar 1", "stack 1"))
    assert [wire.name for wire in found.wires] == ["bar 1", "bar 2", "bar 3", "spare"]
    assert found.scene.tubes[2].cut_mm == 12.5
    assert found.line_of_tube("bar 2") is None


@pytest.mark.parametrize(
    "table",
    [
        b"\xef\xbb\xbfFrom;To;Tubing;Through\r\nbar 1;stack 1;note;shelf bass\r\n",
        b'from,to,tubing,through\nbar 1,stack 1,note,"shelf bass"\n\n,,,\n',
    ],
    ids=["semicolons", "commas"],
)
def test_commas_semicolons_and_a_byte_order_mark_are_read_alike(tmp_path: Path, table: bytes):
    assert reading(tmp_path, table).scene.tubes[0].through == ("shelf bass",)


def test_a_problem_in_a_table_has_the_line_of_the_table(tmp_path: Path):
    table = "from,to,tubing,through\nbar 1,stack 1,note,\nbar 2,stack 12,note,shelf bass; shelf base\n"
    assert refusal(tmp_path, table) == (
        "tubes.csv:3:1: tubes.2.through.2: no passage 'shelf base'\n"
        "  allowed: shelf bass\n  remedy: did you mean 'shelf bass'?\n"
        "tubes.csv:3:1: tubes.2.to: 'stack' has no nipple 12\n"
        "  allowed: stack 1..9\n  remedy: correct the number, or the rows of the part"
    )


@pytest.mark.parametrize(
    ("table", "message"),
    [
        (
            "form,to,tubing\n",
"tubes.csv:1:1: the heading 'form'\n"
            "  allowed: from, to, tubing, name, tag, label, carries, through, stage, cut, note\n"
            "  remedy: did you mean 'from'?\n"
            "tubes.csv:1:1: no column 'from'\n"
            "  allowed: from, to, tubing, name, tag, label, carries, through, stage, cut, note\n"
            "  remedy: name from, to, tubing in the first line",
        ),
        (
            "from,to,tubing\nbar 1, 3,stack 1..2,note\n",
            "tubes.csv:2:1: 4 cells under 3 headings\n  allowed: a cell for each heading\n"
            "  remedy: put quotes around a cell that holds the sign between the columns",
        ),
        (
            'from,to,tubing\n"bar" 1,stack 1,note\n',
            "tubes.csv:1:1: cells that cannot be told apart\n  allowed: a table as RFC 4180 has it\n"
            "  remedy: put quotes around whole cells, and write a quote inside as two",
        ),
        (
            "from,to,tubing,to\n",
            "tubes.csv:1:1: the heading 'to' twice\n  allowed: each heading once\n  remedy: keep one",
        ),
        (b"from,to,tubing\n\xff", "tubes.csv:2:1: letters that are not UTF-8\n"
         "  allowed: text in UTF-8\n  remedy: save the file as UTF-8"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_read_is_told(tmp_path: Path, table: str | bytes, message: str):
    assert refusal(tmp_path, table) == message


@pytest.mark.parametrize("name", ["../tubes.csv", "/etc/passwd", "C:/tubes.csv", "sub/../../x.csv", ""])
def test_a_table_outside_of_the_scene_s_folder_is_refused(tmp_path: Path, name: str):
    assert "outside of the scene's folder" in refusal(tmp_path, "from,to,tubing\n", name)


def test_a_link_out_of_the_scene_s_folder_is_refused(tmp_path: Path):
    outside = tmp_path / "outside.csv"
    outside.write_text("from,to,tubing\n")
    folder = tmp_path / "scene"
    folder.mkdir()
    (folder / "link.csv").symlink_to(outside)
    assert "outside of the scene's folder" in refusal(folder, "from,to,tubing\n", "link.csv")


def test_a_missing_table_is_told(tmp_path: Path):
    assert "none.csv: the file cannot be read: No such file" in refusal(tmp_path, "", "none.csv")

"""What cannot be used is refused with one clear message: exit code 2, nothing printed, nothing written."""

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, corners_of, place, with_nipple, with_part, with_tube
from called import called
from mesh_files import SIDES, ascii_stl, binary_stl, box

ENDS = (with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 300), "down"))
TUBE = with_tube("low 1", "high 1", corners=[])
GOOD = a_scene(*ENDS, TUBE)
LENGTH = '  allowed: a length with its unit, such as "12.5 mm", "5/32 in", "1 1/4 in" or "2 ft 3 1/2 in"\n'
FOLDER = "  allowed: a path within the scene's own folder, such as meshes/case.stl\n"


def a_box(right: object = 50, wide: object = 1) -> str:
    return f"[part.b]\nkind = 'box'\nat = {{ right = {right}, back = 0, up = 0 }}\nsize = {{ wide = {wide}, deep = 1, high = 1 }}\n"  # noqa: E501


def a_lump(file: str = "lump.stl", **more: object) -> str:
    return a_scene(*ENDS, TUBE, with_part("lump", kind="mesh", file=file, at=place(50, 0, 0), **more))


# What is wrong: the scene, the words at which the message must point, and the message.
SCENES: dict[str, tuple[str | bytes, str, str]] = {
    "unknown key": (
        a_scene(*ENDS, TUBE, top="[clearance]\nfixt = 2"),
        "fixt",
        "{at}: clearance.fixt: the unknown key 'fixt'\n"
        "  allowed: fixed, tubes, moving, survey\n  remedy: did you mean fixed?\n",
    ),
    "no unit": (
        a_scene(*ENDS, TUBE, units=None),
        "[tubing.note]",
        "s.toml:4:1: tubing.note.bore: 3.97 without a unit, and more such numbers\n"
        '  allowed: units = "mm", "cm", "m", "in" or "ft", or a unit with each number, such as "5/32 in"\n'
        '  remedy: write units = "mm" (or what the tape shows) near the top of the file\n',
    ),
    "wrong units of the scene": (
        a_scene(*ENDS, TUBE, units="yards"),
        "units",
        "{at}: units: 'yards'\n  allowed: one of cm, ft, in, m, mm\n  remedy: write one of these\n",
    ),
    "decimal comma": (
        GOOD + a_box(wide="'4,5 mm'"),
        "wide",
        f"{{at}}: part.b.size.wide: '4,5 mm' has a comma\n{LENGTH}"
        "  remedy: write 4.5 mm: decimals follow a point\n",
    ),
    "duplicate name of a part": (
        GOOD + a_box() + a_box(),
        "]\nkind = 'box'",
        "{at}: this name was given before\n"
        "  allowed: once each\n  remedy: keep one of the two, or give the second another name\n",
    ),
    "duplicate name of a tube": (
        a_scene(
            *ENDS,
            with_nipple("deep", (50, 0, 0)),
            with_tube("low 1", "high 1", name="x", corners=[]),
            with_tube("deep 1", "loose", name="x"),
        ),
        "tubes]]",
        "{at}: tubes.2: two tubes with the name 'x'\n"
        "  allowed: each name once\n  remedy: give one of them another name\n",
    ),
    "number out of range": (
        a_scene(*ENDS, TUBE, top="[practice]\nvacuum_kpa = 1000"),
        "vacuum_kpa",
        "{at}: practice.vacuum_kpa: 1000\n  allowed: 100 or less\n  remedy: correct the value\n",
    ),
    "size of nothing": (
        GOOD + a_box(wide=0),
        "wide",
        "{at}: part.b.size.wide: 0 is not more than zero\n"
        "  allowed: a length above zero\n  remedy: correct the number\n",
    ),
    "tube to itself": (
        a_scene(*ENDS, with_tube("low 1", "low 1", corners=[])),
        "to = ",
        "{at}: tubes.1.to: a tube from 'low 1' to itself\n"
        "  allowed: another nipple\n  remedy: correct 'from' or 'to'\n",
    ),
    "leg without length": (
        a_scene(*ENDS, with_tube("low 1", "high 1", corners=corners_of((0, 0, 90), (0, 0, 90)))),
        "{ right",
        "{at}: tubes.1.corners.2: the same point as the one before, number 1\n"
        "  allowed: points apart from each other\n  remedy: leave one out\n",
    ),
    "coincident measured points": (
        a_scene(*ENDS, with_tube("low 1", "high 1", measured=corners_of((0, 0, 90), (0, 0, 90)))),
        "{ right",
        "{at}: tubes.1.measured.2: the same point as the one before, number 1\n"
        "  allowed: points apart from each other\n  remedy: leave one out\n",
    ),
    "nan": (
        GOOD + a_box(right="nan"),
        "right",
        f"{{at}}: part.b.at.right: nan is no number to measure with\n{LENGTH}"
        "  remedy: write what the tape shows\n",
    ),
    "inf": (
        GOOD + a_box(right="-inf"),
        "right",
        f"{{at}}: part.b.at.right: -inf is no number to measure with\n{LENGTH}"
        "  remedy: write what the tape shows\n",
    ),
    "a number too large for the machine": (
        GOOD + a_box(right="1e400"),
        "right",
        f"{{at}}: part.b.at.right: inf is no number to measure with\n{LENGTH}"
        "  remedy: write what the tape shows\n",
    ),
    "nan in a text": (
        GOOD + a_box(wide="'nan mm'"),
        "wide",
        f"{{at}}: part.b.size.wide: 'nan mm' is no number\n{LENGTH}  remedy: write what the tape shows\n",
    ),
    "empty file": (
        "",
        "",
        "s.toml: an empty file\n  allowed: a scene\n  remedy: begin with format = 1, title and units\n",
    ),
    "five megabytes": (
        GOOD + "#" * 5_000_000,
        "",
        "s.toml: 5.0 MB\n  allowed: at most 5 MB\n"
        "  remedy: keep the scene to what was measured; meshes lie in files of their own\n",
    ),
    "deep nesting": (
        GOOD + "a = " + "[" * 33 + "]" * 33,
        "[" + "]" * 33,
        "{at}: lists and tables in one another, more than 32 deep\n"
        "  allowed: at most 32 deep\n  remedy: close a bracket that was left open\n",
    ),
    "not a text": (
        b"\x7fELF\x00\x01\xff\xfe",
        "",
        "s.toml:1:7: letters that are not UTF-8\n"
        "  allowed: text in UTF-8\n  remedy: save the file as UTF-8\n",
    ),
    "text that is no scene": (
        "Dear restorer,\n",
        "restorer",
        "{at}: no '=' after a key\n  allowed: key = value\n  remedy: write the '=' and the value\n",
    ),
    "mesh outside of the folder": (
        a_lump("../lump.stl", unit="mm"),
        "file",
        f"{{at}}: part.lump.file: ../lump.stl: a path that leads out of the scene's folder\n{FOLDER}"
        "  remedy: put the mesh file beside the scene file and name it from there\n",
    ),
    "mesh by an absolute path": (
        a_lump("/tmp/lump.stl", unit="mm"),
        "file",
        f"{{at}}: part.lump.file: /tmp/lump.stl: a path that leads out of the scene's folder\n{FOLDER}"
        "  remedy: put the mesh file beside the scene file and name it from there\n",
    ),
    "wiring outside of the folder": (
        a_scene(*ENDS, top='wiring = "../wires.csv"'),
        "wiring",
        "{at}: wiring: the file '../wires.csv', outside of the scene's folder\n"
        "  allowed: a file in the scene's folder or below\n  remedy: put the table beside the scene\n",
    ),
    "mesh that is not there": (
        a_lump(unit="mm"),
        "file",
        f"{{at}}: part.lump.file: lump.stl: no such file\n{FOLDER}"
        "  remedy: correct the name, or add the file\n",
    ),
    "mesh without a unit": (
        a_lump(),
        "lump]",
        "{at}: part.lump.unit: no unit\n  allowed: unit = ... (of the file's numbers)\n"
        "  remedy: write unit, or name a model\n",
    ),
    "no such nipple": (
        a_scene(*ENDS, with_tube("low 1", "high 2", corners=[])),
        "to = ",
        "{at}: tubes.1.to: 'high' has no nipple 2\n"
        "  allowed: high 1\n  remedy: correct the number, or the rows of the part\n",
    ),
}

CUBE = box(10, 10, 10)
ANEW = "write the file anew from the program that made it"
CUT = "the file is cut short: its header claims"
MESHES: dict[str, tuple[str, bytes, str, str, str]] = {
    "empty": ("lump.stl", b"", "an empty file", "a mesh", ANEW),
    "truncated": (
        "lump.stl",
        binary_stl(CUBE, SIDES)[:-30],
        f"{CUT} 12 triangles (there is room for 11.4), and less follows",
        "exactly what the header claims",
        ANEW,
    ),
    "lying": (
        "lump.stl",
        binary_stl(CUBE, SIDES, claimed=2_000_000_000),
        f"{CUT} 2,000,000,000 triangles (there is room for 12), and less follows",
        "exactly what the header claims",
        ANEW,
    ),
    "without triangles": (
        "lump.stl",
        ascii_stl(CUBE, SIDES[:0]),
        "line 2: not understood: 'endsolid box'",
        "solids of whole facets, lines of x y z, finite decimal numbers of at most 40 digits",
        ANEW,
    ),
    "bad index": (
        "lump.obj",
        b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n",
        "triangle 1 names a vertex that is not among the 3 there are",
        "vertices that are in the file",
        ANEW,
    ),
    "nan": (
        "lump.obj",
        b"v 0 0 0\nv 1 0 0\nv 0 nan 0\nf 1 2 3\n",
        "line 3: not understood: 'v 0 nan 0'",
        "v x y z, f with three corners counted from 1, finite decimal numbers of at most 40 digits, "
        "and #, g, mtllib, o, s, usemtl, vn, vt",
        f"{ANEW}, with its faces made into triangles, without lines, points and curves",
    ),
    "inf": (
        "lump.stl",
        binary_stl(np.where(CUBE > 0, np.inf, 0.0), SIDES),
        "30 vertices are no finite numbers, the first is number 2",
        "finite numbers",
        ANEW,
    ),
}


def place_of(words: str, text: str) -> str:
    """Where the last of these words begins, as an editor counts."""
    at = text.rindex(words)
    return f"s.toml:{text.count(chr(10), 0, at) + 1}:{at - text.rfind(chr(10), 0, at)}"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("what", SCENES)
def test_a_scene_that_cannot_be_used_is_refused(
    what: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text, words, told = SCENES[what]
    if isinstance(text, str):
        told, text = told.replace("{at}", place_of(words, text)), text.encode()
    (folder / "s.toml").write_bytes(text)
    for command in (["check"], ["check", "--json"], ["picture"]):
        left = called(capsys, *command, "s.toml")
        assert (left.code, left.out, left.err) == (2, "", told)
    assert os.listdir(folder) == ["s.toml"]


@pytest.mark.parametrize("what", MESHES)
def test_a_mesh_that_cannot_be_used_is_refused(
    what: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name, content, found, allowed, remedy = MESHES[what]
    scene = a_lump(name, unit="mm")
    (folder / "s.toml").write_text(scene)
    (folder / name).write_bytes(content)
    left = called(capsys, "check", "s.toml")
    assert (left.code, left.out) == (2, "")
    at = place_of("file", scene)
    assert left.err == (f"{at}: part.lump.file: {name}: {found}\n  allowed: {allowed}\n  remedy: {remedy}\n")
    assert sorted(os.listdir(folder)) == sorted([name, "s.toml"])


def _a_folder(folder: Path) -> None:
    (folder / "s.toml").mkdir()


def _nothing(folder: Path) -> None:
    pass


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (
            _nothing,
            "s.toml: the file cannot be read: No such file or directory\n"
            "  allowed: a file that is there\n  remedy: correct the name\n",
        ),
        (_a_folder, "s.toml: not a file\n  allowed: a file\n  remedy: name the file itself\n"),
    ],
)
def test_what_is_no_file_is_refused(
    made: Callable[[Path], None], told: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made(folder)
    left = called(capsys, "check", "s.toml")
    assert (left.code, left.out, left.err) == (2, "", told)


def test_many_things_wrong_are_told_at_once_in_the_order_of_the_file(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = GOOD + a_box(right="nan", wide="'4,5 mm'") + "colour = 'red'\n"
    (folder / "s.toml").write_text(text)
    left = called(capsys, "check", "s.toml")
    assert left.code == 2
    places = [line.split(": ")[:2] for line in left.err.splitlines() if line.startswith("s.toml")]
    assert places == [
        [place_of("right", text), "part.b.at.right"],
        [place_of("wide", text), "part.b.size.wide"],
        [place_of("colour", text), "part.b.colour"],
    ]

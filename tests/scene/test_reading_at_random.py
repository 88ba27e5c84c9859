"""Whatever the text: a scene, or a SceneError in our own words."""

import re
import tempfile
from pathlib import Path

from builders import (
    a_scene,
    a_table,
    corners_of,
    place,
    with_board,
    with_box,
    with_part,
    with_row,
    with_stage,
    with_tube,
    with_zero,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from routeviz.errors import Problem, SceneError
from routeviz.scene.reading import read_scene

UNSURE = {"is": 20, "status": "inferred", "spread": "1 mm", "with": "tape", "recorded": "20 mm"}
SCENE = a_scene(
    '[record]\nshows = "as found"\non = 2026-05-14\nby = ["A", "B"]\ntools = { tape = "a tape" }',
    a_table("[record.evidence]", file="a/b.jpg", kind="photo", caption="a", on="2026-05"),
    a_table("doubt", status="measured", by="A"),
    with_zero("bed", (UNSURE, 0, 690), wide=1400, doubt={"why": "a", "on": 1926}),
    with_row("bar", "1..3", (0, 0, 0), (20, 0, 0), zero="bed", faces={"up": 1}),
    with_board(
        "shelf",
        (0, 0, 50),
        (300, 200, 20),
        opening={"bass": {"at": {"right": 40, "back": 40}, "size": {"wide": 50, "deep": 60}}},
    ),
    with_box(
        "hammer", (0, 0, 0), (1, 2, 3), motion={"turns_about": "left", "travel": {"is": 20, "spread": 1}}
    ),
    with_part("keys", model="keyboard_44", at=place(0, 0, 0), locked="1..4", gaps=[{"after": 3, "wide": 2}]),
    with_stage("bench"),
    with_tube(
        "bar 1..3", "loose", ends_at=place(1, 2, 3), corners=corners_of((1, 2, 3), radius=9), stage="bench"
    ),
)
FOREIGN = re.compile(r"pydantic|Input should|Field required|Extra inputs|validator|Traceback|another value")
SIGNS = ["[", "]", "{", "}", "=", '"', "'", ".", "nan", "inf", "-1", "1e400", "true", "[]", "{}", "3.5."]
LINES = [
    "1979-05-27",
    "\\u0000",
    "\u202e",
    "\n",
    "\r",
    "\0",
    "\n[[tubes]]\n",
    "\n[part.x]\n",
    "\nkind = 3\n",
    "bar 1",
    '"""',
    "9" * 30,
]
PIECES = st.sampled_from([*SIGNS, *LINES, *re.findall(r"[A-Za-z_]+", SCENE)])


def problems_of(text: str) -> tuple[Problem, ...]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scene.toml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        try:
            read_scene(path)
        except SceneError as error:
            return error.problems
    return ()


def read(text: str) -> None:
    for problem in problems_of(text):
        assert problem.found
        assert problem.allowed
        assert problem.remedy
        assert not FOREIGN.search(str(problem)), str(problem)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str):
    read(text)


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_a_scene_with_pieces_put_in_and_taken_out_is_read_or_refused(data: st.DataObject):
    text = SCENE
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        out = data.draw(st.integers(0, 12))
        text = text[:at] + data.draw(PIECES) + text[at + out :]
    read(text)


KEYS = st.sampled_from(["right", "kind", "wide", "zero", "turns_about", "x", "is", "status", "spread"])
WORDS = st.sampled_from(["up", "1 in", "bar 1", "loose", "1..3", "x", ""])
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | WORDS | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=5,
)


def toml(value: object) -> str:
    match value:
        case None:
            return '"none"'
        case dict():
            return "{" + ", ".join(f"{key} = {toml(item)}" for key, item in value.items()) + "}"
        case list():
            return "[" + ", ".join(map(toml, value)) + "]"
        case bool():
            return str(value).lower()
        case str():
            return f'"{value}"'
        case _:
            return str(value)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(re.findall(r"(?m)^[a-z_]+ = .*$", SCENE)), VALUES)
def test_any_value_in_the_place_of_any_other_is_read_or_refused(line: str, value: object):
    read(SCENE.replace(line, f"{line.split(' = ')[0]} = {toml(value)}", 1))

"""The plan beside a scene: what is read is what was written; what cannot be used is refused in a message."""

import json
import math
import os
import random
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from planned import CORNERS, a_plan, a_route, full

from routeviz.cabinet.joins import JoinPlace
from routeviz.errors import SceneError
from routeviz.tubes.plan_file import plan_beside, plan_text, read_plan, write_plan
from routeviz.tubes.plan_form import plan_schema
from routeviz.tubes.plans import Plan, Run, on_grain

REMEDY = "  remedy: plan again: routeviz plan SCENE; or take the plan away"
WHOLE = a_plan(
    a_route(through=("shelf bass",), ties=((12.5, "bundle"), (60.0, "board"))),
    a_route("b", [(0, 0, 0), (0, 0, 100), (0, 0, 200.25)], [math.inf]),
    no_ways=(full("c", "d", passage="bed hole", point=(1, 2, 3)), full("e")),
    runs=(Run(through=("shelf bass",), tubes=("a",), says="a through shelf bass"),),
    inputs="sha256:0123",
)
TEE = JoinPlace(name="tee", at=np.array([1.5, -2, 30]), runs="left", branches="up")
JOINT = JoinPlace(name="joint", at=np.array([0.0, 0, 0.001]), runs="back", branches=None)
LOST = replace(full("f"), part="far tee")
PLACED = replace(WHOLE, places=(TEE, JOINT), no_ways=(*WHOLE.no_ways, LOST))


def same(one: Plan, other: Plan) -> bool:
    """Whether two plans are equal to the last digit of every number."""
    return repr(bare(one)) == repr(bare(other))


def bare(plan: Plan) -> tuple[object, ...]:
    tubes = [(t.name, t.through, t.corners.tolist(), t.radii.tolist(), t.ties) for t in plan.tubes]
    no_ways = [
        (
            w.tubes,
            w.passage,
            None if w.point is None else w.point.tolist(),
            w.cause,
            w.frees,
            w.wanted,
            w.there,
            w.part,
        )
        for w in plan.no_ways
    ]
    places = [(p.name, p.at.tolist(), p.runs, p.branches) for p in plan.places]
    return tubes, no_ways, plan.runs, plan.inputs, places


def again(plan: Plan, folder: Path) -> Plan:
    path = folder / "scene.plan.json"
    write_plan(path, plan)
    read = read_plan(path)
    assert read is not None
    return read


# ── written and read ─────────────────────────────────────────────────────────────────────────────
def test_what_is_read_is_what_was_written(tmp_path: Path) -> None:
    assert same(again(WHOLE, tmp_path), WHOLE)
    assert same(again(PLACED, tmp_path), PLACED)


def test_where_tees_lie_stands_in_it_a_line_each_and_nothing_of_it_where_there_are_none() -> None:
    lines = plan_text(PLACED).splitlines()
    first = lines.index(' "places": [')
    assert lines[first + 1 : first + 4] == [
        '  {"name": "tee", "at": {"right": 1.500, "back": -2.000, "up": 30.000}, '
        '"runs": "left", "branches": "up"},',
        '  {"name": "joint", "at": {"right": 0.000, "back": 0.000, "up": 0.001}, '
        '"runs": "back", "branches": null}',
        " ],",
    ]
    assert "places" not in plan_text(WHOLE)
    assert "part" not in plan_text(WHOLE)


def test_corners_anywhere_are_read_as_they_lie_on_the_grain(tmp_path: Path) -> None:
    numbers = np.random.default_rng(5)
    walk = np.cumsum(numbers.uniform(20, 60, (100, 3)), axis=0) - 900
    plan = a_plan(
        a_route(corners=[tuple(p) for p in walk.tolist()], radii=numbers.uniform(0.1, 3, 98).tolist())
    )
    read = again(plan, tmp_path)
    assert same(read, on_grain(plan))
    assert same(read, on_grain(on_grain(plan)))
    assert np.abs(read.tubes[0].corners - walk).max() <= 0.0005 + 1e-12
    assert (
        read.tubes[0].radii <= plan.tubes[0].radii + 1e-9
    ).all()  # a radius that fitted its legs still does


def test_a_number_is_the_one_that_its_decimals_name() -> None:
    (tube,) = on_grain(a_plan(a_route(corners=[(0.1 + 0.2, -0.0001, 22.0006), (0, 0, 100)]))).tubes
    assert tube.corners[0].tolist() == [0.3, 0.0, 22.001]
    assert math.copysign(1, tube.corners[0, 1]) == 1


def test_radii_that_are_written_already_are_not_made_smaller() -> None:
    radii = [k / 1000 for k in range(20_000, 24_000)]
    corners = [(100.0 * k, 100.0 * (k % 2), 0.0) for k in range(len(radii) + 2)]
    (tube,) = on_grain(a_plan(a_route(corners=corners, radii=radii))).tubes
    assert tube.radii.tolist() == radii


def test_it_reads_well(tmp_path: Path) -> None:
    route = a_route(through=("shelf bass",), ties=((12.5, "bundle"),))
    run = Run(through=("shelf bass",), tubes=("a",), says="a through shelf bass")
    shown = plan_text(a_plan(route, runs=(run,), inputs="sha256:0123")).splitlines()
    assert shown.pop(2).startswith(' "made_by": "routeviz ')
    assert shown == [
        "{",
        ' "format": 1,',
        ' "inputs": "sha256:0123",',
        ' "runs": [',
        '  {"says": "a through shelf bass", "through": ["shelf bass"], "tubes": ["a"]}',
        " ],",
        ' "no_ways": [],',
        ' "tubes": [',
        "  {",
        '   "name": "a",',
        '   "through": ["shelf bass"],',
        '   "corners": [',
        '    {"right": 0.000, "back": 0.000, "up": 0.000},',
        '    {"right": 0.000, "back": 0.000, "up": 200.000, "radius": 30.000},',
        '    {"right": 400.000, "back": 0.000, "up": 200.000}',
        "   ],",
        '   "ties": [',
        '    {"along": 12.500, "to": "bundle"}',
        "   ]",
        "  }",
        " ]",
        "}",
    ]


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert plan_text(WHOLE).encode() == plan_text(WHOLE).encode()


def test_it_is_as_its_schema_says() -> None:
    schema = plan_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    for plan in (WHOLE, PLACED):
        jsonschema.validate(json.loads(plan_text(plan)), schema, jsonschema.Draft202012Validator)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(
            json.loads(plan_text(WHOLE).replace('"up"', '"down"')), schema, jsonschema.Draft202012Validator
        )


@pytest.mark.parametrize(
    ("scene", "plan"),
    [("scene.toml", "scene.plan.json"), ("a/my.old.toml", "a/my.old.plan.json"), ("bare", "bare.plan.json")],
)
def test_it_lies_beside_its_scene(scene: str, plan: str) -> None:
    assert plan_beside(scene) == Path(plan)


def test_a_run_that_is_ended_while_it_writes_leaves_the_old_plan_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "scene.plan.json"
    write_plan(path, WHOLE)
    before = path.read_bytes()

    def stop(_file: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write_plan(path, a_plan(a_route("other")))
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["scene.plan.json"]


# ── what cannot be used ──────────────────────────────────────────────────────────────────────────
GOOD = plan_text(WHOLE)


def with_number(text: str) -> str:
    """A plan in which something else stands where the first tube ends, to the right."""
    return GOOD.replace("400.000", text)


def with_name(text: str) -> str:
    """A plan in which something else stands for the second tube's name."""
    return GOOD.replace('"name": "b",', text)


BAD: dict[str, tuple[str | bytes, str]] = {
    "cut short": (GOOD[:400], "cut short, or no JSON: "),
    "empty": ("", "cut short, or no JSON: Expecting value\n  allowed: a plan as `routeviz plan` writes it"),
    "no json": ("right = 5", ":1:1: cut short, or no JSON: Expecting value\n"),
    "not a number": (with_number("NaN"), " the number NaN\n  allowed: numbers that can be measured\n"),
    "infinite": (with_number("-Infinity"), " the number -Infinity\n"),
    "too large for the machine": (with_number("1e999"), " tubes.1.corners.3.right: inf\n"),
    "a number of a thousand digits": (with_number("1" * 9999), " lists too deep or numbers too long"),
    "far away": (
        with_number("100000.001"),
        " tubes.1.corners.3.right: 100000.001\n  allowed: less than or equal to 100000\n",
    ),
    "a text for a number": (
        with_number('"400"'),
        " tubes.1.corners.3.right: '400'\n  allowed: a valid number\n",
    ),
    "true for a number": (with_number("true"), " tubes.1.corners.3.right: true\n"),
    "nothing for a list": (
        GOOD.replace('["shelf bass"]', "null", 1),
        " runs.1.through: null\n  allowed: a valid list\n",
    ),
    "a number for a point": (
        re.sub(r'\{"right"[^}]*\}', "7", GOOD, count=1),
        " no_ways.1.point: 7\n  allowed: a table\n",
    ),
    "a table for a name": (with_name('"name": {},'), " tubes.2.name: a table\n"),
    "no name": (with_name(""), " tubes.2.name: no 'name'\n"),
    "an unknown key": (
        with_name('"name": "b", "least_bend": 3,'),
        " tubes.2: the unknown key 'least_bend'\n",
    ),
    "another format": (
        GOOD.replace('"format": 1', '"format": 2'),
        " format: format 2\n  allowed: format 1\n",
    ),
    "no format": ("{}", " format: format null\n  allowed: format 1\n"),
    "a way that has no name": (
        plan_text(PLACED).replace('"runs": "left"', '"runs": "sideways"'),
        " places.1.runs: 'sideways'\n  allowed: 'right', 'left', 'back', 'front', 'up' or 'down'\n",
    ),
    "a place without an end": (
        plan_text(PLACED).replace("-2.000", "-1e9"),
        " places.1.at.back: -1000000000.0\n  allowed: greater than or equal to -100000\n",
    ),
    "two places for a tee": (
        plan_text(PLACED).replace('"name": "joint"', '"name": "tee"'),
        " places.2.name: a second place for 'tee'\n  allowed: one place a tee or coupler\n",
    ),
    "a list": ("[]", " a list\n  allowed: a plan as "),
    "nested without end": ("[" * 100_000, " lists too deep or numbers too long to be read\n"),
    "not a text": (b"\x7fELF\xff", " letters that are not UTF-8\n  allowed: text in UTF-8\n"),
    "twenty megabytes": (" " * 20_000_001, " 20.0 MB\n  allowed: at most 20 MB\n"),
    "one corner": (
        re.sub(r'"corners": \[(.*?\}),.*?\]', r'"corners": [\1]', GOOD, count=1, flags=re.DOTALL),
        " tubes.1.corners: a list\n  allowed: list should have at least 2 items",
    ),
    "two routes for a tube": (
        plan_text(a_plan(a_route(), a_route())),
        " tubes.2.name: a second route for 'a'\n  allowed: one route a tube\n",
    ),
    "corners that coincide": (
        plan_text(a_plan(a_route(corners=[(0, 0, 0), (0, 0, 0), (0, 0, 9)]))),
        " tubes.1.corners: 'a' makes no curve: corners 0 and 1 coincide",
    ),
    "a turn over 120 degrees": (
        plan_text(a_plan(a_route(corners=[(0, 0, 0), (0, 0, 200), (0, 10, 0)]))),
        " tubes.1.corners: 'a' makes no curve: corner 1 turns by 177.1 degrees",
    ),
    "radii that do not fit": (
        plan_text(a_plan(a_route(radii=[201.0]))),
        " tubes.1.corners: 'a' makes no curve: ",
    ),
    "a corner without a radius": (
        plan_text(a_plan(a_route(radii=[math.inf]))),
        " tubes.1.corners: 'a' makes no curve: ",
    ),
    "a tie beyond the end": (
        # 200 + 400 less what a quarter of a circle of 30 cuts off: 600 - 60 + 47.1
        plan_text(a_plan(a_route(ties=((588.0, "bundle"),)))),
        " tubes.1.ties.1.along: 588 mm\n  allowed: at most 587 mm, the tube's length\n",
    ),
}


def refused(folder: Path, content: str | bytes) -> SceneError:
    """How a plan file of this content is refused."""
    path = folder / "scene.plan.json"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(SceneError) as caught:
        read_plan(path)
    return caught.value


@pytest.mark.parametrize("what", BAD)
def test_what_cannot_be_used_is_refused_with_file_found_allowed_and_remedy(what: str, tmp_path: Path) -> None:
    content, says = BAD[what]
    told = refused(tmp_path, content)
    assert says in str(told)
    assert len(told.problems) == 1
    first, allowed, remedy = str(told).splitlines()
    assert first.startswith(str(tmp_path / "scene.plan.json"))
    assert allowed.startswith("  allowed: ")
    assert remedy == REMEDY
    assert len(str(told)) < 1000


def test_all_problems_are_told_at_once(tmp_path: Path) -> None:
    wrong = with_number('"400"').replace('"name": "b"', '"name": 7').replace("12.500", "-1")
    assert [p.key for p in refused(tmp_path, wrong).problems] == [
        "tubes.1.corners.3.right",
        "tubes.1.ties.1.along",
        "tubes.2.name",
    ]


def test_of_very_many_problems_the_first_are_told_and_the_others_counted(tmp_path: Path) -> None:
    many = plan_text(a_plan(*(a_route(f"t {n}", radii=[201.0]) for n in range(50))))
    problems = refused(tmp_path, many).problems
    assert len(problems) == 21
    assert "30 more problems" in {p.found for p in problems}


def test_a_hostile_name_is_told_in_short(tmp_path: Path) -> None:
    told = refused(tmp_path, plan_text(a_plan(a_route("x\x1b]0;" * 1000, radii=[201.0]))))
    assert "\x1b" not in str(told)
    assert len(str(told)) < 1000


def test_where_there_is_no_file_there_is_no_plan(tmp_path: Path) -> None:
    assert read_plan(tmp_path / "scene.plan.json") is None


def test_a_folder_in_its_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "scene.plan.json").mkdir()
    with pytest.raises(SceneError, match="not a file"):
        read_plan(tmp_path / "scene.plan.json")


def test_whatever_the_file_holds_it_is_read_or_refused(tmp_path: Path) -> None:
    chance = random.Random(11)
    pieces = [
        "null",
        "[]",
        "{}",
        "-1",
        "1e308",
        '"',
        "}",
        "]",
        "0",
        "true",
        '"a"',
        ",",
        "\\",
        "\x00",
        "9" * 30,
    ]
    path = tmp_path / "scene.plan.json"
    outcomes = set()
    for _ in range(400):
        text = GOOD
        for _ in range(chance.randint(1, 3)):
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice(pieces) + text[at + chance.randint(0, 8) :]
        path.write_text(text, encoding="utf-8")
        try:
            outcomes.add(read_plan(path) is not None)
        except SceneError as error:
            outcomes.add(str(error).count("\n  remedy: ") == len(error.problems))
    assert outcomes == {True}


def test_the_corners_written_by_hand_are_those_of_the_scene() -> None:
    assert WHOLE.tubes[0].corners.tolist() == [list(map(float, corner)) for corner in CORNERS]

"""What the page is given of whole lays: the odd ones, hostile names, same bytes, and how much it is."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import (
    NOTE,
    a_scene,
    corners_of,
    with_board,
    with_box,
    with_nipple,
    with_row,
    with_stage,
    with_tube,
    with_tubing,
    written,
)
from builders import (
    place as at,
)
from paged import SCENES, data_of, named, numbers
from planned import SCENE, a_plan, a_route, planned
from verdicts import a_tube_up

from routeviz.pipeline import check_scene
from routeviz.tubes.plans import Run
from routeviz.views.listing import Told, finding_entry
from routeviz.views.page_data import page_data

HOSTILE = "</script><img src=x onerror=alert(1)>"
RIGHT_TO_LEFT = "صمام الجهير"
OVERRIDING = "\u202eصمام\u200b 12"
LONG = "x" * 1000
MOST_BYTES = 470_000  # of the largest of our scenes: a page of 1.2 MB, less 0.7 for what shows it
FULL = ("eye", "target", "axis", "deg")  # told in full: a camera must end where it was worked out


def in_text(data: Any) -> str:
    return json.dumps(data, allow_nan=False, ensure_ascii=False)


def leaves(value: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    """Every plain value in a tree, with the key under which it stands."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, key)
    else:
        yield key, value


def pointed(data: Any) -> Iterator[tuple[str, int]]:
    """Everything that points into a group by number: the group, and where to."""
    standing = [*data["solids"], *data["spaces"]]
    marked = [*standing, *data["passages"], *data["tubes"]]
    telling = [*data["passages"], *data["findings"], *data["runs"]]
    yield from (("looks", thing["look"]) for thing in [*marked, *data["nipples"], *data["legend"]])
    yield from (("looks", thing["marked"]) for thing in marked if thing["marked"] is not None)
    yield from (("findings", number - 1) for thing in marked for number in thing["numbers"])
    yield from (("forms", thing["form"]) for thing in standing)
    for group in ("solids", "spaces", "nipples"):
        yield from ((group, index) for part in data["parts"] for index in part[group])
    yield from (("tubes", index) for thing in telling for index in thing["tubes"])
    yield from (("tubes", solid["least"]["tube"]) for solid in data["solids"] if solid["least"])
    yield from (("solids", finding["moved"][0]) for finding in data["findings"] if finding["moved"])
    yield from (("runs", step["run"]) for step in data["work"])
    yield from (("tubes", step["tube"]) for step in data["work"])


def is_whole(data: Any) -> None:
    """What holds for every lay, however odd."""
    text = in_text(data)
    assert not re.search(r"\b(NaN|Infinity)\b", text)
    for group, index in pointed(data):
        assert 0 <= index < len(data[group])
    low, high = np.array(data["bounds"])
    assert (high - low >= 1 - 1e-9).all()
    for view in data["views"]:
        assert view["height"] > 0
        assert view["eye"] != view["target"]
    assert [finding["number"] for finding in data["findings"]] == list(range(1, len(data["findings"]) + 1))
    assert sum(data["counts"].values()) == len(data["findings"])
    left = [k for k, tube in enumerate(data["tubes"]) if tube["left"] is not None]
    assert sorted([*left, *(step["tube"] for step in data["work"])]) == list(range(len(data["tubes"])))
    for form in data["forms"]:
        count = len(numbers(form["points"])) // 3
        assert len(numbers(form["points"])) % 3 == 0
        for key, width in (("triangles", 3), ("lines", 2)):
            assert len(numbers(form[key])) % width == 0
            assert numbers(form[key]).max(initial=0) < max(count, 1)
    for tube in data["tubes"]:
        if tube["corners"] is not None:
            assert len(numbers(tube["corners"])) == 3 * (len(numbers(tube["radii"])) + 2)


@pytest.mark.parametrize("name", ["first_six", "as_found", "thistledown"])
def test_our_own_scenes_are_whole(name: str) -> None:
    is_whole(data_of(name))


@pytest.mark.parametrize(
    ("units", "shown"), [("mm", "mm"), ("cm", "mm"), ("m", "mm"), ("in", "in"), ("ft", "in")]
)
def test_lengths_are_shown_in_a_unit_that_the_page_has(units: str, shown: str, tmp_path: Path) -> None:
    assert data_of(written(tmp_path, a_scene(units=units)))["units"] == shown


def test_a_scene_of_nothing_has_a_box_and_views_all_the_same(tmp_path: Path) -> None:
    data = data_of(written(tmp_path, a_scene()))
    is_whole(data)
    assert (data["tubes"], data["solids"], data["findings"], data["work"]) == ([], [], [], [])
    assert data["plan"] is None
    assert data["summary"] == "no faults in no tubes"


def test_one_tube_without_any_solid_is_framed(tmp_path: Path) -> None:
    data = data_of(written(tmp_path, a_scene(a_tube_up("a", long=100))))
    is_whole(data)
    assert data["solids"] == []
    assert len(data["tubes"]) == 1
    low, high = data["bounds"]
    assert high[2] - low[2] >= 100
    assert data["tubes"][0]["bend"] is None
    assert data["tubes"][0]["clearance"] is None


def test_a_tube_that_nobody_has_laid_tells_its_ends_and_has_no_centreline(tmp_path: Path) -> None:
    data = data_of(written(tmp_path, SCENE))
    is_whole(data)
    tube = named(data, "tubes", "a")
    assert (tube["corners"], tube["radii"], tube["length"], tube["sleeves"]) == (None, None, None, [])
    assert tube["ends"] == [[0, 0, 0], [400, 0, 200]]
    assert "1 tube has no route yet" in data["cautions"]


def test_a_plan_is_named_without_its_folder_and_runs_point_to_tubes(tmp_path: Path) -> None:
    run = Run(through=(), tubes=("a",), says="low 1")
    data = data_of(planned(tmp_path, SCENE, a_plan(a_route(), runs=(run,))))
    is_whole(data)
    assert data["plan"] == {"file": "scene.plan.json", "stale": False, "laid": 1}
    assert [(run["says"], run["tubes"]) for run in data["runs"]] == [("low 1", [0])]
    assert str(tmp_path) not in in_text(data)
    assert named(data, "tubes", "a")["planned"] is True
    assert data["cautions"] == []


def test_a_stale_plan_is_told_before_the_work_begins(tmp_path: Path) -> None:
    path = planned(tmp_path, SCENE, a_plan(a_route()))
    path.write_text(path.read_text(encoding="utf-8").replace("205.28", "215.28"), encoding="utf-8")
    data = data_of(path)
    is_whole(data)
    assert data["plan"]["stale"] is True
    assert "the plan is stale: the scene was changed after scene.plan.json was made" in data["cautions"][0]


def test_loose_and_unknown_ends_are_told_as_ends_of_their_tube(tmp_path: Path) -> None:
    loose = with_tube(
        "low 1",
        "loose",
        name="a",
        corners=corners_of(),
        ends_at=at(0, 0, 300),
        waits_for="the bells",
        spare=50,
    )
    unknown = with_tube("unknown", "high 1", name="b")
    data = data_of(
        written(
            tmp_path, a_scene(with_nipple("low", (0, 0, 0)), with_nipple("high", (90, 0, 0)), loose, unknown)
        )
    )
    is_whole(data)
    one, other = data["tubes"]
    assert (one["from"], one["to"], one["waits_for"]) == ("low 1", "its loose end", "the bells")
    assert (other["from"], other["to"]) == ("its unknown end", "high 1")
    assert other["ends"] == [None, [90, 0, 0]]
    assert len(one["sleeves"]) == 1


def test_findings_of_each_stage_say_which_and_what_is_gone_by_then_fades_nothing(tmp_path: Path) -> None:
    rail = with_box(
        "rail", (3.78, -20, 40), (10, 40, 20), until="bench"
    )  # 1 mm from the tube's wall; 2 are asked
    scene = a_scene(with_stage("bench"), with_stage("fitted"), a_tube_up("a", long=100), rail)
    data = data_of(written(tmp_path, scene))
    is_whole(data)
    (finding,) = data["findings"]
    assert (finding["stage"], finding["subject"], finding["other"]) == ("bench", "a", "rail")
    assert data["title"].endswith("fitted")
    assert not data["solids"]
    assert finding["eye"] is not None


def test_a_finding_tells_measured_and_allowed_and_where_it_can_be_mended(tmp_path: Path) -> None:
    """The rail stands at 3.78 from the axis of a tube 5.56 thick: 1 mm is free where 2 are asked for."""
    path = written(
        tmp_path, a_scene(a_tube_up("a", long=100), with_box("rail", (3.78, -20, 40), (10, 40, 20)))
    )
    data = data_of(path)
    (finding,) = data["findings"]
    assert (finding["rule"], finding["severity"], finding["unit"]) == ("touch", "fault", "mm")
    assert finding["measured"] == pytest.approx(1.0, abs=0.05)
    assert finding["allowed"] == 2
    assert finding["remedy"]
    lines = path.read_text(encoding="utf-8").splitlines()
    (place,) = finding["lines"]
    file, line = place.split(":")
    assert file == "scene.toml"
    assert lines[int(line) - 1].strip() == "[[tubes]]"
    assert finding["tubes"] == [0]
    assert finding["about"] == ["a", "rail"]
    tube = named(data, "tubes", "a")
    assert (tube["severity"], tube["numbers"]) == ("fault", [1])
    assert data["looks"][tube["marked"]]["second"]  # bands tell it without its hue, too
    rail = named(data, "solids", "rail")
    assert (rail["severity"], rail["numbers"]) == ("fault", [1])
    assert rail["marked"] not in (None, rail["look"])


def test_tubes_tell_how_near_they_are_to_each_other_and_to_what_stands_there(
    tmp_path: Path,
) -> None:
    """Axes 8 apart, 5.56 thick: 2.44 mm between walls; a rail 7 from the second axis, 4.22 from its wall."""
    thin = NOTE["bore"]  # nipples that stretch nothing
    rail = with_box("rail", (15, -20, 100), (10, 40, 20))
    scene = a_scene(a_tube_up("a", outside=thin), a_tube_up("b", (8, 0, 0), outside=thin), rail)
    one, other = data_of(written(tmp_path, scene))["tubes"]
    for tube, beside in ((one, "b"), (other, "a")):
        assert tube["beside"]["mm"] == pytest.approx(8 - 5.56, abs=0.05)
        assert tube["beside"]["other"] == beside
    assert other["clearance"]["mm"] == pytest.approx(7 - 2.78, abs=0.05)
    assert (other["clearance"]["other"], other["clearance"]["travel"]) == ("rail", None)
    assert 100 - 0.1 <= other["clearance"]["point"][2] <= 120 + 0.1


def test_findings_are_those_that_check_prints_for_machines(tmp_path: Path) -> None:
    lay = check_scene(SCENES / "as_found.toml")
    for number, (finding, told) in enumerate(zip(lay.findings, page_data(lay)["findings"], strict=True), 1):
        entry = finding_entry(Told(number=number, finding=finding, places=(("", None),)))
        pairs = {
            "number": "number",
            "rule": "rule",
            "severity": "severity",
            "says": "says",
            "remedy": "remedy",
        }
        pairs |= {"measured": "low", "allowed": "limit", "unit": "unit", "travel": "travel", "stage": "stage"}
        assert {key: told[key] for key in pairs} == {key: entry[name] for key, name in pairs.items()}
        assert told["point"] == entry["point_mm"]


@pytest.mark.parametrize("name", [HOSTILE, RIGHT_TO_LEFT, "'; drop", '"\\u003c&amp;'])
def test_a_name_stands_in_the_data_as_it_was_written(tmp_path: Path, name: str) -> None:
    scene = a_scene(
        with_board(
            name,
            (-50, -50, 50),
            (200, 100, 10),
            opening={"hole": {"at": at(30, 30, 0), "size": {"wide": 40, "deep": 40}}},
        ),
        with_nipple("low", (0, 0, 0)),
        with_nipple("high", (0, 0, 100), faces="down"),
        with_tube("low 1", "high 1", name=name, tag=name, corners=corners_of()),
    )
    data = data_of(written(tmp_path, scene))
    is_whole(data)
    (tube,) = data["tubes"]
    assert (tube["name"], tube["tag"]) == (name, name)
    assert (data["solids"][0]["name"], data["parts"][0]["name"]) == (name, name)
    (passage,) = data["passages"]
    assert passage["name"] == f"{name} hole"
    # A plate is the one text that is markup: there a name must not become any.
    assert not re.search(r"<(img|script|/script)", passage["plate"])


@pytest.mark.parametrize("text", [HOSTILE, OVERRIDING, LONG])
def test_a_free_text_stands_in_the_data_as_it_was_written(tmp_path: Path, text: str) -> None:
    scene = a_scene(
        with_tubing("note", describes=text),
        with_nipple("low", (0, 0, 0)),
        with_nipple("high", (0, 0, 100), faces="down"),
        with_tube("low 1", "high 1", label=text, corners=corners_of(), note=text),
        title=text,
    )
    data = data_of(written(tmp_path, scene))
    is_whole(data)
    (tube,) = data["tubes"]
    assert (data["title"], tube["label"], tube["note"], tube["tubing"]) == (text, text, text, text)


def test_numbers_have_four_decimals_but_for_eyes_and_axes() -> None:
    for key, value in leaves(data_of("as_found")):
        if isinstance(value, float) and key not in FULL:
            assert value == round(value, 4), key


def test_an_eye_is_told_in_full() -> None:
    """At four decimals, a camera would end up to half a tenth of a micrometre beside it."""
    eyes = [finding["eye"] for finding in data_of("as_found")["findings"] if finding["eye"] is not None]
    assert any(coordinate != round(coordinate, 9) for eye in eyes for coordinate in eye)


def test_the_same_scene_gives_the_same_bytes_in_every_process() -> None:
    script = (
        "import sys, json; from routeviz.pipeline import check_scene;"
        "from routeviz.views.page_data import page_data;"
        "sys.stdout.write(json.dumps(page_data(check_scene(sys.argv[1]))))"
    )
    texts = {
        subprocess.run(
            [sys.executable, "-c", script, str(SCENES / "as_found.toml")],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(texts) == 1
    assert len(texts.pop()) > 10_000


def test_the_largest_of_our_scenes_leaves_room_for_what_shows_it() -> None:
    text = json.dumps(data_of("harbour_hall"), ensure_ascii=False, separators=(",", ":"))
    assert len(text.encode()) < MOST_BYTES


def test_the_legend_explains_what_is_there(tmp_path: Path) -> None:
    plain = data_of(written(tmp_path, a_scene(a_tube_up("a", long=100))))
    texts = {entry["text"] for entry in plain["legend"]}
    assert "signal" in texts
    assert "tube with a fault" not in texts
    assert "fault" in {entry["text"] for entry in data_of("as_found")["legend"]}
    bare = data_of(written(tmp_path, a_scene(with_row("bar", "1..3", (0, 0, 0), (20, 0, 0)))))
    assert "signal" not in {entry["text"] for entry in bare["legend"]}

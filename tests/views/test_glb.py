"""The lay as a GLB file, held to a general library, the format's definition and its makers' validator."""

import io
import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import small_lay
import trimesh
from builders import a_scene, corners_of, with_box, with_nipple, with_tube, written
from glb_reading import Parsed, parsed
from khronos import is_clean, the_validator_finds
from verdicts import a_tube_up

from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.scene.reading import read_scene
from routeviz.views.glb import glb_bytes

SCENES = Path(__file__).parents[2] / "scenes"
ENDS = (with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 100), faces="down"))
UP = corners_of((0, 0, 50))
FLOAT_M = 2e-7  # a float of 32 bits at 1 m; the file holds millimetres in them


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    """A small lay of a keyboard, tubes, and findings made by hand."""
    folder = tmp_path_factory.mktemp("lay")
    seen = small_lay.a_lay(folder)
    return Lay(
        reading=read_scene(folder / "scene.toml"),
        cabinet=seen.cabinet,
        tubes=seen.tubes,
        measured=seen.measured,
        findings=seen.findings,
        proved=(),
    )


@pytest.fixture(scope="module")
def data(lay: Lay) -> bytes:
    return glb_bytes(lay)


@pytest.fixture(scope="module")
def read(data: bytes) -> Parsed:
    return parsed(data)


@pytest.fixture(scope="module")
def moving(tmp_path_factory: pytest.TempPathFactory) -> Parsed:
    """A flap that swings by 200 degrees about the line x = 0, z = 0, and a drawer that slides out by 30."""
    flap = with_box("flap", (0, 50, 0), (40, 10, 2), motion={"turns_about": "back", "travel": 200})
    drawer = with_box("drawer", (100, 50, 10), (40, 30, 20), motion={"slides": "front", "travel": 30})
    path = written(tmp_path_factory.mktemp("moving"), a_scene(flap, drawer))
    return parsed(glb_bytes(check_scene(path)))


@pytest.mark.parametrize("name", ["first_six", "as_found", "thistledown", "harbour_hall"])
def test_the_khronos_validator_has_nothing_to_say_of_a_scene(name: str, tmp_path: Path) -> None:
    data = glb_bytes(check_scene(SCENES / f"{name}.toml"))
    (issues,) = the_validator_finds(tmp_path, data)
    assert is_clean(issues), issues


def test_the_validator_would_say_it(data: bytes, tmp_path: Path) -> None:
    broken = data.replace(b'"componentType":5126', b'"componentType":5121', 1)
    (issues,) = the_validator_finds(tmp_path, broken)
    assert issues["numErrors"] > 0


def has_corner(corners: np.ndarray, right: float, back: float, up: float) -> bool:
    """Whether a point of the case in mm is among corners in the file's metres, y up and z to the front."""
    wanted = np.array([right, up, -back]) / 1000
    return bool((np.abs(corners - wanted).max(axis=1) < FLOAT_M).any())


def test_everything_stands_upright_and_in_metres_for_a_general_reader(data: bytes) -> None:
    scene = trimesh.load(io.BytesIO(data), file_type="glb")
    matrix, mesh = scene.graph["felt"]
    corners = trimesh.transform_points(scene.geometry[mesh].vertices, matrix)
    # A box at right 0, back 420, up 90, of 200 by 10 by 40.
    assert corners.min(axis=0) == pytest.approx([0, 0.09, -0.43], abs=FLOAT_M)
    assert corners.max(axis=0) == pytest.approx([0.2, 0.13, -0.42], abs=FLOAT_M)
    assert scene.geometry[mesh].volume == pytest.approx(200 * 10 * 40, rel=1e-6)  # outside out


def test_a_general_reader_finds_keys_on_their_hinges(data: bytes) -> None:
    scene = trimesh.load(io.BytesIO(data), file_type="glb")
    transform, _ = scene.graph["keys 1"]
    # Naturals balance 235 behind their fronts, at the height of their undersides, 100.
    assert transform[1:3, 3] == pytest.approx([0.1, -0.235], abs=FLOAT_M)
    # Key 1's head reaches from 0 to a seventh of 164.6, less 1.5: there is its middle.
    assert transform[0, 3] == pytest.approx((164.6 / 7 - 1.5) / 2 / 1000, abs=FLOAT_M)


def test_halfway_through_the_animation_a_keys_front_edge_is_down_by_its_dip(read: Parsed) -> None:
    sine = (10.2 + 0.5) / 235  # the dip, and the doubt of half a millimetre that every keyboard has
    cosine = math.sqrt(1 - sine * sine)
    down = read.corners("keys 1", 0.5)
    assert has_corner(down, 0, 235 - 235 * cosine, 100 - 10.7)  # front, underside
    assert has_corner(down, 0, 235 - 235 * cosine - 22 * sine, 100 - 10.7 + 22 * cosine)  # front, top
    for rest in (read.corners("keys 1"), read.corners("keys 1", 0.0), read.corners("keys 1", 1.0)):
        assert has_corner(rest, 0, 0, 100)
        assert not has_corner(rest, 0, 235 - 235 * cosine, 100 - 10.7)


def test_every_key_moves_and_nothing_else(read: Parsed) -> None:
    nodes = read.document["nodes"]
    (animation,) = read.document["animations"]
    moved = [nodes[channel["target"]["node"]]["name"] for channel in animation["channels"]]
    assert sorted(moved) == sorted(f"keys {number}" for number in range(1, 13))


def test_a_turn_of_more_than_half_a_circle_goes_the_way_that_the_part_goes(moving: Parsed) -> None:
    # About "back" right-handed, what is right of the hinge goes down: (x, 0) to (x cos a, -x sin a).
    for share, degrees in ((0.125, 50), (0.25, 100), (0.5, 200)):
        angle = math.radians(degrees)
        corners = moving.corners("flap", share)
        assert has_corner(corners, 40 * math.cos(angle), 50, -40 * math.sin(angle)), degrees


def test_a_drawer_goes_straight(moving: Parsed) -> None:
    assert has_corner(moving.corners("drawer", 0.5), 100, 50 - 30, 10)
    assert has_corner(moving.corners("drawer", 0.25), 100, 50 - 15, 10)
    assert has_corner(moving.corners("drawer"), 100, 50, 10)


def test_a_tube_tells_its_ends_its_size_and_its_findings(read: Parsed) -> None:
    extras = read.node("t 1")["extras"]
    wanted = ("kind", "tag", "from", "to", "outside_mm", "carries", "findings")
    assert [extras[key] for key in wanted] == ["tube", "T1", "t 1", "u 1", 5.56, "signal", [1]]
    assert read.node("keys 5")["extras"]["findings"] == [1]
    root = read.node("Thistledown, a small case")["extras"]
    assert [(one["number"], one["rule"]) for one in root["findings"]][:2] == [(1, "rub"), (2, "touch")]


def test_a_tube_is_as_long_as_it_is_drawn_and_as_thick(tmp_path: Path) -> None:
    read = parsed(glb_bytes(check_scene(written(tmp_path, a_scene(a_tube_up(long=100))))))
    assert read.node("a")["extras"]["length_mm"] == pytest.approx(100)
    corners = read.corners("a")
    outs = np.hypot(corners[:, 0], corners[:, 2])
    for up in (0, 0.1):  # a circle of corners at each end, 5.56 mm across, within the sleeve's
        there = outs[np.abs(corners[:, 1] - up) < FLOAT_M]
        assert there[there > FLOAT_M].min() == pytest.approx(0.00278, abs=FLOAT_M)


def test_a_passage_is_its_outline_on_both_sides_of_the_board(read: Parsed) -> None:
    (outline,) = read.primitives("shelf hole")
    assert outline["mode"] == 1  # lines
    corners = read.corners("shelf hole")
    # The hole is 70 wide and 60 deep at (280, 110) of a board at (0, 100, 220), 20 thick.
    assert {tuple(row) for row in np.round(corners * 1000).tolist()} == {
        (right, up, -back) for right in (280, 350) for up in (220, 240) for back in (210, 270)
    }


def test_the_nipples_of_a_part_are_together_and_tell_their_tips(read: Parsed) -> None:
    extras = read.node("t nipples")["extras"]
    assert list(extras["tips"]) == [f"t {number}" for number in range(1, 6)]
    assert extras["tips"]["t 5"] == pytest.approx([120, 140, 300])


def test_colours_are_light_and_not_what_a_screen_is_told(read: Parsed) -> None:
    # Felt is #8c9c88; by IEC 61966-2-1 light is ((s + 0.055) / 1.055) ** 2.4 of what a screen is told.
    wanted = [((value / 255 + 0.055) / 1.055) ** 2.4 for value in (0x8C, 0x9C, 0x88)]
    assert read.colours("felt") == [pytest.approx([*wanted, 0.9])]


def test_what_shines_through_says_so_and_what_does_not_is_solid(read: Parsed) -> None:
    for material in read.document["materials"]:
        opacity = material["pbrMetallicRoughness"]["baseColorFactor"][3]
        assert (material.get("alphaMode") == "BLEND") == (opacity < 1)


def test_things_of_one_look_share_a_material(read: Parsed) -> None:
    materials = [json.dumps(material, sort_keys=True) for material in read.document["materials"]]
    assert len(set(materials)) == len(materials)
    ivory = {tuple(p["material"] for p in read.primitives(f"keys {number}")) for number in (1, 3, 6, 8)}
    assert len(ivory) == 1


def test_a_tube_with_a_fault_is_told_from_a_sound_one(lay: Lay, read: Parsed) -> None:
    sound = parsed(glb_bytes(replace(lay, findings=())))
    assert sound.node("t 1")["extras"]["findings"] == []
    assert read.colours("t 1")[:2] != sound.colours("t 1")[:2]


def test_the_same_lay_gives_the_same_bytes(lay: Lay, data: bytes) -> None:
    assert glb_bytes(lay) == data


@pytest.mark.parametrize("name", ["</script><img src=x onerror=alert(1)>", 'a "\\ ü 鍵 מקש z', "n" * 55])
def test_a_name_stays_the_text_that_it_is(name: str, tmp_path: Path) -> None:
    title = name * 20
    rail = with_box(name, (30, 0, 0), (10, 10, 10), motion={"turns_about": "right", "travel": 5})
    tube = with_tube("low 1", "high 1", name=f"t {name}", tag=name, corners=UP)
    data = glb_bytes(check_scene(written(tmp_path, a_scene(*ENDS, rail, tube, title=title))))
    (issues,) = the_validator_finds(tmp_path, data)
    assert is_clean(issues), issues
    read = parsed(data)
    assert read.node(name)["extras"]["part"] == name
    assert read.node(f"t {name}")["extras"]["tag"] == name
    assert read.document["nodes"][-1]["name"] == title


def test_a_scene_with_nothing_in_it_is_a_file_all_the_same(tmp_path: Path) -> None:
    data = glb_bytes(check_scene(written(tmp_path, a_scene())))
    (issues,) = the_validator_finds(tmp_path, data)
    assert issues["numErrors"] + issues["numWarnings"] == 0, issues
    assert [node["name"] for node in parsed(data).document["nodes"]] == ["A small case"]

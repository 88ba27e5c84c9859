"""The X3D file: read from the words of its standard, and held to the GLB as a general library reads that.

The package x3d (Web3D Consortium) knows every node and field of the standard, with its type and what may
stand in it; each element of ours is made anew as one of its objects.
"""

import io
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import trimesh
from builders import a_scene, corners_of, with_box, with_nipple, with_tube, written
from scipy.spatial.transform import Rotation
from x3d_reading import numbers, strings, things_of, tree_of
from x3d_standard import made

from routeviz.archive.x3d import x3d_bytes
from routeviz.pipeline import check_scene
from routeviz.views.glb import glb_bytes

SCENES = Path(__file__).parents[2] / "scenes"
NAMES = ("as_found", "thistledown", "harbour_hall")


@cache
def lay_of(name):
    return check_scene(SCENES / f"{name}.toml")


@cache
def content_of(name):
    return x3d_bytes(lay_of(name))


@cache
def read(name):
    return things_of(tree_of(content_of(name)))


@cache
def glb_of(name):
    return trimesh.load(io.BytesIO(glb_bytes(lay_of(name))), file_type="glb")


def in_glb(name, node):
    """The corners and the count of triangles of a node and of what is below it, in metres."""
    scene = glb_of(name)
    below = {node, *scene.graph.transforms.successors(node)}
    placed = [scene.graph[one] for one in below]
    meshes = [(at, mesh) for at, mesh in placed if isinstance(scene.geometry.get(mesh), trimesh.Trimesh)]
    points = [trimesh.transform_points(scene.geometry[mesh].vertices, at) for at, mesh in meshes]
    return np.concatenate(points), sum(len(scene.geometry[mesh].faces) for _, mesh in meshes)


def in_case(points):
    """Points of the file, metres with y up, in millimetres of the case."""
    return 1000.0 * np.stack([points[:, 0], -points[:, 2], points[:, 1]], axis=1)


@pytest.mark.parametrize("name", NAMES)
def test_every_part_has_the_faces_and_the_box_that_it_has_in_the_glb(name):
    seen = 0
    for (kind, part), thing in read(name).items():
        if kind in ("part", "keep clear"):
            corners, count = in_glb(name, part)
            assert thing.triangles == count
            for least in (np.min, np.max):
                assert least(thing.corners, axis=0) == pytest.approx(least(corners, axis=0), abs=1e-5)
            seen += 1
    assert seen == len(lay_of(name).cabinet.solids) + len(lay_of(name).cabinet.keep_clear)


def curve_of(corners, radii, step=0.2):
    """Points along a rounded polyline: straight, and on circles that touch both legs (plane geometry)."""
    stops = [corners[0]]
    for before, corner, after, radius in zip(corners, corners[1:], corners[2:], radii, strict=False):
        one = (before - corner) / np.linalg.norm(before - corner)
        other = (after - corner) / np.linalg.norm(after - corner)
        half = np.arccos(np.clip(one @ other, -1, 1)) / 2
        if np.pi / 2 - half < 1e-5:
            continue
        middle = corner + radius / np.sin(half) * (one + other) / np.linalg.norm(one + other)
        ends = [corner + radius / np.tan(half) * way for way in (one, other)]
        spokes = [end - middle for end in ends]
        axis = np.cross(*spokes) / np.linalg.norm(np.cross(*spokes))
        angle = np.pi - 2 * half
        shares = np.linspace(0.0, angle, int(np.ceil(radius * angle / step)) + 1)
        stops += list(middle + Rotation.from_rotvec(shares[:, None] * axis).apply(spokes[0]))
    stops.append(corners[-1])
    filled = [
        one + (other - one) * share
        for one, other in pairwise(stops)
        for share in np.linspace(0.0, 1.0, int(np.ceil(np.linalg.norm(other - one) / step)) + 1)
    ]
    return np.array(filled)


@pytest.mark.parametrize("name", ["as_found", "thistledown"])
def test_a_tube_is_written_by_its_corners_its_line_and_its_skin(name):
    drawn = [tube for tube in lay_of(name).tubes if tube.corners is not None]
    assert len(drawn) > 10
    for tube in drawn:
        thing = read(name)["tube", tube.name]
        corners, radii = thing.known["corners_mm"].reshape(-1, 3), thing.known.get("radii_mm", ())
        assert corners == pytest.approx(tube.corners, abs=1e-6)
        truth = curve_of(corners, radii)
        (line,) = thing.lines
        line = in_case(line)
        assert line[[0, -1]] == pytest.approx(corners[[0, -1]], abs=1e-3)
        # Dense points on the truth; the line's lie on it, and the chords between stay within 0.05 mm.
        tree = trimesh.proximity.cKDTree(truth)
        assert tree.query(line)[0].max() < 0.12  # half a step of the dense points, and a hair
        between = np.concatenate(
            [one + (other - one) * np.linspace(0, 1, 9)[:, None] for one, other in pairwise(line)]
        )
        assert tree.query(between)[0].max() < 0.05 + 0.11
        rounds = tree.query(in_case(thing.corners))[0]
        assert rounds.max() == pytest.approx(tube.kind.outside_mm / 2, abs=0.02)
        assert thing.known["outside_mm"][0] == tube.kind.outside_mm


@pytest.mark.parametrize("name", NAMES)
def test_nipples_and_sleeves_are_cylinders_at_their_places(name):
    cabinet = lay_of(name).cabinet
    for nipple in cabinet.nipples.values():
        ((root, tip, radius),) = read(name)["nipple", nipple.name].cylinders
        root, tip = in_case(np.array([root, tip]))
        assert 1000 * radius == pytest.approx(nipple.outside_mm / 2, abs=1e-3)
        # On the line through the tip in the nipple's direction, ending just short of the tip.
        assert np.cross(tip - root, nipple.direction) == pytest.approx(0, abs=2e-3)
        assert (nipple.tip - tip) @ nipple.direction == pytest.approx(0.4, abs=2e-3)
        assert np.linalg.norm(np.cross(nipple.tip - tip, nipple.direction)) < 2e-3
        assert read(name)["nipple", nipple.name].known["tip_mm"] == pytest.approx(nipple.tip, abs=1e-6)


def test_what_is_at_hand_is_told_of_a_tube_and_what_moves_says_how(tmp_path):
    flap = with_box("flap", (300, 50, 0), (40, 10, 2), motion={"turns_about": "back", "travel": 20})
    low, high = with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 100), faces="down")
    tube = with_tube("low 1", "high 1", name='the "best" \\ <one> & only', corners=corners_of((0, 0, 50)))
    lay = check_scene(written(tmp_path, a_scene(flap, low, high, tube, title="A <case> & its tubes")))
    root = tree_of(x3d_bytes(lay, ["As found on 2026-03-14."]))
    found = things_of(root)
    told = found["tube", 'the "best" \\ <one> & only'].known
    assert (told["from"], told["to"], told["route"]) == ("low 1", "high 1", "drawn or taped")
    assert told["length_mm"] == pytest.approx([100.0])
    assert "turns by 20 degrees" in found["part", "flap"].known["moves"]
    info = strings(root.find("Scene/WorldInfo").get("info"))
    assert root.find("Scene/WorldInfo").get("title") == "A <case> & its tubes"
    assert "As found on 2026-03-14." in info
    assert any("millimetres" in one and "metres" in one for one in info)


def test_a_thing_tells_how_it_is_known_and_what_nobody_measured_is_seen_through(tmp_path):
    boxes = [
        with_box(word, (k, 0, 0), (9, 9, 9), doubt={"status": word})
        for k, word in ((0, "assumed"), (20, "measured"))
    ]
    root = tree_of(x3d_bytes(check_scene(written(tmp_path, a_scene(*boxes)))))
    found = things_of(root)
    through = {}
    for word in ("assumed", "measured"):
        assert found["part", word].known["status"] == word
        (material,) = root.findall(f".//Group[@DEF='solid-{len(through) + 1}-{word}']//Material")
        through[word] = float(material.get("transparency"))
    assert through["assumed"] > 0.8 > through["measured"]
    info = strings(root.find("Scene/WorldInfo").get("info"))
    assert any("assumed (nobody measured it)" in one for one in info)


def test_a_scene_of_nothing_makes_a_file(tmp_path):
    root = tree_of(x3d_bytes(check_scene(written(tmp_path, a_scene()))))
    assert things_of(root) == {}
    assert len(root.findall("Scene/Viewpoint")) == 4


@pytest.mark.parametrize("name", NAMES)
def test_all_is_seen_from_every_viewpoint(name):
    root = tree_of(content_of(name))
    every = np.concatenate([thing.corners for thing in read(name).values() if thing.meshes])
    for view in root.findall("Scene/Viewpoint"):
        *axis, angle = numbers(view.get("orientation"))
        seen = Rotation.from_rotvec(np.array(axis) * angle).inv().apply(every - numbers(view.get("position")))
        slope = np.tan(float(view.get("fieldOfView")) / 2)
        assert seen[:, 2].max() < 0  # before the eye, which looks along -z
        assert np.abs(seen[:, 1] / seen[:, 2]).max() < slope  # within the height of the picture
        assert np.abs(seen[:, 1] / seen[:, 2]).max() > 0.2 * slope


@pytest.mark.parametrize("name", NAMES)
def test_a_file_is_the_same_each_time_alone_and_small(name):
    content = content_of(name)
    assert x3d_bytes(lay_of(name)) == content
    assert len(content) <= 4_000_000
    assert content.startswith(
        b'<?xml version="1.0" encoding="UTF-8"?>\n<X3D profile="Interchange" version="3.3">'
    )
    content.decode("utf-8")
    for outside in (b"<!DOCTYPE", b"<!ENTITY", b"http", b"url=", b"/work", b"/home", b"/tmp"):
        assert outside not in content


# What the profile Interchange holds of the nodes used here (ISO/IEC 19775-1, annex B, from memory).
INTERCHANGE = {
    *("X3D", "head", "meta", "Scene", "WorldInfo", "NavigationInfo", "Background", "Viewpoint"),
    *("Transform", "Group", "Shape", "Appearance", "Material", "Cylinder", "Coordinate"),
    *("IndexedFaceSet", "IndexedLineSet", "PointSet", "MetadataSet", "MetadataString", "MetadataDouble"),
}


@pytest.mark.parametrize("name", NAMES)
def test_every_node_and_field_is_one_of_the_standard(name):
    root = tree_of(content_of(name))
    assert {node.tag for node in root.iter()} <= INTERCHANGE
    made(root)
    names = [node.get("DEF") for node in root.iter() if node.get("DEF")]
    assert len(names) == len(set(names))
    told = set()
    for node in root.iter():  # a name is given before it is used
        told.add(node.get("DEF"))
        assert node.get("USE") is None or node.get("USE") in told


@pytest.mark.parametrize(
    ("there", "wrong"),
    [
        ('version="3.3"', 'version="9.9"'),
        ('solid="false"', 'solid="perhaps"'),
        ("<Cylinder radius=", "<Cylinder radios="),
        ("<Cylinder ", "<Viewpoint "),
    ],
    ids=["version", "value", "field", "node"],
)
def test_the_standard_would_refuse_a_file_that_breaks_it(there, wrong):
    content = content_of("as_found").decode()
    assert there in content
    with pytest.raises(Exception, match=r".+"):
        made(tree_of(content.replace(there, wrong).encode()))

"""What the page is given of solids, tubes, passages and nipples: what the scene says, by arithmetic."""

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh
from builders import (
    NOTE,
    a_scene,
    corners_of,
    extent,
    with_board,
    with_box,
    with_keep_clear,
    with_nipple,
    with_part,
    with_row,
    with_tube,
    written,
)
from builders import (
    place as at,
)
from paged import Data, corners_at, data_of, faces_at, line_of, named, numbers, triples
from small_lay import KEYS

BOX = ((10, 20, 30), (300, 40, 200))  # left, front, lower corner; wide, deep, high
HOLE = (70, 50)
DIP, BALANCE, LONG = (KEYS["natural"][key] for key in ("dip", "balance", "long"))


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Data:
    """A box, a board with a hole, two octaves of keys, a cylinder, something that slides, and a tube."""
    scene = a_scene(
        with_box("box", *BOX),
        with_box("taller", (10, 70, 30), (300, 40, 260)),
        with_board(
            "shelf",
            (0, 300, 100),
            (400, 200, 20),
            opening={"hole": {"at": at(150, 80, 0), "size": {"wide": HOLE[0], "deep": HOLE[1]}}},
        ),
        with_part(
            "keys",
            kind="keyboard",
            keys=25,
            lowest="C2",
            octave=164.6,
            between=1.5,
            sharps_back=50,
            dip_doubt=0,
            at=at(500, 0, 100),
            **KEYS,
        ),
        with_part("pump", kind="cylinder", at=at(0, -200, 0), to=at(0, -200, 80), diameter=50, look="metal"),
        with_box("bolt", (600, 600, 0), (30, 30, 30), motion={"slides": "up", "travel": 20}),
        with_keep_clear("hand", (700, 600, 0), (60, 70, 80), "the hand comes here"),
        with_nipple("low", (615, 500, 56), faces="back", outside=4.5),
        with_nipple("high", (615, 760, 156), faces="front", outside=4.5),
        with_tube(
            "low 1",
            "high 1",
            name="a",
            tag="7",
            corners=corners_of((615, 700, 56), (615, 700, 156), radius=40),
            ties=[{"along": 30, "to": "bundle"}],
        ),
    )
    return data_of(written(tmp_path_factory.mktemp("things"), scene))


def solid_mesh(data: Data, name: str) -> trimesh.Trimesh:
    return trimesh.Trimesh(**trimesh.triangles.to_kwargs(faces_at(data, named(data, "solids", name))))


def test_a_box_is_closed_faces_outwards_and_stands_where_it_was_taped(data: Data) -> None:
    mesh = solid_mesh(data, "box")
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(math.prod(BOX[1]))  # below zero were it inside out
    assert mesh.bounds == pytest.approx(np.array([BOX[0], np.add(*BOX)]))
    assert len(triples(data["forms"][named(data, "solids", "box")["form"]]["points"])) == 8


def test_a_box_that_is_only_taller_has_a_form_of_its_own(data: Data) -> None:
    assert solid_mesh(data, "taller").volume == pytest.approx(300 * 40 * 260)


def test_a_box_has_twelve_edges_between_its_corners(data: Data) -> None:
    box = named(data, "solids", "box")
    form = data["forms"][box["form"]]
    ends = corners_at(data, box)[numbers(form["lines"]).reshape(-1, 2)]
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    assert sorted(np.round(lengths, 6)) == sorted([*BOX[1]] * 4)
    assert form["edges"] == 12


def test_a_board_lacks_what_its_opening_cuts_out(data: Data) -> None:
    assert solid_mesh(data, "shelf").volume == pytest.approx(400 * 200 * 20 - HOLE[0] * HOLE[1] * 20)


def test_a_cylinder_is_round_to_a_hundredth(data: Data) -> None:
    mesh = solid_mesh(data, "pump")
    assert mesh.volume == pytest.approx(math.pi * 25**2 * 80, rel=0.01)
    assert mesh.bounds == pytest.approx(np.array([(-25, -225, 0), (25, -175, 80)]), abs=0.1)


def test_keys_an_octave_apart_share_their_form_and_stand_an_octave_apart(data: Data) -> None:
    keys = [solid for solid in data["solids"] if solid["kind"] == "keyboard"]
    assert len(keys) == 25
    for low, high in zip(keys[:12], keys[12:24], strict=True):
        assert low["form"] == high["form"]
        assert np.subtract(high["at"], low["at"]) == pytest.approx([164.6, 0, 0], abs=1e-4)
    # Seven naturals, and sharps of two widths: two share the slots from C to E, three those from F to B.
    assert len({key["form"] for key in keys[:24]}) == 7 + 2


def test_a_pressed_key_turns_about_its_balance_until_its_front_is_down_by_the_dip(data: Data) -> None:
    key = named(data, "solids", "keys 1")
    rest, pressed = corners_at(data, key), corners_at(data, key, 1.0)
    # Front, underside: on the level of the hinge and the balance's length before it, so down by the sine.
    under = np.flatnonzero((rest[:, 1] == rest[:, 1].min()) & (rest[:, 2] == 100))
    assert len(under) == 2
    assert rest[under, 2] - pressed[under, 2] == pytest.approx(DIP, abs=1e-3)
    back = np.flatnonzero((rest[:, 1] == rest[:, 1].max()) & (rest[:, 2] == 100))
    assert pressed[back, 2] - rest[back, 2] == pytest.approx(DIP * (LONG - BALANCE) / BALANCE, abs=1e-3)
    assert pressed[:, 0] == pytest.approx(rest[:, 0])


def test_a_natural_is_ivory_as_far_as_its_balance_and_bare_wood_behind_it(data: Data) -> None:
    key = named(data, "solids", "keys 1")
    second = data["forms"][key["form"]]["second"]
    faces = faces_at(data, key)
    assert 0 < second < len(faces)
    assert faces[:second, :, 1].max() == pytest.approx(BALANCE)
    assert faces[second:, :, 1].min() == pytest.approx(BALANCE)
    assert data["looks"][key["look"]]["second"]
    assert data["forms"][named(data, "solids", "box")["form"]]["second"] is None


def test_the_least_clearance_of_what_slides_is_told_where_it_comes_nearest(data: Data) -> None:
    """The tube's level leg runs 56 up; the bolt's top rises from 30 to 50 below it: 6 mm less the radius."""
    bolt = named(data, "solids", "bolt")
    assert bolt["movement"] == {"kind": "slide", "axis": [0, 0, 1], "mm": 20}
    assert bolt["least"]["mm"] == pytest.approx(6 - NOTE["outside"] / 2, abs=0.06)
    assert bolt["least"]["travel"] == pytest.approx(1.0, abs=0.01)
    assert data["tubes"][bolt["least"]["tube"]]["name"] == "a"
    x, y, z = bolt["least"]["point"]
    assert (x, z) == pytest.approx((615, 56))
    assert 600 - 0.1 <= y <= 630 + 0.1
    assert named(data, "solids", "box")["least"] is None


def test_a_tube_tells_its_corners_its_radii_and_what_follows_from_them(data: Data) -> None:
    """Two square corners of radius 40: legs of 200, 100 and 60 lose 80 a corner, and gain a quarter turn."""
    tube = named(data, "tubes", "a")
    assert triples(tube["corners"]) == pytest.approx(
        np.array([(615, 500, 56), (615, 700, 56), (615, 700, 156), (615, 760, 156)])
    )
    assert numbers(tube["radii"]) == pytest.approx([40, 40])
    assert tube["length"] == pytest.approx(200 + 100 + 60 - 4 * 40 + 2 * 40 * math.pi / 2, abs=1e-3)
    assert tube["bend"]["radius"] == pytest.approx(40)
    assert tube["bend"]["least"] == NOTE["least_bend"]
    assert (tube["from"], tube["to"], tube["tag"]) == ("low 1", "high 1", "7")
    assert tube["ties"] == [{"along": 30, "to": "bundle"}]
    line = line_of(tube)
    assert line[0] == pytest.approx([615, 500, 56])
    assert tube["clearance"]["other"] == "bolt"
    assert tube["clearance"]["travel"] == pytest.approx(1.0, abs=0.01)
    assert tube["ends"] is None


def test_a_sleeve_lies_over_its_nipple_as_wide_as_rubber_that_keeps_its_volume(data: Data) -> None:
    sleeve, other = named(data, "tubes", "a")["sleeves"]
    assert (sleeve["from"], sleeve["to"]) == ([615, 489, 56], [615, 500, 56])  # 11 mm, as is the practice
    assert (other["from"], other["to"]) == ([615, 771, 156], [615, 760, 156])
    section = NOTE["outside"] ** 2 - NOTE["bore"] ** 2
    assert sleeve["radius"] == pytest.approx(math.sqrt(section + 4.5**2) / 2, abs=1e-4)


def test_a_nipple_is_a_bar_as_thick_as_taped_on_the_line_in_which_it_faces(data: Data) -> None:
    nipple = named(data, "nipples", "high 1")
    assert nipple["radius"] == 2.25
    for point in (nipple["from"], nipple["to"]):
        assert [point[0], point[2]] == [615, 156]
    assert nipple["from"][1] > nipple["to"][1]  # it faces the front


def test_a_passage_is_the_opening_that_the_board_has(data: Data) -> None:
    passage = named(data, "passages", "shelf hole")
    assert passage["middle"] == pytest.approx([150 + HOLE[0] / 2, 380 + HOLE[1] / 2, 110])
    assert passage["size"] == pytest.approx(HOLE)
    assert (passage["right"], passage["up"]) == ([1, 0, 0], [0, 1, 0])  # from above, the front edge below
    assert passage["thick"] == 20
    ends = triples(passage["lines"])
    assert sorted(set(ends[:, 2])) == [100, 120]  # its rim on both faces of the board
    assert passage["holds"] is None
    assert passage["says"] == "no tube goes through"
    assert passage["plate"].startswith("<svg")


@pytest.mark.parametrize(
    ("board", "opening", "right", "seen"),
    [
        ((200, 10, 200), at(50, 0, 50), [1, 0, 0], "from the player's side"),
        ((10, 200, 200), at(0, 50, 50), [0, 1, 0], "from the player's right, the back at the right"),
    ],
    ids=["to the back", "to the side"],
)
def test_an_upright_opening_is_seen_upright_from_where_its_plate_is(
    board: tuple[float, float, float], opening: dict[str, float], right: list[int], seen: str, tmp_path: Path
) -> None:
    size = {"high": 60} | ({"wide": 40} if board[0] > 10 else {"deep": 40})
    hole = {"hole": {"at": opening, "size": size}}
    data = data_of(written(tmp_path, a_scene(with_board("wall", (0, 0, 0), board, opening=hole))))
    passage = named(data, "passages", "wall hole")
    assert (passage["right"], passage["up"], passage["size"]) == (right, [0, 0, 1], [40, 60])
    assert passage["seen"] == seen
    assert f">Seen {seen}.<" in passage["plate"]


def test_a_space_to_be_kept_clear_says_why_and_is_hatched_within_its_faces(data: Data) -> None:
    (space,) = data["spaces"]
    assert space["why"] == "the hand comes here"
    form = data["forms"][space["form"]]
    points = corners_at(data, space)
    assert points.min(axis=0) == pytest.approx([700, 600, 0])
    assert points.max(axis=0) == pytest.approx([760, 670, 80])
    assert form["edges"] == 12
    hatching = points[numbers(form["lines"]).reshape(-1, 2)[12:]]
    assert len(hatching)
    for one, other in hatching:
        level = np.isclose(one, other) & (np.isclose(one, points.min(0)) | np.isclose(one, points.max(0)))
        assert level.any()  # both ends on one face


def test_parts_gather_all_that_they_are_made_of_each_thing_once(data: Data) -> None:
    for group in ("solids", "spaces", "nipples"):
        gathered = sorted(index for part in data["parts"] for index in part[group])
        assert gathered == list(range(len(data[group])))
        for part in data["parts"]:
            assert {data[group][index]["part"] for index in part[group]} <= {part["name"]}
    assert len(named(data, "parts", "keys")["solids"]) == 25
    assert named(data, "parts", "hand")["kind"] == "keep_clear"


def test_every_view_holds_all_that_is_there(data: Data) -> None:
    points = np.concatenate([corners_at(data, solid) for solid in [*data["solids"], *data["spaces"]]])
    points = np.concatenate([points, line_of(data["tubes"][0])])
    low, high = np.array(data["bounds"])
    assert (points > low - 1e-3).all()
    assert (points < high + 1e-3).all()
    for view in data["views"]:
        eye, target, up = (np.array(view[key]) for key in ("eye", "target", "up"))
        out = (eye - target) / np.linalg.norm(eye - target)
        right = np.cross(up, out) / np.linalg.norm(np.cross(up, out))
        seen = points - target
        depth = np.linalg.norm(eye - target) - seen @ out
        scale = 1.0 if view["parallel"] else np.linalg.norm(eye - target) / depth
        assert (depth > 0).all()
        assert (abs(seen @ right * scale) <= view["height"] * data["aspect"] / 2).all()
        assert (abs(seen @ np.cross(out, right) * scale) <= view["height"] / 2).all()


def test_a_scene_taped_in_inches_is_told_in_millimetres(tmp_path: Path) -> None:
    scene = (
        a_scene(
            with_box("box", (1, 2, 3), (10, 4, 8)),
            with_row("bar", "1..2", (20, 0, 0), (21, 0, 0), outside="9/64 in"),
            units="in",
        )
        .replace("bore = 3.97", 'bore = "3.97 mm"')
        .replace("outside = 5.56", 'outside = "5.56 mm"')
    )
    data = data_of(written(tmp_path, scene))
    assert data["units"] == "in"
    points = corners_at(data, named(data, "solids", "box"))
    assert points.min(axis=0) == pytest.approx([25.4, 50.8, 76.2])
    assert np.ptp(points, axis=0) == pytest.approx([254, 101.6, 203.2])
    assert named(data, "nipples", "bar 2")["radius"] == pytest.approx(25.4 * 9 / 64 / 2, abs=1e-4)


def test_what_lies_beyond_eight_metres_is_told_too(tmp_path: Path) -> None:
    data = data_of(
        written(tmp_path, a_scene(with_part("far", kind="box", at=at(0, 0, 0), size=extent(20_000, 10, 10))))
    )
    assert np.ptp(corners_at(data, named(data, "solids", "far")), axis=0) == pytest.approx([20_000, 10, 10])

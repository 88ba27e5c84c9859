from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import place, with_box, with_keep_clear, with_part, with_zero
from placed import a_cabinet, bounds, corners, has_corner, solid, the_problem

# A tetrahedron with its corner at zero and edges of 2 along the axes, each face outwards.
TETRAHEDRON = """v 0 0 0
v 2 0 0
v 0 2 0
v 0 0 2
f 1 3 2
f 1 2 4
f 1 4 3
f 2 3 4
"""


def with_bar(**more: Any) -> str:
    """A bar 20 wide and 6 thick."""
    return with_part("bar", **{"kind": "bar", "wide": 20, "thick": 6} | more)


def test_a_bar_along_right_is_wide_level_and_thick_upright_about_its_middle_line() -> None:
    cabinet = a_cabinet(with_bar(at=place(10, 50, 100), to=place(40, 50, 100)))
    assert bounds(corners(cabinet, "bar")) == ([10, 40, 97], [40, 60, 103])


def test_a_rising_bar_stays_level_across() -> None:
    # From (0, 0, 0) to (0, 40, 30), along (0, 0.8, 0.6): thick square to it: 3 each way of (0, -0.6, 0.8).
    points = corners(a_cabinet(with_bar(at=place(0, 0, 0), to=place(0, 40, 30))), "bar")
    for x in (-10, 10):
        assert has_corner(points, (x, 1.8, -2.4))
        assert has_corner(points, (x, -1.8, 2.4))
        assert has_corner(points, (x, 41.8, 27.6))
        assert has_corner(points, (x, 38.2, 32.4))


@pytest.mark.parametrize(("low", "high"), [(0, 50), (50, 0)])
def test_an_upright_bar_is_wide_to_the_right(low: float, high: float) -> None:
    cabinet = a_cabinet(with_bar(at=place(0, 0, low), to=place(0, 0, high)))
    assert bounds(corners(cabinet, "bar")) == ([-10, -3, 0], [10, 3, 50])


def test_both_ends_of_a_bar_are_taped_from_the_part_s_zero_and_it_turns_about_the_first() -> None:
    cabinet = a_cabinet(
        with_zero("bed", (100, 0, 0)),
        with_bar(zero="bed", at=place(10, 0, 0), to=place(40, 0, 0), turned={"about": "up", "by": 90}),
    )
    assert bounds(corners(cabinet, "bar")) == ([100, 0, -3], [120, 30, 3])


def test_a_round_bar_goes_from_end_to_end() -> None:
    cabinet = a_cabinet(with_part("rod", kind="cylinder", at=place(1, 2, 3), to=place(1, 2, 33), diameter=8))
    found = solid(cabinet, "rod").pieces
    assert found.radii.tolist() == [4]
    assert found.halves.tolist() == [15]
    assert found.origins.tolist() == [[1, 2, 18]]


@pytest.mark.parametrize("kind", ["bar", "cylinder"])
def test_a_bar_that_ends_where_it_begins_is_refused(kind: str) -> None:
    sizes = {"wide": 2, "thick": 2} if kind == "bar" else {"diameter": 2}
    key, found, allowed, remedy = the_problem(
        with_part("bar", kind=kind, at=place(1, 2, 3), to=place(1, 2, 3), **sizes)
    )
    assert key == "part.bar.to"
    assert found == "a bar that ends where it begins"
    assert allowed == "to apart from at"
    assert remedy == "tape both ends again, from the same zero"


def with_wedge(along: str, *outline: dict[str, Any], **more: Any) -> str:
    """A prism 8 thick."""
    return with_part("wedge", kind="prism", along=along, outline=list(outline), thick=8, **more)


def test_a_prism_is_thick_from_its_at_onwards_along_its_direction() -> None:
    outline = ({"back": 0, "up": 0}, {"back": 30, "up": 0}, {"back": 30, "up": 20})
    points = corners(a_cabinet(with_wedge("right", *outline, at=place(100, 50, 10))), "wedge")
    assert bounds(points) == ([100, 50, 10], [108, 80, 30])
    assert has_corner(points, (108, 80, 30))
    assert not has_corner(points, (108, 50, 30))


@pytest.mark.parametrize("reverse", [False, True])
def test_either_way_round_an_outline_gives_the_same_prism(reverse: bool) -> None:
    outline = [place(0, 0, None), place(30, 0, None), place(30, 20, None), place(0, 5, None)]
    outline = [{key: value for key, value in p.items() if value is not None} for p in outline]
    points = corners(a_cabinet(with_wedge("up", *outline[:: -1 if reverse else 1])), "wedge")
    assert bounds(points) == ([0, 0, 0], [30, 20, 8])
    assert has_corner(points, (0, 5, 8))
    assert not has_corner(points, (0, 20, 8))


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow = ({"right": 0}, {"right": 9, "back": 9}, {"right": 9}, {"back": 9})
    key, found, allowed, remedy = the_problem(with_wedge("up", *bow))
    assert key == "part.wedge.outline"
    assert found.startswith("an outline whose sides cross, touch or fold back")
    assert allowed.startswith("corners in order round it")
    assert remedy == "put the corners in order"


def test_a_corner_along_the_thickness_is_refused() -> None:
    key, found, allowed, remedy = the_problem(
        with_wedge("up", {"right": 0}, {"right": 9, "up": 5}, {"back": 9})
    )
    assert key == "part.wedge.outline.2"
    assert found == "a corner with up in an outline that is thick along up"
    assert "the outline lies at the part's at" in allowed
    assert remedy == "leave up out"


def test_a_mesh_is_in_its_own_unit_and_stands_at_its_own_zero(tmp_path: Path) -> None:
    (tmp_path / "horn.obj").write_text(TETRAHEDRON)
    horn = with_part(
        "horn", kind="mesh", file="horn.obj", unit="in", at=place(100, 0, 0), turned={"about": "up", "by": 90}
    )
    cabinet = a_cabinet(horn, folder=tmp_path)
    # Edges of two inches; a quarter about up takes right to back and back to left.
    assert bounds(corners(cabinet, "horn")) == ([49.2, 0, 0], [100, 50.8, 50.8])
    assert len(solid(cabinet, "horn").pieces.halves) == 4
    assert solid(cabinet, "horn").tested_inside


def test_nothing_can_be_inside_an_open_mesh(tmp_path: Path) -> None:
    (tmp_path / "horn.obj").write_text(TETRAHEDRON.rsplit("f", 1)[0])
    horn = with_part("horn", kind="mesh", file="horn.obj", unit="in")
    assert not solid(a_cabinet(horn, folder=tmp_path), "horn").tested_inside


def test_a_mesh_that_cannot_be_used_is_a_problem_at_its_file(tmp_path: Path) -> None:
    (tmp_path / "horn.obj").write_text("v 0 0 0\n")
    key, found, allowed, remedy = the_problem(
        with_part("horn", kind="mesh", file="horn.obj", unit="in"), folder=tmp_path
    )
    assert key == "part.horn.file"
    assert found == "horn.obj: no triangles"
    assert allowed == "at least one triangle"
    assert remedy


def test_a_space_to_be_kept_clear_is_no_solid_and_says_why() -> None:
    cabinet = a_cabinet(
        with_keep_clear("service", (0, 0, 0), (10, 20, 30), "the action comes out here"),
        with_box("box", (0, 0, 0), (1, 1, 1)),
    )
    assert [one.name for one in cabinet.solids] == ["box"]
    (space,) = cabinet.keep_clear
    assert (space.name, space.why) == ("service", "the action comes out here")
    assert cabinet.clear_bodies.pieces.halves.tolist() == [15]
    assert len(cabinet.bodies.kinds) == 1


def test_nipples_on_a_space_are_refused() -> None:
    space = with_keep_clear("service", (0, 0, 0), (1, 1, 1), "the lid opens")
    key, found, _, _ = the_problem(space + '\nrows = [{ holes = "1", first = {} }]')
    assert (key, found) == ("part.service.rows", "rows of nipples on a keep_clear")


def test_what_a_part_says_of_itself_goes_with_it() -> None:
    found = solid(
        a_cabinet(
            with_box(
                "box",
                (0, 0, 0),
                (1, 1, 1),
                clearance=6,
                comes_out="front",
                look="felt",
                why="it swells",
                turned={"about": "up", "by": 90},
            )
        ),
        "box",
    )
    assert (found.kind, found.clearance_mm, found.look, found.why) == ("box", 6, "felt", "it swells")
    # The way out is said of the case: it does not turn with the part.
    assert found.comes_out is not None
    assert found.comes_out.tolist() == [0, -1, 0]


def test_a_slanting_way_out_has_unit_length() -> None:
    way = solid(
        a_cabinet(with_box("box", (0, 0, 0), (1, 1, 1), comes_out={"back": -3, "up": 4})), "box"
    ).comes_out
    assert way is not None
    assert way == pytest.approx(np.array([0, -0.6, 0.8]))

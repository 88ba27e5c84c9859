from typing import Any

import numpy as np
import pytest
from builders import a_table, extent, place, with_board, with_box, with_zero
from placed import a_cabinet, bounds, corners, solid, the_problem, the_problems
from shapely import Polygon

from routeviz.cabinet.passages import Passage


def with_shelf(size: tuple[float, float, float] = (1440, 300, 40), **more: Any) -> str:
    """A shelf at right 20, back 330, up 700, with an opening ``bass`` unless said otherwise."""
    opening = {"bass": {"at": place(210, 40, 0), "size": {"wide": 120, "deep": 90}, "most": 14}}
    return with_board("shelf", (20, 330, 700), size, **{"opening": opening} | more)


def only_opening(opening: dict[str, Any], **more: Any) -> str:
    """A shelf with one opening."""
    return with_shelf(opening={"bass": opening}, **more)


def in_case(passage: Passage, through: float = 0.0) -> np.ndarray:
    """A passage's corners in the case, so far along its way through from the middle."""
    return passage.origin + passage.outline @ passage.axes[:2] + through * passage.axes[2]


def volume(name: str, *pieces: str) -> float:
    """The volume of a solid's pieces, none of them round."""
    found = solid(a_cabinet(*pieces), name).pieces
    areas = [
        Polygon(found.corners[a:b]).area for a, b in zip(found.begins[:-1], found.begins[1:], strict=True)
    ]
    return float((2 * found.halves * areas).sum())


def test_an_opening_is_the_passage_of_its_board_s_name_and_its_own() -> None:
    passage = a_cabinet(with_box("rail", (0, 0, 0), (1, 1, 1)), with_shelf()).passages["shelf bass"]
    # Left at 20 + 210 = 230, right 350, front 330 + 40 = 370, back 460; 40 thick from 700.
    assert bounds(in_case(passage, -20)) == ([230, 370, 700], [350, 460, 700])
    assert bounds(in_case(passage, 20)) == ([230, 370, 740], [350, 460, 740])
    assert passage.origin.tolist() == [290, 415, 720]
    assert (passage.thick_mm, passage.most, passage.solid) == (40, 14, 1)


def test_the_board_is_cut_by_its_openings() -> None:
    # 1440 * 300 less 120 * 90 and a round one; 32 corners or more on a circle of 30 take at least 98 % of it.
    straight = volume("shelf", with_shelf())
    assert straight == pytest.approx((1440 * 300 - 120 * 90) * 40, rel=1e-12)
    both = {
        "bass": {"at": place(210, 40, 0), "size": {"wide": 120, "deep": 90}},
        "bell": {"at": place(600, 100, 0), "diameter": 60},
    }
    round_too = volume("shelf", with_shelf(opening=both))
    circle = np.pi * 30**2 * 40
    assert straight - circle < round_too < straight - 0.99 * circle


def test_a_round_opening_is_a_polygon_on_its_circle_at_most_a_hundredth_inside_it() -> None:
    passage = a_cabinet(only_opening({"at": place(600, 100, 0), "diameter": 60})).passages["shelf bass"]
    assert passage.origin.tolist() == [620, 430, 720]
    assert np.hypot(*passage.outline.T) == pytest.approx(np.full(len(passage.outline), 30), abs=1e-9)
    middles = (passage.outline + np.roll(passage.outline, -1, axis=0)) / 2
    assert 29.99 <= np.hypot(*middles.T).min() < 30


@pytest.mark.parametrize(
    ("size", "opening"),
    [
        ((1440, 300, 40), {"at": place(210, 40, 0), "size": {"wide": 120, "deep": 90}}),
        ((1440, 40, 300), {"at": place(210, 0, 40), "size": {"wide": 120, "high": 90}}),
        ((40, 1440, 300), {"at": place(0, 210, 40), "size": {"deep": 120, "high": 90}}),
    ],
)
def test_openings_go_through_the_thinnest_side_right_handed_and_anticlockwise(
    size: tuple[float, float, float], opening: dict[str, Any]
) -> None:
    cabinet = a_cabinet(only_opening(opening, size=size))
    passage = cabinet.passages["shelf bass"]
    thin = int(np.argmin(size))
    assert passage.axes[2].tolist() == np.eye(3)[thin].tolist()
    assert np.cross(passage.axes[0], passage.axes[1]).tolist() == passage.axes[2].tolist()
    assert Polygon(passage.outline).exterior.is_ccw
    low = np.array([20, 330, 700]) + [opening["at"][key] for key in ("right", "back", "up")]
    extents = [opening["size"].get(key, 0) for key in ("wide", "deep", "high")]
    middle = low + np.array(extents) / 2 + np.eye(3)[thin] * 20
    assert passage.origin.tolist() == middle.tolist()
    assert bounds(corners(cabinet, "shelf")) == ([20, 330, 700], [20 + size[0], 330 + size[1], 700 + size[2]])


def test_a_turned_board_takes_its_openings_with_it() -> None:
    # A quarter about right stands the shelf up: what was back is up, what was up is front. The opening's
    # middle was 270 right, 85 back, 20 up of at.
    passage = a_cabinet(with_shelf(turned={"about": "right", "by": 90})).passages["shelf bass"]
    assert passage.origin.tolist() == [20 + 270, 330 - 20, 700 + 85]
    assert passage.axes.tolist() == [[1, 0, 0], [0, 0, 1], [0, -1, 0]]


def test_an_opening_from_the_right_end_has_its_right_side_there() -> None:
    opening = {"at": {"right_end": 210, "back_end": 40}, "size": {"wide": 120, "deep": 90}}
    passage = a_cabinet(only_opening(opening)).passages["shelf bass"]
    # The mirror image of the first: right side at 1460 - 210, back side at 630 - 40.
    assert bounds(in_case(passage, -20)) == ([1130, 500, 700], [1250, 590, 700])


def test_an_opening_taped_from_a_zero_lies_there_and_not_where_its_board_counts_from() -> None:
    opening = {"at": {"right": 200, "back": 60, "zero": "bed"}, "size": {"wide": 120, "deep": 90}}
    passage = a_cabinet(with_zero("bed", (50, 300, 0)), only_opening(opening)).passages["shelf bass"]
    assert bounds(in_case(passage, 20)) == ([250, 360, 740], [370, 450, 740])


def test_an_outline_s_corners_are_seen_from_the_opening_s_own_at() -> None:
    outline = [place(0, 0, 0), place(0, 50, 0), place(80, 50, 0), place(80, 20, 0)]
    passage = a_cabinet(only_opening({"at": place(210, 40, 0), "outline": outline})).passages["shelf bass"]
    assert bounds(in_case(passage)) == ([230, 370, 720], [310, 420, 720])
    assert Polygon(passage.outline).exterior.is_ccw
    assert Polygon(passage.outline).area == pytest.approx(80 * 50 - 80 * 20 / 2)


def test_copies_of_a_board_have_their_own_passages() -> None:
    cabinet = a_cabinet(with_shelf(repeat={"count": 2, "step": {"up": 300}}))
    assert list(cabinet.passages) == ["shelf 1 bass", "shelf 2 bass"]
    assert cabinet.passages["shelf 2 bass"].solid == 1
    assert cabinet.passages["shelf 2 bass"].origin.tolist() == [290, 415, 1020]


def test_a_passage_that_stands_free_begins_at_its_near_face() -> None:
    free = a_table(
        "passage.slot",
        zero="bed",
        at=place(10, 20, 30),
        size={"wide": 100, "high": 25},
        along="back",
        thick=12,
        most=9,
    )
    passage = a_cabinet(with_zero("bed", (100, 200, 300)), free).passages["slot"]
    assert bounds(in_case(passage, -6)) == ([110, 220, 330], [210, 220, 355])
    assert bounds(in_case(passage, 6)) == ([110, 232, 330], [210, 232, 355])
    assert passage.axes[2].tolist() == [0, 1, 0]
    assert (passage.thick_mm, passage.most, passage.solid) == (12, 9, None)


def test_a_flat_free_passage_has_no_thickness() -> None:
    passage = a_cabinet(a_table("passage.ring", at=place(10, 20, 30), diameter=40, along="up")).passages[
        "ring"
    ]
    assert passage.thick_mm == 0
    assert passage.origin.tolist() == [10, 20, 30]


def test_a_free_passage_may_not_have_the_name_of_an_opening() -> None:
    free = a_table('passage."shelf bass"', at=place(0, 0, 0), diameter=40, along="up")
    key, found, allowed, remedy = the_problem(with_shelf(), free)
    assert key == 'passage."shelf bass"'
    assert found == "a passage 'shelf bass', of which the part 'shelf' has one too"
    assert allowed == "a name for each passage"
    assert remedy == "give one of them another name"


@pytest.mark.parametrize(
    ("at", "beyond"), [(place(1330, 40, 0), "10.0"), (place(0, 40, 0), "0.0"), (place(210, 215, 0), "5.0")]
)
def test_an_opening_beyond_or_at_its_board_s_edge_is_refused(at: dict[str, Any], beyond: str) -> None:
    key, found, allowed, remedy = the_problem(only_opening({"at": at, "size": {"wide": 120, "deep": 90}}))
    assert key == "part.shelf.opening.bass"
    assert found == f"an opening that reaches {beyond} mm beyond the edge of its board"
    assert allowed == "an opening with board left on all sides"
    assert remedy == "tape it again; for a notch in an edge, give two boards and a [passage]"


@pytest.mark.parametrize("right", [300, 330])
def test_an_opening_that_meets_another_is_refused(right: float) -> None:
    size = {"wide": 120, "deep": 90}
    both = {"a": {"at": place(210, 40, 0), "size": size}, "b": {"at": place(right, 60, 0), "size": size}}
    key, found, _, remedy = the_problem(with_shelf(opening=both))
    assert (key, found) == ("part.shelf.opening.b", "it meets the opening 'a' in the same board")
    assert remedy == "tape them again, or make one opening of both"


def test_a_board_as_thick_as_it_is_deep_does_not_say_which_way_its_openings_go() -> None:
    key, found, allowed, _ = the_problem(with_shelf(size=(1440, 300, 300)))
    assert key == "part.shelf.size"
    assert found == "two sides of 300.0 mm, so that nobody can tell which way the openings go"
    assert allowed == "a board with one side thinner than the other two"
    assert a_cabinet(with_shelf(size=(1440, 300, 300), opening={})).solids[0].name == "shelf"


SQUARE = {"wide": 10, "deep": 10}


@pytest.mark.parametrize(
    ("opening", "key", "found"),
    [
        ({}, "", "an opening without a form"),
        ({"size": SQUARE, "diameter": 10}, "", "an opening with size and diameter"),
        ({"size": {"wide": 10}}, ".size.deep", "an opening that goes up without deep"),
        ({"size": SQUARE | {"high": 10}}, ".size.high", "an opening that goes up with high"),
        ({"outline": [place(0, 0, 0), place(9, 9, 0)]}, ".outline", "an outline of 2 corners"),
        (
            {"outline": [place(0, 0, 0), place(9, 0, 0), place(9, 0, 0), place(0, 9, 0)]},
            ".outline.2",
            "this corner and the next lie in one place, 0.0 mm apart",
        ),
        (
            {"outline": [place(0, 0, 0), place(9, 9, 0), place(9, 0, 0), place(0, 9, 0)]},
            ".outline",
            "an outline whose sides cross, touch or fold back (Self-intersection[104.5 104.5])",
        ),
        (
            {"outline": [place(0, 0, 0), place(4, 4, 0), place(9, 9, 0)]},
            ".outline",
            "an outline whose sides cross, touch or fold back",
        ),
    ],
)
def test_openings_without_a_clear_form_are_refused(opening: dict[str, Any], key: str, found: str) -> None:
    said = the_problem(only_opening({"at": place(100, 100, 0)} | opening))
    assert said[0] == f"part.shelf.opening.bass{key}"
    assert said[1].startswith(found)


def test_all_openings_are_looked_at_before_anything_is_said() -> None:
    openings = {"a": {"at": place(0, 0, 0)}, "b": {"at": place(-5, 9, 0), "diameter": 4}}
    problems = the_problems(
        with_shelf(opening=openings), a_table("passage.slot", at=place(0, 0, 0), along="up")
    )
    assert {p.key for p in problems} == {
        "part.shelf.opening.a",
        "part.shelf.opening.b",
        "passage.slot",
    }


def test_the_size_of_a_free_passage_lies_across_its_way() -> None:
    free = a_table("passage.slot", at=place(0, 0, 0), size=extent(1, 2, 3), along="right")
    key, found, allowed, remedy = the_problem(free)
    assert key == "passage.slot.size.wide"
    assert found == "an opening that goes right with wide"
    assert allowed == "deep and high, the two sides across the way through"
    assert remedy == "leave out wide"

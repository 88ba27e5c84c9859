import math

import pytest
from builders import place, with_board, with_box
from placed import a_cabinet, bounds, corners, has_corner, solid, the_problem

from routeviz.cabinet.motions import Fixed, Hinge, Sliding


def test_a_part_without_a_motion_stands_still() -> None:
    assert isinstance(solid(a_cabinet(with_box("box", (0, 0, 0), (1, 1, 1))), "box").movement, Fixed)


def test_a_hinge_turns_right_handed_about_its_axis_with_the_doubt_added() -> None:
    # Hinged along right at its lower back edge, 20 behind at: the front edge is 20 before the axis. By 25 + 5
    # = 30 degrees right-handed about +x what is before it goes down: y = 20 - 20 cos 30, z = -20 sin 30.
    cabinet = a_cabinet(
        with_box(
            "pedal",
            (0, 0, 0),
            (10, 20, 4),
            motion={"turns_about": "right", "at": place(0, 20, 0), "travel": 25, "doubt": 5},
        )
    )
    movement = solid(cabinet, "pedal").movement
    assert isinstance(movement, Hinge)
    assert movement.full_deg == 30
    assert movement.point.tolist() == [0, 20, 0]
    assert has_corner(corners(cabinet, "pedal", 1.0), (0, 20 - 20 * math.sqrt(3) / 2, -10))


def test_the_doubt_of_a_hinge_that_turns_backwards_takes_it_further_backwards() -> None:
    motion = {"turns_about": "right", "travel": -25, "doubt": 5}
    movement = solid(a_cabinet(with_box("a", (0, 0, 0), (1, 1, 1), motion=motion)), "a").movement
    assert isinstance(movement, Hinge)
    assert movement.full_deg == -30


def test_a_slide_goes_its_travel_and_its_doubt_along_its_direction() -> None:
    motion = {"slides": {"right": 3, "up": 4}, "travel": 9, "doubt": 1}
    cabinet = a_cabinet(with_box("bar", (0, 0, 0), (1, 1, 1), motion=motion))
    movement = solid(cabinet, "bar").movement
    assert isinstance(movement, Sliding)
    assert movement.full_mm == 10
    assert bounds(corners(cabinet, "bar", 1.0)) == ([6, 0, 8], [7, 1, 9])


def test_axis_and_slide_turn_with_their_part() -> None:
    # A quarter about up: the axis "right" becomes back, the point 5 to the right lies 5 behind.
    turned = {"about": "up", "by": 90}
    hinge = {"turns_about": "right", "at": place(5, 0, 0), "travel": 10}
    cabinet = a_cabinet(
        with_box("a", (100, 0, 0), (1, 1, 1), turned=turned, motion=hinge),
        with_box("b", (0, 0, 0), (1, 1, 1), turned=turned, motion={"slides": "right", "travel": 7}),
    )
    movement = solid(cabinet, "a").movement
    assert isinstance(movement, Hinge)
    assert movement.axis.tolist() == [0, 1, 0]
    assert movement.point.tolist() == [100, 5, 0]
    assert bounds(corners(cabinet, "b", 1.0)) == ([-1, 7, 0], [0, 8, 1])


@pytest.mark.parametrize(
    ("motion", "key", "found"),
    [
        ({"turns_about": "right", "travel": 0}, "travel", "a travel of nothing"),
        ({"turns_about": "right", "travel": 5, "doubt": -1}, "doubt", "a doubt of -1 deg"),
    ],
)
def test_a_hinge_that_does_not_turn_or_turns_less_by_doubt_is_refused(
    motion: dict[str, object], key: str, found: str
) -> None:
    said = the_problem(with_box("a", (0, 0, 0), (1, 1, 1), motion=motion))
    assert said[:2] == (f"part.a.motion.{key}", found)


def test_openings_in_a_board_that_moves_are_refused() -> None:
    opening = {"a": {"at": place(10, 10, 0), "diameter": 5}}
    key, found, _, remedy = the_problem(
        with_board("lid", (0, 0, 0), (90, 90, 9), opening=opening, motion={"slides": "up", "travel": 5})
    )
    assert (key, found) == ("part.lid.motion", "openings in a board that moves")
    assert remedy == "leave motion or the openings out"

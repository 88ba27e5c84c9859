"""What an opening holds: openings that can be counted by hand, and what must not change the answer."""

from math import cos, pi, sin, sqrt

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon, box

from routeviz.geometry.capacity import stowaways
from routeviz.geometry.packing import Packing, fits, holds

NOTCHED = box(0, 0, 60, 35).difference(box(40, 25, 60, 35))


def a_star(arm: float, width: float) -> Polygon:
    """Three arms at 120 degrees with round ends; the discs' polygons are drawn a little large."""
    tips = [(arm * cos(turn), arm * sin(turn)) for turn in (0.0, 2.0 * pi / 3.0, 4.0 * pi / 3.0)]
    return shapely.union_all(
        [LineString([(0.0, 0.0), tip]).buffer(width / 2.0, quad_segs=32) for tip in tips]
    )


def worst_room(opening: Polygon, packing: Packing, diameter: float, clearance: float, gap: float) -> float:
    """The least room over all pairs and to the rim, by another way than the one tested."""
    sites = shapely.points(packing.centres)
    assert shapely.contains(opening, sites).all()
    to_rim = min(opening.boundary.distance(site) for site in sites) - diameter / 2.0 - clearance
    apart = min((a.distance(b) for i, a in enumerate(sites) for b in sites[:i]), default=np.inf)
    return float(min(to_rim, apart - diameter - gap))


@pytest.mark.parametrize(("clearance", "gap"), [(0.0, 0.0), (1.0, 0.0), (0.0, 0.5), (0.7, 0.3)])
@pytest.mark.parametrize("opening", [NOTCHED, box(0, 0, 40, 30).difference(box(15, 10, 22, 18))])
def test_every_packing_keeps_clearance_and_gap(opening: Polygon, clearance: float, gap: float) -> None:
    packing = holds(opening, 6.3, clearance=clearance, gap=gap)

    assert 0 < packing.found <= packing.bound
    assert worst_room(opening, packing, 6.3, clearance, gap) >= -1e-9


@pytest.mark.parametrize(
    ("opening", "diameter", "count"),
    [
        (box(0, 0, 5.4, 50), 5.5, 0),  # narrower than the circle
        (box(0, 0, 5.5, 5.5), 5.5, 1),  # its own square
        (box(0, 0, 55, 5.5), 5.5, 10),  # 55 / 5.5 in a row
        (box(0, 0, 54.9, 5.5), 5.5, 9),
        # Zigzag: 1.5 of height leave sqrt(5.5^2 - 1.5^2) = 5.2915 a circle; 1 + (48.3 - 5.5) / 5.2915 = 9.09.
        (box(0, 0, 48.3, 7.0), 5.5, 9),
        (box(0, 0, 47.7, 7.0), 5.5, 8),
    ],
)
def test_a_slot_holds_exactly_what_arithmetic_says(opening: Polygon, diameter: float, count: int) -> None:
    packing = holds(opening, diameter)

    assert (packing.found, packing.bound) == (count, count)


def test_the_notched_opening_holds_at_least_forty_seven_and_at_most_fifty_five() -> None:
    """Oler for the hull of the allowed centres: 53.7 by 28.7 less half of 20 by 10 gives 2 * 1441.2 /
    (1.7321 * 39.69) + (2 * 82.4 - 30 + 22.361) / 12.6 + 1 = 55.4; the round inner corner only takes area
    away."""
    packing = holds(NOTCHED, 6.3)

    assert packing.found >= 47
    assert packing.bound <= 55


def test_a_thin_star_holds_three_although_its_area_and_perimeter_say_two() -> None:
    """Arms of 1/sqrt3 diameters put the tips a diameter apart: 2A/sqrt3 + P/2 + 1 = 0 + sqrt3 + 1 = 2.7
    for the star of centres, which is why the bound uses the hull."""
    opening = a_star(arm=5.5 / sqrt(3.0) + 0.02, width=5.52)

    packing = holds(opening, 5.5)

    assert (packing.found, packing.bound) == (3, 3)


def test_a_hole_takes_room_from_the_packing_and_from_the_bound() -> None:
    whole = holds(box(0, 0, 60, 60), 6.0, enough=1)
    pierced = holds(box(0, 0, 60, 60).difference(box(15, 15, 45, 45)), 6.0)

    assert pierced.found <= pierced.bound
    assert pierced.bound <= whole.bound - 15


def test_two_rooms_joined_by_a_neck_too_narrow_for_a_circle_count_apart() -> None:
    """Two squares of 11 hold four of 5.5 each (proven for four in a square); nothing lies in the neck."""
    opening = shapely.union_all([box(0, 0, 11, 11), box(11, 5, 15, 6), box(15, 0, 26, 11)])

    packing = holds(opening, 5.5)

    assert packing.found == 8
    assert packing.bound <= 2 * holds(box(0, 0, 11, 11), 5.5, enough=1).bound


def test_the_same_opening_gives_the_same_packing() -> None:
    first, second = holds(NOTCHED, 6.3), holds(NOTCHED, 6.3)

    assert first.centres.tobytes() == second.centres.tobytes()


@pytest.mark.parametrize(
    ("turn", "right", "up"), [(30.0, 0.0, 0.0), (0.0, 1500.0, -700.0), (77.0, 800.0, 60.0)]
)
def test_moved_rigidly_the_bound_stays_and_the_packing_nearly(turn: float, right: float, up: float) -> None:
    still = holds(NOTCHED, 6.3)

    moved = shapely.affinity.translate(shapely.affinity.rotate(NOTCHED, turn), right, up)
    packing = holds(moved, 6.3)

    assert packing.bound == still.bound
    assert abs(packing.found - still.found) <= 2
    assert worst_room(moved, packing, 6.3, 0.0, 0.0) >= -1e-9


def test_in_other_units_the_answer_is_the_same_number() -> None:
    large, small = (
        holds(NOTCHED, 6.3),
        holds(shapely.affinity.scale(NOTCHED, 1e-3, 1e-3, origin=(0, 0)), 6.3e-3),
    )

    assert small.bound == large.bound
    assert abs(small.found - large.found) <= 1


def test_a_wide_passage_is_filled_to_within_seven_in_a_hundred_of_the_bound() -> None:
    packing = holds(box(0, 0, 120, 90), 5.5)

    assert packing.found >= 0.93 * packing.bound


def test_enough_stops_the_search_and_leaves_the_bound() -> None:
    all_of_it, some = holds(box(0, 0, 60, 35), 5.56), holds(box(0, 0, 60, 35), 5.56, enough=10)

    assert some.found >= 10
    assert some.bound == all_of_it.bound


def test_circles_of_several_sizes_lie_in_the_order_given_without_overlap() -> None:
    sizes = np.array([6.0, 11.0, 8.0, 6.0, 11.0, 8.0])

    fit = fits(box(0, 0, 34, 22), sizes, clearance=0.5, gap=0.2)

    assert fit.centres is not None
    assert fit.impossible == ""
    for i, site in enumerate(shapely.points(fit.centres)):
        assert box(0, 0, 34, 22).boundary.distance(site) >= sizes[i] / 2.0 + 0.5 - 1e-9
        for j in range(i):
            apart = np.hypot(*(fit.centres[i] - fit.centres[j]))
            assert apart >= (sizes[i] + sizes[j]) / 2.0 + 0.2 - 1e-9


@pytest.mark.parametrize(
    ("opening", "sizes", "why"),
    [
        (box(0, 0, 30, 10), [4.0, 12.0], "1 are 12 or more across, and at most 0 of that size can fit"),
        (
            box(0, 0, 30, 10),
            [9.0, 9.5, 9.7, 9.0],
            "4 are 9 or more across, and at most 3 of that size can fit",
        ),
    ],
)
def test_what_is_proven_not_to_fit_says_why(opening: Polygon, sizes: list[float], why: str) -> None:
    fit = fits(opening, sizes)

    assert fit.centres is None
    assert fit.impossible == why


def test_circles_of_more_area_than_the_opening_are_refused_by_area() -> None:
    """Six of 10 and forty of 3 take 754 of 700; each size by itself stays below its bound."""
    fit = fits(box(0, 0, 35, 20), [10.0] * 6 + [3.0] * 40)

    assert fit.centres is None
    assert fit.impossible == "they take an area of 753.982, and there is 700"


def test_equal_circles_fit_as_a_packing_does() -> None:
    assert fits(box(0, 0, 55, 5.5), [5.5] * 10).centres is not None
    assert fits(box(0, 0, 55, 5.5), [5.5] * 11).impossible != ""


def test_no_circles_fit_anywhere() -> None:
    fit = fits(box(0, 0, 1, 1), [])

    assert fit.centres is not None
    assert fit.centres.shape == (0, 2)


@pytest.mark.parametrize(
    ("opening", "diameter", "clearance", "message"),
    [
        (Polygon(), 1.0, 0.0, "opening"),
        (Polygon([(0, 0), (1, 1), (1, 0), (0, 1)]), 1.0, 0.0, "opening"),
        (box(0, 0, 9, 9), 0.0, 0.0, "diameter"),
        (box(0, 0, 9, 9), float("nan"), 0.0, "diameter"),
        (box(0, 0, 9, 9), 1.0, -0.1, "clearance"),
    ],
)
def test_what_is_no_opening_or_no_circle_is_refused(
    opening: Polygon, diameter: float, clearance: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        holds(opening, diameter, clearance=clearance)


@pytest.mark.parametrize(("at", "half_gap"), [(5.0, 0.95), (3.5, 0.99), (3.0, 1.0)])
def test_points_stowed_in_two_bays_that_look_at_each_other_keep_apart(at: float, half_gap: float) -> None:
    # A frame open to the right, and in it two teeth whose points leave a gap of hardly two separations: what
    # is a separation away from the frame falls into two bays, and these are nearer to each other than that.
    teeth = [
        Polygon([(at - 0.5, 0), (at + 0.5, 0), (at, 4 - half_gap)]),
        Polygon([(at - 0.5, 8), (at + 0.5, 8), (at, 4 + half_gap)]),
    ]
    frame = shapely.union_all([box(-0.2, -0.2, 9, 0), box(-0.2, 8, 9, 8.2), box(-0.2, -0.2, 0, 8.2), *teeth])
    sites = shapely.points(stowaways(frame, frame.convex_hull, 1.0))
    assert len(sites) > 40
    assert min(frame.distance(site) for site in sites) >= 1
    assert min(a.distance(b) for i, a in enumerate(sites) for b in sites[:i]) >= 1

"""Equal circles in the smallest circle: what is found against the best known, and the bound against both.

E. G. Birgin and J. M. Gentil, New and improved results for packing identical unitary radius circles within
triangles, rectangles and strips, Comput. Oper. Res. 37 (2010) 1318-1327; preprint of 2009, table 1:
radius of the least circle found for N unit circles, as printed to eight digits (for 33 the reference
column). Which N are proven optimal: see routeviz/geometry/capacity.py."""

from math import pi, sin

import numpy as np
import pytest
from shapely import Polygon

from routeviz.geometry.capacity import PROVEN_RATIOS
from routeviz.geometry.packing import holds

LEAST_RADII = dict(
    enumerate(
        [
            *[1.0, 2.0, 2.1547005, 2.4142136, 2.7013016, 3.0, 3.0, 3.3047649, 3.6131259, 3.8130256],
            *[3.9238044, 4.0296019, 4.2360680, 4.3284286, 4.5213570, 4.6154256, 4.7920337, 4.8637033],
            *[4.8637033, 5.1223207, 5.2523175, 5.4397190, 5.5452042, 5.6516611, 5.7528243, 5.8281765],
            *[5.9063978, 6.0149381, 6.1385979, 6.1977411, 6.2915026, 6.4294630, 6.4867031, 6.6109571],
            *[6.6971711, 6.7467538, 6.7587705],
        ],
        start=1,
    )
)
# Proven at this radius, by this program's bound: no circle more than best known.
EXACT = [1, 2, 3, 4, 5, 7, 8, 10, 12]


def a_circle(radius: float, sides: int = 256) -> Polygon:
    """A polygon about the circle: it contains all of it."""
    turn = np.arange(sides) * 2.0 * np.pi / sides
    return Polygon(radius / np.cos(np.pi / sides) * np.stack([np.cos(turn), np.sin(turn)], axis=1))


@pytest.mark.parametrize("count", LEAST_RADII)
def test_at_the_best_known_radius_the_bound_is_not_below_the_number_that_fits(count: int) -> None:
    packing = holds(a_circle(LEAST_RADII[count] + 1e-6), 2.0, enough=1)

    assert packing.bound >= count


@pytest.mark.parametrize("count", [*range(1, 17), 18, 19, 20])
def test_at_the_best_known_radius_up_to_twenty_all_but_seventeen_are_found(count: int) -> None:
    packing = holds(a_circle(LEAST_RADII[count] + 1e-6), 2.0, enough=count)

    assert packing.found >= count


@pytest.mark.parametrize("count", [17, *range(21, 38)])
def test_at_the_best_known_radius_at_most_one_is_missed(count: int) -> None:
    packing = holds(a_circle(LEAST_RADII[count] + 1e-6), 2.0, enough=count - 1)

    assert packing.found >= count - 1


@pytest.mark.parametrize("count", EXACT)
def test_where_the_least_circle_is_proven_found_and_bound_meet(count: int) -> None:
    packing = holds(a_circle(LEAST_RADII[count] + 1e-6), 2.0)

    assert (packing.found, packing.bound) == (count, count)


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 8, 9, 11])
def test_in_a_circle_a_thousandth_smaller_the_bound_proves_that_one_less_fits(count: int) -> None:
    packing = holds(a_circle(LEAST_RADII[count] - 1e-3), 2.0, enough=1)

    assert packing.bound <= count - 1


def test_the_closed_forms_agree_with_the_printed_radii() -> None:
    """Half a unit in the last printed digit."""
    for count, ratio in PROVEN_RATIOS.items():
        assert ratio == pytest.approx(LEAST_RADII[count], abs=5.1e-8)


@pytest.mark.parametrize(("count", "rings"), [(7, 1), (19, 2), (37, 3)])
def test_the_printed_radii_of_curved_hexagons_follow_from_a_closed_form(count: int, rings: int) -> None:
    """B. D. Lubachevsky and R. L. Graham, arXiv math/0406098: 3k(k+1)+1 circles in 1 + 1/sin(pi/6k)."""
    assert LEAST_RADII[count] == pytest.approx(1.0 + 1.0 / sin(pi / (6.0 * rings)), abs=5.1e-8)


def test_seven_in_the_circle_of_three_is_a_ring_about_one() -> None:
    packing = holds(a_circle(3.0 + 1e-6), 2.0)

    from_the_middle = np.sort(np.hypot(*packing.centres.T))
    assert from_the_middle[0] == pytest.approx(0.0, abs=1e-3)
    assert from_the_middle[1:] == pytest.approx(2.0, abs=1e-3)

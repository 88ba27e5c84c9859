"""Equal circles in the smallest square: what is found against the best known.

E. G. Birgin and J. M. Gentil, New and improved results for packing identical unitary radius circles within
triangles, rectangles and strips, Comput. Oper. Res. 37 (2010) 1318-1327; preprint of 2009, table 2: side
of the least square found for N unit circles, as printed to eight digits, with the closed forms where
there are any."""

from math import sqrt

import pytest
from shapely import box

from routeviz.geometry.packing import holds

LEAST_SIDES = {
    2: 2.0 + sqrt(2.0),
    3: 3.9318517,
    4: 4.0,
    5: 2.0 + 2.0 * sqrt(2.0),
    6: 2.0 + 12.0 / sqrt(13.0),
    7: 5.7320508,
    8: 5.8637033,
    9: 6.0,
    10: 6.7474415,
    16: 8.0,
    20: 8.9780834,
    25: 10.0,
    30: 10.9085683,
}


@pytest.mark.parametrize("count", LEAST_SIDES)
def test_at_the_best_known_side_all_are_found_and_none_more_than_the_bound(count: int) -> None:
    side = LEAST_SIDES[count] + 1e-6

    packing = holds(box(0.0, 0.0, side, side), 2.0, enough=count)

    assert count <= packing.found <= packing.bound


def test_two_in_a_square_a_thousandth_smaller_are_proven_impossible() -> None:
    side = LEAST_SIDES[2] - 1e-3

    assert holds(box(0.0, 0.0, side, side), 2.0).bound == 1

"""Conductors in a round conduit: shares of fill, the jam ratio, and the number that geometry allows.

NFPA 70, National Electrical Code, chapter 9, table 1: 53 % for one conductor, 31 % for two, 40 % for
more; and its informational note 2: three may jam where the conduit is 2.8 to 3.2 times as wide as one of
them. Figures from memory. Oler, and Folkman and Graham, as cited in routeviz/geometry/capacity.py."""

from math import pi, sqrt

import numpy as np
import pytest
from shapely import Polygon

from routeviz.geometry.packing import fits, holds


def a_conduit(ratio: float) -> Polygon:
    """A polygon about a circle so many times as wide as a conductor of 1."""
    turn = np.arange(256) * 2.0 * pi / 256
    return Polygon(ratio / 2.0 / np.cos(pi / 256) * np.stack([np.cos(turn), np.sin(turn)], axis=1))


@pytest.mark.parametrize(
    ("count", "share", "ratio"), [(1, 0.53, 1.3736), (2, 0.31, 2.5400), (3, 0.40, 2.7386)]
)
def test_as_many_as_the_code_allows_do_fit(count: int, share: float, ratio: float) -> None:
    """From the share follows the ratio sqrt(N / share), and the code leaves more room than geometry
    demands."""
    assert sqrt(count / share) == pytest.approx(ratio, abs=5.1e-5)

    assert holds(a_conduit(ratio), 1.0, enough=count).found >= count


def test_where_three_may_jam_there_is_room_for_five_to_seven() -> None:
    """At 2.8 and 3.2 the best known packings hold 5 and 7: ratios 2.7013 for five, 3 for seven, 3.3048
    for eight."""
    assert [holds(a_conduit(ratio), 1.0).found for ratio in (2.8, 3.2)] == [5, 7]
    assert [holds(a_conduit(ratio), 1.0).bound for ratio in (2.8, 3.2)] == [5, 7]


@pytest.mark.parametrize(("ratio", "most"), [(3.0, 7), (4.8637033, 20), (6.7587705, 40)])
def test_the_bound_by_area_and_perimeter(ratio: float, most: int) -> None:
    """By hand, region of radius (D - 1)/2: floor(2A/sqrt3 + P/2 + 1) = 7 (7.8), 20 (20.6), 40 (40.1)."""
    radius = (ratio - 1.0) / 2.0
    by_hand = 2.0 * pi * radius**2 / sqrt(3.0) + pi * radius + 1.0
    assert int(by_hand) == most

    assert holds(a_conduit(ratio), 1.0, enough=1).bound == most


def test_conductors_of_several_sizes_are_placed_without_overlap() -> None:
    sizes = np.array([1.0, 1.0, 0.6, 0.6, 0.6, 0.3, 0.3])

    centres = fits(a_conduit(3.0), sizes).centres

    assert centres is not None
    i, j = np.triu_indices(len(sizes), 1)
    assert (np.hypot(*(centres[i] - centres[j]).T) >= (sizes[i] + sizes[j]) / 2.0 - 1e-9).all()
    assert (np.hypot(*centres.T) <= (3.0 - sizes) / 2.0 + 1e-3).all()

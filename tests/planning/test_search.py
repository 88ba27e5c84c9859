"""Cheapest ways and distances on grids: against scipy's Dijkstra, straight lines, a way round a wall."""

import itertools
import math

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.search import EVERYWHERE, cheapest_way, distances_from, thinned

STEPS = [step for step in itertools.product((-1, 0, 1), repeat=3) if any(step)]


def number(counts: tuple[int, int, int], cell: tuple[int, ...]) -> int:
    return int(np.ravel_multi_index(cell, counts))


def a_graph(dear: Floats) -> csr_array:
    """Each cell joined to its 26 neighbours: the step's length times what the cell costs that it leads to."""
    rows, columns, costs = [], [], []
    for cell in np.ndindex(dear.shape):
        for step in STEPS:
            other = tuple(c + s for c, s in zip(cell, step, strict=True))
            if all(0 <= o < n for o, n in zip(other, dear.shape, strict=True)) and np.isfinite(dear[other]):
                rows.append(number(dear.shape, cell))
                columns.append(number(dear.shape, other))
                costs.append(math.sqrt(sum(s * s for s in step)) * dear[other])
    return csr_array((costs, (rows, columns)), shape=(dear.size, dear.size))


def way(dear: Floats, begin: int, goal: int) -> Ints:
    """The cells of the cheapest way, the beginning first; what is kept from call to call is full of old."""
    rng = np.random.default_rng(0)
    costs, parents = rng.uniform(0, 1, dear.size), rng.integers(0, dear.size, dear.size)
    marks = rng.integers(0, 7, dear.size)
    counts = np.array(dear.shape, dtype=np.int64)
    return cheapest_way(dear.ravel(), counts, begin, goal, costs, parents, marks, 7)[::-1]


def cost_of(dear: Floats, cells: Ints) -> float:
    places = np.stack(np.unravel_index(cells, dear.shape), axis=1)
    return float((np.linalg.norm(np.diff(places, axis=0), axis=1) * dear.ravel()[cells[1:]]).sum())


@pytest.mark.parametrize("seed", range(6))
def test_the_cheapest_way_costs_what_dijkstra_finds(seed: int) -> None:
    rng = np.random.default_rng(seed)
    dear = np.where(rng.uniform(size=(7, 8, 6)) < 0.4, np.inf, rng.uniform(1, 4, (7, 8, 6)))
    free, graph = np.flatnonzero(np.isfinite(dear)), a_graph(dear)
    for _ in range(20):
        begin, goal = (int(cell) for cell in rng.choice(free, 2, replace=False))
        expected = dijkstra(graph, indices=begin)[goal]
        cells = way(dear, begin, goal)
        if np.isfinite(expected):
            assert cells[0] == begin
            assert cells[-1] == goal
            assert cost_of(dear, cells) == pytest.approx(expected, rel=1e-12)
        else:
            assert not len(cells)


def test_of_equally_cheap_ways_the_same_is_found_every_time() -> None:
    dear = np.ones((9, 9, 9))
    begin, goal = number(dear.shape, (0, 0, 0)), number(dear.shape, (8, 3, 1))
    assert way(dear, begin, goal).tolist() == way(dear, begin, goal).tolist()


def open_links(shape: tuple[int, int, int], free: np.ndarray | None = None) -> Ints:
    """Neighbours that are both free are joined."""
    free = np.ones(shape, dtype=bool) if free is None else free
    links = np.zeros((3, *shape), dtype=np.int64)
    links[0, :-1] = free[:-1] & free[1:]
    links[1, :, :-1] = free[:, :-1] & free[:, 1:]
    links[2, :, :, :-1] = free[:, :, :-1] & free[:, :, 1:]
    return links.reshape(3, -1)


def test_in_free_space_distances_are_those_of_a_straight_line_within_a_few_percent() -> None:
    # First order: along the axes exact, never too short, worst along a diagonal, the better the farther.
    shape = (31, 31, 31)
    begin = number(shape, (15, 15, 15))
    found = distances_from(np.ones(31**3), open_links(shape), np.array(shape), begin, EVERYWHERE).reshape(
        shape
    )
    places = np.stack(np.meshgrid(*[np.arange(31) - 15] * 3, indexing="ij"), axis=-1)
    straight = np.linalg.norm(places, axis=-1)
    assert found[15, 15] == pytest.approx(np.abs(np.arange(31) - 15.0))
    assert (found >= straight - 1e-9).all()
    near, far = ((straight > least) & (straight < least + 2) for least in (10, 20))
    assert (found[near] / straight[near]).mean() < 1.08
    assert (found[near] / straight[near]).max() < 1.12
    assert (found[far] / straight[far]).max() < (found[near] / straight[near]).max()


def test_round_a_wall_the_distance_is_that_by_its_edge() -> None:
    # A wall one cell thick at x = 20, from y = 0 to 29, in a flat case of 41 x 60 cells. The shortest way
    # from (5, 5) to (35, 5) touches the wall's two corners, at (19.5, 29.5) and (20.5, 29.5).
    shape = (41, 60, 1)
    free = np.ones(shape, dtype=bool)
    free[20, :30] = False
    dear = np.where(free, 1.0, np.inf)
    begin, goal = number(shape, (5, 5, 0)), number(shape, (35, 5, 0))
    links = open_links(shape, free)
    found = distances_from(dear.ravel(), links, np.array(shape), begin, EVERYWHERE)[goal]
    closed = 2 * math.dist((5, 5), (19.5, 29.5)) + 1
    assert closed < found < 1.06 * closed
    assert distances_from(dear.ravel(), links, np.array(shape), begin, np.array([goal]))[goal] == found


def test_where_the_front_stops_at_the_last_goal_all_goals_are_as_far_as_they_are() -> None:
    # First order along an axis is exact; from the middle of 21 cells in a row, goals lie on both sides.
    links, counts = open_links((21, 1, 1)), np.array([21, 1, 1])
    found = distances_from(np.ones(21), links, counts, 10, np.array([12, 3, 12, 10]))
    assert found[[10, 12, 3]].tolist() == [0.0, 2.0, 7.0]
    assert np.isinf(found[[0, 20]]).all()


def test_a_dear_cell_counts_by_what_it_costs_and_no_link_is_passed_that_is_not_there() -> None:
    # Four cells in a row: 1 + 3 + 1; without the link between the last two there is no way.
    links = open_links((4, 1, 1))
    dear, counts = np.array([1.0, 1.0, 3.0, 1.0]), np.array([4, 1, 1])
    assert distances_from(dear, links, counts, 0, EVERYWHERE).tolist() == [0.0, 1.0, 4.0, 5.0]
    links[0, 2] = 0
    assert distances_from(dear, links, counts, 0, EVERYWHERE).tolist() == [0.0, 1.0, 4.0, math.inf]


def test_a_straight_way_is_thinned_to_its_ends_and_one_round_a_corner_keeps_the_corner() -> None:
    counts, low, side = np.array([20, 20, 1]), np.zeros(3), 10.0
    clear = np.full((20, 20, 1), 9.0)
    clear[5:, 5:] = -1.0  # what stands there leaves an L: along x, then along y
    straight = np.array([[x, 25.0, 5.0] for x in range(15, 196, 10)])
    assert thinned(straight, clear.ravel(), counts, low, side, 3.0).tolist() == [0, len(straight) - 1]
    bent = np.array(
        [[195.0 - 10 * k, 45.0, 5.0] for k in range(16)] + [[45.0, 45.0 + 10 * k, 5.0] for k in range(1, 16)]
    )
    needed = thinned(bent, clear.ravel(), counts, low, side, 3.0).tolist()
    assert {0, 15, 30} <= {*needed}
    assert len(needed) <= 4  # far ends are tried with strides, so that one more may stay


def test_a_way_through_a_place_without_room_keeps_every_point_there() -> None:
    clear = np.full(10, -1.0)
    points = np.array([[10.0 * k + 5, 5.0, 5.0] for k in range(10)])
    needed = thinned(points, clear, np.array([10, 1, 1]), np.zeros(3), 10.0, 3.0)
    assert needed.tolist() == list(range(10))

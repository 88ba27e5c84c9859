"""The case in cells and rooms: boards with closed passages divide, corners do not leak, walls stay."""

import numpy as np
import pytest
from builders import with_board, with_box
from placed import a_cabinet
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from routeviz.cabinet.solids import Cabinet, extents
from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.freespace import Grid, coarser, for_radius, free_cell, grid_of, in_room, middles
from routeviz.planning.obstacles import obstacles_of

RADIUS = 2.78
CLEARANCE = "[clearance]\nfixed = 2\nmoving = 3\n"
HOLE = {"hole": {"at": {"right": 80, "back": 80}, "size": {"wide": 40, "deep": 40}}}


def a_grid(*pieces: str, closed: bool = True, radius: float = RADIUS) -> Grid:
    cabinet = a_cabinet(*pieces, top=CLEARANCE)
    return grid_of_cabinet(cabinet, closed=closed, radius=radius)


def grid_of_cabinet(cabinet: Cabinet, *, closed: bool = True, radius: float = RADIUS) -> Grid:
    obstacles = obstacles_of([cabinet], extents(cabinet), radius + 7)
    return grid_of(obstacles, [*cabinet.passages.values()] if closed else [], radius)


def room_of(grid: Grid, *point: float) -> int:
    """The room of the cell that a point lies in."""
    i, j, k = np.floor((np.array(point) - grid.low) / grid.side).astype(int)
    return int(grid.rooms[(i * grid.counts[1] + j) * grid.counts[2] + k])


# A case of 200 x 200 x 200 mm without walls: what bounds it are its extents.
FLOOR = with_box("floor", (0, 0, -20), (200, 200, 20))
LID = with_box("lid", (0, 0, 200), (200, 200, 20))
SHELF = with_board("shelf", (0, 0, 90), (200, 200, 20), opening=HOLE)


def test_a_board_divides_the_case_when_its_passages_are_closed_and_not_before() -> None:
    shut, passable = a_grid(FLOOR, SHELF, LID), a_grid(FLOOR, SHELF, LID, closed=False)
    assert {room_of(shut, 100, 100, 150), room_of(shut, 100, 100, 40)} == {1, 2}
    assert room_of(passable, 100, 100, 150) == room_of(passable, 100, 100, 40)
    assert room_of(shut, 100, 100, 100) == 0


def test_cells_are_free_by_what_is_asked_and_the_radius_and_a_little_less() -> None:
    # Middles of cells are 5, 15, ... above the floor: up = 0 is a cell's lower face: the case begins at -20.
    # Asked for: 2 + 2.78 less 1.5: the first layer, at 5, is free; for a tube of 6 radius (6.5) it is not.
    for radius, room in ((RADIUS, 1), (6.0, 0)):
        assert room_of(a_grid(FLOOR, LID, radius=radius), 100, 100, 5) == room


def test_a_case_for_another_radius_is_that_of_a_grid_made_for_it() -> None:
    cabinet = a_cabinet(FLOOR, SHELF, LID, top=CLEARANCE)
    obstacles = obstacles_of([cabinet], extents(cabinet), 20.0)
    passages = [*cabinet.passages.values()]
    made, other = grid_of(obstacles, passages, 6.0), for_radius(grid_of(obstacles, passages, RADIUS), 6.0)
    assert made.dear.tolist() == other.dear.tolist()
    assert made.rooms.tolist() == other.rooms.tolist()


def test_two_walls_that_meet_at_an_edge_leak_nothing_through_it() -> None:
    # Two closets stand corner to corner; cells touch across the edge, but no tube goes through it.
    walls = (
        with_box("west", (0, 90, 0), (95, 20, 200)),
        with_box("east", (105, 90, 0), (95, 20, 200)),
        with_box("post", (90, 85, 0), (20, 30, 200)),
    )
    grid = a_grid(FLOOR, LID, *walls)
    assert room_of(grid, 100, 30, 100) != room_of(grid, 100, 170, 100)


def test_cells_that_meet_at_an_edge_only_are_two_rooms() -> None:
    # Boxes at two opposite corners of a square leave two open corners that touch at an edge, without a way.
    grid = a_grid(
        FLOOR, LID, with_box("a", (0, 0, 0), (105, 105, 200)), with_box("b", (95, 95, 0), (105, 105, 200))
    )
    assert room_of(grid, 150, 30, 100) != room_of(grid, 30, 150, 100)


def test_a_way_outside_costs_more_than_one_within() -> None:
    walls = [
        with_box("left", (-20, 0, -20), (20, 200, 240)),
        with_box("right", (200, 0, -20), (20, 200, 240)),
        with_box("back", (-20, 200, -20), (240, 20, 240)),
        with_box("porch", (-20, -100, -20), (240, 100, 20)),
    ]
    grid = a_grid(FLOOR, LID, *walls)
    dear = grid.dear.reshape(grid.counts)

    def cost(*point: float) -> float:
        return float(dear[tuple(np.floor((np.array(point) - grid.low) / grid.side).astype(int))])

    # Within, five of six directions end at a wall; before the open front, above the porch, only two do.
    assert cost(100, 100, 100) == 1.0
    assert cost(100, -50, 100) > 2.0


def parts(grid: Grid, links: Ints) -> int:
    """In how many parts the free cells hang together, by the links between cells, by scipy."""
    free = np.isfinite(grid.dear)
    steps = (int(grid.counts[1] * grid.counts[2]), int(grid.counts[2]), 1)
    pairs = np.array([(c, c + steps[a]) for a in range(3) for c in np.flatnonzero(links[a])]).reshape(-1, 2)
    graph = csr_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(free), len(free)))
    _, labels = connected_components(graph, directed=False)
    return len(set(labels[free].tolist()))


@pytest.mark.parametrize("shift", range(0, 60, 10))
def test_a_wall_thinner_than_a_larger_cell_stays_a_wall(shift: int) -> None:
    # A board of 20 mm from wall to wall but for a gap at its end: both sides hang together by the gap only.
    # Cells three times as large must not join them elsewhere: without the gap's column there are two parts.
    board = with_box("board", (0, 0, 60 + shift), (160, 200, 20))
    grid = a_grid(FLOOR, LID, board)
    assert room_of(grid, 50, 100, 20) == room_of(grid, 50, 100, 180) == 1
    larger, links = coarser(grid, 1, 3)
    assert parts(larger, links) == 1
    cut = links.reshape(3, *larger.counts).copy()
    cut[:, 150 // 30 - 1 :] = 0
    inside = np.isfinite(larger.dear.reshape(larger.counts))[: 150 // 30 - 1]
    kept = Grid(
        low=larger.low, side=larger.side, counts=np.array(inside.shape), clear=larger.clear,
        dear=np.where(inside, 1.0, np.inf).ravel(), rooms=larger.rooms, held_in=larger.held_in,
    )  # fmt: skip
    own = cut[:, : 150 // 30 - 1].copy()
    own[0, -1] = 0
    assert parts(kept, own.reshape(3, -1)) == 2


def test_a_larger_cell_costs_what_its_cheapest_cell_costs() -> None:
    grid = a_grid(FLOOR, SHELF, LID)
    larger, _ = coarser(grid, 1, 3)
    own = in_room(grid, 1).reshape(grid.counts)
    for cell in np.ndindex(*larger.counts.tolist()):
        block = own[tuple(slice(3 * c, 3 * c + 3) for c in cell)]
        assert larger.dear[np.ravel_multi_index(cell, larger.counts)] == block.min()


def test_the_nearest_free_cell_is_that_of_a_look_at_all_of_them() -> None:
    grid = a_grid(FLOOR, SHELF, LID)
    every = middles(grid.low, grid.side, grid.counts, np.arange(len(grid.rooms)))
    rng = np.random.default_rng(2)
    for point in rng.uniform([0, 0, -20], [200, 200, 220], (40, 3)):
        for room in (None, 1, 2):
            far: Floats = np.linalg.norm(every - point, axis=1)
            far[grid.rooms == 0 if room is None else grid.rooms != room] = np.inf
            found = free_cell(grid, point, 40.0, room)
            if far.min() > 40.0 + grid.side:
                assert found is None
            elif far.min() <= 40.0:
                assert found is not None
                assert far[found] == far.min()


def test_a_large_case_gets_larger_cells() -> None:
    size = (3000, 2000, 20)
    grid = a_grid(with_box("floor", (0, 0, 0), size), with_box("lid", (0, 0, 2000), size))
    assert grid.side > 10.0
    assert len(grid.rooms) < 1.1 * 1_500_000

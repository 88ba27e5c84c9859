"""Where the middle of a tube may be: compiled distances for planners that ask millions of times.

Read by the separate checker: boxes and round bars, what moves in several of its poses, each bigger by half
the way to the next; and points along tubes that are laid already. Cells of a grid know what is near, so a
question costs a microsecond. Free is what is left beyond every limit, told up to CAP.
"""

from dataclasses import dataclass

import fcl
import numpy as np
from numba import njit
from verifier.lays import asked
from verifier.pairs import goes
from verifier.parts import Case, Shape, Thing

CAP = 8.0  # beyond this, free is free
CELL = 12.0
POSES = 8  # of what moves
STEP = 1.0  # between points along a tube that is laid
BULGE = 0.03  # (STEP / 2)^2 / 2 outside diameters, rounded up: how much nearer a tube is than its points
LEAST_STEP = 0.02  # along a straight way, where next to nothing is free
CREEPS = 1e-6


@dataclass
class FreeSpace:
    """Solids as boxes with round edges, in a grid; points of tubes, in chains from the grid's cells.

    A solid is (turn, place, halves, room wanted from it); of a round bar halves are (0, 0, half length).
    """

    room: tuple[np.ndarray, np.ndarray]
    low: np.ndarray
    shape: np.ndarray
    turns: np.ndarray
    places: np.ndarray
    halves: np.ndarray
    rooms: np.ndarray
    firsts: np.ndarray
    solids: np.ndarray
    heads: np.ndarray
    nexts: np.ndarray
    points: np.ndarray
    owners: np.ndarray
    widths: np.ndarray
    count: int

    def add(self, points: np.ndarray, owner: int, radius: float) -> None:
        """Lay a tube: points not farther apart than STEP."""
        self.count = _add(
            np.ascontiguousarray(points), owner, radius, self.count, self.low, self.shape,
            self.heads, self.nexts, self.points, self.owners, self.widths,
        )  # fmt: skip

    def free(self, point: np.ndarray, owner: int, radius: float) -> float:
        """What is free about a point beyond every limit, for this tube."""
        return _free(point[0], point[1], point[2], owner, radius, *self._arrays())

    def is_free(self, begin: np.ndarray, end: np.ndarray, owner: int, radius: float) -> bool:
        """Whether the straight way between two points is free all along."""
        return bool(_is_free(begin, end, owner, radius, *self._arrays()))

    def is_curve_free(self, points: np.ndarray, owner: int, radius: float) -> bool:
        """Whether chords between many points are."""
        return bool(_are_free(points, owner, radius, *self._arrays()))

    def _arrays(self) -> tuple[np.ndarray, ...]:
        return (
            self.low, self.shape, self.turns, self.places, self.halves, self.rooms,
            self.firsts, self.solids, self.heads, self.nexts, self.points, self.owners, self.widths,
        )  # fmt: skip


def free_space(whole: Case, points: int) -> FreeSpace:
    """The space that a case leaves, with room for so many points of tubes."""
    rows = [row for thing in whole.things.values() for row in _rows(whole, thing)]
    turns, places, halves = (np.array([row[k] for row in rows]) for k in range(3))
    rooms = np.array([row[3] for row in rows])
    low, high = room_of(whole)
    shape = np.ceil((high - low) / CELL).astype(np.int64)
    cells: list[list[int]] = [[] for _ in range(int(shape.prod()))]
    reach = np.abs(turns) @ halves[:, :, None]
    for k in range(len(rows)):
        far = reach[k, :, 0] + rooms[k] + 6 + CAP
        first = np.clip(np.floor((places[k] - far - low) / CELL).astype(int), 0, shape - 1)
        last = np.clip(np.floor((places[k] + far - low) / CELL).astype(int), 0, shape - 1)
        for x in range(first[0], last[0] + 1):
            for y in range(first[1], last[1] + 1):
                base = (x * shape[1] + y) * shape[2]
                for z in range(first[2], last[2] + 1):
                    cells[base + z].append(k)
    firsts = np.concatenate([[0], np.cumsum([len(cell) for cell in cells])])
    solids = np.array([k for cell in cells for k in cell], np.int64)
    return FreeSpace(
        (low, high), low, shape, turns, places, halves, rooms, firsts, solids,
        np.full(len(cells), -1), np.full(points, -1), np.zeros((points, 3)),
        np.zeros(points, np.int64), np.zeros(points), 0,
    )  # fmt: skip


def room_of(whole: Case) -> tuple[np.ndarray, np.ndarray]:
    """The inside of an invented cabinet: its boards go from wall to wall, its floor is at 0."""
    parts = whole.scene.tables["part"]
    wide, deep, _ = whole.scene.size(parts["bed"]["size"])
    return np.zeros(3), np.array([wide, deep, whole.scene.mm(parts["lid"]["at"]["up"])])


def _rows(whole: Case, thing: Thing) -> list[tuple[np.ndarray, np.ndarray, np.ndarray, float]]:
    found = []
    for shape in thing.shapes:
        halves, room = _form(shape)
        poses = [(np.eye(3), np.zeros(3))]
        if thing.motion is not None:
            poses = [thing.motion.pose((k + 0.5) / POSES) for k in range(POSES)]
            room += goes(shape, thing) / POSES / 2
        for turn, shift in poses:
            found.append((turn @ shape.turn, turn @ shape.place + shift, halves, room + asked(whole, thing)))
    return found


def _form(shape: Shape) -> tuple[np.ndarray, float]:
    if shape.halves is not None:
        return shape.halves, 0.0
    assert isinstance(shape.geometry, fcl.Cylinder), "boxes and round bars only"
    return np.array([0.0, 0.0, shape.geometry.lz / 2]), shape.geometry.radius


@njit(cache=True)
def _add(added, owner, radius, count, low, shape, heads, nexts, points, owners, widths):
    for row in range(len(added)):
        i = int((added[row, 0] - low[0]) // CELL)
        j = int((added[row, 1] - low[1]) // CELL)
        k = int((added[row, 2] - low[2]) // CELL)
        if 0 <= i < shape[0] and 0 <= j < shape[1] and 0 <= k < shape[2]:
            cell = (i * shape[1] + j) * shape[2] + k
            points[count] = added[row]
            owners[count], widths[count] = owner, radius
            nexts[count], heads[cell] = heads[cell], count
            count += 1
    return count


@njit(cache=True)
def _free(x, y, z, owner, radius, low, shape, turns, places, halves, rooms,
          firsts, solids, heads, nexts, points, owners, widths):  # fmt: skip
    i, j, k = int((x - low[0]) // CELL), int((y - low[1]) // CELL), int((z - low[2]) // CELL)
    if i < 0 or j < 0 or k < 0 or i >= shape[0] or j >= shape[1] or k >= shape[2]:
        return -1.0
    least = CAP
    cell = (i * shape[1] + j) * shape[2] + k
    for row in range(firsts[cell], firsts[cell + 1]):
        s = solids[row]
        off = _from_box(x - places[s, 0], y - places[s, 1], z - places[s, 2], turns[s], halves[s])
        least = min(least, off - rooms[s] - radius)
    for i2 in range(max(i - 1, 0), min(i + 2, shape[0])):
        for j2 in range(max(j - 1, 0), min(j + 2, shape[1])):
            for k2 in range(max(k - 1, 0), min(k + 2, shape[2])):
                head = heads[(i2 * shape[1] + j2) * shape[2] + k2]
                off = _from_tubes(x, y, z, owner, head, nexts, points, owners, widths)
                least = min(least, off - radius - BULGE)
    return least


@njit(cache=True)
def _from_box(x, y, z, turn, half):
    off = 0.0
    for axis in range(3):
        over = abs(x * turn[0, axis] + y * turn[1, axis] + z * turn[2, axis]) - half[axis]
        if over > 0.0:
            off += over * over
    return np.sqrt(off)


@njit(cache=True)
def _from_tubes(x, y, z, owner, head, nexts, points, owners, widths):
    """How far the walls of other tubes are, of those whose points are in one cell."""
    least = np.inf
    while head >= 0:
        if owners[head] != owner:
            a, b, c = x - points[head, 0], y - points[head, 1], z - points[head, 2]
            least = min(least, np.sqrt(a * a + b * b + c * c) - widths[head])
        head = nexts[head]
    return least


@njit(cache=True)
def _is_free(begin, end, owner, radius, *space):
    a, b, c = end[0] - begin[0], end[1] - begin[1], end[2] - begin[2]
    long = np.sqrt(a * a + b * b + c * c)
    at = 0.0
    while True:
        share = at / long if long > CREEPS else 0.0
        free = _free(begin[0] + share * a, begin[1] + share * b, begin[2] + share * c, owner, radius, *space)
        if free < 0.0:
            return False
        if at >= long:
            return True
        at = min(at + max(free, LEAST_STEP), long)


@njit(cache=True)
def _are_free(points, owner, radius, *space):
    k = 0
    while k < len(points) - 1 and _is_free(points[k], points[k + 1], owner, radius, *space):
        k += 1
    return k == len(points) - 1

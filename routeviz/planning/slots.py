"""Where in a passage can tubes go through? Places as far apart as the opening allows, in straight rows.

Which tube takes which is asked in exchanging.py; what a passage holds at most, in geometry/packing.py.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats
from routeviz.geometry.jostling import fill_greedily
from routeviz.geometry.packing import holds
from routeviz.planning.obstacles import Obstacles, clearances_at, fill_clearances

SPARE_MM = 3.0  # beyond touching, tubes in a passage are spread no further: a ribbon should stay one
LEAST_MM = 0.25  # between tubes and beyond what the rim asks for, where the opening allows it
TOUCHING_MM = 0.08  # where it does not: what rounding takes, and half of what a clearance is judged to
MOST_TRIED = 60  # ways to set out rows, the widest first
STEP_MM = 0.25  # between the pitches tried
TURNING_MM = 20.0  # on both sides of a passage that should be free: the least bend of common tube is so wide
STRAIGHT_MM = 8.0  # on both sides of a passage that is to be free too: a tube does not turn at its face
EVERY_MM = 2.0  # at most, between the points at which that straight way is looked at: corners come between
GRAIN_MM = 1e-6  # by which a tube may be too near something: what is swept is hulled less exactly
LATTICE_MM = 0.2  # between points at which it is looked at what of an opening is free
MOST_LATTICE = 6000  # of these points
SLIGHT = 1e-9  # by which a place may miss the rim's line: what rounding takes


def places_in(passage: Passage, count: int, outside: float, asked: float, obstacles: Obstacles) -> Floats:
    """Return places for the centrelines of tubes in a passage: as far apart as it allows, in straight rows.

    Parameters
    ----------
    passage : Passage
        Which.
    count : int
        How many are wanted.
    outside : float
        Outside diameter of the thickest.
    asked : float
        What the rim asks for.
    obstacles : Obstacles
        A place counts only where nothing stands just before or behind it.

    Returns
    -------
    places : array, shape (n, 2)
        In the outline's directions; fewer than wanted where there are no more.
    """
    best = np.zeros((0, 2))
    for straight in (TURNING_MM, STRAIGHT_MM):
        for places, least in _settings(passage.outline, count, outside, asked):
            free = _clear(passage, places, outside, asked + least, obstacles, straight)
            if len(free) >= count:
                return free
            best = free if len(free) > len(best) else best
    for spare in (TOUCHING_MM, 0.0):
        free = _packed(passage, count, outside, (asked, spare), obstacles)
        best = free if len(free) > len(best) else best
        if len(best) >= count:
            break
    return best


def _packed(
    passage: Passage, count: int, outside: float, kept: tuple[float, float], obstacles: Obstacles
) -> Floats:
    """Return places packed as tightly as they were found to go into what is free of an opening.

    Things that stand before or behind it take part of it away: where middles of tubes may lie is asked on a
    lattice, whose outermost points are on the rim's line.
    """  # noqa: DOC201
    asked, spare = kept
    low, high = (end(passage.outline, axis=0) for end in (np.min, np.max))
    margin = outside / 2 + asked + spare
    if (high - low < 2 * margin).any():
        return np.zeros((0, 2))
    size = high - low - 2 * margin
    step = max(LATTICE_MM, float(np.sqrt(size.prod() / MOST_LATTICE)))
    x, y = (np.linspace(low[i] + margin, high[i] - margin, 2 + int(size[i] / step)) for i in (0, 1))
    lattice = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
    clear = _clear(passage, lattice, outside, asked + spare, obstacles, STRAIGHT_MM)
    free = np.isin(lattice.view("f8,f8").ravel(), np.ascontiguousarray(clear).view("f8,f8").ravel())
    is_free = free.reshape(len(x), len(y))
    cells = is_free[:-1, :-1] & is_free[1:, :-1] & is_free[:-1, 1:] & is_free[1:, 1:]
    i, j = np.nonzero(cells)
    if not len(i):
        return clear[:1]
    room = shapely.union_all(shapely.box(x[i], y[j], x[i + 1], y[j + 1])).buffer(outside / 2)
    found = []
    for part in shapely.get_parts(room):
        packing = holds(part, outside, gap=spare, enough=count)
        if packing.found < min(packing.bound, count):
            # More was asked for than it can hold, and plain rows were the answer: now it is searched.
            packing = holds(part, outside, gap=spare, enough=packing.bound)
        found.append(np.asarray(packing.centres).reshape(-1, 2))
    places = _clear(passage, np.concatenate(found), outside, asked + spare, obstacles, STRAIGHT_MM)
    return fill_greedily(places, clear, outside + spare)


def standing_in(
    passage: Passage, outside: float, asked: float, obstacles: Obstacles, most: int = 2
) -> tuple[str, ...]:
    """Return what takes room from tubes in a passage: what stands in it, or close before or behind it.

    Parameters
    ----------
    passage, outside, asked, obstacles
        As in ``places_in``.
    most : int
        How many things are named.

    Returns
    -------
    names : tuple of str
        What takes most first; empty where the whole opening is free.
    """
    low, high = (end(passage.outline, axis=0) for end in (np.min, np.max))
    margin = outside / 2 + asked
    if (high - low < 2 * margin).any():
        return ()
    size = high - low - 2 * margin
    x, y = (np.linspace(low[i] + margin, high[i] - margin, 2 + int(size[i])) for i in (0, 1))
    lattice = _within(passage, np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2), margin)
    points = _through(passage, lattice, STRAIGHT_MM).reshape(-1, 3)
    clear, things = np.zeros(len(points)), np.zeros(len(points), dtype=np.int64)
    fill_clearances(obstacles.table, points, outside, clear, things)
    counts = np.bincount(things[clear < outside / 2 - GRAIN_MM], minlength=1)
    return tuple(
        obstacles.names[thing] for thing in np.argsort(-counts, kind="stable")[:most] if counts[thing]
    )


def _settings(outline: Floats, count: int, outside: float, asked: float) -> Iterator[tuple[Floats, float]]:
    """Yield ways to set out places, the roomiest first, each with what is kept beyond what is asked."""
    margin = outside / 2 + asked
    for least in (LEAST_MM, TOUCHING_MM):
        for places in _rows(outline, count, outside, margin + least, least):
            yield places, least
    for pitch in np.arange(outside + SPARE_MM, outside + TOUCHING_MM - SLIGHT, -STEP_MM):
        for places in _staggered(outline, float(pitch), margin + TOUCHING_MM):
            yield places, TOUCHING_MM


def roomy(passage: Passage, count: int, outside: float, asked: float, obstacles: Obstacles) -> int:
    """Return how many tubes a passage takes with a little room between them, at most a count.

    Parameters
    ----------
    passage, count, outside, asked, obstacles
        As in ``places_in``.

    Returns
    -------
    number : int
        Places that are free from before the passage to behind it.
    """
    margin = outside / 2 + asked + LEAST_MM
    straight = _rows(passage.outline, 1, outside, margin, LEAST_MM)
    best = 0
    for places in [*straight, *_staggered(passage.outline, outside + LEAST_MM, margin)]:
        if len(places) > best:
            free = _clear(passage, places, outside, asked + LEAST_MM, obstacles, TURNING_MM)
            best = max(best, len(free))
    return min(best, count)


def _rows(outline: Floats, count: int, outside: float, margin: float, least: float) -> list[Floats]:
    """Return straight rows in an outline's bounding box, no two places too near; the widest first."""
    low, high = outline.min(axis=0) + margin, outline.max(axis=0) - margin
    if (high < low).any():
        return []
    size, most, pitch = high - low, outside + SPARE_MM, outside + least
    fit = (size / pitch + SLIGHT).astype(np.int64) + 1
    found = []
    for deep in range(1, int(fit[1]) + 1):
        for wide in range(-(-count // deep), int(fit[0]) + 1):
            pitches = [min(size[i] / (n - 1), most) if n > 1 else most for i, n in ((0, wide), (1, deep))]
            if wide * deep <= 4 * count + 8 or count == 1:
                found.append((-min(pitches), wide * deep, deep, wide, pitches))
    found.sort(key=lambda one: (-one[1], *one) if count == 1 else one[:4])
    middle = (low + high) / 2
    return [middle + _grid(wide, deep, pitches) for *_, deep, wide, pitches in found[:MOST_TRIED]]


def _grid(wide: int, deep: int, pitches: Sequence[float]) -> Floats:
    x = (np.arange(wide) - (wide - 1) / 2) * pitches[0]
    y = (np.arange(deep) - (deep - 1) / 2) * pitches[1]
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def _staggered(outline: Floats, pitch: float, margin: float) -> list[Floats]:
    """Return staggered rows along both sides of an outline's bounding box."""
    low, high = outline.min(axis=0) + margin, outline.max(axis=0) - margin
    if (high < low).any():
        return []
    found = []
    for flip in (False, True):
        wide, deep = (high - low)[::-1] if flip else high - low
        columns, rows = int(wide / pitch + SLIGHT) + 1, int(deep / (pitch * np.sqrt(0.75)) + SLIGHT) + 1
        places = _grid(columns, rows, (pitch, pitch * np.sqrt(0.75))).reshape(rows, columns, 2)
        spare = (wide - (columns - 1) * pitch) / 2
        places[1::2, :, 0] += pitch / 2
        places[..., 0] -= min(pitch / 4, spare)
        flat = places.reshape(-1, 2)
        flat = flat[np.abs(flat[:, 0]) <= wide / 2 + SLIGHT]
        found.append((flat[:, ::-1] if flip else flat) + (low + high) / 2)
    return found


def _clear(
    passage: Passage, places: Floats, outside: float, asked: float, obstacles: Obstacles, straight: float
) -> Floats:
    """Return the places that keep off the rim, and off other things a little before and behind it."""
    places = _within(passage, places, outside / 2 + asked)
    if not len(places):
        return places
    points = _through(passage, places, straight)
    clear = clearances_at(obstacles.table, points.reshape(-1, 3), outside)
    least = clear.reshape(len(places), -1).min(axis=1)
    return np.asarray(places[least >= outside / 2 - GRAIN_MM])


def _within(passage: Passage, places: Floats, margin: float) -> Floats:
    """Return the places that keep off the rim."""
    outline = Polygon(passage.outline)
    fit = shapely.contains_xy(outline, places[:, 0], places[:, 1])
    fit &= shapely.distance(shapely.points(places), outline.exterior) >= margin - SLIGHT
    return np.asarray(places[fit])


def _through(passage: Passage, places: Floats, straight: float) -> Floats:
    """Return points (n, k, 3) on the straight way of each place from a little before to a little behind."""
    reach = passage.thick_mm / 2 + straight
    along = np.linspace(-reach, reach, 2 + int(2 * reach / EVERY_MM))
    return np.asarray(in_case(passage, places)[:, None] + along[:, None] * passage.axes[2])


def in_case(passage: Passage, places: Floats) -> Floats:
    """Return places in an outline's directions as points (n, 3) of the case, half way through."""
    return np.asarray(passage.origin + places @ passage.axes[:2])

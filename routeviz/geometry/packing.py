"""How many equal circles a planar opening holds, as a proven range, and whether given circles fit together.

The lower end is a packing that was found and tested; the upper end is a proof (capacity.py). Distance to the
rim is kept exactly; only where centres may lie is approximated for the bound, always to its larger side
(erosion.py).
"""

from dataclasses import dataclass, field
from math import pi

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import Polygon

from routeviz.geometry.arrays import Floats, check_shape, frozen
from routeviz.geometry.capacity import LENIENCY, capacity
from routeviz.geometry.erosion import is_allowed, outer_erosion, rim_edges
from routeviz.geometry.jamming import jam
from routeviz.geometry.jostling import Rim, fill_greedily, least_room, rim_of, settle
from routeviz.geometry.lattices import lattices, plain_lattice, together

# A packing found counts if nothing overlaps by more than this share of the smallest separation.
TOLERANCE = 1e-10
# Start positions are drawn with this seed: the same opening gives the same packing.
SEED = 20
# Steps of one try, and of all tries together times the number of circles: about a quarter of a second.
STEPS = 500
WORK = 400_000
# Above this many circles linear programmes take longer than they are worth.
JAMMED_AT_MOST = 60
# A try is worth tightening when circles overlap by at most this share of their size.
NEARLY = 0.06
# Random points to draw starts from; how many are compared to find an empty spot; the first starts taken up
# again.
POOL = 2000
OFFERS = 60
SEVERAL = 4
# Starts are shaken by this share of the room that a circle has.
SHAKE = 0.08


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """What an opening holds: at least the circles found, at most the bound.

    Parameters
    ----------
    centres : array, shape (n, 2)
        A packing that was found and tested.
    bound : int
        A number that no packing exceeds; proven.
    """

    centres: Floats
    bound: int

    @property
    def found(self) -> int:
        """Return how many circles the packing found has."""
        return len(self.centres)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Whether circles fit together: positions, or a proof that there are none, or neither.

    Parameters
    ----------
    centres : array, shape (n, 2), or None
        Where each circle may lie, in the order given; None where no positions were found.
    impossible : str
        Why the circles cannot fit; empty where that is not proven.
    """

    centres: Floats | None
    impossible: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """An opening with what the search needs at every turn."""

    opening: Polygon
    rim: Rim
    extra: float
    pool: Floats
    random: np.random.Generator = field(default_factory=lambda: np.random.default_rng(SEED))


def holds(
    opening: Polygon,
    diameter: float,
    *,
    clearance: float = 0.0,
    gap: float = 0.0,
    enough: int | None = None,
) -> Packing:
    """Return how many equal circles an opening holds, as a packing found and a proven bound.

    Parameters
    ----------
    opening : Polygon
        Any valid polygon; may have holes.
    diameter : float
        Of a circle, > 0.
    clearance : float
        Least distance between a circle and the rim, >= 0.
    gap : float
        Least distance between two circles, >= 0.
    enough : int, optional
        Stop looking for more when so many are found or proven impossible; the bound is unchanged.

    Returns
    -------
    packing : Packing
        Every centre lies inside, at least ``diameter / 2 + clearance`` from the rim, and two centres are at
        least ``diameter + gap`` apart, both to 1e-10 of that. The same input gives the same packing.

    Raises
    ------
    ValueError
        An opening that is empty or not valid, a diameter not above 0, a negative clearance or gap.
    """
    _demand_sound(opening, np.array([diameter]), clearance, gap)
    margin, separation = diameter / 2.0 + clearance, diameter + gap
    regions = outer_erosion(opening, margin * (1.0 - LENIENCY))
    bound = sum(capacity(region, separation) for region in regions)
    if bound == 0:
        return Packing(centres=frozen(np.empty((0, 2))), bound=0)
    wanted = bound if enough is None else min(bound, enough)
    if enough is not None:
        # Most passages are far from full, or far beyond: then plain rows answer, and nothing is compiled.
        rows = plain_lattice(regions, separation, LENIENCY * margin)
        rows = rows[is_allowed(rows, opening, margin - TOLERANCE * separation)]
        if len(rows) >= wanted or (enough > bound and len(rows)):
            return Packing(centres=frozen(rows), bound=bound)
    rim = rim_of(rim_edges(opening), margin)
    task = _Task(
        opening=opening, rim=rim, extra=margin - separation / 2.0, pool=_pool(opening, regions, margin)
    )
    inset = LENIENCY * margin
    fullest = [lattices(region, rim, margin, separation, inset, wanted) for region in regions]
    starts = together(fullest, separation)
    best = _grown(task, starts, separation, wanted)
    return Packing(centres=frozen(_tested(opening, best, margin, separation)), bound=bound)


def fits(opening: Polygon, diameters: ArrayLike, *, clearance: float = 0.0, gap: float = 0.0) -> Fit:
    """Return positions at which circles of given diameters lie in an opening together, or why there are none.

    Parameters
    ----------
    opening : Polygon
        Any valid polygon; may have holes.
    diameters : array, shape (n,)
        Each > 0.
    clearance : float
        Least distance between a circle and the rim, >= 0.
    gap : float
        Least distance between two circles, >= 0.

    Returns
    -------
    fit : Fit
        Positions as good as in ``holds``; or a proof that the circles cannot fit, by number (for every size:
        the circles at least that large, counted against the bound for that size) or by area; or neither.

    Raises
    ------
    ValueError
        As for ``holds``.
    """
    sizes = np.asarray(diameters, dtype=np.float64)
    check_shape("diameters", sizes, (None,))
    _demand_sound(opening, sizes, clearance, gap)
    if len(sizes) == 0:
        return Fit(centres=frozen(np.empty((0, 2))), impossible="")
    impossible = _too_much(opening, sizes, clearance, gap)
    if impossible:
        return Fit(centres=None, impossible=impossible)
    if np.ptp(sizes) == 0.0:
        packing = holds(opening, float(sizes[0]), clearance=clearance, gap=gap, enough=len(sizes))
        found = packing.found >= len(sizes)
        return Fit(centres=packing.centres[: len(sizes)] if found else None, impossible="")
    return Fit(centres=_mixed(opening, sizes, clearance, gap), impossible="")


def _demand_sound(opening: Polygon, diameters: Floats, clearance: float, gap: float) -> None:
    """Raise ValueError for what cannot be an opening, a diameter, a clearance or a gap."""
    if not isinstance(opening, Polygon) or opening.is_empty or not opening.is_valid:
        raise ValueError("opening: a valid polygon with an area wanted")
    if not (np.isfinite(diameters).all() and (diameters > 0.0).all()):
        raise ValueError("diameter: above 0 wanted")
    for name, value in (("clearance", clearance), ("gap", gap)):
        if not (np.isfinite(value) and value >= 0.0):
            raise ValueError(f"{name}: 0 or more wanted, {value} given")


def _pool(opening: Polygon, regions: list[Polygon], margin: float) -> Floats:
    """Return random points that clear the rim, from which start positions are drawn."""
    random = np.random.default_rng(SEED)
    left, low, right, high = shapely.total_bounds(np.array(regions))
    offers = random.uniform((left, low), (right, high), (POOL, 2))
    return np.asarray(offers[is_allowed(offers, opening, margin)])


def _grown(task: _Task, starts: list[Floats], separation: float, wanted: int) -> Floats:
    """Return the fullest start, with one circle more again and again while tries find room."""
    best = fill_greedily(starts[0], task.pool, separation)
    work, turn = WORK, 0
    while len(best) < wanted and work > STEPS * len(best) and len(task.pool) > 0:
        halves = np.full(len(best) + 1, separation / 2.0)
        fitted = _squeezed(task, _start(task, [best, *starts[:SEVERAL]], len(halves), turn), halves)
        if fitted is not None:
            best = fill_greedily(fitted, task.pool, separation)
        work -= len(halves) * STEPS
        turn += 1
    return best


def _start(task: _Task, bases: list[Floats], count: int, turn: int) -> Floats:
    """Return a start: in turn a base, filled up where it is emptiest and shaken, or points at random."""
    if turn % 2 and count <= JAMMED_AT_MOST:
        return task.pool[task.random.integers(len(task.pool), size=count)]
    points = bases[turn // 2 % len(bases)][:count]
    for _ in range(count - len(points)):
        offers = task.pool[task.random.integers(len(task.pool), size=OFFERS)]
        nearest = np.hypot(*(offers[:, None, :] - points[None, :, :]).T).min(axis=0, initial=np.inf)
        points = np.vstack([points, offers[np.argmax(nearest)]])
    shake = SHAKE * np.sqrt(task.opening.area / count)
    return points + task.random.normal(0.0, shake, points.shape)


def _squeezed(task: _Task, start: Floats, halves: Floats) -> Floats | None:
    """Return the positions to which a start settles, if nothing overlaps there."""
    points, tight = np.array(start), len(halves) <= JAMMED_AT_MOST
    # Without the tightening, circles settle a little larger than they are, for settling stops short of
    # touching.
    sizes = halves if tight else halves * (1.0 + 1e-6)
    deepest = settle(points, sizes, task.extra, task.rim, STEPS)
    if tight and 0.0 < deepest < NEARLY * halves.min():
        points = jam(points, halves, task.extra, task.rim)
    inside = shapely.contains_xy(task.opening, points[:, 0], points[:, 1]).all()
    room = least_room(points, halves, task.extra, task.rim)
    return points if inside and room >= -TOLERANCE * halves.min() else None


def _tested(opening: Polygon, points: Floats, margin: float, separation: float) -> Floats:
    """Return the points that are allowed and far enough from all kept before: the last word on a packing."""
    allowed = points[is_allowed(points, opening, margin - TOLERANCE * separation)]
    return fill_greedily(np.empty((0, 2)), allowed, separation * (1.0 - TOLERANCE))


def _too_much(opening: Polygon, diameters: Floats, clearance: float, gap: float) -> str:
    """Return the proof that circles cannot fit, in words; empty where there is none."""
    for diameter in np.unique(diameters):
        count = int((diameters >= diameter).sum())
        regions = outer_erosion(opening, (diameter / 2.0 + clearance) * (1.0 - LENIENCY))
        bound = sum(capacity(region, float(diameter) + gap) for region in regions)
        if count > bound:
            return f"{count} are {diameter:g} or more across, and at most {bound} of that size can fit"
    taken = float((pi / 4.0 * (diameters + gap) ** 2).sum())
    # Circles larger by the gap do not overlap, and stay this far inside the rim.
    inset = clearance - gap / 2.0
    room = sum(r.area for r in outer_erosion(opening, inset)) if inset > 0.0 else opening.area
    room += -inset * opening.length + pi * inset**2 if inset < 0.0 else 0.0
    return (
        f"they take an area of {taken:.6g}, and there is {room:.6g}"
        if taken > room * (1.0 + LENIENCY)
        else ""
    )


def _mixed(opening: Polygon, diameters: Floats, clearance: float, gap: float) -> Floats | None:
    """Return positions for circles of several sizes, the large ones placed first, or None."""
    halves, extra = (diameters + gap) / 2.0, clearance - gap / 2.0
    rim = rim_of(rim_edges(opening), float(halves.max()) + extra)
    regions = outer_erosion(opening, float(diameters.min()) / 2.0 + clearance)
    pool = _pool(opening, regions, float(diameters.min()) / 2.0 + clearance)
    task = _Task(opening=opening, rim=rim, extra=extra, pool=pool)
    for turn in range(max(1, WORK // (STEPS * len(diameters))) if len(pool) else 0):
        start = _large_first(task, halves) if turn % 2 == 0 else _start(task, [pool[:0]], len(halves), 1)
        fitted = _squeezed(task, start, halves)
        if fitted is not None and _keeps_apart(opening, fitted, halves, extra):
            return frozen(fitted)
    return None


def _large_first(task: _Task, halves: Floats) -> Floats:
    """Return a start in which each circle, the largest first, lies where offers leave it the most room."""
    points = np.empty((len(halves), 2))
    placed: list[int] = []
    for i in np.argsort(-halves, kind="stable"):
        offers = task.pool[task.random.integers(len(task.pool), size=OFFERS)]
        rim = shapely.distance(shapely.points(offers), task.opening.boundary) - task.extra
        apart = np.hypot(*(offers[:, None, :] - points[placed][None, :, :]).T) - halves[placed][:, None]
        room = np.minimum(rim, apart.min(axis=0, initial=np.inf)) - halves[i]
        # Where there is room, the tightest place that will do, so that the middle stays free.
        points[i] = offers[np.argmin(np.where(room >= 0.0, room, 1e6 - room))]
        placed.append(int(i))
    return points


def _keeps_apart(opening: Polygon, points: Floats, halves: Floats, extra: float) -> bool:
    """Return whether circles keep from the rim and from each other: the last word on a fit."""
    slack = TOLERANCE * 2.0 * float(halves.min())
    allowed = is_allowed(points, opening, halves + extra - slack)
    i, j = np.triu_indices(len(points), 1)
    room = np.hypot(*(points[i] - points[j]).T) - halves[i] - halves[j]
    return bool(allowed.all() and (room >= -slack).all())

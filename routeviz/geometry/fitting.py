"""The gentlest route through points that were measured on a tube, each only as well as a tape can.

How far off many trial routes are is in trials.py; what a route is as a curve, in curves.py.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen
from routeviz.geometry.corners import COINCIDENT, LARGEST_TURN, STRAIGHT
from routeviz.geometry.drafts import WIDEST, Task, first_corners, needed, size_of, turning_of
from routeviz.geometry.trials import TINY, Trials, misses, trials_of

# Doubts by which the first polyline, then finer ones, may leave points aside.
COARSEST, FINER = 4.0, (2.0, 1.0)
ROUNDS = 3  # how often after that a corner is added where the route misses most; then the best found stands
STEPS = 30  # of the least-squares search in one round; half of them do for most
SHARE = 0.9  # of the doubt is used: what rounding and an unfinished search need is kept
PENALTY = 10.0  # weight of what must not be, in doubts, radians or shares of the wished radius
BENDING = 0.1  # weight of turn x scale / radius: so small that it decides only where nothing is amiss
UNWISHED = 4.0  # doubts: the least radius where none is wished; tighter is hardly told from a corner
# Doubts that a corner may move in one step; 0 keeps the draft, which never winds itself up.
STRIDES = (10.0, 2.0, 0.0)
ENOUGH = 1e-3  # share of the cost: a step that gains less is the last
LOOP = math.pi  # turning beyond that of the points themselves: the search has wound itself up


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedRoute:
    """A route that passes close by measured points.

    Parameters
    ----------
    corners : array, shape (n, 3)
        Ends and corners, as ``curves.rounded_polyline`` takes them.
    radii : array, shape (n - 2,)
        Radius at each inner corner.
    miss : float
        How far the worst point lies off the route.
    tightest : int or None
        Which inner corner has the least radius, counted from 0; None for a straight route.
    """

    corners: Floats
    radii: Floats
    miss: float
    tightest: int | None


def fitted_route(
    points: ArrayLike,
    *,
    doubt: float,
    start_direction: ArrayLike | None = None,
    end_direction: ArrayLike | None = None,
    least_radius: float = 0.0,
) -> FittedRoute:
    """Return the gentlest route from the first point to the last that passes all others within a doubt.

    The unknowns are the corners of the tangents' polyline and a radius for each; what is made small is turn
    over radius, squared and added up. The search begins with few corners and adds some where points are
    missed or bends too tight. The result is the best that was found; its miss and radii say how good it is.

    Parameters
    ----------
    points : array, shape (n, 3)
        In order along the tube, n >= 2, no two neighbours equal. The ends are met exactly.
    doubt : float
        How far off the route an inner point may lie, > 0.
    start_direction, end_direction : array, shape (3,), optional
        Directions of travel at the ends; any length but 0.
    least_radius : float
        Tighter bends are taken only where points or directions leave no other way; 0 for no wish.

    Returns
    -------
    route : FittedRoute
        Turns of at most 120 degrees; radii fit their legs.

    Raises
    ------
    ValueError
        Fewer than two points, two neighbours coincide, a direction without length, or a doubt of nothing.
    """
    task = Task(
        points=_checked_points(points),
        doubt=float(doubt),
        start_direction=_unit("start_direction", start_direction),
        end_direction=_unit("end_direction", end_direction),
        least_radius=float(least_radius) or UNWISHED * float(doubt),
    )
    if not 0 < doubt < math.inf:
        raise ValueError(f"doubt: more than 0 wanted, {doubt:g} given")
    turning = turning_of(task)
    best, merit, kept = None, (math.inf,) * 4, needed(task.points, COARSEST * task.doubt)
    for share in (*FINER, *([0.0] * ROUNDS)):
        corners, moves = first_corners(task, kept)
        for stride in STRIDES:
            found = _searched(task, corners, moves, stride)
            reached = _merit(task, found, turning)
            if best is None or reached < merit:
                best, merit = found, reached
            if reached[0] == 0:
                break
        if not any(merit[:3]):
            break
        more = _more(task, kept, share, misses(found, task.points)[0])
        if len(more) == len(kept):
            break
        kept = more
    assert best is not None
    return _route(task, _eased(task, best))


def _checked_points(points: ArrayLike) -> Floats:
    given = np.asarray(points, np.float64)
    if check_shape("points", given, (None, 3)) < 2:
        raise ValueError(f"points: at least 2 wanted, {len(given)} given")
    apart = np.sqrt((np.diff(given, axis=0) ** 2).sum(axis=1))
    for point in np.nonzero(apart <= COINCIDENT * apart.sum())[0]:
        raise ValueError(f"points {point} and {point + 1} coincide at {given[point].tolist()}: leave one out")
    return given


def _unit(name: str, direction: ArrayLike | None) -> Floats | None:
    if direction is None:
        return None
    given = np.asarray(direction, np.float64)
    check_shape(name, given, (3,))
    size = math.sqrt(float((given * given).sum()))
    if size == 0:
        raise ValueError(f"{name}: a direction has a length above 0")
    return np.asarray(given / size)


def _more(task: Task, kept: Ints, share: float, off: Floats) -> Ints:
    """Return more points to make corners of: those of a finer polyline, or the one that is missed most."""
    if share > 0:
        finer = np.union1d(kept, needed(task.points, share * task.doubt))
        if len(finer) > len(kept):
            return finer
    rest = np.setdiff1d(np.arange(len(task.points)), kept)
    return np.union1d(kept, rest[np.argmax(off[rest])]) if len(rest) else kept


def _searched(task: Task, corners: Floats, moves: Floats, stride: float) -> Trials:
    """Return the route to which corners and radii settle (Levenberg-Marquardt, four dampings a step)."""
    unknowns, reach = len(moves), 20 * float(np.abs(np.diff(task.points, axis=0)).sum())
    radii = _first_radii(task, corners)
    # What only slides must stay in front of its end; radii may not become more than straight.
    floor = np.concatenate([_floors(task, corners) / task.doubt, np.full(len(radii), -math.inf)])
    ceiling = np.concatenate([np.full(unknowns, math.inf), np.full(len(radii), math.log(reach))])

    def tried(changes: Floats) -> Trials:
        moved = corners + np.einsum("tu,unc->tnc", task.doubt * changes[:, :unknowns], moves)
        return trials_of(moved, np.exp(changes[:, unknowns:]))

    place = np.concatenate([np.zeros(unknowns), np.log(np.minimum(radii, reach))])
    nudges = np.diag(np.concatenate([np.full(unknowns, 1e-4), np.full(len(radii), 1e-5)]))
    longest = np.concatenate([np.full(unknowns, stride), np.full(len(radii), 1.0)])
    damping = 1e-2
    for _ in range(STEPS if len(place) and stride else 0):
        near = _wishes(task, tried(np.vstack([place, place + nudges])))
        slopes = (near[1:] - near[0]) / nudges.diagonal()[:, None]
        normal, pull = np.einsum("iw,jw->ij", slopes, slopes), np.einsum("iw,w->i", slopes, near[0])
        dampings = damping * np.array([0.03, 1.0, 30.0, 1000.0])
        braked = normal + (dampings[:, None] * (normal.diagonal() + 1e-3 * normal.diagonal().max()))[
            :, :, None
        ] * np.eye(len(place))
        steps = -np.linalg.solve(braked, np.broadcast_to(pull[:, None], (4, len(place), 1)))[..., 0]
        places = np.clip(place + np.clip(steps, -longest, longest), floor, ceiling)
        costs = (_wishes(task, tried(places)) ** 2).sum(axis=1)
        best = int(np.argmin(costs))
        if costs[best] < (near[0] ** 2).sum() * (1 - ENOUGH):
            place, damping = places[best], max(dampings[best], 1e-7)
        elif dampings[-1] < 1e7:
            damping = dampings[-1]
        else:
            break
    return _made_to_fit(tried(place[None]))


def _first_radii(task: Task, corners: Floats) -> Floats:
    """Return radii that cut each corner by three doubts, no tighter than wished where the legs allow that."""
    trial = trials_of(corners[None], np.ones((1, len(corners) - 2)))
    cut_off = 1 / np.maximum(np.cos(0.5 * trial.turns[0]), 0.1) - 1
    wanted = np.maximum(3 * task.doubt / np.maximum(cut_off, 1e-6), task.least_radius)
    room = np.minimum(trial.legs[0, :-1], trial.legs[0, 1:]) * 0.45
    return np.asarray(np.minimum(wanted, room / np.maximum(trial.cuts[0], 1e-6)))


def _floors(task: Task, corners: Floats) -> Floats:
    """Return how far back each unknown may go: sliding corners keep a twentieth of their first distance."""
    ends = []
    if task.start_direction is not None:
        ends.append(-0.95 * size_of(corners[1] - corners[0]))
    if task.end_direction is not None:
        ends.append(-0.95 * size_of(corners[-1] - corners[-2]))
    free = len(corners) - 2 - len(ends)
    return np.array([*ends, *([-math.inf] * (3 * free))])


def _wishes(task: Task, trials: Trials) -> Floats:
    """Return how far each trial is from what is wanted; squared and added up that is made small."""
    none = np.zeros((len(trials.legs), 1))
    taken = np.hstack([none, trials.cuts]) + np.hstack([trials.cuts, none])
    length = float(np.abs(np.diff(task.points, axis=0)).sum())
    scale = max(task.least_radius, 0.05 * length)
    faults = [
        misses(trials, task.points) / task.doubt - SHARE,
        (taken - 0.999 * trials.legs) / task.doubt,
        1 - trials.legs / task.doubt,
        5 * (trials.turns - WIDEST),
        1.01 * task.least_radius / trials.radii - 1,
    ]
    bending = trials.turns * scale / trials.radii
    return np.hstack([PENALTY * np.maximum(np.hstack(faults), 0), BENDING * bending])


def _made_to_fit(found: Trials) -> Trials:
    """Return the same corners with radii no larger than their legs allow."""
    none = np.zeros((1, 1))
    taken = np.hstack([none, found.cuts]) + np.hstack([found.cuts, none])
    share = np.minimum(1.0, found.legs / np.maximum(taken, 1e-300))
    return trials_of(found.corners, found.radii * np.minimum(share[:, :-1], share[:, 1:]))


def _eased(task: Task, found: Trials) -> Trials:
    """Return the route with its tightest corners opened as far as their legs and the points allow."""
    # The search cares little for a tight arc that hardly turns; who bends the tube does.
    radii, widest = found.radii[0].copy(), float(found.radii.max(initial=0.0))
    allowed = max(task.doubt, float(misses(found, task.points).max()))
    for corner in np.argsort(radii, kind="stable"):
        cuts = np.concatenate([[0.0], radii * found.cuts[0] / found.radii[0], [0.0]])
        room = min(found.legs[0, corner] - cuts[corner], found.legs[0, corner + 1] - cuts[corner + 2])
        most = min(room * found.radii[0, corner] / (found.cuts[0, corner] + TINY), widest)
        for share in (1.0, 0.5, 0.25):
            opened = radii.copy()
            opened[corner] += share * (most - radii[corner])
            eased = trials_of(found.corners, opened[None])
            if most > radii[corner] and misses(eased, task.points).max() <= allowed:
                radii = opened
                break
    return trials_of(found.corners, radii[None])


def _merit(task: Task, found: Trials, turning: float) -> tuple[float, float, float, float]:
    """Return what makes one route worse than another, the gravest first: the first three should be 0."""
    wound = float(found.turns.sum()) - turning
    return (
        max(float(found.turns.max(initial=0.0)) - LARGEST_TURN, 0.0) + (wound if wound > LOOP else 0.0),
        max(float(misses(found, task.points).max()) - task.doubt, 0.0),
        max(task.least_radius - float(found.radii.min(initial=math.inf)), 0.0),
        float((found.turns / found.radii).sum()),
    )


def _route(task: Task, found: Trials) -> FittedRoute:
    turns = found.turns[0]
    for corner in np.nonzero(turns > LARGEST_TURN)[0]:
        at = found.corners[0, corner + 1].round(1).tolist()
        raise ValueError(f"the points turn back on themselves near {at}: measure more points round that bend")
    bent = turns >= STRAIGHT
    corners = found.corners[0][np.concatenate([[True], bent, [True]])]
    radii = found.radii[0][bent]
    return FittedRoute(
        corners=frozen(corners),
        radii=frozen(radii),
        miss=float(misses(found, task.points).max()),
        tightest=int(np.argmin(radii)) if len(radii) else None,
    )

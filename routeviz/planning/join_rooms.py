"""Is there room for a tee or a coupler here? Its body, a straight end and a least bend on each nipple.

It must keep off all that tubes keep off, and off what tubes and parts have to get past: other nipples' ends,
drawn tubes, passages, the ways on which parts come out. Which place is best is asked in join_places.py.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.spatial import cKDTree

from routeviz.cabinet.joins import JoinPlace
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.curves import points_along
from routeviz.geometry.envelopes import swept_boxes
from routeviz.planning.first_bends import SLACK_MM, can_leave
from routeviz.planning.obstacles import Obstacles, clearances_at, fill_clearances
from routeviz.planning.stations import bend_mm
from routeviz.scene.quantities import WORDS
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import stretched_outside_mm

STEP_MM = 2.0  # between points of a body that are looked at: less than it is thick
EASE_MM = 1.0  # more room for a tube than it needs: the planner's distances are not the checks'
BESIDE_MM = 3.0  # between a body and tubes that belong to other nipples
LANE_MM = 40.0  # before and behind a passage in which nothing is put: where its tubes spread
ABOUT_MM = 10.0  # about its outline
NEAR_BENDS = 6.0  # least bends between ends that are near: further apart tubes have room to turn
CORNERS_AT = (0.2, 0.6, 1.0, 1.5, 2.2)  # beyond each of near ends, in least bends: where a corner is tried
STEEPEST = -0.5  # cosine of the most that a corner may turn, 120 degrees


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """Where a tube goes from a tee.

    Parameters
    ----------
    at : array, shape (3,)
        The first passage that is named for it, or where it can turn before its other end.
    tip, way : array, shape (3,), or None
        Its other end and the direction in which it leaves there, zeros where none is asked; None where its
        other end lies beyond a passage, or nobody knows yet where.
    """

    at: Floats
    tip: Floats | None = None
    way: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A tube on a nipple of a tee or coupler.

    Parameters
    ----------
    number : int
        The nipple's.
    tube : str
        The tube's name.
    radius, sleeve, bend : float
        Half its outside diameter, the same over the nipple, and the bend radius to aim at.
    goal : Goal or None
        Where it goes, where that is known.
    beyond : str or None
        The tee or coupler at its other end, where that has no place either.
    """

    number: int
    tube: str
    radius: float
    sleeve: float
    bend: float
    goal: Goal | None
    beyond: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Join:
    """A tee or coupler for which a place is sought.

    Parameters
    ----------
    name : str
        The part's.
    is_tee : bool
        Whether it has a branch.
    half, radius : float
        From its middle to a tip; half the body's diameter.
    legs : tuple of Leg
        By nipple; a nipple without a tube has none.
    """

    name: str
    is_tee: bool
    half: float
    radius: float
    legs: tuple[Leg, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """Points that are kept free, one or more, how far off, and for what; with a tree to find them."""

    tree: cKDTree
    radii: Floats
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What a tee must keep off.

    Parameters
    ----------
    obstacles : Obstacles
        What stands there, looked at to ``obstacles.reach``.
    passages : sequence of Passage
        Nothing may lie close before them.
    outs : tuple
        For each part that comes out its name, least and greatest corner, and the way.
    lanes : tuple of Lane
        Tubes and other nipples' ends.
    bends : dict
        Whether a tube can leave, by where and how: asked for again and again.
    """

    obstacles: Obstacles
    passages: Sequence[Passage]
    outs: tuple[tuple[str, Floats, Floats, Floats], ...]
    lanes: tuple[Lane, ...]
    bends: dict[tuple[float, ...], bool] = field(default_factory=dict)


def surroundings_of(cabinets: Sequence[Cabinet], tubes: Sequence[Tube], obstacles: Obstacles) -> Surroundings:
    """Return what a tee must keep off in a case, before any tee is placed in it.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The stages, the last stage last.
    tubes : sequence of Tube
        All, as drawn.
    obstacles : Obstacles
        What stands there.

    Returns
    -------
    surroundings : Surroundings
        Ways out of parts of all stages.
    """
    cabinet = cabinets[-1]
    return Surroundings(
        obstacles=obstacles,
        passages=[cabinet.passages[name] for name in sorted(cabinet.passages)],
        outs=tuple(one for cabinet in cabinets for one in _outs(cabinet)),
        lanes=(_lane(ends),) if (ends := [*_nipple_ends(cabinet, tubes), *_drawn(tubes)]) else (),
    )


def with_join(around: Surroundings, join: Join, place: JoinPlace) -> Surroundings:
    """Return surroundings in which a tee or coupler has its place."""
    points = [(join.name, at, join.radius) for at in _along(join, place, join.half)]
    for leg in join.legs:
        steps = np.arange(0, leg.bend, STEP_MM)[:, None]
        ahead = tip_of(join, place, leg.number) + steps * ways_of(place)[leg.number]
        points += [(f"{join.name} {leg.number}", at, leg.radius) for at in ahead]
    return replace(around, lanes=(*around.lanes, _lane(points)))


def ways_of(place: JoinPlace) -> Mapping[int, Floats]:
    """Return by nipple the direction in which its tube leaves."""
    runs = frozen(WORDS[place.runs])
    ways = {1: frozen(-runs + 0.0), 2: runs}
    return ways if place.branches is None else ways | {3: frozen(WORDS[place.branches])}


def tip_of(join: Join, place: JoinPlace, number: int) -> Floats:
    """Return where a nipple's tip is."""
    return np.asarray(place.at + join.half * ways_of(place)[number])


def why_not(
    around: Surroundings, join: Join, place: JoinPlace, goals: Mapping[int, Sequence[Goal]]
) -> str | None:
    """Return why a tee or coupler cannot lie at a place, in a few words; None where it can.

    Parameters
    ----------
    around : Surroundings
        What it must keep off.
    join, place : Join, JoinPlace
        The tee or coupler, and where it would lie.
    goals : mapping of sequence of Goal
        By nipple, where its tube goes.

    Returns
    -------
    why : str or None
        A sentence about ``it``.
    """
    thing = _too_near(around, join, place)
    if thing is not None:
        return f"it comes too near {thing}"
    body = _along(join, place, join.half)
    for passage in around.passages:
        if _in_lane(passage, body):
            return f"it stands before {passage.name}"
    for name, low, high, way in around.outs:
        if _in_way(body, low - join.radius, high + join.radius, way):
            return f"{name} could not come out past it"
    for leg in join.legs:
        tip, way = tip_of(join, place, leg.number), ways_of(place)[leg.number]
        near = [goal for goal in goals.get(leg.number, ()) if goal.tip is not None]
        if not (_can_leave(around, leg, tip, way) and all(_can_join(around, leg, tip, way, g) for g in near)):
            return f"a tube has no room to bend on its nipple {leg.number}"
    return None


# ── its body ─────────────────────────────────────────────────────────────────────────────────────
def _along(join: Join, place: JoinPlace, far: float) -> Floats:
    """Return points (n, 3) from the middle along all nipples, so far out."""
    steps = np.append(np.arange(0.0, far, STEP_MM), far)[:, None]
    return np.concatenate([place.at + steps * way for way in ways_of(place).values()])


def _too_near(around: Surroundings, join: Join, place: JoinPlace) -> str | None:
    """Return what the body, its sleeves or the straight ends of its tubes come too near; None for nothing."""
    radius = max([join.radius, *(leg.sleeve for leg in join.legs)])
    ahead = max((2 * leg.radius for leg in join.legs), default=0.0)
    points = _along(join, place, join.half + ahead)
    clear, things = np.zeros(len(points)), np.zeros(len(points), dtype=np.int64)
    fill_clearances(around.obstacles.table, points, around.obstacles.reach, clear, things)
    worst = int(np.argmin(clear))
    if clear[worst] < radius:
        return str(around.obstacles.names[things[worst]])
    for lane in around.lanes:
        far, nearest = lane.tree.query(points)
        lacks = far - radius - BESIDE_MM - lane.radii[nearest]
        if lacks.min() < 0:
            return lane.names[int(np.asarray(nearest)[np.argmin(lacks)])]
    return None


def _can_leave(around: Surroundings, leg: Leg, tip: Floats, way: Floats) -> bool:
    """Return whether a tube has room for a straight end and a first bend."""
    key = (*tip.tolist(), *way.tolist(), leg.radius, leg.bend)
    if key not in around.bends:
        begin, table = tip + 2 * leg.radius * way, around.obstacles.table
        around.bends[key] = can_leave(begin, way, leg.radius + EASE_MM, leg.bend, table)
    return around.bends[key]


def _can_join(around: Surroundings, leg: Leg, tip: Floats, way: Floats, goal: Goal) -> bool:
    """Return whether a tube can get to an end that is near: by a corner beyond each, free and gentle."""
    assert goal.tip is not None
    assert goal.way is not None
    if np.linalg.norm(goal.tip - tip) > NEAR_BENDS * leg.bend:
        return True
    for ahead, before in itertools.product(CORNERS_AT, repeat=2):
        corners = [tip, tip + ahead * leg.bend * way, goal.tip + before * leg.bend * goal.way, goal.tip]
        points = np.array(corners if goal.way.any() else [*corners[:2], goal.tip])
        if _bends_gently(points, leg) and _is_free(around, points, leg):
            return True
    return False


def _bends_gently(points: Floats, leg: Leg) -> bool:
    """Return whether arcs fit into all corners, with straight ends where a bend begins near them."""
    steps = np.diff(points, axis=0)
    long = np.linalg.norm(steps, axis=1)
    if long.min() < 1e-6:
        return False
    cosines = np.clip((steps[:-1] * steps[1:]).sum(axis=1) / (long[:-1] * long[1:]), -1.0, 1.0)
    if cosines.min() < STEEPEST:
        return False
    cuts = leg.bend * np.sqrt((1 - cosines) / (1 + cosines))  # tan of half the turn
    taken = np.append(cuts, 0.0) + np.append(0.0, cuts)
    taken[[0, -1]] += np.where(taken[[0, -1]] > EASE_MM, 2 * leg.radius, 0.0)
    return bool((taken <= long).all())


def _is_free(around: Surroundings, points: Floats, leg: Leg) -> bool:
    """Return whether straight ways from point to point are free, but for the surroundings of the last."""
    line = np.concatenate(
        [
            begin
            + np.linspace(0.0, 1.0, 2 + int(np.linalg.norm(end - begin) / STEP_MM))[:, None] * (end - begin)
            for begin, end in itertools.pairwise(points)
        ]
    )
    line = line[np.linalg.norm(line - points[-1], axis=1) > 2 * leg.radius + BESIDE_MM]
    return bool((clearances_at(around.obstacles.table, line, leg.radius) >= leg.radius - SLACK_MM).all())


# ── what must get past it ────────────────────────────────────────────────────────────────────────
def _lane(points: Sequence[tuple[str, Floats, float]]) -> Lane:
    places = np.array([at for _, at, _ in points]).reshape(-1, 3)
    return Lane(
        tree=cKDTree(places),
        radii=frozen([radius for *_, radius in points]),
        names=tuple(name for name, *_ in points),
    )


def _nipple_ends(cabinet: Cabinet, tubes: Sequence[Tube]) -> Iterator[tuple[str, Floats, float]]:
    """Yield points of the ends of all tubes on nipples, each with its first bend's length beyond the tip."""
    for tube in tubes:
        for end in (tube.start, tube.end):
            if end.nipple is not None:
                nipple = cabinet.nipples[end.nipple]
                for far in np.arange(-nipple.on_nipple_mm, bend_mm(cabinet, tube), STEP_MM).tolist():
                    yield end.nipple, nipple.tip + far * nipple.direction, tube.kind.outside_mm / 2


def _drawn(tubes: Sequence[Tube]) -> Iterator[tuple[str, Floats, float]]:
    for tube in tubes:
        if tube.curve is not None:
            for at in points_along(tube.curve, np.arange(0.0, float(tube.curve.begins[-1]), STEP_MM)):
                yield tube.name, at, tube.kind.outside_mm / 2


def _in_lane(passage: Passage, points: Floats) -> bool:
    """Return whether any of some points lies close before or behind a passage."""
    spots = (points - passage.origin) @ passage.axes.T
    low, high = passage.outline.min(axis=0) - ABOUT_MM, passage.outline.max(axis=0) + ABOUT_MM
    across = ((spots[:, :2] >= low) & (spots[:, :2] <= high)).all(axis=1)
    return bool((across & (np.abs(spots[:, 2]) <= passage.thick_mm / 2 + LANE_MM)).any())


def _outs(cabinet: Cabinet) -> Iterator[tuple[str, Floats, Floats, Floats]]:
    owners = cabinet.bodies.pieces.bodies.tolist()
    for owner, low, high in zip(owners, *swept_boxes(cabinet.bodies), strict=True):
        solid = cabinet.solids[owner]
        if solid.comes_out is not None:
            yield solid.part, low, high, solid.comes_out


def _in_way(points: Floats, low: Floats, high: Floats, way: Floats) -> bool:
    """Return whether a box that is taken out along a way meets any of some points."""
    moves = np.abs(way) > 1e-9
    if (((points < low) | (points > high))[:, ~moves]).any(axis=1).all():
        return False
    # A point is met while the box has gone from `first` to `last` along each direction in which it moves.
    ends = np.stack([points - high, points - low])[:, :, moves] / way[moves]
    first, last = ends.min(axis=0).max(axis=1), ends.max(axis=0).min(axis=1)
    beside = ((points < low) | (points > high))[:, ~moves].any(axis=1)
    return bool((~beside & (last >= 0) & (first <= last)).any())


def sleeve_of(tube: Tube, nipple_mm: float) -> float:
    """Return half the outside diameter of a tube where it is over a nipple."""
    return stretched_outside_mm(tube.kind.outside_mm, tube.kind.bore_mm, nipple_mm) / 2

"""From wires and routes to tubes with centrelines: corners and radii, from which the curve follows.

What a tube is stands in routes.py; what is measured on the curve, in measures.py.
"""

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.messages import Where, gathered
from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.solids import Cabinet
from routeviz.cabinet.standing import step_of
from routeviz.cabinet.tubing import TubeKind
from routeviz.cabinet.zeros import Zeros, marks, point
from routeviz.errors import Problem, SceneError
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.corners import corner_turns, inscribed_radii
from routeviz.geometry.curves import Curve, rounded_polyline
from routeviz.geometry.fitting import fitted_route
from routeviz.geometry.keeping import kept
from routeviz.scene.description import TieEntry, TubeEntry
from routeviz.scene.doubts import Status
from routeviz.scene.reading import Reading, least_sure, values_at
from routeviz.scene.references import BUNDLE
from routeviz.scene.wiring import End as NamedEnd
from routeviz.scene.wiring import Wire
from routeviz.tubes.kinking import least_bend_of
from routeviz.tubes.plans import Plan, PlannedTube
from routeviz.tubes.routes import NO_PLACE, End, Tie, Tube

GENTLE = 2.0  # a drawn corner is rounded up to twice the least bend radius: gentler would leave the drawing
GENTLE_OUTSIDES = 8.0  # where no least radius is known: as many outside diameters
GRAIN_MM = 1e-3  # corners and radii are kept to a micrometre: what is written is what is checked
SAME_END_MM = 2e-3  # a tip and a corner on the grain are half a grain apart each way, and a grain is to spare


@dataclass(frozen=True, slots=True, kw_only=True)
class _Route:
    """Where a tube runs: corners and radii, drawn, fitted to points or planned."""

    corners: Floats
    radii: Floats
    measured: Floats | None = None
    miss_mm: float = 0.0
    plan: PlannedTube | None = None


def shape(reading: Reading, cabinet: Cabinet, plan: Plan | None = None) -> tuple[Tube, ...]:
    """Return the scene's tubes that are there in the cabinet's stage, with their centrelines.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    cabinet : Cabinet
        The same scene, placed.
    plan : Plan or None
        Routes for tubes that nobody has drawn; used where both ends lie where the tube's ends lie.

    Returns
    -------
    tubes : tuple of Tube
        In the order of the file.

    Raises
    ------
    SceneError
        Routes that cannot be drawn: all of them at once, each with its place in the file.
    """
    problems: list[Problem] = []
    top = Where(reading=reading)
    zeros = marks(top, problems)
    stages = {one.name: number for number, one in enumerate(reading.scene.stages)}
    last = len(stages) if cabinet.stage is None else stages[cabinet.stage]
    planned = {} if plan is None else {one.name: one for one in plan.tubes}
    holders = {BUNDLE, *(name for solid in cabinet.solids for name in (solid.name, solid.part))}
    tubes = []
    for wire in reading.wires:
        if wire.entry.stage is not None and stages[wire.entry.stage] > last:
            continue
        with gathered(problems):
            way = _of_holders(planned.get(wire.name), holders)
            tubes.append(_tube(wire, cabinet, zeros, Where(reading=reading, key=wire.key), way))
    if problems:
        raise SceneError(tuple(problems))
    return tuple(tubes)


def _of_holders(planned: PlannedTube | None, holders: Set[str]) -> PlannedTube | None:
    """Return a planned route without the ties to what is not there: they hold nothing."""
    if planned is None:
        return None
    return replace(planned, ties=tuple(tie for tie in planned.ties if tie.to in holders))


def _tube(wire: Wire, cabinet: Cabinet, zeros: Zeros, where: Where, planned: PlannedTube | None) -> Tube:
    entry = wire.entry
    shift = np.zeros(3)
    if entry.step is not None:
        shift = wire.index * step_of(entry.step, where.at("step"))
    start = _end(wire.start, entry, "starts_at", cabinet, (zeros, where), shift)
    end = _end(wire.end, entry, "ends_at", cabinet, (zeros, where), shift)
    route = _route(entry, (start, end), cabinet, (zeros, where), shift, planned)
    curve = None if route is None else rounded_polyline(route.corners, route.radii)
    return Tube(
        name=wire.name,
        tag=wire.tag,
        label=wire.label,
        start=start,
        end=end,
        kind=cabinet.tubing[entry.tubing],
        carries=entry.carries,
        through=_through(entry, route),
        corners=None if route is None else route.corners,
        radii=None if route is None else route.radii,
        curve=curve,
        measured=None if route is None else route.measured,
        fit_miss_mm=0.0 if route is None else route.miss_mm,
        ties=_ties(entry, curve, where, None if route is None else route.plan),
        hidden=entry.hidden,
        spare_mm=entry.spare_mm,
        waits_for=entry.waits_for,
        cut_mm=entry.cut_mm,
        stage=entry.stage,
        note=entry.note,
        planned=route is not None and route.plan is not None,
        status=None if route is not None and route.plan is not None else _status(where),
    )


def _status(where: Where) -> Status | None:
    """Return how a tube is known of which the scene gives a value, or says how sure it is."""
    reading, key = where.reading, where.key
    if not reading.doubts:
        return None
    said = (key,) if key in reading.doubts else ()
    return least_sure(reading, values_at(reading, key) or said)


def _route(
    entry: TubeEntry,
    ends: tuple[End, End],
    cabinet: Cabinet,
    at: tuple[Zeros, Where],
    shift: Floats,
    planned: PlannedTube | None,
) -> _Route | None:
    """Return where a tube runs: as drawn or taped, else as planned; None where nobody says."""
    zeros, where = at
    kind = cabinet.tubing[entry.tubing]
    if entry.corners is not None:
        corners, radii = _drawn(entry, ends, kind, at, shift)
        return _Route(corners=corners, radii=radii)
    if entry.measured is not None:
        measured = _points(entry.measured, entry, zeros, where.at("measured"), shift)
        corners, radii, miss = _fitted(measured, ends, kind, cabinet, where)
        return _Route(corners=corners, radii=radii, measured=frozen(measured), miss_mm=miss)
    if planned is not None and entry.hidden is None and _reaches(planned, ends):
        return _Route(corners=frozen(planned.corners), radii=frozen(planned.radii), plan=planned)
    return None


def _reaches(planned: PlannedTube, ends: tuple[End, End]) -> bool:
    """Return whether a planned route still ends where the tube's ends lie."""
    points = zip(ends, (planned.corners[0], planned.corners[-1]), strict=True)
    return all(
        end.point is not None and math.dist(end.point, corner) <= SAME_END_MM for end, corner in points
    )


def _through(entry: TubeEntry, route: _Route | None) -> tuple[str, ...]:
    """Return the passages that a plan names; the scene's own where the plan leaves one of these out."""
    if route is None or route.plan is None:
        return entry.through
    left = iter(route.plan.through)
    return route.plan.through if all(name in left for name in entry.through) else entry.through


def _end(
    named: NamedEnd, entry: TubeEntry, key: str, cabinet: Cabinet, at: tuple[Zeros, Where], shift: Floats
) -> End:
    if named.part in cabinet.without_place:
        return End(nipple=None, state=NO_PLACE, point=None)
    if named.nipple is not None:
        return End(nipple=named.nipple, state="nipple", point=cabinet.nipples[named.nipple].tip)
    position = entry.starts_at if key == "starts_at" else entry.ends_at
    if position is None:
        return End(nipple=None, state=named.state, point=None)
    zeros, where = at
    place = point(zeros, position, entry.zero, where.at(key)) + shift
    return End(nipple=None, state=named.state, point=frozen(place))


def _points(
    positions: Sequence[object], entry: TubeEntry, zeros: Zeros, where: Where, shift: Floats
) -> Floats:
    rows = [point(zeros, p, entry.zero, where.at(i)) + shift for i, p in enumerate(positions)]  # type: ignore[arg-type]
    return np.array(rows, dtype=np.float64).reshape(-1, 3)


def _drawn(
    entry: TubeEntry, ends: tuple[End, End], kind: TubeKind, at: tuple[Zeros, Where], shift: Floats
) -> tuple[Floats, Floats]:
    """Return corners and radii of a drawn route, the ends added where they are known."""
    zeros, where = at
    drawn = entry.corners or ()
    here = where.at("corners")
    inner = _points(drawn, entry, zeros, here, shift)
    given = [corner.radius_mm for corner in drawn]
    first, last = ends[0].point is not None, ends[1].point is not None
    rows = [*_ends_of(ends[:1]), *inner, *_ends_of(ends[1:])]
    if len(rows) < 2:
        raise here.wrong(
            f"{len(rows)} points for a route", "two or more, the ends counted", "give more corners"
        )
    corners = _on_grain(np.array(rows))
    wanted = given[0 if first else 1 : None if last else -1] if drawn else []
    try:
        corner_turns(corners)
        return corners, _radii(corners, wanted, kind)
    except ValueError as error:
        raise here.wrong(
            str(error), "corners apart from each other, turns that fit", "correct the corners"
        ) from None


def _ends_of(ends: Sequence[End]) -> list[Floats]:
    return [end.point for end in ends if end.point is not None]


def _radii(corners: Floats, wanted: Sequence[float | None], kind: TubeKind) -> Floats:
    """Return a radius for each inner corner: as wanted, else as gentle as the legs allow, up to a cap."""
    legs, _, turns = corner_turns(corners)
    if not len(turns):
        return frozen(np.zeros(0))
    stub = min(kind.outside_mm, legs[0] / 2), min(kind.outside_mm, legs[-1] / 2)
    cap = GENTLE * kind.least_bend_mm if kind.least_bend_mm else GENTLE_OUTSIDES * kind.outside_mm
    radii = inscribed_radii(corners, cap=cap, first=stub[0], last=stub[1])
    for i, radius in enumerate(wanted):
        if radius is not None:
            radii[i] = radius
    return frozen(np.floor(_fitting_legs(radii, wanted, legs, turns) / GRAIN_MM) * GRAIN_MM)


def _fitting_legs(radii: Floats, wanted: Sequence[float | None], legs: Floats, turns: Floats) -> Floats:
    """Return radii that leave room for those that are wanted; what cannot be had is refused."""
    slopes = np.tan(turns / 2)
    fitting = np.where(turns > 0, radii, 0.0)
    free = np.array([radius is None for radius in wanted], dtype=bool)
    for leg in range(len(legs)):
        at_ends = [i for i in (leg - 1, leg) if 0 <= i < len(turns) and slopes[i] > 0]
        over = sum(fitting[i] * slopes[i] for i in at_ends) - legs[leg]
        for i in at_ends:
            if over > 0 and free[i]:
                less = min(over, fitting[i] * slopes[i])
                fitting[i] -= less / slopes[i]
                over -= less
        if over > 1e-6:
            most = legs[leg] / sum(slopes[i] for i in at_ends)
            raise ValueError(
                f"the radii at the ends of leg {leg + 1} do not fit into its {legs[leg]:.1f} mm; "
                f"{most:.1f} mm each would"
            )
    return np.where(turns > 0, fitting, np.inf)


def _fitted(
    measured: Floats, ends: tuple[End, End], kind: TubeKind, cabinet: Cabinet, where: Where
) -> tuple[Floats, Floats, float]:
    """Return the gentlest route within the survey's doubt of the measured points, and its worst miss."""
    start, end = (cabinet.nipples[e.nipple] if e.nipple else None for e in ends)
    points = np.array([*_ends_of(ends[:1]), *measured, *_ends_of(ends[1:])]).reshape(-1, 3)
    directions = _leaving(start), _leaving(end, arriving=True)
    doubt = max(cabinet.limits.survey_mm, GRAIN_MM)
    wanted = _wanted_mm(kind, cabinet.practice.vacuum_kpa)

    def found() -> bytes:
        route = fitted_route(
            points,
            doubt=doubt,
            start_direction=directions[0],
            end_direction=directions[1],
            least_radius=wanted,
        )
        return np.column_stack([route.corners, [route.miss, *route.radii, 0.0]]).tobytes()

    known = [b"" if d is None else d.tobytes() for d in directions]
    about = b"/".join([points.tobytes(), *known, np.array([doubt, wanted]).tobytes()])
    try:
        route = np.frombuffer(kept("routes", about, found)).reshape(-1, 4)
    except ValueError as error:
        raise where.at("measured").wrong(
            str(error), "points apart from each other, in order along the tube", "correct the points"
        ) from None
    corners = _on_grain(route[:, :3])
    return corners, _still_fitting(corners, route[1:-1, 3]), float(route[0, 3])


def _wanted_mm(kind: TubeKind, vacuum_kpa: float) -> float:
    """Return the radius below which a rule would speak: no points are read as tighter than they must be."""
    allowed = least_bend_of(kind, vacuum_kpa)
    radii = (allowed.radius_mm, allowed.caution_mm)
    return max((r for r in radii if r is not None and math.isfinite(r)), default=0.0)


def _still_fitting(corners: Floats, radii: Floats) -> Floats:
    """Return fitted radii on the grain, smaller where moving the corners there has cut a leg short."""
    legs, _, turns = corner_turns(corners)
    cuts = np.where(turns > 0, radii, 0.0) * np.tan(turns / 2)
    taken = np.append(cuts, 0.0) + np.append(0.0, cuts)
    share = np.minimum(1.0, legs / np.maximum(taken, GRAIN_MM))
    return frozen(np.floor(radii * np.minimum(share[:-1], share[1:]) / GRAIN_MM) * GRAIN_MM)


def _leaving(nipple: Nipple | None, *, arriving: bool = False) -> Floats | None:
    if nipple is None:
        return None
    return -nipple.direction if arriving else nipple.direction


def _on_grain(corners: Floats) -> Floats:
    return frozen(np.round(corners / GRAIN_MM) * GRAIN_MM)


def _ties(
    entry: TubeEntry, curve: Curve | None, where: Where, planned: PlannedTube | None
) -> tuple[Tie, ...]:
    """Return the ties that the scene writes, else those of the plan."""
    length = float(curve.begins[-1]) if curve is not None else None
    if planned is not None:
        # A tie written for a way that nobody had drawn may lie beyond the one that was found.
        written = [tie for tie in entry.ties if length is not None and tie.along_mm <= length]
        return _in_order(written) if entry.ties else planned.ties
    for i, tie in enumerate(entry.ties):
        if length is not None and tie.along_mm > length:
            raise where.at("ties", i, "along").wrong(
                f"a tie {tie.along_mm:.0f} mm along",
                f"at most {length:.0f} mm, the tube's length",
                "correct it",
            )
    return _in_order(entry.ties)


def _in_order(ties: Sequence[TieEntry]) -> tuple[Tie, ...]:
    return tuple(Tie(along_mm=t.along_mm, to=t.to) for t in sorted(ties, key=lambda t: t.along_mm))

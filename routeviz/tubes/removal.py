"""Which tubes hold a part in that is to come out, and which moving parts sweep into others."""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from shapely import Point, Polygon

from routeviz.cabinet.motions import Fixed, in_geometry
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry import pieces as curved
from routeviz.geometry.arrays import Floats
from routeviz.geometry.chains import polylines
from routeviz.geometry.envelopes import swept_boxes
from routeviz.geometry.shapes import Pieces, Slide, assembled, placed, pose, rims, united
from routeviz.geometry.sweeps import least_distances
from routeviz.tubes.measured import Fouling, Trapped
from routeviz.tubes.nearing import Laid
from routeviz.tubes.routes import Tube

ACROSS_MM = 0.05  # a tube is in the way where it overlaps by more than a measured interval is wide
ALLOWED_MM = 0.5  # a moving part may come so near to another, or touch its felt, without being wrong
FACETED = 24  # sides of a round part whose edges are followed
MOST_PIECES = 160  # a scanned mesh has more; it is left out of this one question
DANGLING = ("loose", "missing", "cut")  # ends that hold nothing
JOINS = ("tee", "coupler")  # put somewhere by hand, on their own: what is wrong is seen only where they are
INSIDE_MM = 1e-6  # distance from an edge that counts as inside


def trapped_of(cabinet: Cabinet, tubes: Sequence[Tube], drawn: Laid) -> tuple[Trapped, ...]:
    """Return the tubes that must be pulled before each part that is to come out can do so.

    Parameters
    ----------
    cabinet, tubes
        The lay.
    drawn : Laid
        The tubes with a centreline.

    Returns
    -------
    trapped : tuple of Trapped
        By part, in the cabinet's order; those joined to the part first.
    """
    leaving = leaving_of(cabinet)
    if not leaving:
        return ()
    ways = [way_out(cabinet, indices) for indices in leaving.values()]
    bodies = assembled([pieces for pieces, _ in ways], [slide for _, slide in ways])
    near = least_distances(drawn.pieces, drawn.radii, bodies, 0.0)
    found = []
    for body, (part, indices) in enumerate(leaving.items()):
        joined, along = _joined(cabinet, tubes, part)
        found += [Trapped(tube=t, solid=indices[0], joined=True, point=point) for t, point in joined]
        told = {t for t, _ in joined} | along
        for k in np.nonzero((near.bodies == body) & (near.highs < -ACROSS_MM))[0]:
            tube = int(drawn.indices[int(near.curves[k])])
            if tube not in told:
                found.append(Trapped(tube=tube, solid=indices[0], joined=False, point=near.points[k]))
    return tuple(found)


def leaving_of(cabinet: Cabinet) -> dict[str, list[int]]:
    """Return the parts that are to come out, and the numbers of their solids."""
    leaving: dict[str, list[int]] = defaultdict(list)
    for index, solid in enumerate(cabinet.solids):
        if solid.comes_out is not None:
            leaving[solid.part].append(index)
    return dict(leaving)


def way_out(cabinet: Cabinet, indices: Sequence[int]) -> tuple[Pieces, Slide]:
    """Return a part's pieces and the slide that takes it clear of everything in the case.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    indices : sequence of int
        The part's solids.

    Returns
    -------
    pieces, slide
        What goes out, and how.
    """
    first = cabinet.solids[indices[0]]
    assert first.comes_out is not None
    lows, highs = swept_boxes(cabinet.bodies)
    far = float(np.abs(highs.max(axis=0) - lows.min(axis=0)) @ np.abs(first.comes_out))
    pieces = united([cabinet.solids[i].pieces for i in indices])
    return pieces, Slide(direction=first.comes_out, length=far)


def _joined(cabinet: Cabinet, tubes: Sequence[Tube], part: str) -> tuple[list[tuple[int, Floats]], set[int]]:
    """Return the tubes that join a part to what stays, where to pull them, and those that go out with it."""
    joined, along = [], set()
    for index, tube in enumerate(tubes):
        ends = (tube.start, tube.end)
        on = [end.nipple is not None and is_on(cabinet, end.nipple, part) for end in ends]
        stays = [not o and end.state not in DANGLING for o, end in zip(on, ends, strict=True)]
        point = ends[on.index(True)].point if any(on) else None
        if any(on) and any(stays) and point is not None:
            joined.append((index, point))
        elif any(on):
            along.add(index)
    return joined, along


def is_on(cabinet: Cabinet, nipple: str, part: str) -> bool:
    """Return whether a nipple goes with a part: it is one of its own, or carried by it."""
    one = cabinet.nipples[nipple]
    return one.part == part or (one.carrier is not None and cabinet.solids[one.carrier].part == part)


def foulings_of(cabinet: Cabinet) -> tuple[Fouling, ...]:
    """Return the moving solids that sweep into others that stand still, and tees that stand in these.

    Two convex bodies overlap only where an edge of one enters the other. The edges of what stands still are
    held against what moves over its whole travel, and the edges of what moves, at rest, half way and at full
    travel, against what stands still. What moves is taken smaller by ``ALLOWED_MM`` and the survey's doubt.

    Parameters
    ----------
    cabinet : Cabinet
        Placed.

    Returns
    -------
    foulings : tuple of Fouling
        One a moving part and other part.
    """
    less = ALLOWED_MM + cabinet.limits.survey_mm
    free = [not isinstance(s.movement, Fixed) or s.kind in JOINS for s in cabinet.solids]
    moving = [i for i, one in enumerate(free) if one]
    still = [i for i, s in enumerate(cabinet.solids) if isinstance(s.movement, Fixed)]
    pairs = _meeting(cabinet, moving, still, less)
    if not pairs:
        return ()
    found: dict[tuple[str, str], Fouling] = {}
    moving, still = sorted({m for m, _ in pairs}), sorted({s for _, s in pairs})
    smaller = [_smaller(cabinet.solids[i].pieces, less) for i in moving]
    swept = assembled(smaller, [in_geometry(cabinet.solids[i].movement) for i in moving])
    edges, owners = _edges([cabinet.solids[i].pieces for i in still], still)
    near = least_distances(edges, np.zeros(len(owners)), swept, 0.0)
    for k in np.nonzero(near.highs <= INSIDE_MM)[0]:
        one, other = moving[int(near.bodies[k])], owners[int(near.curves[k])]
        _tell(
            found,
            cabinet,
            Fouling(moving=one, other=other, travel=float(near.travels[k]), point=near.points[k]),
        )
    standing = assembled([cabinet.solids[i].pieces for i in still], [None] * len(still))
    for travel in (0.0, 0.5, 1.0):
        posed = [placed(pieces, pose(swept, b, travel)) for b, pieces in enumerate(smaller)]
        edges, owners = _edges(posed, moving)
        near = least_distances(edges, np.zeros(len(owners)), standing, 0.0)
        for k in np.nonzero(near.highs <= INSIDE_MM)[0]:
            one, other = owners[int(near.curves[k])], still[int(near.bodies[k])]
            _tell(found, cabinet, Fouling(moving=one, other=other, travel=travel, point=near.points[k]))
    return tuple(found.values())


def _tell(found: dict[tuple[str, str], Fouling], cabinet: Cabinet, one: Fouling) -> None:
    """Keep the first fouling of two different parts."""
    parts = cabinet.solids[one.moving].part, cabinet.solids[one.other].part
    if parts[0] != parts[1] and parts[::-1] not in found:
        found.setdefault(parts, one)


def _meeting(
    cabinet: Cabinet, moving: Sequence[int], still: Sequence[int], less: float
) -> list[tuple[int, int]]:
    """Return moving and standing solids whose boxes, the travel included, overlap by more than ``less``."""
    lows, highs = swept_boxes(cabinet.bodies)
    first = np.zeros(len(cabinet.solids) + 1, dtype=np.int64)
    np.add.at(first, cabinet.bodies.pieces.bodies + 1, 1)
    begins = np.cumsum(first)[:-1]
    body_lows = np.minimum.reduceat(lows, begins, axis=0)
    body_highs = np.maximum.reduceat(highs, begins, axis=0)
    return [
        (m, s)
        for m in moving
        for s in np.asarray(still)[
            (
                np.minimum(body_highs[still], body_highs[m]) - np.maximum(body_lows[still], body_lows[m])
                > less
            ).all(axis=1)
        ].tolist()
        if m != s
    ]


def _smaller(pieces: Pieces, less: float) -> Pieces:
    """Return pieces with their faces moved inwards; a piece too thin for that becomes its middle."""
    corners = np.array(pieces.corners)
    for i in range(len(pieces.halves)):
        begin, end = int(pieces.begins[i]), int(pieces.begins[i + 1])
        if end > begin:
            corners[begin:end] = _inset(corners[begin:end], less)
    return Pieces(
        rotations=pieces.rotations,
        origins=pieces.origins,
        halves=np.maximum(np.asarray(pieces.halves) - less, 0.0),
        radii=np.where(pieces.radii > 0, np.maximum(np.asarray(pieces.radii) - less, 1e-3), 0.0),
        corners=corners,
        begins=pieces.begins,
        bodies=pieces.bodies,
    )


def _inset(outline: Floats, less: float) -> Floats:
    """Return an outline drawn towards its middle so that each side moves in by ``less`` or more."""
    middle = outline.mean(axis=0)
    inner = float(Polygon(outline).exterior.distance(Point(middle)))
    return np.asarray(middle + (outline - middle) * max(1.0 - less / max(inner, 1e-9), 0.0))


def _edges(solids: Sequence[Pieces], names: Sequence[int]) -> tuple[curved.Pieces, list[int]]:
    """Return the edges of solids as curves, and whose they are."""
    begins, ends = [np.zeros((0, 3))], [np.zeros((0, 3))]
    owners: list[int] = []
    for name, pieces in zip(names, solids, strict=True):
        if len(pieces.halves) > MOST_PIECES:
            continue
        for i in range(len(pieces.halves)):
            low, high = rims(pieces, i, FACETED)
            begins += [low, high, low]
            ends += [np.roll(low, -1, axis=0), np.roll(high, -1, axis=0), high]
            owners += [name] * (3 * len(low))
    points = np.stack([np.concatenate(begins), np.concatenate(ends)], axis=1).reshape(-1, 3)
    return polylines(points, np.zeros(len(points)), 2 * np.arange(len(owners) + 1)), owners

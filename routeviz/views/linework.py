"""What is seen of a case from one side, as strokes: edges of parts, outlines of tubes, what hides what.

How lines are hidden is in geometry/hiding.py, how tubes look in ribbons.py. What parts hide is dashed, of
tubes the centreline alone, of parts the large ones alone; what tubes hide is left out: all would be grey.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.edges import edges_of_all
from routeviz.geometry.hiding import (
    NO_LINK,
    Blinds,
    Lines,
    blinds_of,
    in_sight,
    joined_blinds,
    unlinked,
)
from routeviz.geometry.shapes import Pieces, rims
from routeviz.geometry.skins import SIDES
from routeviz.geometry.stretches import Stretches, merged, without
from routeviz.tubes.routes import Tube
from routeviz.views.drawing import DOUBTFUL, Arc, Kind, Mark, Stroke, kind_of
from routeviz.views.ribbons import ROUND, Chains, Ribbons, chains_of, ribbons

FACING = 1e-6  # of a face's direction towards the eye, above which it is seen from its front
SEEN_MM = 1e-3  # edges that are seen shorter are seen as a point
LARGE = 0.2  # of the case's greatest extent: parts that are longer are told where they are hidden, too
COVERS = (
    0.1  # of all points along tubes: a part that stands before so many, and behind none, is looked through
)
LEAST_MM = 0.05  # of a stroke: what is shorter is left out
MEET_DIGITS = 4  # of mm: ends that are equal so far meet
TURN, APART = 1e-4, 0.02  # radians and mm within which straight edges lie on one line


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """What can be seen, ready to be looked at from any side.

    Parameters
    ----------
    ends, normals, sharp
        All parts' edges, as ``edges.Edges`` has them.
    edge_owners : array of int
        The solid of each.
    corners : array, shape (c, 3)
        Of all pieces.
    begins : array of int, shape (p + 1,)
        Piece i has ``corners[begins[i]:begins[i + 1]]``.
    faces : array, shape (f, 4)
        Unit normal outwards, and how far the face is along it.
    face_begins : array of int, shape (p + 1,)
        As ``begins``.
    piece_owners : array of int, shape (p,)
        The solid of each.
    told : array of bool, shape (s,)
        Which solids are told where they are hidden: those that are no row of many.
    chains : Chains
        The tubes.
    extent_mm : float
        The case's greatest.
    kinds, tube_kinds : array of str
        With which lines the edges of each solid, and the sides of each tube, are drawn where they are seen.
    """

    ends: Floats
    normals: Floats
    sharp: NDArray[np.bool_]
    edge_owners: Ints
    corners: Floats
    begins: Ints
    faces: Floats
    face_begins: Ints
    piece_owners: Ints
    told: NDArray[np.bool_]
    chains: Chains
    extent_mm: float
    kinds: NDArray[np.str_]
    tube_kinds: NDArray[np.str_]


def model_of(cabinet: Cabinet, tubes: Sequence[Tube], sagitta_mm: float) -> Model:
    """Return a case ready to be looked at.

    Parameters
    ----------
    cabinet, tubes : Cabinet, sequence of Tube
        What there is.
    sagitta_mm : float
        How far a tube's drawn outline may be from its true one.

    Returns
    -------
    model : Model
        Of everything but spaces, passages and nipples.
    """
    edges = edges_of_all([solid.pieces for solid in cabinet.solids])
    pieces = [
        (number, *_piece(solid.pieces, index))
        for number, solid in enumerate(cabinet.solids)
        for index in range(len(solid.pieces.halves))
    ]
    corners = np.concatenate([np.zeros((0, 3)), *(piece[1] for piece in pieces)])
    nothing = np.zeros((0, 2, 3))
    count = Counter(solid.part for solid in cabinet.solids)
    return Model(
        ends=np.concatenate([nothing, *(one.ends for one in edges)]),
        normals=np.concatenate([nothing, *(one.normals for one in edges)]),
        sharp=np.concatenate([np.zeros(0, dtype=bool), *(one.sharp for one in edges)]),
        edge_owners=np.repeat(np.arange(len(edges)), [len(one.ends) for one in edges]),
        corners=corners,
        begins=_begins([len(piece[1]) for piece in pieces]),
        faces=np.concatenate([np.zeros((0, 4)), *(piece[2] for piece in pieces)]),
        face_begins=_begins([len(piece[2]) for piece in pieces]),
        piece_owners=np.array([piece[0] for piece in pieces], dtype=np.int64),
        told=np.array([count[solid.part] == 1 for solid in cabinet.solids], dtype=bool),
        chains=chains_of(cabinet, tubes, sagitta_mm),
        extent_mm=float(np.ptp(corners, axis=0).max()) if len(corners) else 0.0,
        kinds=np.array([kind_of("outline", solid.status) for solid in cabinet.solids], dtype=np.str_),
        tube_kinds=np.array([kind_of("tube", tube.status) for tube in tubes], dtype=np.str_),
    )


def _begins(counts: Sequence[int]) -> Ints:
    return np.append(0, np.cumsum(np.asarray(counts, dtype=np.int64)))


def _piece(pieces: Pieces, index: int) -> tuple[Floats, Floats]:
    """Return a convex piece's corners, and its faces as normals and heights."""
    low, high = rims(pieces, index, SIDES)
    up = pieces.rotations[index][:, 2]
    if pieces.halves[index] == 0.0:
        height = float(up @ low[0])
        return low, np.array([[*up, height], [*-up, -height]])
    sides = np.cross(np.roll(low, -1, axis=0) - low, up)
    sides /= np.linalg.norm(sides, axis=1, keepdims=True)
    normals = np.concatenate([sides, up[None], -up[None]])
    feet = np.concatenate([low, high[:1], low[:1]])
    return np.concatenate([low, high]), np.column_stack([normals, np.einsum("ij,ij->i", normals, feet)])


def outlines(model: Model, axes: Floats, tolerance_mm: float) -> tuple[Mark, ...]:
    """Return what is seen of a case from one side.

    Parameters
    ----------
    model : Model
        The case.
    axes : array, shape (3, 3)
        Rows: to the right, up, and towards the eye.
    tolerance_mm : float
        By which strokes of many points may be made simpler.

    Returns
    -------
    marks : tuple of Stroke or Arc
        What is hidden first, then parts, then tubes.
    """
    tubes = ribbons(model.chains, axes)
    walls = _walls(model, axes)
    count = int(model.edge_owners.max(initial=-1)) + 1
    parts = _solid_blinds(model, axes, walls)
    blinds = joined_blinds([parts, replace(tubes.blinds, owners=tubes.blinds.owners + count)])
    edges = _edges(model, axes)
    seen, hidden = in_sight(edges, blinds)[0], in_sight(edges, parts)[1]
    before = np.isin(edges.owners, walls)
    large = np.isin(edges.owners, _large(model, axes))
    marks = _straight_marks(edges, _groups(edges, (seen, hidden), (before, large), model.kinds))
    marks += _tube_marks(tubes, (parts, blinds), count, tolerance_mm, model.tube_kinds)
    return tuple(marks)


def _solid_blinds(model: Model, axes: Floats, walls: Ints) -> Blinds:
    """Return what parts hide, but for those that are looked through."""
    points = model.corners @ axes.T
    normals = model.faces[:, :3] @ axes.T
    numbers = np.repeat(np.arange(len(model.piece_owners)), np.diff(model.face_begins))
    front = (normals[:, 2] > FACING) & ~np.isin(model.piece_owners[numbers], walls)
    facing = normals[front]
    return blinds_of(
        points=points[:, :2],
        begins=model.begins,
        planes=np.column_stack([-facing[:, 0], -facing[:, 1], model.faces[front, 3]]) / facing[:, 2:],
        plane_begins=_begins(np.bincount(numbers[front], minlength=len(model.piece_owners)).tolist()),
        owned=unlinked(model.piece_owners),
    )


def _boxes(model: Model, axes: Floats) -> tuple[Floats, Floats]:
    """Return the box of each solid in the view's frame, shape (s, 3) each; all solids have pieces."""
    points = model.corners @ axes.T
    owners = np.repeat(model.piece_owners, np.diff(model.begins))
    starts = np.flatnonzero(np.append(True, np.diff(owners) != 0)[: len(owners)])
    return np.minimum.reduceat(points, starts, axis=0), np.maximum.reduceat(points, starts, axis=0)


def _walls(model: Model, axes: Floats) -> Ints:
    """Return the solids that stand before a good part of all tubes, and behind none."""
    points = model.chains.points @ axes.T
    if not len(points) or not len(model.corners):
        return np.zeros(0, dtype=np.int64)
    low, high = _boxes(model, axes)
    within = (points[None, :, 0] > low[:, None, 0]) & (points[None, :, 0] < high[:, None, 0])
    within &= (points[None, :, 1] > low[:, None, 1]) & (points[None, :, 1] < high[:, None, 1])
    behind = points[None, :, 2] < low[:, None, 2]
    return np.flatnonzero(~(within & ~behind).any(axis=1) & (within.mean(axis=1) >= COVERS))


def _large(model: Model, axes: Floats) -> Ints:
    if not len(model.corners):
        return np.zeros(0, dtype=np.int64)
    low, high = _boxes(model, axes)
    return np.flatnonzero(model.told & ((high - low)[:, :2].max(axis=1) >= LARGE * model.extent_mm))


def _edges(model: Model, axes: Floats) -> Lines:
    """Return the edges of parts that are seen from a side, as lines in its frame."""
    facing = model.normals @ axes[2] > FACING
    ends = model.ends @ axes.T
    long = np.hypot(*(ends[:, 1] - ends[:, 0])[:, :2].T) > SEEN_MM
    which = np.flatnonzero(long & (model.sharp | (facing[:, 0] != facing[:, 1])))
    return Lines(
        starts=ends[which, 0],
        ends=ends[which, 1],
        owners=model.edge_owners[which],
        along=np.full(len(which), np.nan),
        near=np.zeros(len(which)),
        links=np.full(len(which), NO_LINK),
    )


def _groups(
    edges: Lines,
    stretches: tuple[Stretches, Stretches],
    which: tuple[NDArray[np.bool_], NDArray[np.bool_]],
    kinds: NDArray[np.str_],
) -> list[tuple[Kind, Stretches]]:
    """Return what is drawn of edges with which kind of line: what is seen first, of that what is surest."""
    (seen, hidden), (before, large) = stretches, which
    wall = before[seen.numbers]
    kept = large[hidden.numbers] & ~before[hidden.numbers]
    return [
        *_by_kind(_some(seen, ~wall), kinds[edges.owners], ("outline", *DOUBTFUL.values())),
        ("phantom", _some(seen, wall)),
        ("hidden", _some(hidden, kept)),
    ]


def _some(all_of_them: Stretches, chosen: NDArray[np.bool_]) -> Stretches:
    return replace(all_of_them, numbers=all_of_them.numbers[chosen], spans=all_of_them.spans[chosen])


def _by_kind(seen: Stretches, kinds: NDArray[np.str_], order: Sequence[Kind]) -> list[tuple[Kind, Stretches]]:
    """Return stretches by the kind of their line, which has a name each; kinds that none has are left out."""
    named = kinds[seen.numbers]
    return [(kind, _some(seen, named == kind)) for kind in order if kind in named]


def _straight_marks(edges: Lines, groups: Sequence[tuple[Kind, Stretches]]) -> list[Mark]:
    """Return edges as strokes, each place drawn once: as the first group that has it says."""
    keys, origin, heading, extent = _straights(edges)
    count = len(origin)
    taken_keys, taken = np.zeros(0, dtype=np.int64), np.zeros((0, 2))
    marks: list[Mark] = []
    for kind, some in groups:
        numbers, spans = some.numbers, some.spans
        spots = _along(edges, numbers, spans, (keys, origin, heading, extent))
        left = without(keys[numbers], spots, taken_keys, taken, count)
        taken_keys, taken = np.append(taken_keys, left.numbers), np.concatenate([taken, left.spans])
        far = extent[0] + left.spans * (extent[1] - extent[0])
        ends = origin[left.numbers][:, None] + far[:, :, None] * heading[left.numbers][:, None]
        marks = [*_end_to_end(kind, ends), *marks]
    return marks


def _end_to_end(kind: Kind, ends: Floats) -> list[Mark]:
    """Return straight lines as strokes that go on where just two of them meet."""
    long = np.abs(ends[:, 1] - ends[:, 0]).sum(axis=1) > LEAST_MM
    lines = shapely.linestrings(np.round(ends[long], MEET_DIGITS))
    whole = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
    places, owner = shapely.get_coordinates(whole, return_index=True)
    some = np.split(places, np.flatnonzero(np.diff(owner)) + 1) if len(places) else []
    return [Stroke(kind=kind, points=points) for points in some]


def _straights(edges: Lines) -> tuple[Ints, Floats, Floats, tuple[float, float]]:
    """Return on which straight line each edge lies, a point and the heading of each, how far all reach."""
    first, last = edges.starts[:, :2], edges.ends[:, :2]
    heading = (last - first) / np.linalg.norm(last - first, axis=1, keepdims=True)
    backwards = (heading[:, 0] < -1e-9) | ((np.abs(heading[:, 0]) <= 1e-9) & (heading[:, 1] < 0.0))
    heading = np.where(backwards[:, None], -heading, heading)
    offset = heading[:, 0] * first[:, 1] - heading[:, 1] * first[:, 0]
    named = np.round(np.column_stack([heading / TURN, offset / APART + 0.25])).astype(np.int64)
    _, index, keys = np.unique(named, axis=0, return_index=True, return_inverse=True)
    keys, heading, offset = keys.ravel(), heading[index], offset[index]
    origin = np.column_stack([-heading[:, 1], heading[:, 0]]) * offset[:, None]
    reach = float(np.abs(np.concatenate([first, last])).max(initial=1.0)) * 2.0
    return keys, origin, heading, (-reach, reach)


def _along(
    edges: Lines,
    numbers: Ints,
    spans: Floats,
    straights: tuple[Ints, Floats, Floats, tuple[float, float]],
) -> Floats:
    """Return where stretches of edges lie along their straight lines, as shares of how far edges reach."""
    keys, _, heading, (low, high) = straights
    first, step = edges.starts[numbers, :2], (edges.ends - edges.starts)[numbers, :2]
    places = first[:, None] + spans[:, :, None] * step[:, None]
    along = np.einsum("ikj,ij->ik", places, heading[keys[numbers]])
    return (np.sort(along, axis=1) - low) / (high - low)


def _tube_marks(
    tubes: Ribbons,
    blinds: tuple[Blinds, Blinds],
    count: int,
    tolerance_mm: float,
    kinds: NDArray[np.str_],
) -> list[Mark]:
    """Return tubes as marks; ``blinds`` are parts alone, then all: one behind another tube is not dashed."""
    sides, axes, rim = (
        replace(lines, owners=lines.owners + count) for lines in (tubes.sides, tubes.axes, tubes.rims)
    )
    seen, _ = in_sight(sides, blinds[1])
    _, hidden = in_sight(axes, blinds[0])
    marks: list[Mark] = _chained("hidden tube", axes, hidden, tubes.axis_chains, tolerance_mm)
    for kind, some in _by_kind(seen, kinds[tubes.sides.owners], ("tube", *DOUBTFUL.values())):
        marks += _chained(kind, sides, some, tubes.side_chains, tolerance_mm)
    return marks + _arcs(in_sight(rim, blinds[1])[0], tubes.circles)


def _chained(kind: Kind, lines: Lines, some: Stretches, chains: Ints, tolerance_mm: float) -> list[Mark]:
    """Return stretches as strokes that go on as long as their chain does."""
    numbers, spans = some.numbers, some.spans
    if not len(numbers):
        return []
    first, step = lines.starts[numbers, :2], (lines.ends - lines.starts)[numbers, :2]
    ends = first[:, None] + spans[:, :, None] * step[:, None]
    goes_on = (np.diff(numbers) == 1) & (np.diff(chains[numbers]) == 0)
    goes_on &= (spans[:-1, 1] >= 1.0) & (spans[1:, 0] <= 0.0)
    new = np.append(True, ~goes_on)
    begins = np.flatnonzero(new)
    stroke = np.cumsum(new) - 1
    points = np.concatenate([ends[begins, 0], ends[:, 1]])
    owner = np.append(np.arange(len(begins)), stroke)
    order = np.lexsort((np.append(np.full(len(begins), -1), np.arange(len(numbers))), owner))
    owner = owner[order]
    drawn = shapely.linestrings(points[order], indices=owner)
    bent = shapely.get_num_points(drawn) > 2
    drawn[bent] = shapely.simplify(drawn[bent], tolerance_mm)
    drawn = drawn[shapely.length(drawn) > LEAST_MM]
    places, owner = shapely.get_coordinates(drawn, return_index=True)
    return [Stroke(kind=kind, points=some) for some in np.split(places, np.flatnonzero(np.diff(owner)) + 1)]


def _arcs(seen: Stretches, circles: Floats) -> list[Mark]:
    """Return what is seen of circles, of which each stretch is a share of a ROUNDth."""
    owner = seen.numbers // ROUND
    begin = (seen.numbers % ROUND)[:, None] + seen.spans
    keys, spans = merged(owner, begin)
    marks: dict[tuple[float, ...], Mark] = {}
    for key in np.unique(keys).tolist():
        turns = (spans[keys == key] * (360.0 / ROUND)).tolist()
        if len(turns) > 1 and turns[0][0] <= 0.0 and turns[-1][1] >= 360.0:
            turns = [*turns[1:-1], [turns[-1][0], turns[0][1] + 360.0]]
        x, y, radius = circles[key].tolist()
        for a, b in turns:  # a sleeve no wider than its tube has the same circle
            named = tuple(round(v, 3) for v in (x, y, radius, a, b))
            marks[named] = Arc(kind="tube", centre=(x, y), radius=radius, from_deg=a, to_deg=b)
    return list(marks.values())

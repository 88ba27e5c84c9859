"""What pieces and curves look like from outside: triangles with normals, and the sharp edges, for drawing.

What is in sight is found in sight.py. A skin is for the eye; distances are measured on the pieces themselves.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.shapes import Pieces, rims

SHARP = np.cos(np.radians(30.0))  # faces that turn by less are drawn as one bent face: a round thing's sides
SIDES = 48  # corners of a disc: they miss the circle by 0.2 % of its radius
GRID = 1e-6  # to which outlines of one plane are rounded before they are united: far below what can be seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Skin:
    """Triangles and edges.

    Parameters
    ----------
    points : array, shape (n, 3)
        Corners; one that belongs to two faces stands here twice.
    normals : array, shape (n, 3)
        Unit, outwards; a flat piece's is that of its front.
    triangles : array of int, shape (m, 3)
        Anticlockwise seen from outside.
    edges : array, shape (k, 2, 3)
        Both ends of each sharp edge.
    """

    points: Floats
    normals: Floats
    triangles: Ints
    edges: Floats

    def __post_init__(self) -> None:
        """Take read-only copies."""
        for name in ("points", "normals", "edges"):
            object.__setattr__(self, name, frozen(getattr(self, name)))
        object.__setattr__(self, "triangles", frozen_ints(self.triangles))


Face = tuple[Floats, Floats, Ints]


def skin_of(pieces: Pieces) -> Skin:
    """Return the skin of pieces; pieces that lie in one plane are one plate, without seams.

    Parameters
    ----------
    pieces : Pieces
        Of whatever body.

    Returns
    -------
    skin : Skin
        Faces between pieces that touch otherwise than side by side stay.
    """
    faces: list[Face] = []
    edges = [np.zeros((0, 2, 3))]
    thin = pieces.halves == 0.0
    if thin.any():
        surface, creases = _surface(pieces, np.flatnonzero(thin))
        faces.append(surface)
        edges.append(creases)
    for group in plates(pieces, np.flatnonzero(~thin)):
        for index in group:
            faces += _caps(rims(pieces, index, SIDES))
        for ring in plate_rings(pieces, group):
            sides, sharp = _sides(ring)
            faces.append(sides)
            edges.append(sharp)
    return _skin(faces, np.concatenate(edges))


def skins_of(many: Iterable[Pieces]) -> list[Skin]:
    """Return the skins of many things; those of one form that stand the same way are worked out once.

    Parameters
    ----------
    many : iterable of Pieces
        Each of at least one piece.

    Returns
    -------
    skins : list of Skin
        One each; of two of one form the second is the first's, moved, so it may be off by a rounding.
    """
    first: dict[tuple[bytes, ...], tuple[Floats, Skin]] = {}
    skins = []
    for pieces in many:
        at, form = pieces.origins[0], _form(pieces)
        if form not in first:
            first[form] = at, skin_of(pieces)
        stood, skin = first[form]
        skins.append(skin if stood is at else _moved(skin, at - stood))
    return skins


def _form(pieces: Pieces) -> tuple[bytes, ...]:
    """Return what pieces are but for where they stand."""
    apart = np.round(pieces.origins - pieces.origins[0], 7) + 0.0
    values = (pieces.rotations, apart, pieces.halves, pieces.radii, pieces.corners, pieces.begins)
    return tuple(value.tobytes() for value in values)


def _moved(skin: Skin, by: Floats) -> Skin:
    return replace(skin, points=skin.points + by, edges=skin.edges + by)


def chosen(pieces: Pieces, which: NDArray[np.bool_]) -> Pieces:
    """Return some of many pieces, in their order.

    Parameters
    ----------
    pieces : Pieces
        k of them.
    which : array of bool, shape (k,)
        True for those that stay.

    Returns
    -------
    pieces : Pieces
        Of the same bodies.
    """
    counts = np.diff(pieces.begins)
    return Pieces(
        rotations=pieces.rotations[which],
        origins=pieces.origins[which],
        halves=pieces.halves[which],
        radii=pieces.radii[which],
        corners=pieces.corners[np.repeat(which, counts)],
        begins=np.append(0, np.cumsum(counts[which])),
        bodies=pieces.bodies[which],
    )


def swept(points: Floats, tangents: Floats, radius: float, sides: int = 14) -> Skin:
    """Return the skin of circles swept along a chain of points, with flat ends.

    Parameters
    ----------
    points : array, shape (n, 3)
        At least two, none equal to the next.
    tangents : array, shape (n, 3)
        Unit direction at each.
    radius : float
        Of the circles, which go through the points' normals at it, > 0.
    sides : int
        Corners of a circle.

    Returns
    -------
    skin : Skin
        Triangles in order along the chain, ``2 sides`` a step; then those of both ends.
    """
    count = check_shape("points", points, (None, 3))
    check_shape("tangents", tangents, (count, 3))
    angles = np.arange(sides) * (2.0 * np.pi / sides)
    first, second = _carried(tangents)
    spokes = np.cos(angles)[None, :, None] * first[:, None] + np.sin(angles)[None, :, None] * second[:, None]
    around = np.arange(sides)
    beside = (around + 1) % sides
    quads = np.stack([around, beside, around + sides, beside, beside + sides, around + sides], axis=-1)
    triangles = (np.arange(count - 1)[:, None, None] * sides + quads).reshape(-1, 3)
    rings = points[:, None] + radius * spokes
    wall: Face = (rings.reshape(-1, 3), spokes.reshape(-1, 3), triangles)
    ends = _caps(np.stack([rings[0], rings[-1]]), (-tangents[0], tangents[-1]))
    return _skin([wall, *ends], np.zeros((0, 2, 3)))


def hatching(pieces: Pieces, spacing: float) -> Floats:
    """Return slanting lines on every face of convex pieces, as drawings mark a space.

    Parameters
    ----------
    pieces : Pieces
        Any.
    spacing : float
        Between lines, > 0.

    Returns
    -------
    lines : array, shape (k, 2, 3)
        Both ends of each.
    """
    lines = [np.zeros((0, 2, 3))]
    for index in range(len(pieces.halves)):
        low, high = rims(pieces, index, SIDES)
        n = len(low)
        walls = [np.stack([low[i], low[(i + 1) % n], high[(i + 1) % n], high[i]]) for i in range(n)]
        lines += [_hatched(face, spacing) for face in (low, high, *walls)]
    return np.concatenate(lines)


def _skin(faces: Sequence[Face], edges: Floats) -> Skin:
    offsets = np.cumsum([0, *(len(points) for points, _, _ in faces)])
    return Skin(
        points=np.concatenate([np.zeros((0, 3)), *(f[0] for f in faces)]),
        normals=np.concatenate([np.zeros((0, 3)), *(f[1] for f in faces)]),
        triangles=np.concatenate(
            [np.zeros((0, 3), np.int64), *(f[2] + o for f, o in zip(faces, offsets[:-1], strict=True))]
        ),
        edges=edges,
    )


def _surface(pieces: Pieces, which: Ints) -> tuple[Face, Floats]:
    """Return flat pieces as they are, and the edges at which the surface they make up turns or ends."""
    faces: list[Face] = []
    sides, normals = [np.zeros((0, 2, 3))], [np.zeros((0, 3))]
    counts = np.diff(pieces.begins)[which]
    for count in np.unique(counts).tolist():
        some = which[counts == count]
        rings = _flat_rings(pieces, some) if count else np.stack([rims(pieces, k, SIDES)[0] for k in some])
        n = rings.shape[1]
        facing = np.repeat(pieces.rotations[some][:, :, 2], n, axis=0)
        fans = (np.arange(len(some))[:, None, None] * n + _fan(n)).reshape(-1, 3)
        faces.append((rings.reshape(-1, 3), facing, fans))
        sides.append(np.stack([rings, np.roll(rings, -1, axis=1)], axis=2).reshape(-1, 2, 3))
        normals.append(facing)
    whole = _skin(faces, np.zeros((0, 2, 3)))
    edges = _creases(np.concatenate(sides), np.concatenate(normals))
    return (whole.points, whole.normals, whole.triangles), edges


def _flat_rings(pieces: Pieces, which: Ints) -> Floats:
    """Return the corners of flat pieces that have equally many, shape (k, n, 3)."""
    count = int(pieces.begins[which[0] + 1] - pieces.begins[which[0]])
    corners = pieces.corners[pieces.begins[which][:, None] + np.arange(count)]
    turned = np.einsum("kij,knj->kni", pieces.rotations[which][:, :, :2], corners)
    return np.asarray(turned + pieces.origins[which][:, None])


def _creases(sides: Floats, normals: Floats) -> Floats:
    """Return each side that belongs to one face only, or to two that turn sharply."""
    first, last, count = meeting(sides)
    turned = np.einsum("ij,ij->i", normals[first], normals[last]) < SHARP
    return np.asarray(sides[first[(count != 2) | turned]])


def meeting(sides: Floats) -> tuple[Ints, Ints, Ints]:
    """Return which sides of faces lie on each other.

    Parameters
    ----------
    sides : array, shape (n, 2, 3)
        Both ends of each.

    Returns
    -------
    first, last, count : array of int, shape (m,)
        For each place with sides: the first and the last of them, and how many they are.
    """
    rounded = np.round(sides / GRID).astype(np.int64)
    x, y, z = (rounded[:, 0] - rounded[:, 1]).T
    swapped = np.where(x != 0, x, np.where(y != 0, y, z)) > 0
    rounded[swapped] = rounded[swapped][:, ::-1]
    _, number, count = np.unique(rounded.reshape(-1, 6), axis=0, return_inverse=True, return_counts=True)
    order = np.argsort(number.ravel(), kind="stable")
    begins = np.concatenate([[0], np.cumsum(count)])
    return order[begins[:-1]], order[begins[1:] - 1], count


def plates(pieces: Pieces, which: Ints) -> Iterator[list[int]]:
    """Return groups of pieces that are parts of one plate: same body, same axes, same plane and thickness."""
    groups: dict[tuple[float, ...], list[int]] = defaultdict(list)
    for index in which.tolist():
        axes = pieces.rotations[index]
        height = float(axes[:, 2] @ pieces.origins[index])
        is_disc = pieces.radii[index] > 0.0
        key = [*axes.ravel(), height, pieces.halves[index], pieces.bodies[index], index if is_disc else -1.0]
        groups[tuple(np.round(key, 6).tolist())].append(index)
    yield from groups.values()


def plate_rings(pieces: Pieces, group: Sequence[int]) -> Iterator[Floats]:
    """Return the rims of a plate: its outline and the outlines of its holes, both sides, shape (2, n, 3)."""
    if len(group) == 1:
        yield rims(pieces, group[0], SIDES)
        return
    axes, origin = pieces.rotations[group[0]], pieces.origins[group[0]]
    half = float(pieces.halves[group[0]])
    flat = [(rims(pieces, index)[0] - origin) @ axes[:, :2] for index in group]
    plate = shapely.union_all([shapely.Polygon(outline) for outline in flat], grid_size=GRID)
    for polygon in shapely.get_parts(plate):
        polygon = shapely.orient_polygons(polygon.simplify(GRID))
        for ring in (polygon.exterior, *polygon.interiors):
            outline = np.asarray(ring.coords)[:-1]
            local = np.stack([np.insert(outline, 2, -half, axis=1), np.insert(outline, 2, half, axis=1)])
            yield local @ axes.T + origin


def _sides(ring: Floats) -> tuple[Face, Floats]:
    """Return what lies between two rims, and the sharp edges there."""
    low, high = ring
    n = len(low)
    ahead = np.roll(low, -1, axis=0) - low
    normals = _cross(ahead, high - low)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    before = np.roll(normals, 1, axis=0)
    bent: NDArray[np.bool_] = np.einsum("ij,ij->i", before, normals) >= SHARP
    mean = before + normals
    mean /= np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-12)
    at_start = np.where(bent[:, None], mean, normals)
    at_end = np.where(np.roll(bent, -1)[:, None], np.roll(mean, -1, axis=0), normals)
    corners = np.stack([low, np.roll(low, -1, axis=0), np.roll(high, -1, axis=0), high], axis=1)
    outwards = np.stack([at_start, at_end, at_end, at_start], axis=1)
    triangles = (np.arange(n)[:, None, None] * 4 + np.array([(0, 1, 2), (0, 2, 3)])).reshape(-1, 3)
    edges = [np.stack([r, np.roll(r, -1, axis=0)], axis=1) for r in ring]
    edges.append(np.stack([low, high], axis=1)[~bent])
    return (corners.reshape(-1, 3), outwards.reshape(-1, 3), triangles), np.concatenate(edges)


def _caps(ring: Floats, normals: tuple[Floats, Floats] | None = None) -> list[Face]:
    """Return the two flat faces at the rims, looking away from each other."""
    low, high = ring
    if normals is None:
        across = _cross(low[1] - low[0], low[2] - low[1])
        across /= np.linalg.norm(across)
        normals = (-across, across)
    fan = _fan(len(low))
    return [
        (low, np.broadcast_to(normals[0], low.shape), fan[:, ::-1]),
        (high, np.broadcast_to(normals[1], high.shape), fan),
    ]


def _fan(n: int) -> Ints:
    later = np.arange(1, n - 1)
    return np.stack([np.zeros_like(later), later, later + 1], axis=1)


def _carried(tangents: Floats) -> tuple[Floats, Floats]:
    """Return two directions square to each tangent, carried along the chain without twisting."""
    first = np.empty_like(tangents)
    start = np.eye(3)[int(np.argmin(np.abs(tangents[0])))]
    for i, tangent in enumerate(tangents):
        # What is left of the direction before, square to the tangent: for steps far below a quarter turn.
        start = start - (start @ tangent) * tangent
        start = start / np.linalg.norm(start)
        first[i] = start
    return first, _cross(tangents, first)


def _cross(one: Floats, other: Floats) -> Floats:
    """Return cross products as numpy's function does, which takes several times as long for a few."""
    return np.asarray(
        one[..., (1, 2, 0)] * other[..., (2, 0, 1)] - one[..., (2, 0, 1)] * other[..., (1, 2, 0)]
    )


def _hatched(face: Floats, spacing: float) -> Floats:
    """Return lines across a flat convex face, at half a right angle to its first side."""
    normal = _cross(face[1] - face[0], face[2] - face[1])
    size = np.linalg.norm(normal)
    if size == 0.0:
        return np.zeros((0, 2, 3))
    along = (face[1] - face[0]) / np.linalg.norm(face[1] - face[0])
    across = _cross(normal / size, along)
    slant, aside = (along + across) / np.sqrt(2.0), (across - along) / np.sqrt(2.0)
    offsets = face @ aside
    lines = []
    for step in range(int(np.ceil(offsets.min() / spacing)), int(np.floor(offsets.max() / spacing)) + 1):
        ends = _crossing(face, offsets - step * spacing)
        if len(ends) >= 2:
            order = np.argsort(ends @ slant)
            lines.append(ends[[order[0], order[-1]]])
    return np.array(lines).reshape(-1, 2, 3)


def _crossing(face: Floats, heights: Floats) -> Floats:
    """Return where the sides of a face cross height zero."""
    after = np.roll(heights, -1)
    crosses = (heights < 0.0) != (after < 0.0)
    share = (heights[crosses] / (heights[crosses] - after[crosses]))[:, None]
    return np.asarray(face[crosses] + share * (np.roll(face, -1, axis=0)[crosses] - face[crosses]))

"""What room does a moving part sweep? Still pieces that hold it anywhere in its travel.

Upright boxes about a travel are in geometry/envelopes.py; what is proved of a travel is proved in
geometry/sweeps.py.
"""

import math

import numpy as np
import shapely

from routeviz.geometry.arrays import Floats
from routeviz.geometry.envelopes import arms_of
from routeviz.geometry.shapes import HINGED, SLIDING, STILL, Bodies, Pieces, joined, placed, poses

STEPS = 12  # poses at least that a turn is hulled from
TURN = (
    0.01  # radians at most between two of them: a corner bulges by 1.3e-5 of its arm there, 0.003 mm of 250
)
ALIGNED = 1e-3  # how far a hinge's axis may lean from a piece's own axis to be hulled about it
LOOSE_MM = 0.4  # where a sweep cannot be hulled, poses are so close that nothing between them is further off
SHARP = 1.5  # loose distances from a corner at which what is grown about it is cut off: no right angle is
RIM = 16  # sides of the polygon about a disc: its corners stand out by 2 % of the radius
SQUARE = 1e-6  # cosine up to which two sides of an outline are square to each other


def swept_pieces(bodies: Bodies) -> Pieces:
    """Return pieces that stand still and hold one body anywhere in its travel.

    Parameters
    ----------
    bodies : Bodies
        One body.

    Returns
    -------
    pieces : Pieces
        Its own where it stands still; else hulls of each piece's travel, or the piece at close poses, thicker
        by what may lie between two.
    """
    if bodies.kinds[0] == STILL:
        return bodies.pieces
    arms = arms_of(bodies)
    found = []
    for index in range(len(bodies.pieces.halves)):
        piece = _one(bodies.pieces, index)
        hulled = _slid(piece, bodies) if bodies.kinds[0] == SLIDING else _turned(piece, bodies)
        found += [hulled] if hulled is not None else _posed(piece, bodies, float(arms[index]))
    return joined(found)


def _one(pieces: Pieces, index: int) -> Pieces:
    begin, end = pieces.begins[index], pieces.begins[index + 1]
    row = slice(index, index + 1)
    return Pieces(
        rotations=pieces.rotations[row],
        origins=pieces.origins[row],
        halves=pieces.halves[row],
        radii=pieces.radii[row],
        corners=pieces.corners[begin:end],
        begins=np.array([0, end - begin]),
        bodies=np.zeros(1, dtype=np.int64),
    )


def _slid(piece: Pieces, bodies: Bodies) -> Pieces | None:
    """Return the hull of a piece's slide, where it goes along the piece's faces or square to them."""
    points, way, frame = _rim_points(piece), bodies.directions[0], piece.rotations[0]
    through = float(way @ frame[:, 2])
    aside = float(np.linalg.norm(way - through * frame[:, 2]))
    if min(abs(through), aside) > ALIGNED:
        return None
    return _prism(np.concatenate([points, points + bodies.travels[0] * way]), frame)


def _turned(piece: Pieces, bodies: Bodies) -> Pieces | None:
    """Return the hull of a piece's turn, where it is a block with an edge along the hinge."""
    points, axis, sides = _rim_points(piece), bodies.directions[0], piece.rotations[0]
    along = int(np.argmax(np.abs(axis @ sides)))
    if np.linalg.norm(np.cross(axis, sides[:, along])) > ALIGNED or not _is_box(piece):
        return None
    frame = np.column_stack([sides[:, (along + 1) % 3], sides[:, (along + 2) % 3], sides[:, along]])
    count = max(STEPS, 1 + math.ceil(abs(float(bodies.travels[0])) / TURN))
    steps = _frames(bodies, count)
    return _prism(np.concatenate([points @ step[:3, :3].T + step[:3, 3] for step in steps]), frame)


def _rim_points(piece: Pieces) -> Floats:
    """Return the corners (2n, 3) of a piece at rest; of a disc, of a polygon about it."""
    outline = piece.corners
    if piece.radii[0] > 0:
        turn = np.linspace(0, 2 * np.pi, RIM + 1)[:-1]
        outline = piece.radii[0] / math.cos(np.pi / RIM) * np.column_stack([np.cos(turn), np.sin(turn)])
    local = np.concatenate([np.insert(outline, 2, side * piece.halves[0], axis=1) for side in (-1, 1)])
    return np.asarray(local @ piece.rotations[0].T + piece.origins[0])


def _is_box(piece: Pieces) -> bool:
    """Return whether an outline is a rectangle: only then is the piece a block along either of its sides."""
    corners = piece.corners
    if len(corners) != 4:
        return False
    legs = np.roll(corners, -1, axis=0) - corners
    products = (legs * np.roll(legs, -1, axis=0)).sum(axis=1)
    return bool(np.abs(products).max() < SQUARE * np.abs(legs).max() ** 2)


def _prism(points: Floats, frame: Floats) -> Pieces:
    """Return the hull of points across the third axis of a frame, as thick as they reach along it."""
    local = points @ frame
    hull = shapely.convex_hull(shapely.multipoints(local[:, :2]))
    outline = shapely.get_coordinates(shapely.orient_polygons(hull))[:-1]
    middle = (local[:, 2].min() + local[:, 2].max()) / 2
    return Pieces(
        rotations=frame[None],
        origins=(frame[:, 2] * middle)[None],
        halves=np.array([np.ptp(local[:, 2]) / 2]),
        radii=np.zeros(1),
        corners=outline,
        begins=np.array([0, len(outline)]),
        bodies=np.zeros(1, dtype=np.int64),
    )


def _posed(piece: Pieces, bodies: Bodies, arm: float) -> list[Pieces]:
    """Return a piece at poses of which every point is within the loose distance of one, grown by that."""
    way = abs(float(bodies.travels[0])) * (arm if bodies.kinds[0] == HINGED else 1.0)
    count = 1 + math.ceil(way / (2 * LOOSE_MM))
    outline = _grown(piece.corners) if len(piece.corners) else piece.corners
    grown = Pieces(
        rotations=piece.rotations,
        origins=piece.origins,
        halves=piece.halves + LOOSE_MM,
        radii=np.where(piece.radii > 0, piece.radii + LOOSE_MM, 0.0),
        corners=outline,
        begins=np.array([0, len(outline)]),
        bodies=piece.bodies,
    )
    return [placed(grown, frame) for frame in _frames(bodies, count + 1)]


def _frames(bodies: Bodies, count: int) -> Floats:
    """Return where one body is at so many equal steps of its travel, shape (count, 4, 4)."""
    steps = Bodies(
        pieces=bodies.pieces,
        kinds=np.repeat(bodies.kinds, count),
        points=np.repeat(bodies.points, count, axis=0),
        directions=np.repeat(bodies.directions, count, axis=0),
        travels=np.linspace(0, 1, count) * bodies.travels[0],
    )
    return poses(steps, 1.0)


def _grown(outline: Floats) -> Floats:
    """Return a convex outline with each side moved outwards by the loose distance."""
    wide = shapely.buffer(shapely.Polygon(outline), LOOSE_MM, join_style="mitre", mitre_limit=SHARP)
    return np.asarray(shapely.get_coordinates(shapely.orient_polygons(wide))[:-1])

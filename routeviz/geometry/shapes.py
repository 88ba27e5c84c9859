"""What solids are made of and how they move: convex pieces, each a flat outline or a disc with a thickness.

How boxes, bars and boards become pieces is in blocks.py, how far off they are in distances.py and sweeps.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.frames import points_from, unit

STILL, HINGED, SLIDING = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Convex pieces; a solid is the union of those of its body.

    A point at ``local`` in piece i is at ``rotations[i] @ local + origins[i]``. The piece is its outline in
    the local x and y, from -half to +half along the local z.

    Parameters
    ----------
    rotations : array, shape (k, 3, 3)
        Columns are the local axes.
    origins : array, shape (k, 3)
        The local zero, half way through the thickness.
    halves : array, shape (k,)
        Half the thickness, >= 0; 0 for a triangle of a mesh.
    radii : array, shape (k,)
        Radius of a disc about the local zero; 0 for an outline with corners.
    corners : array, shape (c, 2)
        Corners of all convex outlines, anticlockwise, one after the other.
    begins : array of int, shape (k + 1,)
        Piece i has ``corners[begins[i]:begins[i + 1]]``; none for a disc.
    bodies : array of int, shape (k,)
        To which body a piece belongs; ascending, from 0.
    """

    rotations: Floats
    origins: Floats
    halves: Floats
    radii: Floats
    corners: Floats
    begins: Ints
    bodies: Ints

    def __post_init__(self) -> None:
        """Take read-only copies."""
        for name in ("rotations", "origins", "halves", "radii", "corners"):
            object.__setattr__(self, name, frozen(getattr(self, name)))
        for name in ("begins", "bodies"):
            object.__setattr__(self, name, frozen_ints(getattr(self, name)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """A turn about an axis: right-handed, by ``angle`` radians at full travel.

    Parameters
    ----------
    point : array, shape (3,)
        Any point of the axis.
    axis : array, shape (3,)
        Its direction; taken at unit length.
    angle : float
        Radians at full travel; may be negative.
    """

    point: Floats
    axis: Floats
    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slide:
    """A shift along a straight line, by ``length`` at full travel.

    Parameters
    ----------
    direction : array, shape (3,)
        Taken at unit length.
    length : float
        At full travel; may be negative.
    """

    direction: Floats
    length: float


Movement = Hinge | Slide | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bodies:
    """Solids at rest and how each moves.

    Parameters
    ----------
    pieces : Pieces
        All bodies' convex pieces at rest.
    kinds : array of int, shape (b,)
        ``STILL``, ``HINGED`` or ``SLIDING``.
    points : array, shape (b, 3)
        A point of the hinge's axis; zeros without one.
    directions : array, shape (b, 3)
        Unit axis of the hinge or unit direction of the slide; zeros where still.
    travels : array, shape (b,)
        Radians or length at full travel; 0 where still.
    """

    pieces: Pieces
    kinds: Ints
    points: Floats
    directions: Floats
    travels: Floats

    def __post_init__(self) -> None:
        """Take read-only copies."""
        object.__setattr__(self, "kinds", frozen_ints(self.kinds))
        for name in ("points", "directions", "travels"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def assembled(solids: Sequence[Pieces], movements: Sequence[Movement]) -> Bodies:
    """Return the bodies: solid i is body i, with movement i.

    Parameters
    ----------
    solids : sequence of Pieces
        One a body, at rest.
    movements : sequence of Hinge, Slide or None
        ``None`` for what stands still.

    Returns
    -------
    bodies : Bodies
        In the same order.

    Raises
    ------
    ValueError
        Not one movement a solid, or an axis or direction without length.
    """
    count = len(solids)
    if len(movements) != count:
        raise ValueError(f"movements: one a solid wanted, {len(movements)} for {count} given")
    kinds = np.zeros(count, dtype=np.int64)
    points, directions, travels = np.zeros((count, 3)), np.zeros((count, 3)), np.zeros(count)
    for i, movement in enumerate(movements):
        match movement:
            case Hinge(point=point, axis=axis, angle=angle):
                kinds[i], points[i], directions[i], travels[i] = HINGED, point, unit(axis), angle
            case Slide(direction=direction, length=length):
                kinds[i], directions[i], travels[i] = SLIDING, unit(direction), length
    if not (np.isfinite(points).all() and np.isfinite(travels).all()):
        raise ValueError("movements: a number is not finite")
    return Bodies(pieces=joined(solids), kinds=kinds, points=points, directions=directions, travels=travels)


def pose(bodies: Bodies, body: int, travel: float) -> Floats:
    """Return where a body is, as the rigid motion from rest.

    Parameters
    ----------
    bodies : Bodies
        Any.
    body : int
        Which.
    travel : float
        0 at rest, 1 at full travel.

    Returns
    -------
    frame : array, shape (4, 4)
        Takes points of the body at rest to where they are then.
    """
    return np.asarray(poses(bodies, travel)[body])


def poses(bodies: Bodies, travel: float) -> Floats:
    """Return where all bodies are, as rigid motions from rest.

    Parameters
    ----------
    bodies : Bodies
        b in all.
    travel : float
        0 at rest, 1 at full travel.

    Returns
    -------
    frames : array, shape (b, 4, 4)
        As ``pose`` gives for one.

    References
    ----------
    Rodrigues' rotation formula, as in ``frames.rotation_about``.
    """
    amounts = travel * bodies.travels
    angles = np.where(bodies.kinds == HINGED, amounts, 0.0)[:, None, None]
    shifts = np.where(bodies.kinds == SLIDING, amounts, 0.0)[:, None]
    x, y, z = bodies.directions.T
    zero = np.zeros_like(x)
    cross = np.array([[zero, -z, y], [z, zero, -x], [-y, x, zero]]).transpose(2, 0, 1)
    squared = bodies.directions[:, :, None] * bodies.directions[:, None, :] - np.eye(3)
    frames = np.zeros((len(x), 4, 4))
    frames[:, :3, :3] = np.eye(3) + np.sin(angles) * cross + (1.0 - np.cos(angles)) * squared
    turned = np.einsum("bij,bj->bi", frames[:, :3, :3], bodies.points)
    frames[:, :3, 3] = bodies.points - turned + shifts * bodies.directions
    frames[:, 3, 3] = 1.0
    return frames


def placed(pieces: Pieces, frame: Floats) -> Pieces:
    """Return pieces given in a frame as they stand seen from outside it.

    Parameters
    ----------
    pieces : Pieces
        Given in the frame.
    frame : array, shape (4, 4)
        A rigid motion.

    Returns
    -------
    pieces : Pieces
        The same, moved.
    """
    return Pieces(
        rotations=np.einsum("ij,kjl->kil", frame[:3, :3], pieces.rotations),
        origins=points_from(frame, pieces.origins),
        halves=pieces.halves,
        radii=pieces.radii,
        corners=pieces.corners,
        begins=pieces.begins,
        bodies=pieces.bodies,
    )


def joined(solids: Sequence[Pieces]) -> Pieces:
    """Return many solids in one, each a body of its own: solid i becomes body i.

    Parameters
    ----------
    solids : sequence of Pieces
        Whatever bodies their pieces had is forgotten.

    Returns
    -------
    pieces : Pieces
        In the same order.
    """
    counts = [len(solid.halves) for solid in solids]
    corners = np.cumsum([0, *(len(solid.corners) for solid in solids)])
    begins = [solid.begins[:-1] + offset for solid, offset in zip(solids, corners[:-1], strict=True)]
    return Pieces(
        rotations=np.concatenate([np.zeros((0, 3, 3)), *(solid.rotations for solid in solids)]),
        origins=np.concatenate([np.zeros((0, 3)), *(solid.origins for solid in solids)]),
        halves=np.concatenate([np.zeros(0), *(solid.halves for solid in solids)]),
        radii=np.concatenate([np.zeros(0), *(solid.radii for solid in solids)]),
        corners=np.concatenate([np.zeros((0, 2)), *(solid.corners for solid in solids)]),
        begins=np.concatenate([*begins, corners[-1:]]),
        bodies=np.repeat(np.arange(len(solids)), counts),
    )


def united(solids: Sequence[Pieces]) -> Pieces:
    """Return many solids as one body.

    Parameters
    ----------
    solids : sequence of Pieces
        They may overlap.

    Returns
    -------
    pieces : Pieces
        All of body 0.
    """
    pieces = joined(solids)
    return Pieces(
        rotations=pieces.rotations,
        origins=pieces.origins,
        halves=pieces.halves,
        radii=pieces.radii,
        corners=pieces.corners,
        begins=pieces.begins,
        bodies=np.zeros(len(pieces.halves), dtype=np.int64),
    )


def rims(pieces: Pieces, index: int, sides: int = 64) -> Floats:
    """Return the two rims of a piece, for drawing and for tests.

    Parameters
    ----------
    pieces : Pieces
        Any.
    index : int
        Which piece.
    sides : int
        How many corners a disc gets, on its circle.

    Returns
    -------
    corners : array, shape (2, n, 3)
        The rim at -half and the rim at +half, anticlockwise seen from +z; a flat piece's two are equal.
    """
    outline = pieces.corners[pieces.begins[index] : pieces.begins[index + 1]]
    if not len(outline):
        angles = np.arange(sides) * (2.0 * np.pi / sides)
        outline = pieces.radii[index] * np.column_stack([np.cos(angles), np.sin(angles)])
    half = float(pieces.halves[index])
    local = np.stack([np.insert(outline, 2, -half, axis=1), np.insert(outline, 2, half, axis=1)])
    return np.asarray(local @ pieces.rotations[index].T + pieces.origins[index])

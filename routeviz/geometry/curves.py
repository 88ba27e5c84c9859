"""What a centreline is: straight pieces and arcs, end to end; where it goes and how tightly it bends.

How near a curve comes to a solid is in sweeps.py, to another curve in neighbours.py.
"""

from dataclasses import dataclass

from routeviz.geometry.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A tangent-continuous chain of m straight pieces and circular arcs.

    The point at arc length u into piece i is
    ``start + tangent * sin(k u)/k + normal * (1 - cos(k u))/k``, or ``start + tangent * u`` where k = 0.

    Parameters
    ----------
    starts : array, shape (m, 3)
        First point of each piece.
    tangents : array, shape (m, 3)
        Unit direction at each piece's start.
    normals : array, shape (m, 3)
        Unit vector from the start of an arc towards its centre; zeros for a straight piece.
    curvatures : array, shape (m,)
        One over the radius; 0 for a straight piece.
    lengths : array, shape (m,)
        Arc length of each piece, > 0.
    begins : array, shape (m + 1,)
        Arc length along the whole curve at which each piece begins; the last is the whole length.
    """

    starts: Floats
    tangents: Floats
    normals: Floats
    curvatures: Floats
    lengths: Floats
    begins: Floats

"""What tubes go through: a flat outline with a thickness, placed in the case."""

from dataclasses import dataclass

from routeviz.geometry.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A passage.

    Parameters
    ----------
    name : str
        ``shelf bass`` for an opening ``bass`` in the board ``shelf``, else its own name.
    origin : array, shape (3,)
        A point in the middle of the thickness; the outline's zero.
    axes : array, shape (3, 3)
        Rows: the outline's first and second direction, and the way through (right-handed).
    outline : array, shape (k, 2)
        Corners, anticlockwise, in the outline's directions; a round one as an inscribed polygon.
    thick_mm : float
        Along the way through, half to each side of the origin.
    most : int or None
        What the fitter will put through.
    solid : int or None
        The board that it is cut in.
    """

    name: str
    origin: Floats
    axes: Floats
    outline: Floats
    thick_mm: float
    most: int | None
    solid: int | None

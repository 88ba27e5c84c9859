"""Where tubes go on: tips, directions, and how rows are laid out between their taped ends."""

from dataclasses import dataclass

from routeviz.geometry.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Nipple:
    """A nipple.

    Parameters
    ----------
    name : str
        Part and number, ``tracker bar 12``.
    part : str
        The scene's part.
    number : int
        Its number in the part.
    tip : array, shape (3,)
        Where the tube's free run begins.
    direction : array, shape (3,)
        Unit; the way in which the tube leaves.
    outside_mm : float
        Outside diameter.
    on_nipple_mm : float
        How much tube goes over it, back from the tip.
    carrier : int or None
        The solid that carries it (index in the cabinet's solids).
    """

    name: str
    part: str
    number: int
    tip: Floats
    direction: Floats
    outside_mm: float
    on_nipple_mm: float
    carrier: int | None

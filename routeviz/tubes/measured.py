"""What has been measured, as values: every number once, with its bounds.

How the numbers are found is in measures.py; what they are held against is in checks/.
Distances are from a tube's wall; an interval holds the true value.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from routeviz.geometry.arrays import Floats
from routeviz.tubes.kinking import LeastBend
from routeviz.tubes.plans import NoWay


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearest:
    """How near a tube comes to one other thing.

    Parameters
    ----------
    tube : int
        Index of the tube.
    other : int
        Index of the solid (cabinet.solids or keep_clear) or of the other tube.
    low_mm, high_mm : float
        The true least distance lies between; negative where the walls overlap.
    along_mm : float
        Where on the tube; negative on the start's sleeve, beyond the length on the end's.
    travel : float
        Where in the other's travel, 0 at rest to 1; 0 for what stands still.
    point, other_point : array, shape (3,)
        On the tube's centreline, and on the other thing (on a tube's centreline too).
    sleeve : bool
        True where the sleeve over a nipple comes nearest.
    """

    tube: int
    other: int
    low_mm: float
    high_mm: float
    along_mm: float
    travel: float
    point: Floats
    other_point: Floats
    sleeve: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """The tightest bend of a tube; radius ``inf`` where it has none."""

    radius_mm: float
    along_mm: float
    point: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Buried:
    """A length of a tube's centreline inside a solid, or a place where its wall enters what it may lie on.

    Parameters
    ----------
    tube, solid : int
        Indices.
    length_mm : float
        Of centreline inside; 0 where only the wall enters.
    low_mm, high_mm : float
        How far the wall is off; below zero, and not below minus the radius: from there on no depth is told.
    along_mm : float
        Where on the tube it is deepest.
    point : array, shape (3,)
        The same place.
    """

    tube: int
    solid: int
    length_mm: float
    low_mm: float
    high_mm: float
    along_mm: float
    point: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """How a tube goes through a passage.

    Parameters
    ----------
    tube : int
        Index of the tube.
    passage : str
        Its name.
    named : bool
        Whether the tube's route names it.
    net : int
        Signed crossings of the outline in the tube's own sense, the first crossing counted +1; 0 for a miss.
    margin_low_mm, margin_high_mm : float
        Least distance of the wall from the rim over the whole thickness; negative where it does not fit.
    along_mm : float
        Where it goes through; where it comes nearest for a miss.
    point : array, shape (3,)
        The same place.
    spot : array, shape (2,)
        The same place in the outline's directions.
    """

    tube: int
    passage: str
    named: bool
    net: int
    margin_low_mm: float
    margin_high_mm: float
    along_mm: float
    point: Floats
    spot: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageUse:
    """What goes through a passage, and what it holds of the largest of these tubes: at least, and at most."""

    passage: str
    tubes: tuple[int, ...]
    found: int
    bound: int
    outside_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A length of tube between two supports, and how it hangs.

    Parameters
    ----------
    tube : int
        Index of the tube.
    from_mm, to_mm : float
        Along the tube.
    sag_low_mm, sag_high_mm : float or None
        Between held stiffly and held loosely at both ends; None where no estimate is good.
    sag_most_mm : float
        It cannot hang lower than that, for want of length; looked at is no more.
    below : int or None
        The solid (index) that it would come nearest to when it sags, less what that asks for; None where
        nothing is near.
    clear_low_mm, clear_high_mm : float
        Least distance to it: sagging the most, sagging the least; ``inf`` where nothing is near.
    along_mm : float
        Where that is.
    point : array, shape (3,)
        The same place.
    travel : float
        Where in the other's travel.
    """

    tube: int
    from_mm: float
    to_mm: float
    sag_low_mm: float | None
    sag_high_mm: float | None
    sag_most_mm: float
    below: int | None
    clear_low_mm: float
    clear_high_mm: float
    along_mm: float
    point: Floats
    travel: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """How far off its nipple's line a tube leaves it, in degrees."""

    tube: int
    nipple: str
    off_deg: float
    point: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Trapped:
    """A tube in the way of a solid (index) that is to come out, or joined to it and to what stays."""

    tube: int
    solid: int
    joined: bool
    point: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Fouling:
    """A moving solid that sweeps into another, or a tee that stands in one: the survey of one is off."""

    moving: int
    other: int
    travel: float
    point: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Every number about a lay, once.

    Parameters
    ----------
    lengths_mm : array, shape (n,)
        Of each tube's centreline; ``nan``-free: 0 for a tube without one.
    bends : tuple of Bend or None
        One a tube.
    solids, keep_clear, tubes : tuple of Nearest
        Pairs nearer than ``reach_mm``; tube pairs once, the lower index first.
    reach_mm : float
        How far was looked.
    buried, crossings, passages, spans, leaving, trapped, foulings
        What their classes say.
    least_bends : mapping
        How tightly each kind of tube in use may be bent, by its name.
    no_ways : tuple of NoWay
        Why tubes that are without a route could not be laid, where a plan says so.
    """

    lengths_mm: Floats
    bends: tuple[Bend | None, ...]
    solids: tuple[Nearest, ...]
    keep_clear: tuple[Nearest, ...]
    tubes: tuple[Nearest, ...]
    reach_mm: float
    buried: tuple[Buried, ...]
    crossings: tuple[Crossing, ...]
    passages: tuple[PassageUse, ...]
    spans: tuple[Span, ...]
    leaving: tuple[Leaving, ...]
    trapped: tuple[Trapped, ...]
    foulings: tuple[Fouling, ...]
    least_bends: Mapping[str, LeastBend]
    no_ways: tuple[NoWay, ...] = ()

"""What a tube is: its ends, its kind, what it carries, its route and its centreline."""

from dataclasses import dataclass

from routeviz.cabinet.tubing import TubeKind
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import Curve
from routeviz.scene.doubts import Status

NO_PLACE = "without a place"


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """An end of a tube.

    Parameters
    ----------
    nipple : str or None
        The nipple's name; None for an end without one.
    state : str
        ``nipple``, ``loose``, ``unknown``, ``missing``, ``cut`` or ``blocked``; ``NO_PLACE`` at the nipple of
        a tee or coupler of which nobody says yet where it lies.
    point : array, shape (3,), or None
        Where the centreline ends: the tip, or where the end lies; None where nobody knows.
    """

    nipple: str | None
    state: str
    point: Floats | None

    @property
    def name(self) -> str:
        """Return what the end is on, or what is known of it: ``loose``, ``unknown`` and so on."""
        return self.nipple or self.state


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """What holds a tube between its ends: how far along, and the solid's name, or ``bundle``."""

    along_mm: float
    to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """One length of tubing.

    Parameters
    ----------
    name, tag, label : str
        Ours, the number tied to both ends, and what was found written on it (or None).
    start, end : End
        The ends.
    kind : TubeKind
        What it is made of.
    carries : str
        ``signal``, ``switched vacuum``, ``always-on vacuum`` or ``wire``.
    through : tuple of str
        Passages in order; a plan may name more than the scene does.
    corners : array, shape (n, 3), or None
        The drawn, fitted or planned polyline, ends included; None for a tube without a route.
    radii : array, shape (n - 2,), or None
        Radius at each inner corner.
    curve : Curve or None
        The centreline that follows from them.
    measured : array, shape (k, 3), or None
        Points taped on the tube, kept apart from the fitted centreline.
    fit_miss_mm : float
        How far the centreline passes from the worst of them.
    ties : tuple of Tie
        In order along the tube.
    hidden : str or None
        Words for a run that cannot be seen.
    spare_mm, waits_for
        Of a loose end.
    cut_mm : float or None
        Length as cut or found, end to end.
    stage, note : str or None
        From which stage it lies there; a remark.
    planned : bool
        Whether the route is a plan's.
    status : str or None
        How what the scene says of it is known, by the value that is least sure; None for a plan's route.
    """

    name: str
    tag: str
    label: str | None
    start: End
    end: End
    kind: TubeKind
    carries: str
    through: tuple[str, ...]
    corners: Floats | None
    radii: Floats | None
    curve: Curve | None
    measured: Floats | None
    fit_miss_mm: float
    ties: tuple[Tie, ...]
    hidden: str | None
    spare_mm: float
    waits_for: str | None
    cut_mm: float | None
    stage: str | None
    note: str | None
    planned: bool = False
    status: Status | None = None


def awaits_place(tube: Tube) -> bool:
    """Return whether a tube cannot be planned before a tee or coupler that it joins has a place."""
    return tube.curve is None and tube.hidden is None and NO_PLACE in (tube.start.state, tube.end.state)


def awaits_route(tube: Tube) -> bool:
    """Return whether a tube can be planned: nobody has drawn or taped it, and both ends are known."""
    ends = tube.start.point is not None and tube.end.point is not None
    return tube.curve is None and tube.hidden is None and ends

"""What a plan is: routes found for tubes that nobody has drawn, places for tees, and what could not be laid.

How it is written beside the scene and read again is in plan_file.py; how it is found, in planning/.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from routeviz.cabinet.joins import JoinPlace
from routeviz.geometry.arrays import Floats, frozen
from routeviz.tubes.routes import Tie

GRAINS = 1000  # in a millimetre: what is written with three decimals is what is checked
NEARLY = 1e-6  # of a grain by which a number may lie below it for want of digits


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTube:
    """The route that was found for a tube.

    Parameters
    ----------
    name : str
        The tube's.
    through : tuple of str
        Passages in order from its start, those that the scene names among them.
    corners : array, shape (n, 3)
        Ends included, on the grain of a micrometre; a dozen or so, none nearer to the next than one outside
        diameter.
    radii : array, shape (n - 2,)
        Radius at each inner corner.
    ties : tuple of Tie
        In order along the tube.
    """

    name: str
    through: tuple[str, ...]
    corners: Floats
    radii: Floats
    ties: tuple[Tie, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoWay:
    """Why tubes could not be laid, or why there is no place for a tee or coupler.

    Parameters
    ----------
    tubes : tuple of str
        Which; those that are left without a route.
    passage : str or None
        The passage that fails them, where it is one.
    point : array, shape (3,), or None
        Where it fails.
    cause : str
        In plain words, with the numbers: ``bed F is full: 31 tubes must go through, it holds at most 27``.
    frees : str
        What would free it.
    wanted, there : float or None
        The numbers: how many or how much is wanted, and how many or how much there is at most.
    unit : str
        ``tubes``, ``mm`` or empty.
    part : str or None
        The tee or coupler for which there is no place, where it is one; the tubes are those on it.
    """

    tubes: tuple[str, ...]
    passage: str | None
    point: Floats | None
    cause: str
    frees: str
    wanted: float | None = None
    there: float | None = None
    unit: str = ""
    part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Tubes that go the same way one after the other, as a fitter would lay them.

    Parameters
    ----------
    through : tuple of str
        The passages in order.
    tubes : tuple of str
        By name, in the order of their nipples at the start.
    says : str
        For the reader: ``tracker bar 1..22 through shelf bass``.
    """

    through: tuple[str, ...]
    tubes: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What the planner found.

    Parameters
    ----------
    tubes : tuple of PlannedTube
        In the order of the file.
    no_ways : tuple of NoWay
        What could not be laid, and why.
    runs : tuple of Run
        How a fitter would take them, one after the other.
    inputs : str
        Hash of all that it was made from; empty until it is written.
    places : tuple of JoinPlace
        Where tees and couplers lie to which the scene gives no place.
    """

    tubes: tuple[PlannedTube, ...]
    no_ways: tuple[NoWay, ...]
    runs: tuple[Run, ...]
    inputs: str = ""
    places: tuple[JoinPlace, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenPlan:
    """What became of a plan that lies beside a scene.

    Parameters
    ----------
    file : str
        The plan's file, as the user would name it.
    plan : Plan
        As read.
    laid : tuple of str
        Names of the tubes that lie as it says.
    stale : bool
        Whether the scene has changed since, or the plan speaks of tubes that do not lie so any more.
    """

    file: str
    plan: Plan
    laid: tuple[str, ...]
    stale: bool


def lying_alike(one: Plan, other: Plan) -> tuple[str, ...]:
    """Return the names of the tubes that have the same corners and radii in two plans.

    Parameters
    ----------
    one, other : Plan
        On the grain, or as read.

    Returns
    -------
    names : tuple of str
        In the order of the other.
    """
    known = {tube.name: tube for tube in one.tubes}
    return tuple(tube.name for tube in other.tubes if tube.name in known and _alike(known[tube.name], tube))


def _alike(one: PlannedTube, other: PlannedTube) -> bool:
    pairs = ((one.corners, other.corners), (one.radii, other.radii))
    return all(np.shape(a) == np.shape(b) and np.allclose(a, b, rtol=0, atol=0.1 / GRAINS) for a, b in pairs)


def on_grain(plan: Plan) -> Plan:
    """Return a plan with every number as it reads once it has been written with three decimals.

    Parameters
    ----------
    plan : Plan
        As found.

    Returns
    -------
    plan : Plan
        Corners and ties moved by half a micrometre at most; radii no larger than they were.
    """
    return replace(
        plan,
        tubes=tuple(
            replace(
                one,
                corners=_rounded(one.corners),
                radii=frozen(np.floor(np.asarray(one.radii) * GRAINS + NEARLY) / GRAINS),
                ties=tuple(Tie(along_mm=float(_rounded(tie.along_mm)), to=tie.to) for tie in one.ties),
            )
            for one in plan.tubes
        ),
        no_ways=tuple(
            replace(
                one,
                point=None if one.point is None else _rounded(one.point),
                wanted=_number(one.wanted),
                there=_number(one.there),
            )
            for one in plan.no_ways
        ),
        places=tuple(replace(one, at=_rounded(one.at)) for one in plan.places),
    )


def _rounded(lengths: ArrayLike) -> Floats:
    # Dividing gives the number nearest to the decimals, as reading them does; 0.0 takes the sign from -0.0.
    return frozen(np.rint(np.asarray(lengths, np.float64) * GRAINS) / GRAINS + 0.0)


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(_rounded(value))

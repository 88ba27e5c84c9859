"""What a plan is: routes that were found for tubes that nobody has drawn, and what could not be laid.

How it is written beside the scene and read again is in plan_file.py; how it is found, in planning/.
"""

from dataclasses import dataclass

from routeviz.geometry.arrays import Floats
from routeviz.tubes.routes import Tie


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
    """Why tubes could not be laid.

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
    """

    tubes: tuple[str, ...]
    passage: str | None
    point: Floats | None
    cause: str
    frees: str
    wanted: float | None = None
    there: float | None = None
    unit: str = ""


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
    """

    tubes: tuple[PlannedTube, ...]
    no_ways: tuple[NoWay, ...]
    runs: tuple[Run, ...]
    inputs: str = ""

"""What the planner tells while it works, and what it keeps from one round to the next."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from routeviz.tubes.plans import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """What a check found wrong with a planned tube, as far as the planner must know it.

    Parameters
    ----------
    rule : str
        As in the finding.
    tube : str
        Its name.
    other : str or None
        The other tube, solid or passage.
    along_mm : float
        Where on the tube.
    lacks_mm : float
        How much clearance, radius or room is missing, > 0.
    """

    rule: str
    tube: str
    other: str | None
    along_mm: float
    lacks_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """How far the planner has come.

    Parameters
    ----------
    stage : str
        In plain words: ``choosing passages``, ``finding ways``, ``spreading``, ``mending``.
    part : str
        Which part of the stage: ``2 of 3``; empty where it has none.
    done, of : int
        Tubes laid, or free of trouble, of how many.
    worst_mm : float or None
        The worst clearance beyond what is asked for so far, by the planner's own estimate.
    plan : Plan or None
        Something that can be checked and kept, where there is one.
    seen : callable or None
        Returns how many tubes are free of trouble at this moment, and the worst clearance as above; only for
        whoever shows it, since it takes some hundredths of a second. May be asked until the next step.
    mended : callable or None
        Given what the checks found, goes on from there: returns an iterator of steps, as before.
    """

    stage: str
    done: int
    of: int
    worst_mm: float | None = None
    part: str = ""
    seen: Callable[[], tuple[int, float]] | None = None
    plan: Plan | None = None
    mended: "Callable[[tuple[Trouble, ...]], Iterator[Step]] | None" = None

"""Which tubes are not laid: what stays as it lies, and what must be traced before anything is cut for it?

Old lead is neither cut nor bent (safety.py says why), and never bought. Where nobody knows a tube's way, or
what one of its ends was on, there is no length to cut and nothing to test.
"""

from dataclasses import dataclass
from typing import Literal

from routeviz.lay import Lay
from routeviz.tubes.routes import Tube

LEAD = "lead"
LEAVE: Literal["leave"] = "leave"
TRACE: Literal["trace"] = "trace"
SAYS = {LEAVE: "stays as it lies", TRACE: "to be traced first"}
QUESTIONS = {  # by the state of an end: why a new tube cannot be cut
    "unknown": "nobody knows what it was on",
    "missing": "it is not there any more",
    "cut": "it is cut off, and nobody knows where it went",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """Why a tube is not laid.

    Parameters
    ----------
    what : str
        ``leave``: it stays as it lies; ``trace``: something about it has to be found out first.
    says : str
        The same in words, with the reason.
    """

    what: Literal["leave", "trace"]
    says: str


def left_of(lay: Lay) -> tuple[Left | None, ...]:
    """Return for each tube why it is not laid; None for one that is.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    left : tuple of Left or None
        Lead always; what has no route; what has an end that is unknown, missing or cut.
    """
    return tuple(_left(lay, tube) for tube in lay.tubes)


def _left(lay: Lay, tube: Tube) -> Left | None:
    if tube.kind.material == LEAD:
        return _told(LEAVE, "old lead is neither cut nor bent, and none is bought")
    if tube.curve is None:
        return _without_way(lay, tube)
    questions = [
        f"its {name} is {end.state}: {QUESTIONS[end.state]}"
        for name, end in (("start", tube.start), ("end", tube.end))
        if end.state in QUESTIONS
    ]
    return _told(TRACE, "; ".join(questions)) if questions else None


def _without_way(lay: Lay, tube: Tube) -> Left:
    if tube.hidden is not None:
        is_stump = "cut" in (tube.start.state, tube.end.state)
        return _told(LEAVE if is_stump else TRACE, f"its way is hidden ({tube.hidden})")
    causes = [one.cause for one in lay.measured.no_ways if tube.name in one.tubes]
    return Left(what=TRACE, says=f"no way: {causes[0]}" if causes else "no way is known for it")


def _told(what: Literal["leave", "trace"], why: str) -> Left:
    return Left(what=what, says=f"{SAYS[what]}: {why}")

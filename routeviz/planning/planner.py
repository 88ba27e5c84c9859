"""Lay all tubes together: from what stands in the case and which nipples are joined to a plan.

Which passage each takes is in allocation.py, ways through free space in search.py, room between tubes in
spreading.py. Whether the plan is legal is not said here: checks/ alone say that.
"""

from collections.abc import Iterator, Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.planning.steps import Step
from routeviz.tubes.plans import Plan
from routeviz.tubes.routes import Tube


def plan_tubes(
    cabinets: Sequence[Cabinet], tubes: Sequence[Tube], before: Plan | None = None
) -> Iterator[Step]:
    """Yield steps on the way to a plan; the last has it.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The case in each stage of the work, the last stage last: what stands in any of them is kept clear of.
    tubes : sequence of Tube
        All tubes as drawn, in the last stage; those with a centreline stay as they are, and are obstacles.
    before : Plan or None
        An earlier plan; what is still good in it is kept.

    Yields
    ------
    step : Step
        Every third of a second or so; may be left at any of them.
    """
    del cabinets, before
    yield Step(stage="finding ways", done=0, of=len(tubes), plan=Plan(tubes=(), no_ways=(), runs=()))

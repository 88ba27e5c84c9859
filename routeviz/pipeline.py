"""The stages in order; only here and in laying.py, which repeats them until a plan is good, do they meet."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from routeviz.cabinet.inputs import inputs_of
from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.checking import check, in_order
from routeviz.checks.findings import Finding
from routeviz.checks.proved import proved
from routeviz.lay import Lay
from routeviz.scene.reading import Reading, read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.measures import measure
from routeviz.tubes.plan_file import plan_beside, read_plan
from routeviz.tubes.plan_places import settled
from routeviz.tubes.plans import Plan, TakenPlan
from routeviz.tubes.routes import Tube

ONCE = ("unconnected", "no_way")  # told of the last stage only: what a later stage joins is not missing


def check_scene(path: Path | str) -> Lay:
    """Return a scene read, placed, measured and checked, with the plan beside it where there is one.

    Parameters
    ----------
    path : Path or str
        The scene file.

    Returns
    -------
    lay : Lay
        Everything that is known of it.

    Raises
    ------
    SceneError
        The file or its plan cannot be used; carries every problem found.
    """
    reading = read_scene(path)
    return check_reading(reading, read_plan(plan_beside(reading.file)))


def check_reading(reading: Reading, plan: Plan | None = None) -> Lay:
    """Return a scene that has been read already, placed, measured and checked in each of its stages.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    plan : Plan or None
        Routes for tubes that nobody has drawn, places for tees that have none.

    Returns
    -------
    lay : Lay
        Everything that is known of it.

    Raises
    ------
    SceneError
        The scene cannot be placed, or what the plan places cannot lie there; carries every problem found.
    """
    cabinets, inputs = placed(reading), ""
    if plan is not None:
        inputs = inputs_of(reading)
        if plan.places and plan.inputs == inputs:  # where a stale plan has put a tee may be taken by now
            cabinets = placed(settled(reading, plan, cabinets[-1], str(plan_beside(reading.file))))
    return checked(reading, cabinets, plan, inputs)


def placed(reading: Reading) -> tuple[Cabinet, ...]:
    """Return the case in each stage of the work, the last stage last; in a scene without stages, once."""
    stages: Sequence[str | None] = [stage.name for stage in reading.scene.stages] or [None]
    return tuple(place(reading, stage) for stage in stages)


def checked(reading: Reading, cabinets: Sequence[Cabinet], plan: Plan | None, inputs: str) -> Lay:
    """Return a scene measured and checked in each of its stages.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    cabinets : sequence of Cabinet
        The same, placed in each of its stages.
    plan : Plan or None
        Routes for tubes that nobody has drawn.
    inputs : str
        Hash of what the scene is now; a plan of another is stale, and its reasons hold no more.

    Returns
    -------
    lay : Lay
        Everything that is known of it.
    """
    no_ways = plan.no_ways if plan is not None and plan.inputs == inputs else ()
    told: list[Finding] = []
    known: set[tuple[str, str, str | None, str | None]] = set()  # what an earlier stage has told
    for cabinet in cabinets:
        tubes = shape(reading, cabinet, plan)
        measured = measure(cabinet, tubes, no_ways)
        found = [
            replace(finding, stage=cabinet.stage)
            for finding in check(cabinet, tubes, measured)
            if finding.rule not in ONCE or cabinet is cabinets[-1]
        ]
        told += [finding for finding in found if _key(finding) not in known]
        known |= {_key(finding) for finding in found}
    return Lay(
        reading=reading,
        cabinet=cabinet,
        tubes=tubes,
        measured=measured,
        findings=in_order(told),
        proved=proved(cabinet, tubes, measured),
        taken=None if plan is None else _taken(reading, plan, tubes, inputs),
    )


def _taken(reading: Reading, plan: Plan, tubes: Sequence[Tube], inputs: str) -> TakenPlan:
    laid = tuple(tube.name for tube in tubes if tube.planned)
    changed = plan.inputs != inputs
    return TakenPlan(
        file=str(plan_beside(reading.file)),
        plan=plan,
        laid=laid,
        stale=changed or not {one.name for one in plan.tubes} <= set(laid),
    )


def _key(finding: Finding) -> tuple[str, str, str | None, str | None]:
    """Return what a finding is about; within a stage several may be about the same."""
    return finding.rule, finding.severity, finding.tube, finding.other

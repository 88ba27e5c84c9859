"""The order of work as the page's data has it, and what is to be heeded before the first tube.

In which order tubes are laid is decided in work_order.py.
"""

from pathlib import Path
from typing import Any

from routeviz.lay import Lay
from routeviz.views.listing import counted, counted_tubes
from routeviz.views.page_numbers import rounded
from routeviz.views.work_order import runs_to_lay, work_order


def run_entries(lay: Lay) -> list[dict[str, Any]]:
    """Return the runs in which all tubes are laid; steps of the work count in them."""
    numbers = {tube.name: index for index, tube in enumerate(lay.tubes)}
    return [
        {"says": run.says, "through": list(run.through), "tubes": [numbers[name] for name in run.tubes]}
        for run in runs_to_lay(lay)
    ]


def work_entries(lay: Lay) -> list[dict[str, Any]]:
    """Return the tubes in the order in which they are laid, as seen from the front; none that is not laid."""
    return [
        {
            "tube": step.tube,
            "run": step.run,
            "stage": step.stage,
            "first_end": step.first_end,
            "at_start": step.at_start,
            "through": list(step.through),
            "passes": list(step.passes),
            "length": rounded(step.length_mm),
            "look_out": list(step.look_out),
        }
        for step in work_order(lay)
        if step.left is None
    ]


def cautions(lay: Lay) -> list[str]:
    """Return what is to be heeded before the first tube: a stale plan, faults, tubes without a route."""
    told = []
    if lay.taken is not None and lay.taken.stale:
        file = Path(lay.taken.file).name
        told.append(f"the plan is stale: the scene was changed after {file} was made; plan it again first")
    faults = counted(lay.findings)["fault"]
    if faults:
        found = "one fault was found: mend it" if faults == 1 else f"{faults} faults were found: mend them"
        told.append(f"{found} before you lay by this page")
    waiting = sum(tube.curve is None and not tube.hidden for tube in lay.tubes)
    if waiting:
        has = "has" if waiting == 1 else "have"
        told.append(f"{counted_tubes(waiting)} {has} no route yet")
    return told

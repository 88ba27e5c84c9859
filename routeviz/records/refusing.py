"""When is a scene not ready for sheets? When its plan is stale, or missing though tubes await a route."""

import shlex

from routeviz.lay import Lay
from routeviz.tubes.routes import awaits_place, awaits_route
from routeviz.views.listing import counted_tubes


def why_refused(lay: Lay) -> str | None:
    """Return why no sheets are made of a lay, in one message with the command to run; None where they are.

    A tube that the plan could not lay is no reason: it stands on every list, marked.
    """  # noqa: DOC201
    waiting = sum(awaits_route(tube) or awaits_place(tube) for tube in lay.tubes)
    file = lay.reading.file
    if lay.taken is None:
        if not waiting:
            return None
        found = f"{counted_tubes(waiting)} await{'s' if waiting == 1 else ''} a route, and there is no plan"
    elif lay.taken.stale and (waiting or lay.taken.plan.tubes):
        found = f"its plan {lay.taken.file} is stale: the scene was changed after it was made"
    else:
        return None
    return (
        f"{file}: {found}\n"
        "  allowed: a scene whose tubes are all drawn or taped, or one with a plan of it as it is now\n"
        f"  remedy: routeviz plan {shlex.quote(file)}"
    )

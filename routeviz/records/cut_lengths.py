"""How long is each tube to be expected? The centreline, what goes over the nipples, what is left over.

Fitters cut in place; the length is there so that a tube that went another way is noticed.
"""

from collections import defaultdict

from routeviz.checks.stretch import needed_mm
from routeviz.lay import Lay
from routeviz.records.settings import Settings
from routeviz.tubes.routes import Tube
from routeviz.views.work_left import left_of


def expected_lengths(lay: Lay, settings: Settings) -> tuple[float | None, ...]:
    """Return the length to be expected of each tube, in millimetres, before any rounding.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        What goes over a nipple, trim, steps of loose ends.

    Returns
    -------
    lengths : tuple of float or None
        None for a tube that is not laid: without a centreline, of lead, or with an end that nobody knows.
    """
    steps, left = steps_of(lay), left_of(lay)
    return tuple(
        None
        if left[index] is not None
        else _needed(lay, index, settings) + settings.trim_mm + steps[index] * settings.step_mm
        for index in range(len(lay.tubes))
    )


def steps_of(lay: Lay) -> tuple[int, ...]:
    """Return by how many steps each tube is longer, so that ends that wait for one unit can be told apart.

    The first of those that wait for a unit has none, the next one, as they stand in the scene.
    """  # noqa: DOC201
    waiting: dict[str | None, list[int]] = defaultdict(list)
    for index, tube in enumerate(lay.tubes):
        if is_loose(tube) and tube.waits_for:
            waiting[tube.waits_for].append(index)
    steps = [0] * len(lay.tubes)
    for indices in waiting.values():
        for step, index in enumerate(indices):
            steps[index] = step
    return tuple(steps)


def is_loose(tube: Tube) -> bool:
    """Return whether one of a tube's ends waits."""
    return "loose" in (tube.start.state, tube.end.state)


def over_nipples_mm(lay: Lay, tube: Tube, settings: Settings) -> tuple[float, ...]:
    """Return what of a tube goes over each of its nipples, the start's first."""
    names = [end.nipple for end in (tube.start, tube.end) if end.nipple]
    if settings.over_nipple_mm is not None:
        return (settings.over_nipple_mm,) * len(names)
    return tuple(lay.cabinet.nipples[name].on_nipple_mm for name in names if name in lay.cabinet.nipples)


def _needed(lay: Lay, index: int, settings: Settings) -> float:
    tube, length = lay.tubes[index], float(lay.measured.lengths_mm[index])
    if settings.over_nipple_mm is None:
        return needed_mm(tube, length, lay.cabinet)
    return length + sum(over_nipples_mm(lay, tube, settings)) + tube.spare_mm

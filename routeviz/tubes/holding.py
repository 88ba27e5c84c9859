"""What goes through a passage, and what it holds; how each tube goes through is in passing.py.

What fits into an outline is proved in geometry/packing.py.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from shapely import Polygon

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.packing import holds
from routeviz.tubes.measured import Crossing, PassageUse
from routeviz.tubes.routes import Tube


def passage_uses(
    cabinet: Cabinet, tubes: Sequence[Tube], crossings: Iterable[Crossing]
) -> tuple[PassageUse, ...]:
    """Return what goes through each passage that is used, and how many of these it holds.

    Found are as many of the thickest. The bound is proven for any lot: of the tubes that are so thick or
    thicker there can be no more than it holds of that thickness, whatever else goes through.

    Parameters
    ----------
    cabinet, tubes
        The lay.
    crossings : iterable of Crossing
        How they go through.

    Returns
    -------
    uses : tuple of PassageUse
        By passage.
    """
    through: dict[str, list[int]] = defaultdict(list)
    for crossing in crossings:
        if crossing.net != 0:
            through[crossing.passage].append(crossing.tube)
    found = []
    limits = cabinet.limits
    for name, indices in sorted(through.items()):
        outsides = sorted(tubes[i].kind.outside_mm for i in indices)
        outline = Polygon(cabinet.passages[name].outline)
        bounds = []
        for outside in sorted(set(outsides)):
            thickest = outside == outsides[-1]
            packed = holds(
                outline,
                outside,
                clearance=limits.fixed_mm,
                gap=limits.tubes_mm,
                enough=len(indices) if thickest else 1,
            )
            bounds.append(packed.bound + outsides.index(outside))
        found.append(
            PassageUse(
                passage=name,
                tubes=tuple(indices),
                found=packed.found,
                bound=min(bounds),
                outside_mm=outsides[-1],
            )
        )
    return tuple(found)

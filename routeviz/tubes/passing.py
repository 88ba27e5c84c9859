"""How tubes go through passages, and what a passage holds.

The passage's outline is in cabinet/passages.py, what fits into an outline is proved in geometry/packing.py.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np
from shapely import Polygon, points
from shapely import distance as distances
from shapely import within as lies_within

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.curves import Curve, chords, points_along, tangents_along
from routeviz.geometry.packing import holds
from routeviz.tubes.measured import Crossing, PassageUse
from routeviz.tubes.routes import Tube

SAGITTA_MM = 0.01  # of the chords in which crossings are looked for
COARSE_MM, FINE_MM = 1.0, 0.04  # steps along the tube: the margin changes by no more than half a step between
BISECTIONS = 50  # halve a chord to rounding


def crossings_of(cabinet: Cabinet, tubes: Sequence[Tube]) -> tuple[Crossing, ...]:
    """Return how each tube goes through each passage that it names or crosses, by tube, then by passage."""
    found = []
    for index, tube in enumerate(tubes):
        if tube.curve is None:
            continue
        samples, along = chords(tube.curve, SAGITTA_MM)
        for name, passage in cabinet.passages.items():
            local = (samples - passage.origin) @ passage.axes.T
            named = name in tube.through
            if named or _may_cross(local, passage):
                crossing = _crossing(index, tube, passage, local, along)
                if named or crossing.net != 0:
                    found.append(crossing)
    return tuple(found)


def passage_uses(
    cabinet: Cabinet, tubes: Sequence[Tube], crossings: Iterable[Crossing]
) -> tuple[PassageUse, ...]:
    """Return what goes through each passage that is used, and how many of the thickest of these it holds."""
    through: dict[str, list[int]] = defaultdict(list)
    for crossing in crossings:
        if crossing.net != 0:
            through[crossing.passage].append(crossing.tube)
    found = []
    for name, indices in sorted(through.items()):
        outside = max(tubes[i].kind.outside_mm for i in indices)
        thinnest = min(tubes[i].kind.outside_mm for i in indices)
        limits = cabinet.limits
        outline = Polygon(cabinet.passages[name].outline)
        packed = holds(outline, outside, clearance=limits.fixed_mm, gap=limits.tubes_mm, enough=len(indices))
        bound = packed.bound
        if thinnest < outside:  # only the thinnest tubes' own bound is proven for a mixed lot
            bound = holds(outline, thinnest, clearance=limits.fixed_mm, gap=limits.tubes_mm, enough=1).bound
        found.append(
            PassageUse(
                passage=name, tubes=tuple(indices), found=packed.found, bound=bound, outside_mm=outside
            )
        )
    return tuple(found)


def _may_cross(local: Floats, passage: Passage) -> bool:
    """Return whether a tube has points on both sides of a passage's middle plane, near its outline."""
    low, high = passage.outline.min(axis=0), passage.outline.max(axis=0)
    heights = local[:, 2]
    if heights.min() > 0 or heights.max() < 0:
        return False
    return bool((local[:, :2].min(axis=0) <= high).all() and (local[:, :2].max(axis=0) >= low).all())


def _crossing(index: int, tube: Tube, passage: Passage, local: Floats, along: Floats) -> Crossing:
    assert tube.curve is not None
    outline = Polygon(passage.outline)
    places, signs = _through(tube.curve, passage, outline, local[:, 2], along)
    if not len(places):
        nearest = int(np.argmin(np.abs(local[:, 2]) + distances(outline, points(local[:, :2]))))
        places = along[nearest : nearest + 1]
        net, margin = 0, (0.0, 0.0)
    else:
        net = int(signs.sum() * signs[0])
        margin = _margin(tube, passage, outline, places)
    where = points_along(tube.curve, places[:1])[0]
    return Crossing(
        tube=index,
        passage=passage.name,
        named=passage.name in tube.through,
        net=net,
        margin_low_mm=margin[0],
        margin_high_mm=margin[1],
        along_mm=float(places[0]),
        point=frozen(where),
        spot=frozen(((where - passage.origin) @ passage.axes.T)[:2]),
    )


def _through(
    curve: Curve, passage: Passage, outline: Polygon, heights: Floats, along: Floats
) -> tuple[Floats, Floats]:
    """Return the arc lengths at which a curve goes through the outline, and in which sense."""
    side = np.where(heights >= 0, 1.0, -1.0)
    steps = np.nonzero(side[1:] != side[:-1])[0]
    low, high = along[steps].copy(), along[steps + 1].copy()
    for _ in range(BISECTIONS if len(steps) else 0):
        middle = (low + high) / 2
        above = (points_along(curve, middle) - passage.origin) @ passage.axes[2] >= 0
        stays = above == (side[steps] > 0)
        low, high = np.where(stays, middle, low), np.where(stays, high, middle)
    if not len(steps):
        return low, side[:0]
    spots = ((points_along(curve, low) - passage.origin) @ passage.axes.T)[:, :2]
    inside = lies_within(points(spots), outline)
    return low[inside], side[steps + 1][inside]


def _margin(tube: Tube, passage: Passage, outline: Polygon, places: Floats) -> tuple[float, float]:
    """Return low and high of the wall's least distance from the rim, at all depths of the passage.

    The rim goes straight through, so the distance from it is that of the centreline, seen along the
    way through, less the tube's radius; it changes by no more than the way gone along the tube.
    """  # noqa: DOC201
    assert tube.curve is not None
    radius = tube.kind.outside_mm / 2
    length = float(tube.curve.begins[-1])
    reach = 2 * passage.thick_mm + 4 * radius
    low, high = max(places.min() - reach, 0.0), min(places.max() + reach, length)
    coarse = np.arange(low, high + COARSE_MM, COARSE_MM).clip(max=length)
    free = _free(tube, passage, outline, coarse)
    close = coarse[free <= np.min(free) + COARSE_MM]
    fine = np.unique(close[:, None] + np.arange(-COARSE_MM, COARSE_MM + FINE_MM, FINE_MM)[None, :])
    fine = np.append(fine[(fine >= 0) & (fine <= length)], places)
    least = float(np.min(_free(tube, passage, outline, fine)))
    return least - FINE_MM / 2 - radius, least - radius


def _free(tube: Tube, passage: Passage, outline: Polygon, along: Floats) -> Floats:
    """Return how far inside the rim each place on a tube's centreline is.

    ``inf`` where the whole section there lies before or behind the passage; a slanting section reaches
    ahead of its centre by the radius times the sine of the slant.
    """  # noqa: DOC201
    assert tube.curve is not None
    local = (points_along(tube.curve, along) - passage.origin) @ passage.axes.T
    straight = np.clip(tangents_along(tube.curve, along) @ passage.axes[2], -1.0, 1.0)
    ahead = tube.kind.outside_mm / 2 * np.sqrt(1.0 - straight**2)
    spots = points(local[:, :2])
    to_rim = distances(outline.exterior, spots)
    signed = np.where(lies_within(spots, outline), to_rim, -to_rim)
    return np.where(np.abs(local[:, 2]) <= passage.thick_mm / 2 + ahead + 1e-6, signed, np.inf)

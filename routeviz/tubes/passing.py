"""How tubes go through passages: where, how often more than back, and how far from the rim.

What a passage holds is in holding.py.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints, frozen
from routeviz.geometry.chains import Samples, places_on, sampled, stretches
from routeviz.geometry.crossings import Stretches, plane_crossings, stretches_between
from routeviz.tubes.measured import Crossing
from routeviz.tubes.nearing import Laid
from routeviz.tubes.routes import Tube

SAGITTA_MM = 0.002  # of the chords that stand for a tube in a passage
DOUBT_MM = 0.01  # either way in a distance from the rim: sagitta, and where the tube is taken to come in
ROUNDING_MM = 1e-6  # by which the middle of a passage without thickness may seem to lie outside it
NEAREST_MM = 1.0  # between the places among which the one nearest to a missed passage is looked for


def crossings_of(cabinet: Cabinet, tubes: Sequence[Tube], drawn: Laid) -> tuple[Crossing, ...]:
    """Return how each tube goes through each passage that it names or crosses, by tube, then by passage.

    Parameters
    ----------
    cabinet, tubes, drawn
        The lay.

    Returns
    -------
    crossings : tuple of Crossing
        Those of tubes that come back as often as they go through only where the tube names the passage.
    """
    found = []
    for number, passage in enumerate(cabinet.passages.values()):
        for one in _through(passage, tubes, drawn):
            found.append((one.tube, number, one))
    return tuple(one for *_, one in sorted(found, key=lambda f: f[:2]))


def _through(passage: Passage, tubes: Sequence[Tube], drawn: Laid) -> list[Crossing]:
    outline = Polygon(passage.outline)
    crossed = plane_crossings(drawn.pieces, passage.origin, passage.axes[2])
    places = places_on(drawn.pieces, crossed.curves, crossed.along)
    spots = _local(places.points, passage)[:, :2]
    inside = shapely.contains_xy(outline, spots[:, 0], spots[:, 1])
    curves, signs, along = crossed.curves[inside], crossed.signs[inside], crossed.along[inside]
    point, spots = places.points[inside], spots[inside]
    margins = _margins(passage, outline, drawn, curves, along)
    found = []
    for curve in sorted({*curves.tolist(), *_naming(passage, tubes, drawn)}):
        index = int(drawn.indices[curve])
        named = passage.name in tubes[index].through
        rows = np.nonzero(curves == curve)[0]
        net = int(signs[rows].sum() * signs[rows[0]]) if len(rows) else 0
        if len(rows) and (named or net != 0):
            margin, first = float(margins[rows].min()), rows[0]
            found.append(
                _crossing(index, passage, named, net, margin, (along[first], point[first], spots[first]))
            )
        elif named:
            found.append(_crossing(index, passage, named, 0, 0.0, _nearest(passage, outline, drawn, curve)))
    return found


def _naming(passage: Passage, tubes: Sequence[Tube], drawn: Laid) -> list[int]:
    return [place for tube, place in drawn.places.items() if passage.name in tubes[tube].through]


def _crossing(
    index: int,
    passage: Passage,
    named: bool,
    net: int,
    margin: float,
    place: tuple[float, Floats, Floats],
) -> Crossing:
    along, point, spot = place
    doubt = DOUBT_MM if net else 0.0
    return Crossing(
        tube=index,
        passage=passage.name,
        named=named,
        net=net,
        margin_low_mm=margin - doubt,
        margin_high_mm=margin + doubt,
        along_mm=float(along),
        point=frozen(point),
        spot=frozen(spot),
    )


def _local(points: Floats, passage: Passage) -> Floats:
    """Return points as seen from a passage: two in its outline's directions, one along the way through."""
    return np.asarray((points - passage.origin) @ passage.axes.T)


def _nearest(passage: Passage, outline: Polygon, drawn: Laid, curve: int) -> tuple[float, Floats, Floats]:
    """Return the place at which a tube comes nearest to a passage that it misses."""
    samples = sampled(stretches(drawn.pieces, [curve], [0.0], [np.inf]), SAGITTA_MM, NEAREST_MM)
    local = _local(samples.points, passage)
    off = np.hypot(shapely.distance(outline, shapely.points(local[:, :2])), local[:, 2])
    k = int(np.argmin(off))
    return float(samples.along[k]), samples.points[k], local[k, :2]


def _margins(passage: Passage, outline: Polygon, drawn: Laid, curves: Ints, along: Floats) -> Floats:
    """Return for each place at which a tube goes through how far its wall stays from the rim meanwhile.

    The rim goes straight through, so the distance from it is that of the centreline, seen along the way
    through, less the tube's radius. Below zero where the wall crosses the rim; where the centreline does, the
    farthest place outside counts. All lengths count on which any of the tube's section is within the
    thickness: a slanting section reaches ahead of its centre by the radius times the sine of the slant.
    """  # noqa: DOC201
    margins = np.empty(len(curves))
    radii = drawn.radii[curves]
    for radius in np.unique(radii).tolist():
        rows = np.nonzero(radii == radius)[0]
        reach = passage.thick_mm / 2 + radius
        near = stretches_between(drawn.pieces, passage.origin, passage.axes[2], -reach, reach)
        holding = _holding(near, curves[rows], along[rows])
        # Cut at the place itself: there the tube is in the middle of the thickness, whatever its slant.
        begins = np.stack([near.begins[holding], along[rows]], axis=1).reshape(-1)
        ends = np.stack([along[rows], near.ends[holding]], axis=1).reshape(-1)
        parts = stretches(drawn.pieces, np.repeat(curves[rows], 2), begins, ends)
        samples = sampled(parts, SAGITTA_MM, np.inf)
        margins[rows] = _inside_rim(passage, outline, samples, radius, len(rows)) - radius
    return margins


def _holding(near: Stretches, curves: Ints, along: Floats) -> NDArray[np.int64]:
    """Return for each place on a curve the stretch that holds it."""
    found = np.empty(len(curves), dtype=np.int64)
    for k, (curve, place) in enumerate(zip(curves.tolist(), along.tolist(), strict=True)):
        first, end = np.searchsorted(near.curves, [curve, curve + 1])
        off = np.maximum(near.begins[first:end] - place, place - near.ends[first:end])
        found[k] = first + int(np.argmin(off))
    return found


def _inside_rim(passage: Passage, outline: Polygon, samples: Samples, radius: float, count: int) -> Floats:
    """Return how far from the rim the centreline stays for each place, given samples of its two parts."""
    local = _local(samples.points, passage)
    slant = np.clip(samples.tangents @ passage.axes[2], -1.0, 1.0)
    within = passage.thick_mm / 2 + radius * np.sqrt(1.0 - slant**2) - np.abs(local[:, 2]) + ROUNDING_MM
    chords = np.nonzero(samples.owners[1:] == samples.owners[:-1])[0]
    chords = chords[np.maximum(within[chords], within[chords + 1]) >= 0]
    a, b, spots = within[chords], within[chords + 1], local[:, :2]
    steps = (spots[chords + 1] - spots[chords]) / np.where(a == b, 1.0, np.abs(a) + np.abs(b))[:, None]
    begins = spots[chords] + steps * np.maximum(-a, 0.0)[:, None]
    ends = spots[chords + 1] - steps * np.maximum(-b, 0.0)[:, None]
    rim = outline.exterior
    free = shapely.distance(shapely.linestrings(np.stack([begins, ends], axis=1)), rim)
    for spot in (begins, ends):
        is_out = ~shapely.contains_xy(outline, spot[:, 0], spot[:, 1])
        free[is_out] = np.minimum(free[is_out], -shapely.distance(shapely.points(spot[is_out]), rim))
    least = np.full(count, np.inf)
    np.minimum.at(least, samples.owners[chords] // 2, free)
    return least

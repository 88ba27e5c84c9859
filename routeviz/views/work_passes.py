"""What does a tube pass over, under, in front of and behind: which few parts and runs help to find its way?

Parts are taken as upright boxes that hold them in all of their travel: what is over the box is over the part.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.envelopes import swept_boxes
from routeviz.tubes.removal import is_on
from routeviz.tubes.routes import Tube
from routeviz.views.work_overlaps import Chords, Overlaps

NEAR_MM = 60.0  # what is farther off does not help to find the way
MOST = 3  # that are told of a tube
MOST_PARTS = 2  # of these, where runs are told too
TOUCHES_MM = 0.5  # by which a tube may seem to be in a box and still be over it
LEVEL_MM = 1e-9  # a chord that covers less across has no way of its own there


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """Along which axis of the case things are passed.

    Parameters
    ----------
    axis, towards : int
        0 to 2, and 1 or -1 for its greater or lesser end.
    words : tuple of str
        For what lies there of a thing, and for what lies on its other side: ``over``, ``under``.
    """

    axis: int
    towards: int
    words: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """Something that a tube passes.

    Parameters
    ----------
    along_mm : float
        How far along the tube it is nearest to it.
    near_mm : float
        How near.
    tubes : int
        Of a run, how many of its tubes are passed so; 0 for a part.
    how, what : str
        ``over``, ``under``, ``in front of`` or ``behind``; and the thing's name.
    """

    along_mm: float
    near_mm: float
    tubes: int
    how: str
    what: str


Passes = dict[int, list[Pass]]


def told_passes(passes: Sequence[Pass], from_end: bool) -> tuple[str, ...]:
    """Return the few that help most, in words and in the order in which the tube comes to them.

    Parameters
    ----------
    passes : sequence of Pass
        Of one tube.
    from_end : bool
        Whether the tube is laid from its end to its start.

    Returns
    -------
    texts : tuple of str
        ``over balance rail``; no part or run twice.
    """
    once: dict[str, Pass] = {}
    for one in sorted(passes, key=lambda p: (p.tubes == 0, -p.tubes, p.near_mm, p.how, p.what)):
        once.setdefault(one.what, one)
    parts = [one for one in once.values() if not one.tubes]
    runs = [one for one in once.values() if one.tubes]
    chosen = [*parts[:MOST_PARTS], *runs, *parts[MOST_PARTS:]][:MOST]
    ordered = sorted(chosen, key=lambda p: (p.along_mm, p.what), reverse=from_end)
    return tuple(f"{one.how} {one.what}" for one in ordered)


def passes_of_parts(cabinet: Cabinet, tubes: Sequence[Tube], chords: Chords, way: Way) -> Passes:
    """Return what parts tubes pass, by tube.

    Parameters
    ----------
    cabinet, tubes, chords
        The lay.
    way : Way
        Along which axis, and in which words.

    Returns
    -------
    passes : dict
        Of parts that a tube passes on one side only, near by, on its way from beside to beside; not of those
        that it joins or goes through.
    """
    boxes = _boxes(cabinet)
    line, solid, begin, end = _inside(chords, boxes, way.axis)
    heights = np.stack([_at(chords, line, share, way.axis) for share in (begin, end)])
    above = heights.min(axis=0) - chords.radii[line] - boxes[1][solid, way.axis]
    below = boxes[0][solid, way.axis] - heights.max(axis=0) - chords.radii[line]
    lengths = np.sqrt(((chords.ends - chords.begins) ** 2).sum(axis=1))
    along = chords.along[line] + 0.5 * (begin + end) * lengths[line]
    parts = list(dict.fromkeys(one.part for one in cabinet.solids))
    numbers = np.array([parts.index(one.part) for one in cabinet.solids], np.int64)
    found: dict[int, list[Pass]] = defaultdict(list)
    for key, rows in _grouped(chords.tubes[line] * len(parts) + numbers[solid]):
        tube, part = divmod(key, len(parts))
        gaps = above[rows], below[rows]
        near = [float(gap.min()) for gap in gaps]
        side = int(near[1] > near[0])
        box = boxes[0][numbers == part].min(axis=0), boxes[1][numbers == part].max(axis=0)
        if -TOUCHES_MM <= near[side] <= NEAR_MM and _leads_past(cabinet, tubes[tube], parts[part], box, way):
            at = float(along[rows[int(np.argmin(gaps[side]))]])
            how = way.words[side if way.towards > 0 else 1 - side]
            found[tube].append(Pass(along_mm=at, near_mm=near[side], tubes=0, how=how, what=parts[part]))
    return found


def passes_of_runs(found: Overlaps, owners: Sequence[int], names: Sequence[str], way: Way) -> Passes:
    """Return what other runs tubes pass near by, by tube.

    Parameters
    ----------
    found : dict
        From ``overlaps``, seen so that what ``way`` names first is nearer.
    owners : sequence of int
        The run of each tube.
    names : sequence of str
        What each run is called.
    way : Way
        In which words.

    Returns
    -------
    passes : dict
        Of runs all of whose tubes a tube passes on the same side.
    """
    met: dict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
    for (one, other), places in found.items():
        if owners[one] != owners[other]:
            for place in places:
                met[one, owners[other]].append((place.farther_mm, place.along_first))
                met[other, owners[one]].append((-place.farther_mm, place.along_second))
    counts: dict[tuple[int, int], int] = defaultdict(int)
    for one, other in found:
        counts[one, owners[other]] += 1
        counts[other, owners[one]] += 1
    passes: dict[int, list[Pass]] = defaultdict(list)
    for (tube, run), offs in sorted(met.items()):
        near, along = min((abs(farther), at) for farther, at in offs)
        if near <= NEAR_MM and len({farther > 0 for farther, _ in offs}) == 1:
            how = way.words[int(offs[0][0] > 0)]
            passes[tube].append(
                Pass(along_mm=along, near_mm=near, tubes=counts[tube, run], how=how, what=names[run])
            )
    return passes


def _leads_past(cabinet: Cabinet, tube: Tube, part: str, box: tuple[Floats, Floats], way: Way) -> bool:
    """Return whether a tube neither joins nor goes through a part, and does not stay all along by it."""
    ends = [end for end in (tube.start, tube.end) if end.nipple is not None]
    joins = any(is_on(cabinet, end.nipple, part) for end in ends if end.nipple is not None)
    cut = [cabinet.passages[name].solid for name in tube.through]
    through = any(solid is not None and cabinet.solids[solid].part == part for solid in cut)
    across = [k for k in range(3) if k != way.axis]
    points = [end.point[across] for end in (tube.start, tube.end) if end.point is not None]
    stays = all(bool(((box[0][across] <= p) & (p <= box[1][across])).all()) for p in points)
    return not (joins or through or stays)


def _boxes(cabinet: Cabinet) -> tuple[Floats, Floats]:
    """Return the box of each solid, anywhere in its travel."""
    lows, highs = swept_boxes(cabinet.bodies)
    bodies, count = cabinet.bodies.pieces.bodies, len(cabinet.solids)
    low, high = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    np.minimum.at(low, bodies, lows)
    np.maximum.at(high, bodies, highs)
    return low, high


def _inside(chords: Chords, boxes: tuple[Floats, Floats], axis: int) -> tuple[Ints, Ints, Floats, Floats]:
    """Return chords and the solids whose boxes they pass along an axis, and from what share to what share."""
    across = [k for k in range(3) if k != axis]
    lows, highs = boxes[0][:, across], boxes[1][:, across]
    flat = np.stack([chords.begins[:, across], chords.ends[:, across]], axis=1)
    line, solid = shapely.STRtree(shapely.box(*lows.T, *highs.T)).query(
        shapely.linestrings(flat), predicate="intersects"
    )
    step = flat[line, 1] - flat[line, 0]
    step = np.where(np.abs(step) < LEVEL_MM, LEVEL_MM, step)
    first, second = (lows[solid] - flat[line, 0]) / step, (highs[solid] - flat[line, 0]) / step
    begin = np.clip(np.minimum(first, second).max(axis=1), 0.0, 1.0)
    end = np.clip(np.maximum(first, second).min(axis=1), 0.0, 1.0)
    return line, solid, begin, np.maximum(begin, end)


def _at(chords: Chords, line: Ints, share: Floats, axis: int) -> Floats:
    begin = chords.begins[line, axis]
    return np.asarray(begin + share * (chords.ends[line, axis] - begin))


def _grouped(keys: Ints) -> Iterator[tuple[int, Ints]]:
    """Yield each key, rising, with the rows that have it."""
    order = np.argsort(keys, kind="stable")
    values, firsts = np.unique(keys[order], return_index=True)
    yield from zip(values.tolist(), np.split(order, firsts[1:]), strict=True)

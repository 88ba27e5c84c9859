"""What does a tube pass over, under, in front of and behind: which few parts and runs help to find its way?

Parts are taken as upright boxes that hold them in all of their travel: what is over the box is over the part.
"""

from collections import defaultdict
from collections.abc import Sequence
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Boxes:
    """The upright box of each solid, and of each part with all its solids, anywhere in their travel.

    Parameters
    ----------
    parts : tuple of str
        Their names.
    numbers : array of int, shape (n,)
        The part of each solid.
    lows, highs : array, shape (n, 3)
        Of each solid.
    part_lows, part_highs : array, shape (p, 3)
        Of each part.
    """

    parts: tuple[str, ...]
    numbers: Ints
    lows: Floats
    highs: Floats
    part_lows: Floats
    part_highs: Floats


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


def passes_of_parts(
    cabinet: Cabinet, tubes: Sequence[Tube], chords: Chords, ways: Sequence[Way]
) -> tuple[Passes, ...]:
    """Return what parts tubes pass, by tube, for each way.

    Parameters
    ----------
    cabinet, tubes, chords
        The lay.
    ways : sequence of Way
        Along which axes, and in which words.

    Returns
    -------
    passes : tuple of dict
        Of parts that a tube passes on one side only, near by, on its way from beside to beside; not of those
        that it joins or goes through.
    """
    boxes = _boxes(cabinet)
    return tuple(_past_parts(cabinet, tubes, chords, boxes, way) for way in ways)


def _past_parts(cabinet: Cabinet, tubes: Sequence[Tube], chords: Chords, boxes: Boxes, way: Way) -> Passes:
    line, solid, begin, end = _inside(chords, boxes, way.axis)
    heights = np.stack([_at(chords, line, share, way.axis) for share in (begin, end)])
    above = heights.min(axis=0) - chords.radii[line] - boxes.highs[solid, way.axis]
    below = boxes.lows[solid, way.axis] - heights.max(axis=0) - chords.radii[line]
    lengths = np.sqrt(((chords.ends - chords.begins) ** 2).sum(axis=1))
    along = chords.along[line] + 0.5 * (begin + end) * lengths[line]
    keys = chords.tubes[line] * len(boxes.parts) + boxes.numbers[solid]
    order = np.argsort(keys, kind="stable")
    values, firsts = np.unique(keys[order], return_index=True)
    # Per tube and part: how far it is off on either side at the least; on the other side it is below zero.
    gaps = (
        np.stack([np.minimum.reduceat(gap[order], firsts) for gap in (above, below)]) if len(keys) else None
    )
    found: Passes = defaultdict(list)
    if gaps is None:
        return found
    near, sides = gaps.max(axis=0), gaps.argmax(axis=0)
    for k in np.nonzero((near >= -TOUCHES_MM) & (near <= NEAR_MM))[0].tolist():
        tube, part = divmod(int(values[k]), len(boxes.parts))
        if _leads_past(cabinet, tubes[tube], boxes, part, way):
            rows = order[firsts[k] : firsts[k + 1] if k + 1 < len(firsts) else None]
            at = rows[int(np.argmin((above, below)[sides[k]][rows]))]
            how = way.words[int(sides[k]) if way.towards > 0 else 1 - int(sides[k])]
            found[tube].append(
                Pass(
                    along_mm=float(along[at]),
                    near_mm=float(near[k]),
                    tubes=0,
                    how=how,
                    what=boxes.parts[part],
                )
            )
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


def _leads_past(cabinet: Cabinet, tube: Tube, boxes: Boxes, part: int, way: Way) -> bool:
    """Return whether a tube neither joins nor goes through a part, and does not stay all along by it."""
    name = boxes.parts[part]
    ends = (tube.start, tube.end)
    joins = any(is_on(cabinet, end.nipple, name) for end in ends if end.nipple is not None)
    cut = [cabinet.passages[passage].solid for passage in tube.through]
    through = any(solid is not None and cabinet.solids[solid].part == name for solid in cut)
    low, high = boxes.part_lows[part], boxes.part_highs[part]
    across = [k for k in range(3) if k != way.axis]
    points = [end.point for end in ends if end.point is not None]
    stays = all(all(low[k] <= point[k] <= high[k] for k in across) for point in points)
    return not (joins or through or stays)


def _boxes(cabinet: Cabinet) -> Boxes:
    piece_lows, piece_highs = swept_boxes(cabinet.bodies)
    parts = list(dict.fromkeys(solid.part for solid in cabinet.solids))
    number = {part: k for k, part in enumerate(parts)}
    numbers = np.array([number[solid.part] for solid in cabinet.solids], np.int64)
    lows, highs = _joined(piece_lows, piece_highs, cabinet.bodies.pieces.bodies, len(numbers))
    part_lows, part_highs = _joined(lows, highs, numbers, len(parts))
    return Boxes(
        parts=tuple(parts),
        numbers=numbers,
        lows=lows,
        highs=highs,
        part_lows=part_lows,
        part_highs=part_highs,
    )


def _joined(lows: Floats, highs: Floats, owners: Ints, count: int) -> tuple[Floats, Floats]:
    low, high = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    np.minimum.at(low, owners, lows)
    np.maximum.at(high, owners, highs)
    return low, high


def _inside(chords: Chords, boxes: Boxes, axis: int) -> tuple[Ints, Ints, Floats, Floats]:
    """Return chords and the solids whose boxes they pass along an axis, and from what share to what share."""
    across = [k for k in range(3) if k != axis]
    lows, highs = boxes.lows[:, across], boxes.highs[:, across]
    flat = np.stack([chords.begins[:, across], chords.ends[:, across]], axis=1)
    line, solid = shapely.STRtree(shapely.box(*lows.T, *highs.T)).query(shapely.linestrings(flat))
    step = flat[line, 1] - flat[line, 0]
    step = np.where(np.abs(step) < LEVEL_MM, LEVEL_MM, step)
    first, second = (lows[solid] - flat[line, 0]) / step, (highs[solid] - flat[line, 0]) / step
    begin = np.maximum(np.minimum(first, second).max(axis=1), 0.0)
    end = np.minimum(np.maximum(first, second).min(axis=1), 1.0)
    met = begin <= end
    return line[met], solid[met], begin[met], end[met]


def _at(chords: Chords, line: Ints, share: Floats, axis: int) -> Floats:
    begin = chords.begins[line, axis]
    return np.asarray(begin + share * (chords.ends[line, axis] - begin))

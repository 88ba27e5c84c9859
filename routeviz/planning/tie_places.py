"""Where a tube could be tied: where a hand can reach, and there is wood or another tube to tie it to.

Where it must be, and which of these places are taken, is in tying.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, Solid, asked_mm
from routeviz.geometry.arrays import Floats, Ints, frozen_ints
from routeviz.geometry.chains import Samples
from routeviz.geometry.falling import NOBODY, nearest_bodies
from routeviz.tubes.windows import TIE_MM

STEP_MM = 6.0  # between samples at most: places that match by half of it lie under one tie, 10 mm wide
FROM_NIPPLE_MM = 15.0  # nearer, a tie would be on the sleeve's end and in the fingers' way
FROM_PASSAGE_MM = (
    TIE_MM / 2 + 5.0
)  # beyond a passage's faces: half a tie, and a finger tip that draws it tight
KNOT_MM = 5.0  # what a tie and its knot stand out from the tube, kept off what moves or is to be kept clear
ON_WOOD_MM = 12.0  # from wall to wood: as far as a clip or a saddle bridges; common practice, no source
FROM_AFAR_MM = 40.0  # as far as a hook or a string holds a tube that has nothing nearer; common practice
BUNDLED_MM = 4.0  # from wall to wall: what lies closer side by side is drawn together by one tie
PARALLEL = 0.9  # least cosine between neighbours that one tie can hold: 25 degrees
TIED_TO = ("wood", "metal")  # what a clip can be screwed to or a string be put round


@dataclass(frozen=True, slots=True, kw_only=True)
class TiePlaces:
    """What could be done at each of n samples of tubes.

    Parameters
    ----------
    handy : array of bool, shape (n,)
        A hand can reach there, and a tie does no harm.
    solids : array of int, shape (n,)
        The nearest solid of the last cabinet to which the tube could be tied, or ``NOBODY``.
    off_mm : array, shape (n,)
        How far the wall is from it.
    beside : tuple of tuple of int
        For each sample those of tubes that lie side by side with it there.
    bundled : array of bool, shape (n,)
        One of these tubes lies there from as early a stage on.
    """

    handy: NDArray[np.bool_]
    solids: Ints
    off_mm: Floats
    beside: tuple[tuple[int, ...], ...]
    bundled: NDArray[np.bool_]


def tie_places(cabinets: Sequence[Cabinet], samples: Samples, radii: Floats, stages: Ints) -> TiePlaces:
    """Return where tubes could be tied.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The case in each stage of the work.
    samples : Samples
        Of the tubes' centrelines, at most ``STEP_MM`` apart.
    radii : array, shape (c,)
        Of the tubes.
    stages : array of int, shape (c,)
        The first cabinet in which each lies there.

    Returns
    -------
    places : TiePlaces
        Of every sample.
    """
    walls, since = radii[samples.owners], stages[samples.owners]
    handy = _off_nipples(samples)
    for stage, cabinet in enumerate(cabinets):
        rows = np.nonzero(handy & (since <= stage))[0]
        handy[rows] = _handy(cabinet, samples.points[rows], walls[rows])
    solids, off = np.full(len(walls), NOBODY, np.int64), np.full(len(walls), np.inf)
    for stage in sorted(set(stages.tolist())):
        rows = np.nonzero(handy & (since == stage))[0]
        holding = _holding(cabinets[stage:])
        reach = FROM_AFAR_MM + float(walls.max(initial=0.0))
        solids[rows], off[rows] = nearest_bodies(samples.points[rows], cabinets[-1].bodies, holding, reach)
    beside = _beside(samples, walls, handy)
    firsts = np.searchsorted(beside[:, 0], np.arange(len(walls) + 1)).tolist()
    others = beside[:, 1].tolist()
    bundled = np.zeros(len(walls), dtype=bool)
    bundled[beside[since[beside[:, 1]] <= since[beside[:, 0]], 0]] = True
    return TiePlaces(
        handy=handy,
        solids=frozen_ints(solids),
        off_mm=off - walls,
        beside=tuple(tuple(others[firsts[i] : firsts[i + 1]]) for i in range(len(walls))),
        bundled=bundled,
    )


def _off_nipples(samples: Samples) -> NDArray[np.bool_]:
    ends = samples.along[samples.firsts[1:] - 1][samples.owners]
    return np.asarray((samples.along >= FROM_NIPPLE_MM) & (ends - samples.along >= FROM_NIPPLE_MM))


def _handy(cabinet: Cabinet, points: Floats, walls: Floats) -> NDArray[np.bool_]:
    """Return which places are in no passage, and not near to what moves or is to be kept clear."""
    free = np.ones(len(points), dtype=bool)
    for passage in cabinet.passages.values():
        free &= ~_in_passage(passage, points)
    moving = np.array([not isinstance(solid.movement, Fixed) for solid in cabinet.solids], dtype=bool)
    asked = max((asked_mm(cabinet, s) for s, m in zip(cabinet.solids, moving, strict=True) if m), default=0.0)
    clear = np.ones(len(cabinet.keep_clear), dtype=bool)
    for bodies, chosen, least in (
        (cabinet.bodies, moving, asked + KNOT_MM),
        (cabinet.clear_bodies, clear, KNOT_MM),
    ):
        rows = np.nonzero(free)[0]
        reach = least + float(walls.max(initial=0.0))
        _, distances = nearest_bodies(points[rows], bodies, chosen, reach)
        free[rows] = distances - walls[rows] >= least
    return free


def _in_passage(passage: Passage, points: Floats) -> NDArray[np.bool_]:
    """Return which places are between a passage's faces, or too near to them for a hand to reach round."""
    local = (points - passage.origin) @ passage.axes.T
    low, high = passage.outline.min(axis=0), passage.outline.max(axis=0)
    within = ((local[:, :2] >= low) & (local[:, :2] <= high)).all(axis=1)
    return np.asarray(within & (np.abs(local[:, 2]) <= passage.thick_mm / 2 + FROM_PASSAGE_MM))


def _holding(cabinets: Sequence[Cabinet]) -> NDArray[np.bool_]:
    """Return which solids of the last cabinet a tube can be tied to in all of them."""
    steady = [{solid.name for solid in cabinet.solids if _is_steady(solid)} for cabinet in cabinets]
    return np.array([all(s.name in names for names in steady) for s in cabinets[-1].solids], dtype=bool)


def _is_steady(solid: Solid) -> bool:
    return isinstance(solid.movement, Fixed) and solid.comes_out is None and solid.look in TIED_TO


def _beside(samples: Samples, walls: Floats, handy: NDArray[np.bool_]) -> Ints:
    """Return which handy samples lie side by side, each pair both ways, by sample: the best of two tubes."""
    rows = np.nonzero(handy)[0]
    points, tangents, owners = samples.points, samples.tangents, samples.owners
    across = 2.0 * float(walls.max(initial=0.0)) + BUNDLED_MM
    near = cKDTree(points[rows]).query_pairs(float(np.hypot(across, STEP_MM / 2)), output_type="ndarray")
    one, other = rows[near[:, 0]], rows[near[:, 1]]
    apart = owners[one] != owners[other]
    one, other = one[apart], other[apart]
    steps = points[other] - points[one]
    squares, allowed = _dots(steps, steps), BUNDLED_MM + walls[one] + walls[other]
    pairs, aheads = [], []
    for first, second in ((one, other), (other, one)):
        ahead = np.abs(_dots(steps, tangents[first]))
        kept = np.nonzero((ahead <= STEP_MM / 2) & (squares - ahead * ahead <= allowed * allowed))[0]
        kept = kept[np.abs(_dots(tangents[first[kept]], tangents[second[kept]])) >= PARALLEL]
        pairs.append(np.column_stack([first[kept], second[kept]]))
        aheads.append(ahead[kept])
    first, second = np.concatenate(pairs).T
    order = np.lexsort((second, np.concatenate(aheads), owners[second], first))
    first, second = first[order], second[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(first) != 0) | (np.diff(owners[second]) != 0)
    return np.column_stack([first[new], second[new]])


def _dots(vectors: Floats, others: Floats) -> Floats:
    return np.asarray(np.einsum("ij,ij->i", vectors, others))

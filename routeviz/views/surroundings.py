"""What stands about a place and may hide it: solids, tubes with their sleeves, nipples; and what hides it.

From where a place is looked at is decided in closeups.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.curves import chords
from routeviz.geometry.shapes import Pieces, joined, placed, pose
from routeviz.geometry.sight import bars_between, pieces_between
from routeviz.geometry.skins import chosen
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import sleeves_of
from routeviz.views.cameras import View
from routeviz.views.items import solid_look
from routeviz.views.shades import OPAQUE

COARSE_MM = 0.5  # sagitta of the bars that stand for tubes: a tenth of a thin tube
PARALLEL = 1e4  # times its distance, for the eye of a view to scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What may stand in the way: solids where they are, tubes with their sleeves, and nipples without any.

    The bars of a tube stand together: ``owners`` never falls.
    """

    names: tuple[str, ...]
    parts: tuple[str, ...]
    pieces: Pieces
    opaque: tuple[bool, ...]
    tubes: tuple[str, ...]
    bars: Floats
    radii: Floats
    owners: Ints


def surroundings(cabinet: Cabinet, tubes: Sequence[Tube], moved: tuple[str, float] | None) -> Surroundings:
    """Return everything that may hide something, with one solid moved on in its travel."""
    over = sleeves_of(cabinet, tubes)
    bars, radii, owners = (
        [np.stack([over.backs, over.tips], axis=1)],
        [over.radii],
        [over.tubes],
    )
    for index, tube in enumerate(tubes):
        if tube.curve is not None:
            points, _ = chords(tube.curve, COARSE_MM)
            bars.append(np.stack([points[:-1], points[1:]], axis=1))
            radii.append(np.full(len(points) - 1, tube.kind.outside_mm / 2))
            owners.append(np.full(len(points) - 1, index))
    joined_to = {end.nipple for tube in tubes for end in (tube.start, tube.end) if tube.curve is not None}
    bare = [nipple for name, nipple in cabinet.nipples.items() if name not in joined_to]
    for index, nipple in enumerate(bare, len(tubes)):
        bars.append(np.stack([nipple.tip - nipple.on_nipple_mm * nipple.direction, nipple.tip])[None])
        radii.append(np.array([nipple.outside_mm / 2]))
        owners.append(np.array([index]))
    order = np.argsort(np.concatenate(owners), kind="stable")
    return Surroundings(
        names=tuple(solid.name for solid in cabinet.solids),
        parts=tuple(solid.part for solid in cabinet.solids),
        opaque=tuple(solid_look(solid).opacity >= OPAQUE for solid in cabinet.solids),
        pieces=_pieces(cabinet, moved),
        tubes=(*(tube.name for tube in tubes), *(nipple.name for nipple in bare)),
        bars=np.concatenate(bars)[order],
        radii=np.concatenate(radii)[order],
        owners=np.concatenate(owners)[order],
    )


def with_moved(around: Surroundings, cabinet: Cabinet, moved: tuple[str, float]) -> Surroundings:
    """Return the same with one solid moved on in its travel."""
    return replace(around, pieces=_pieces(cabinet, moved))


def within_reach(around: Surroundings, point: Floats, reach: float) -> Surroundings:
    """Return what may stand in the way nearer than a reach to a point, and some that lies farther off."""
    half = 0.5 * np.linalg.norm(around.bars[:, 1] - around.bars[:, 0], axis=1)
    away = np.linalg.norm(around.bars.mean(axis=1) - point, axis=1)
    near = away - half - around.radii <= reach
    return replace(around, bars=around.bars[near], radii=around.radii[near], owners=around.owners[near])


def between(eyes: Floats, point: Floats, around: Surroundings, about: Sequence[str]) -> Floats:
    """Return what hides a point from each eye, shape (eyes, solids + tubes); the finding's tubes never do."""
    solids = np.zeros((len(eyes), len(around.names)))
    found = pieces_between(eyes, point, around.pieces)
    solids[:, : found.shape[1]] = found
    tubes = np.zeros((len(eyes), len(around.tubes)))
    if len(around.bars):
        bars = bars_between(eyes, point, around.bars, around.radii)
        begins = np.flatnonzero(np.diff(around.owners, prepend=-1))
        tubes[:, around.owners[begins]] = np.maximum.reduceat(bars, begins, axis=1)
    tubes[:, [index for index, name in enumerate(around.tubes) if name in about]] = 0.0
    return np.asarray(np.hstack([solids, tubes]) > 0.0, dtype=np.float64)


def in_view(view: View, points: Floats, around: Surroundings, faded: frozenset[str]) -> NDArray[np.bool_]:
    """Return which points nothing opaque stands before, as a view sees them.

    Parameters
    ----------
    view : View
        From where.
    points : array, shape (n, 3)
        What is looked at.
    around : Surroundings
        What may stand before it.
    faded : frozenset of str
        Solids that do not count.

    Returns
    -------
    seen : array of bool, shape (n,)
        One a point.
    """
    hides = [o and n not in faded for n, o in zip(around.names, around.opaque, strict=True)]
    pieces = chosen(around.pieces, np.array(hides, dtype=bool)[around.pieces.bodies])
    # Far enough off, all lines to the eye are parallel.
    eye = view.target + (PARALLEL if view.parallel else 1.0) * (view.eye - view.target)
    return np.asarray(~pieces_between(points, eye, pieces).astype(bool).any(axis=1))


def _pieces(cabinet: Cabinet, moved: tuple[str, float] | None) -> Pieces:
    """Return all solids where they are, with one moved on in its travel."""
    solids = []
    for index, solid in enumerate(cabinet.solids):
        is_moved = moved is not None and solid.name == moved[0]
        frame = pose(cabinet.bodies, index, moved[1]) if is_moved and moved is not None else None
        solids.append(solid.pieces if frame is None else placed(solid.pieces, frame))
    return joined(solids)

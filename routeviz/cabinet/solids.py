"""What stands in the case, in one frame: parts as solids, and the cabinet that holds them all.

Where a part ends up is decided in placing.py; nipples and passages have files of their own.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.motions import Fixed, Movement
from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.tubing import TubeKind
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.envelopes import swept_boxes
from routeviz.geometry.shapes import Bodies, Pieces
from routeviz.scene.description import Clearance, Practice
from routeviz.scene.doubts import Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """One thing in the case: a board, a single key, a hammer, a space to be kept clear.

    Parameters
    ----------
    name : str
        As findings name it: ``shelf``, ``keys 34``.
    part : str
        The scene's part that it comes from: ``shelf``, ``keys``.
    kind : str
        The part's kind in the scene.
    look : str
        ``wood``, ``metal``, ``felt``, ``rubber``, ``ivory`` or ``ebony`` (a sharp).
    pieces : Pieces
        Its convex pieces at rest, in the case's frame, all of body 0.
    movement : Movement
        How it moves; ``Fixed`` where it does not.
    clearance_mm : float or None
        What it asks for itself.
    comes_out : array, shape (3,), or None
        The way it is taken out.
    why : str or None
        Why a space is kept clear.
    tested_inside : bool
        False for an open mesh, in which nothing can be inside.
    status : str or None
        How its part is known, by the value that is least sure; no measure or check asks for it.
    """

    name: str
    part: str
    kind: str
    look: str
    pieces: Pieces
    movement: Movement
    clearance_mm: float | None = None
    comes_out: Floats | None = None
    why: str | None = None
    tested_inside: bool = True
    status: Status | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cabinet:
    """Everything that tubes must get past, and what they join, in the case's frame.

    Parameters
    ----------
    title : str
        The scene's.
    stage : str or None
        The stage of the work that this is.
    limits, practice
        As the scene says.
    down : array, shape (3,)
        Which way things hang, in the pose.
    solids : tuple of Solid
        What stands or moves in the case; body i of ``bodies``.
    keep_clear : tuple of Solid
        Spaces in which nothing may lie; body i of ``clear_bodies``.
    nipples : mapping
        By name, as ``tracker bar 12``.
    passages : mapping
        By name, as ``shelf bass``.
    tubing : mapping
        Kinds of tube by the scene's name for them.
    without_place : tuple of str
        Tees and couplers of which nobody says yet where they lie; they are none of the solids.
    """

    title: str
    stage: str | None
    limits: Clearance
    practice: Practice
    down: Floats
    solids: tuple[Solid, ...]
    bodies: Bodies
    keep_clear: tuple[Solid, ...]
    clear_bodies: Bodies
    nipples: Mapping[str, Nipple]
    passages: Mapping[str, Passage]
    tubing: Mapping[str, TubeKind]
    without_place: tuple[str, ...] = ()


def asked_mm(cabinet: Cabinet, solid: Solid) -> float:
    """Return the least clearance that a solid asks for: the scene's, or its own where that is more."""
    moves = not isinstance(solid.movement, Fixed)
    least = cabinet.limits.moving_mm if moves else cabinet.limits.fixed_mm
    return max(least, solid.clearance_mm or 0.0)


def extents(cabinet: Cabinet) -> tuple[Floats, Floats]:
    """Return the upright box that holds everything in a cabinet, anywhere in its travel.

    Parameters
    ----------
    cabinet : Cabinet
        Solids, spaces to be kept clear, nipples and passages count; tubes do not.

    Returns
    -------
    low, high : array, shape (3,)
        Least and greatest corner; both zero for an empty cabinet.
    """
    points = [np.zeros((0, 3)), *swept_boxes(cabinet.bodies), *swept_boxes(cabinet.clear_bodies)]
    points += [nipple.tip[None] for nipple in cabinet.nipples.values()]
    points += [p.origin + p.outline @ p.axes[:2] for p in cabinet.passages.values()]
    every = np.concatenate(points)
    if not len(every):
        return frozen(np.zeros(3)), frozen(np.zeros(3))
    return frozen(every.min(axis=0)), frozen(every.max(axis=0))

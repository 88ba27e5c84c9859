"""How a part moves: not at all, on a hinge, or along a slide, between rest and full travel."""

import math
from dataclasses import dataclass

from routeviz.cabinet.messages import Where
from routeviz.cabinet.standing import Standing
from routeviz.geometry import shapes
from routeviz.geometry.arrays import Floats
from routeviz.scene.quantities import Motion, Slide, Swing


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """It stands still."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """It turns about a fixed axis.

    Parameters
    ----------
    point : array, shape (3,)
        A point of the axis.
    axis : array, shape (3,)
        Unit direction; a positive angle is right-handed about it.
    full_deg : float
        Angle at full travel, the doubt included; rest is 0.
    """

    point: Floats
    axis: Floats
    full_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sliding:
    """It goes straight.

    Parameters
    ----------
    direction : array, shape (3,)
        Unit direction.
    full_mm : float
        Way at full travel, the doubt included; rest is 0.
    """

    direction: Floats
    full_mm: float


Movement = Fixed | Hinge | Sliding


def movement_of(motion: Motion | None, stands: Standing, where: Where) -> Movement:
    """Return how a part moves in the case; the doubt is added to its travel, in the travel's own sense.

    Parameters
    ----------
    motion : Swing, Slide or None
        As written; its axis and directions are seen from the part and turn with it.
    stands : Standing
        How the part stands.
    where : Where
        The motion's place in the file.

    Returns
    -------
    movement : Fixed, Hinge or Sliding
        In the case's frame.

    Raises
    ------
    SceneError
        A hinge that does not turn, a doubt below zero, or an axis that cannot be placed.
    """
    match motion:
        case Swing(travel_deg=travel, doubt_deg=doubt):
            if travel == 0:
                raise where.at("travel").wrong(
                    "a travel of nothing", "an angle that is not zero", "leave the motion out, or correct it"
                )
            if doubt < 0:
                raise where.at("doubt").wrong(
                    f"a doubt of {doubt:g} deg", "zero or more", "give how much further it may turn"
                )
            hinge = stands.in_case(stands.in_part(motion.at, where.at("at")))
            axis = stands.direction(motion.turns_about)
            return Hinge(point=hinge, axis=axis, full_deg=travel + math.copysign(doubt, travel))
        case Slide(travel_mm=travel, doubt_mm=doubt):
            return Sliding(direction=stands.direction(motion.slides), full_mm=travel + doubt)
        case None:
            return Fixed()


def in_geometry(movement: Movement) -> shapes.Movement:
    """Return a movement as geometry takes it: angles in radians, ``None`` for what stands still."""
    match movement:
        case Fixed():
            return None
        case Hinge(point=point, axis=axis, full_deg=full_deg):
            return shapes.Hinge(point=point, axis=axis, angle=math.radians(full_deg))
        case Sliding(direction=direction, full_mm=full_mm):
            return shapes.Slide(direction=direction, length=full_mm)

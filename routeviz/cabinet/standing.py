"""How a part stands: where its own positions and directions are in the case's frame.

Positions inside a part are seen from its ``at`` and turn with it, unless they name a zero of their own: then
they are taped in the case as it stands. What is placed this way is decided in making.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.messages import Where
from routeviz.cabinet.zeros import NO_SIZE, Zeros, along_axes, point
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.frames import rigid, rotation_about, unit
from routeviz.scene.parts import PartEntry
from routeviz.scene.quantities import WORDS, Direction, Position, Turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a part stands.

    Parameters
    ----------
    name : str
        The part's.
    zero : str
        The zero from which it is placed.
    zeros : mapping of Mark
        The scene's.
    at : array, shape (3,)
        Its left, front, lower corner, or the point that it has instead, in the case's frame.
    turn : array, shape (3, 3)
        Takes directions in the part to the case.
    spans : array, shape (3,)
        Its own size before it is turned, for positions counted from its far ends; ``nan`` where it has none.
    """

    name: str
    zero: str
    zeros: Zeros
    at: Floats
    turn: Floats
    spans: Floats

    @property
    def case_from_part(self) -> Floats:
        """Return the rigid motion, shape (4, 4), that takes points in the part to the case."""
        return rigid(self.turn, self.at)

    def in_part(
        self,
        position: Position,
        where: Where,
        *,
        size: Sequence[float] = NO_SIZE,
        seen_from: Sequence[float] | Floats = NO_SIZE,
    ) -> Floats:
        """Return a position inside the part, in the part's own directions, seen from its ``at``.

        Parameters
        ----------
        position : Position
            As written.
        where : Where
            Its place in the file.
        size : sequence of float
            Of what is placed there, as in ``zeros.point``.
        seen_from : sequence of float or array, shape (3,)
            What is counted from near ends is counted from here, in the part's directions.

        Returns
        -------
        coordinates : array, shape (3,)
            Before the part is turned.

        Raises
        ------
        SceneError
            It counts from a far end that is not known.
        """
        if position.zero is not None:
            taped = point(self.zeros, position, self.zero, where, size=size)
            return np.asarray(self.turn.T @ (taped - self.at))
        coordinates, unknown = along_axes(position, self.spans, size)
        if unknown is not None:
            raise where.at(unknown[0]).wrong(
                f"{unknown[0]} inside {self.name!r}, which has no size of its own",
                "right, back and up, or a zero that has spans",
                "tape from the near end, or name a zero",
            )
        far = [position.right_end_mm, position.back_end_mm, position.top_end_mm]
        nears = [0.0 if end is not None else near for end, near in zip(far, seen_from, strict=True)]
        return np.asarray(coordinates + nears)

    def in_case(self, coordinates: Sequence[float] | Floats) -> Floats:
        """Return points in the part, shape (..., 3), as they are in the case; read-only."""
        return frozen(np.asarray(coordinates, dtype=np.float64) @ self.turn.T + self.at)

    def direction(self, said: Direction) -> Floats:
        """Return a direction in the part as a unit vector, shape (3,), in the case; read-only."""
        return frozen(unit(self.turn @ vector(said)))


def standing(
    name: str, part: PartEntry, zeros: Zeros, where: Where, *, size: Sequence[float] | None = None
) -> Standing:
    """Return how a part stands.

    Parameters
    ----------
    name, part : str, PartEntry
        As in the scene.
    zeros : mapping of Mark
        The scene's.
    where : Where
        The part's place in the file.
    size : sequence of float or None
        To the right, back and up, for a part that has one: a far end then gives where its far face lies.

    Returns
    -------
    standing : Standing
        The first copy of a part that repeats.

    Raises
    ------
    SceneError
        Its ``at`` cannot be placed.
    """
    assert part.at is not None, "a part without a place is left out before"
    return Standing(
        name=name,
        zero=part.zero,
        zeros=zeros,
        at=point(zeros, part.at, part.zero, where.at("at"), size=size or NO_SIZE),
        turn=turned(part.turned),
        spans=frozen(size or (np.nan, np.nan, np.nan)),
    )


def turned(turns: Sequence[Turn]) -> Floats:
    """Return the rotation that turns, one after the other, each about the case's own directions.

    A positive angle is right-handed: with the thumb along the axis the fingers show the way. Quarter turns
    are exact, so that a part turned by them still lies square.

    Parameters
    ----------
    turns : sequence of Turn
        In the order in which they are made.

    Returns
    -------
    rotation : array, shape (3, 3)
        Takes directions in the part to the case; read-only.
    """
    rotation = np.eye(3)
    for turn in turns:
        made = rotation_about(WORDS[turn.about], math.radians(turn.by_deg))
        rotation = (made.round() if turn.by_deg % 90 == 0 else made) @ rotation
    return frozen(rotation + 0.0)


def vector(said: Direction) -> Floats:
    """Return the unit vector, shape (3,), of a direction by word or by its components."""
    if isinstance(said, str):
        return frozen(WORDS[said])
    return frozen(unit((said.right, said.back, said.up)))


def step_of(step: Position, where: Where) -> Floats:
    """Return a step, shape (3,), along the case's own directions.

    Parameters
    ----------
    step : Position
        How far to the right, back and up.
    where : Where
        Its place in the file.

    Returns
    -------
    step : array, shape (3,)
        Read-only.

    Raises
    ------
    SceneError
        It counts from a far end or a zero, or goes nowhere.
    """
    for key in ("right_end", "back_end", "top_end", "zero"):
        if getattr(step, "zero" if key == "zero" else f"{key}_mm") is not None:
            raise where.at(key).wrong(
                f"a step with {key}",
                "right, back and up: how far each is from the one before",
                f"leave {key} out and give the distance from one to the next",
            )
    far = (step.right_mm or 0.0, step.back_mm or 0.0, step.up_mm or 0.0)
    if not any(far):
        raise where.wrong(
            "a step of nothing, so that all lie in one place",
            "right, back or up, not zero",
            "give the distance from one to the next",
        )
    return frozen(far)

"""Where the marks are from which the tape is read, and which point a position means.

How a part stands that is placed from such a mark is in standing.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from routeviz.cabinet.messages import Where, gathered
from routeviz.errors import Problem
from routeviz.geometry.arrays import Floats, frozen
from routeviz.scene.description import Zero
from routeviz.scene.quantities import CASE, Position

NO_SIZE = (0.0, 0.0, 0.0)
NO_SPANS = (np.nan, np.nan, np.nan)

# For each axis: what counts from the near end, what counts from the far end, and which span that needs.
AXES = (
    ("right_mm", "right_end_mm", "wide"),
    ("back_mm", "back_end_mm", "deep"),
    ("up_mm", "top_end_mm", "high"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A zero in the case's frame.

    Parameters
    ----------
    origin : array, shape (3,)
        Where it is.
    spans : array, shape (3,)
        How far it is to the far ends, to the right, back and up; ``nan`` where the scene does not say.
    """

    origin: Floats
    spans: Floats


Zeros = Mapping[str, Mark]


def marks(where: Where, problems: list[Problem]) -> dict[str, Mark]:
    """Return every zero of the scene in the case's frame; one that cannot be placed is left out.

    The zero ``case`` is always there; a scene may give it spans, for positions from the case's far ends.

    Parameters
    ----------
    where : Where
        The scene.
    problems : list of Problem
        What is wrong is added.

    Returns
    -------
    zeros : dict of Mark
        By name.
    """
    zeros = where.reading.scene.zero
    known = {CASE: Mark(origin=frozen(NO_SIZE), spans=frozen(NO_SPANS))}
    if CASE in zeros:
        known[CASE] = Mark(origin=known[CASE].origin, spans=_spans(zeros[CASE]))
        with gathered(problems):
            _check_case(zeros[CASE], where.at("zero", CASE, "at"))
    waiting = [name for name in zeros if name != CASE]
    while ready := [name for name in waiting if _seen_from(zeros[name]) in known]:
        for name in ready:
            waiting.remove(name)
            with gathered(problems):
                origin = point(known, zeros[name].at, CASE, where.at("zero", name, "at"))
                known[name] = Mark(origin=origin, spans=_spans(zeros[name]))
    return known


def point(
    zeros: Zeros, position: Position, default: str, where: Where, *, size: ArrayLike = NO_SIZE
) -> Floats:
    """Return the point in the case's frame that a position means.

    Parameters
    ----------
    zeros : mapping of Mark
        The scene's.
    position : Position
        As taped.
    default : str
        The zero from which it is seen, unless it names its own.
    where : Where
        The position's place in the file.
    size : array, shape (3,)
        Of what is placed: counted from a far end, its far face lies there, and the point is its near corner.

    Returns
    -------
    point : array, shape (3,)
        Read-only.

    Raises
    ------
    SceneError
        It counts from a far end, and the zero's span is not given.
    """
    name = position.zero or default
    mark = zeros[name]
    coordinates, unknown = along_axes(position, mark.spans, size)
    if unknown is not None:
        key, span = unknown
        raise where.at(key).wrong(
            f"{key}, but the zero {name!r} does not say how {span} it is",
            f"{key} where [zero.{name}] gives {span}",
            f"add {span} to [zero.{name}], or tape from the near end",
        )
    return frozen(mark.origin + coordinates)


def along_axes(position: Position, spans: Floats, size: ArrayLike) -> tuple[Floats, tuple[str, str] | None]:
    """Return a position's three coordinates, those from a far end by way of the span.

    Parameters
    ----------
    position : Position
        As taped; what it does not say is zero.
    spans : array, shape (3,)
        To the far ends; ``nan`` where not known.
    size : array, shape (3,)
        Of what is placed.

    Returns
    -------
    coordinates : array, shape (3,)
        From the near ends.
    unknown : tuple of str, or None
        The position's key and the span, of which the span is needed and not known.
    """
    sizes = np.asarray(size, dtype=np.float64)
    coordinates = np.zeros(3)
    unknown = None
    for axis, (near, far, span) in enumerate(AXES):
        from_far = getattr(position, far)
        if from_far is None:
            coordinates[axis] = getattr(position, near) or 0.0
        elif np.isnan(spans[axis]):
            unknown = unknown or (far.removesuffix("_mm"), span)
        else:
            coordinates[axis] = spans[axis] - from_far - sizes[axis]
    return coordinates, unknown


def _seen_from(zero: Zero) -> str:
    return zero.at.zero or CASE


def _spans(zero: Zero) -> Floats:
    return frozen([np.nan if s is None else s for s in (zero.wide_mm, zero.deep_mm, zero.high_mm)])


def _check_case(case: Zero, where: Where) -> None:
    """Refuse a case's own zero that is seen from anywhere but itself."""
    if _seen_from(case) != CASE or any(getattr(case.at, key) for axis in AXES for key in axis[:2]):
        raise where.wrong(
            "the case's own zero is placed somewhere else",
            "at = {}: every other zero is seen from it",
            "leave its position empty and give only wide, deep and high, or choose another name",
        )

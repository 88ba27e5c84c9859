"""What tubes go through: a flat outline with a thickness, placed in the case; boards with openings cut."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from routeviz.cabinet.messages import Where, gathered
from routeviz.cabinet.outlines import (
    COINCIDE_MM,
    WAYS,
    check_one_form,
    hole_sizes,
    opening_outline,
    outline_axes,
)
from routeviz.cabinet.standing import Standing
from routeviz.cabinet.zeros import NO_SIZE, NO_SPANS, Zeros, point
from routeviz.errors import Problem
from routeviz.geometry.arrays import Floats, frozen
from routeviz.scene.doubts import Status
from routeviz.scene.lengths import as_mm
from routeviz.scene.parts import BoardPart, Opening, PassagePart


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A passage.

    Parameters
    ----------
    name : str
        ``shelf bass`` for an opening ``bass`` in the board ``shelf``, else its own name.
    origin : array, shape (3,)
        The middle of the outline's bounding rectangle, half way through the thickness; the outline's zero.
    axes : array, shape (3, 3)
        Rows: the outline's first and second direction, and the way through (right-handed).
    outline : array, shape (k, 2)
        Corners, anticlockwise, in the outline's directions; a round one as an inscribed polygon.
    thick_mm : float
        Along the way through, half to each side of the origin.
    most : int or None
        What the fitter will put through.
    solid : int or None
        The board that it is cut in.
    status : str or None
        How it is known, by the value that is least sure.
    """

    name: str
    origin: Floats
    axes: Floats
    outline: Floats
    thick_mm: float
    most: int | None
    solid: int | None
    status: Status | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A board with its openings cut, before it is placed.

    Parameters
    ----------
    through : int
        The axis, 0 to 2, along which it is thinnest: tubes go through that way.
    outline : Polygon
        Across it, from the board's corner, the openings cut out; see ``outlines.outline_axes``.
    thick_mm : float
        Along ``through``.
    passages : tuple of Passage
        One an opening, in the case; ``solid`` is 0, the board taken alone.
    """

    through: int
    outline: Polygon
    thick_mm: float
    passages: tuple[Passage, ...]


def cut_board(part: BoardPart, stands: Standing, where: Where, problems: list[Problem]) -> Board:
    """Return a board with its openings cut, and the passages that they are.

    Of an opening's position only the two directions across the board count.

    Parameters
    ----------
    part : BoardPart
        As in the scene.
    stands : Standing
        How it stands.
    where : Where
        The part's place in the file.
    problems : list of Problem
        What is wrong with single openings is added; those are left out.

    Returns
    -------
    board : Board
        With all openings that are right.

    Raises
    ------
    SceneError
        It has openings, and two of its sides are equally thin.
    """
    sides = np.array([part.size.wide_mm, part.size.deep_mm, part.size.high_mm])
    through = int(np.argmin(sides))
    if part.opening and np.count_nonzero(sides == sides[through]) > 1:
        raise where.at("size").wrong(
            f"two sides of {as_mm(sides[through])}, so that nobody can tell which way the openings go",
            "a board with one side thinner than the other two",
            "correct the size; or make it of boxes, and the opening a [passage]",
        )
    wide, high = sides[list(outline_axes(through)[:2])]
    whole = Polygon([(0, 0), (wide, 0), (wide, high), (0, high)])
    holes: dict[str, Polygon] = {}
    for name, opening in part.opening.items():
        with gathered(problems):
            hole = _hole(opening, stands, through, where.at("opening", name))
            _check_hole(hole, whole, holes, where.at("opening", name))
            holes[name] = hole
    thick_mm = float(sides[through])
    passages = tuple(
        _passage(f"{stands.name} {name}", hole, stands, (through, thick_mm), part.opening[name].most, 0)
        for name, hole in holes.items()
    )
    rings = [list(hole.exterior.coords) for hole in holes.values()]
    outline = Polygon(whole.exterior.coords, rings)
    return Board(through=through, outline=outline, thick_mm=thick_mm, passages=passages)


def free_passage(name: str, part: PassagePart, zeros: Zeros, where: Where) -> Passage:
    """Return a passage that stands free, with nothing cut for it.

    Along the way through, ``at`` lies on the face that comes first: the left, front or lower one.

    Parameters
    ----------
    name, part : str, PassagePart
        As in the scene.
    zeros : mapping of Mark
        The scene's.
    where : Where
        Its place in the file.

    Returns
    -------
    passage : Passage
        In the case.

    Raises
    ------
    SceneError
        Its form or its place is wrong.
    """
    check_one_form(part, where)
    through = WAYS.index(part.along)
    size = hole_sizes(part.size, through, where.at("size")) if part.size is not None else list(NO_SIZE)
    size[through] = part.thick_mm
    stands = Standing(
        name=name,
        zero=part.zero,
        zeros=zeros,
        at=point(zeros, part.at, part.zero, where.at("at"), size=size),
        turn=frozen(np.eye(3)),
        spans=frozen(NO_SPANS),
    )
    outline = opening_outline(part, np.zeros(3), stands, through, where)
    return _passage(name, outline, stands, (through, part.thick_mm), part.most, None)


def _hole(opening: Opening, stands: Standing, through: int, where: Where) -> Polygon:
    check_one_form(opening, where)
    size = hole_sizes(opening.size, through, where.at("size")) if opening.size is not None else NO_SIZE
    at = stands.in_part(opening.at, where.at("at"), size=size)
    return opening_outline(opening, at, stands, through, where)


def _check_hole(hole: Polygon, whole: Polygon, others: Mapping[str, Polygon], where: Where) -> None:
    """Refuse an opening that is not inside its board, wood all round, or that meets another."""
    if not whole.contains(hole) or whole.exterior.distance(hole) <= COINCIDE_MM:
        low_x, low_y, high_x, high_y = hole.bounds
        _, _, wide, high = whole.bounds
        beyond = max(-low_x, -low_y, high_x - wide, high_y - high)
        raise where.wrong(
            f"an opening that reaches {as_mm(max(beyond, 0))} beyond the edge of its board",
            "an opening with board left on all sides",
            "tape it again; for a notch in an edge, give two boards and a [passage]",
        )
    for name, other in others.items():
        if other.distance(hole) <= COINCIDE_MM:
            raise where.wrong(
                f"it meets the opening {name!r} in the same board",
                "openings with board between them",
                "tape them again, or make one opening of both",
            )


def _passage(
    name: str,
    hole: Polygon,
    stands: Standing,
    through_and_thick: tuple[int, float],
    most: int | None,
    solid: int | None,
) -> Passage:
    """Return an outline across a part's axis as a passage in the case, its zero in its own middle."""
    through, thick_mm = through_and_thick
    first, second, _ = outline_axes(through)
    low_x, low_y, high_x, high_y = hole.bounds
    middle = np.zeros(3)
    middle[[first, second, through]] = (low_x + high_x) / 2, (low_y + high_y) / 2, thick_mm / 2
    corners = np.asarray(hole.exterior.coords)[:-1] - middle[[first, second]]
    return Passage(
        name=name,
        origin=stands.in_case(middle),
        axes=frozen(stands.turn[:, [first, second, through]].T),
        outline=frozen(corners),
        thick_mm=thick_mm,
        most=most,
        solid=solid,
    )

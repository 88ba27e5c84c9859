"""Which flat outline has an opening, a passage or a prism: straight sides, a circle, or corner after corner?

What is cut with it is in passages.py, what is made of it in making.py.
"""

from collections.abc import Sequence

import numpy as np
from shapely import Polygon
from shapely.geometry.polygon import orient
from shapely.validation import explain_validity

from routeviz.cabinet.messages import Where
from routeviz.cabinet.standing import Standing
from routeviz.geometry.arrays import Floats
from routeviz.geometry.convex import circle_corners
from routeviz.scene.lengths import as_mm
from routeviz.scene.parts import Opening, OpeningSize, PassagePart
from routeviz.scene.quantities import Position

SAGITTA_MM = (
    0.01  # how far the polygon of a round opening may lie inside its circle: a fifth of what is proved
)
COINCIDE_MM = 1e-6  # corners nearer than this are one: a thousandth of the last digit that anybody tapes
SIDES = ("wide", "deep", "high")
WAYS = ("right", "back", "up")


def outline_axes(through: int) -> tuple[int, int, int]:
    """Return the two axes of an outline and the way through, right-handed in this order."""
    return (through + 1) % 3, (through + 2) % 3, through


def hole_sizes(size: OpeningSize, through: int, where: Where) -> list[float]:
    """Return how wide, deep and high a straight-sided opening is; 0 along the way through.

    Parameters
    ----------
    size : OpeningSize
        Two of the three.
    through : int
        The axis along which tubes go through.
    where : Where
        The size's place in the file.

    Returns
    -------
    sizes : list of float
        In the order of the axes.

    Raises
    ------
    SceneError
        One of the two is missing, or the third is given.
    """
    sizes = [size.wide_mm, size.deep_mm, size.high_mm]
    wanted = " and ".join(side for axis, side in enumerate(SIDES) if axis != through)
    for axis, side in enumerate(SIDES):
        if (sizes[axis] is None) != (axis == through):
            raise where.at(side).wrong(
                f"an opening that goes {WAYS[through]} {'with' if axis == through else 'without'} {side}",
                f"{wanted}, the two sides across the way through",
                f"{'leave out' if axis == through else 'add'} {side}",
            )
    return [side or 0.0 for side in sizes]


def opening_outline(
    opening: Opening | PassagePart, at: Floats, stands: Standing, through: int, where: Where
) -> Polygon:
    """Return the outline of an opening in the two directions across its way through.

    Parameters
    ----------
    opening : Opening or PassagePart
        With just one of size, diameter, outline.
    at : array, shape (3,)
        Its own ``at``, in the part's directions; corners of an outline are seen from it.
    stands : Standing
        Of the part in which it is.
    through : int
        The axis along which tubes go through.
    where : Where
        Its place in the file.

    Returns
    -------
    outline : Polygon
        Anticlockwise; a round one as a polygon on its circle.

    Raises
    ------
    SceneError
        Not just one of the three, or an outline that crosses itself.
    """
    check_one_form(opening, where)
    first, second, _ = outline_axes(through)
    if opening.diameter_mm is not None:
        return Polygon(circle_corners(at[[first, second]], opening.diameter_mm / 2, SAGITTA_MM))
    if opening.size is not None:
        sizes = hole_sizes(opening.size, through, where.at("size"))
        x, y = at[[first, second]]
        return Polygon(
            [(x, y), (x + sizes[first], y), (x + sizes[first], y + sizes[second]), (x, y + sizes[second])]
        )
    return corners_outline(opening.outline, at, stands, through, where.at("outline"))


def check_one_form(opening: Opening | PassagePart, where: Where) -> None:
    """Refuse an opening without a form, or with two."""
    given = [
        key
        for key, value in (
            ("size", opening.size),
            ("diameter", opening.diameter_mm),
            ("outline", opening.outline),
        )
        if value
    ]
    if len(given) != 1:
        raise where.wrong(
            f"an opening with {' and '.join(given)}" if given else "an opening without a form",
            "just one of size, diameter, outline",
            "keep the one that was taped" if given else "add how wide it is, or its outline",
        )


def corners_outline(
    positions: Sequence[Position], at: Floats, stands: Standing, through: int, where: Where
) -> Polygon:
    """Return the outline through taped corners, in the two directions across ``through``, anticlockwise.

    Parameters
    ----------
    positions : sequence of Position
        In order round the outline, either way.
    at : array, shape (3,)
        From where they are seen, in the part's directions.
    stands : Standing
        Of the part.
    through : int
        The axis square to the outline; what corners say along it does not count.
    where : Where
        The outline's place in the file.

    Returns
    -------
    outline : Polygon
        Valid, with an area.

    Raises
    ------
    SceneError
        Fewer than three corners, two in one place, or sides that cross or fold back.
    """
    if len(positions) < 3:
        raise where.wrong(f"an outline of {len(positions)} corners", "three or more", "add the others")
    axes = list(outline_axes(through)[:2])
    corners = np.array(
        [stands.in_part(p, where.at(i), seen_from=at)[axes] for i, p in enumerate(positions)], np.float64
    )
    gaps = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    for index in np.flatnonzero(gaps <= COINCIDE_MM):
        raise where.at(int(index)).wrong(
            f"this corner and the next lie in one place, {as_mm(gaps[index])} apart",
            "corners apart from each other",
            "leave one of them out",
        )
    outline = Polygon(corners)
    if not outline.is_valid or outline.area <= COINCIDE_MM:
        raise where.wrong(
            f"an outline whose sides cross, touch or fold back ({explain_validity(outline)})",
            "corners in order round it, so that no two sides meet but at their common corner",
            "put the corners in order",
        )
    return orient(outline)

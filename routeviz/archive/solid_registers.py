"""Of what form is what stands in the case? Every convex piece of it, enough to reckon distances by hand."""

from collections.abc import Iterator
from itertools import pairwise

from routeviz.archive.columns import (
    direction,
    direction_fields,
    length_field,
    mm,
    point,
    point_fields,
    size_field,
)
from routeviz.archive.registers import Field, Register, Value
from routeviz.cabinet.solids import Solid
from routeviz.lay import Lay

SOLID_FIELDS = (
    Field(name="solid", about="The solid or space that it is a piece of."),
    Field(name="piece", about="Its number there, from 1.", kind="whole"),
    Field(
        name="form",
        about="Whether it is bounded by corners, in solid-corners, or round.",
        one_of=("outline", "disc"),
    ),
    *point_fields("origin", "The piece's own zero, half way through its thickness, at rest"),
    *direction_fields("first", "Its first axis, along which u counts"),
    *direction_fields("second", "Its second axis, along which v counts"),
    *direction_fields("third", "Its third axis, through its thickness"),
    size_field("half", "Half its thickness, to each side of its zero; 0 for a triangle of a mesh."),
    size_field("radius", "Radius of a disc about its zero.", required=False),
)
CORNER_FIELDS = (
    Field(name="solid", about="The solid or space."),
    Field(name="piece", about="The number of its piece.", kind="whole"),
    Field(
        name="corner",
        about="Its number, from 1, anticlockwise seen from where the third axis points.",
        kind="whole",
    ),
    length_field("u", "How far along the piece's first axis."),
    length_field("v", "How far along the piece's second axis."),
)


def solids_register(lay: Lay) -> Register:
    """Return every convex piece of every solid and space, at rest."""
    return Register(
        name="solids",
        title="The form of parts",
        about="A convex piece at rest; a solid or space is everything in any of its pieces.",
        fields=SOLID_FIELDS,
        rows=tuple(_pieces(lay)),
        key=("solid", "piece"),
        refers={"solid": ("parts", "name")},
    )


def solid_corners_register(lay: Lay) -> Register:
    """Return the corners of every convex piece that has any."""
    return Register(
        name="solid-corners",
        title="Corners of pieces",
        about="A corner of a convex piece's outline, in the piece's own axes.",
        fields=CORNER_FIELDS,
        rows=tuple(_corners(lay)),
        key=("solid", "piece", "corner"),
        refers={"solid": ("parts", "name")},
    )


def _every(lay: Lay) -> tuple[Solid, ...]:
    return (*lay.cabinet.solids, *lay.cabinet.keep_clear)


def _pieces(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for solid in _every(lay):
        pieces = solid.pieces
        for k, half in enumerate(pieces.halves.tolist()):
            is_disc = pieces.begins[k] == pieces.begins[k + 1]
            yield (
                solid.name,
                k + 1,
                "disc" if is_disc else "outline",
                *point(pieces.origins[k]),
                *direction(pieces.rotations[k][:, 0]),
                *direction(pieces.rotations[k][:, 1]),
                *direction(pieces.rotations[k][:, 2]),
                mm(half),
                mm(float(pieces.radii[k])) if is_disc else None,
            )


def _corners(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for solid in _every(lay):
        begins, corners = solid.pieces.begins.tolist(), solid.pieces.corners.tolist()
        for k, (begin, end) in enumerate(pairwise(begins), start=1):
            for number, (u, v) in enumerate(corners[begin:end], start=1):
                yield solid.name, k, number, mm(u), mm(v)

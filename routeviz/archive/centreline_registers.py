"""Where each tube goes, as registers: corners, the pieces that follow from them, and points taped on it."""

import math
from collections.abc import Iterator

from routeviz.archive.columns import (
    degrees,
    direction,
    direction_fields,
    length_field,
    mm,
    point,
    point_fields,
    size_field,
)
from routeviz.archive.registers import Field, Register, Value
from routeviz.lay import Lay
from routeviz.tubes.taped import misses_mm

CORNER_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(name="order", about="First, second and so on from its start; both ends count.", kind="whole"),
    *point_fields("", "The corner"),
    size_field(
        "radius",
        "Radius of the arc that rounds it; empty at an end and where there is no turn.",
        required=False,
    ),
)
PIECE_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(name="piece", about="First, second and so on from its start.", kind="whole"),
    Field(name="kind", about="A straight line, or an arc of a circle.", one_of=("straight", "arc")),
    *point_fields("start", "Its first point"),
    *direction_fields("tangent", "The way in which it starts"),
    *direction_fields("normal", "From the first point towards the middle of an arc's circle", required=False),
    size_field("radius", "Radius of an arc.", required=False),
    Field(
        name="turn_deg",
        about="Angle by which an arc turns.",
        kind="number",
        unit="deg",
        required=False,
    ),
    size_field("length", "Its length; of an arc, along the arc."),
    length_field("along", "How far along the whole centreline it starts."),
)
MEASURED_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(name="order", about="First, second and so on from its start.", kind="whole"),
    *point_fields("", "The point, as taped"),
    size_field("off", "How far from it the centreline passes that was inferred from such points."),
    length_field("along", "How far along the centreline that is."),
)


def corners_register(lay: Lay) -> Register:
    """Return the corners of each tube's route, with the radius at each."""
    return Register(
        name="corners",
        title="Corners of tubes",
        about="A corner of the polyline that a tube's centreline follows; both ends are corners too.",
        fields=CORNER_FIELDS,
        rows=tuple(_corners(lay)),
        key=("tube", "order"),
        refers={"tube": ("tubes", "tube")},
    )


def centreline_pieces_register(lay: Lay) -> Register:
    """Return the straight pieces and arcs of each tube's centreline."""
    return Register(
        name="centreline-pieces",
        title="Pieces of centrelines",
        about="A straight piece or an arc of a tube's centreline; each begins where the one before it ends.",
        fields=PIECE_FIELDS,
        rows=tuple(_pieces(lay)),
        key=("tube", "piece"),
        refers={"tube": ("tubes", "tube")},
    )


def measured_points_register(lay: Lay) -> Register:
    """Return the points that were taped on tubes, apart from the centrelines fitted to them."""
    return Register(
        name="measured-points",
        title="Points measured on tubes",
        about="A point taped on a tube: this is what was found. The centreline is inferred from such points, "
        "and was let pass beside each by up to the limit survey.",
        fields=MEASURED_FIELDS,
        rows=tuple(_measured(lay)),
        key=("tube", "order"),
        refers={"tube": ("tubes", "tube")},
    )


def _corners(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for tube in lay.tubes:
        if tube.corners is not None and tube.radii is not None:
            radii = [None, *tube.radii.tolist(), None]
            for order, (corner, radius) in enumerate(zip(tube.corners, radii, strict=True), start=1):
                yield tube.name, order, *point(corner), mm(radius) or None


def _pieces(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for tube in lay.tubes:
        if tube.curve is not None:
            curve = tube.curve
            for k, bend in enumerate(curve.curvatures.tolist()):
                is_arc, length = bend > 0, float(curve.lengths[k])
                yield (
                    tube.name,
                    k + 1,
                    "arc" if is_arc else "straight",
                    *point(curve.starts[k]),
                    *direction(curve.tangents[k]),
                    *direction(curve.normals[k] if is_arc else None),
                    mm(1 / bend) if is_arc else None,
                    degrees(math.degrees(bend * length)) if is_arc else None,
                    mm(length),
                    mm(float(curve.begins[k])),
                )


def _measured(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for tube in lay.tubes:
        if tube.measured is not None and tube.curve is not None:
            misses, alongs = misses_mm(tube.curve, tube.measured)
            rows = zip(tube.measured, misses.tolist(), alongs.tolist(), strict=True)
            for order, (place, miss, along) in enumerate(rows, start=1):
                yield tube.name, order, *point(place), mm(miss), mm(along)

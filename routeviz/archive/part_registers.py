"""What stands in the case, as registers: parts, how they move, and the nipples that they carry.

Of what form they are is in solid_registers.py, what tubes go through in passage_registers.py.
"""

from collections.abc import Iterator

from routeviz.archive.columns import (
    NOWHERE,
    degrees,
    direction,
    direction_fields,
    joined_names,
    mm,
    point,
    point_fields,
    size_field,
)
from routeviz.archive.registers import Field, Register, Value
from routeviz.cabinet.motions import Fixed, Hinge, Movement, Sliding
from routeviz.cabinet.solids import Solid, asked_mm
from routeviz.lay import Lay
from routeviz.scene.doubts import LEAST_SURE_FIRST
from routeviz.scene.positions import dotted
from routeviz.scene.reading import Reading, status_of_part, values_at

PART_FIELDS = (
    Field(name="name", about="Its name, unlike any other's; a single key or copy has its number."),
    Field(name="part", about="The part of the scene that it is, or is one of."),
    Field(name="kind", about="What it is; nothing may lie in a keep_clear space."),
    Field(name="look", about="What it is made of, as far as that was said.", required=False),
    Field(name="moves", about="Whether it moves; how, stands in motions.", kind="yes or no"),
    size_field("asks", "Clearance that tubes keep from it: the general one or its own, whichever is more."),
    size_field("own_clearance", "Clearance that it asks for itself.", required=False),
    *direction_fields("comes_out", "Way in which it is taken out", required=False),
    Field(name="why", about="Why a space is kept clear.", required=False),
    Field(
        name="tested_inside",
        about="Whether a tube inside it is noticed; false for an open mesh, known by its surface alone.",
        kind="yes or no",
    ),
    Field(name="pieces", about="How many pieces it is made of in solids.", kind="whole"),
    Field(
        name="least_sure_status",
        about="How the least sure of its measures is known, not all of it; empty where nobody said. All of "
        "them stand in dimensions.",
        required=False,
        one_of=LEAST_SURE_FIRST,
    ),
    Field(
        name="least_sure",
        about="Which of its measures these are, as they stand under key in dimensions; empty where all of "
        "them are known alike.",
        required=False,
    ),
)
MOTION_FIELDS = (
    Field(name="solid", about="What moves."),
    Field(name="kind", about="How: about an axis, or along a line.", one_of=("hinge", "slide")),
    *point_fields("axis", "A point of the hinge's axis", required=False),
    *direction_fields("way", "The hinge's axis, about which it turns right-handed, or the slide's direction"),
    Field(
        name="full_deg",
        about="Angle from rest to full travel, doubt counted in; negative turns left-handed.",
        kind="number",
        unit="deg",
        required=False,
    ),
    size_field("full", "Way from rest to full travel, doubt counted in.", required=False),
)
NIPPLE_FIELDS = (
    Field(name="nipple", about="Its name: what it belongs to, and its number there."),
    Field(name="part", about="The part that it belongs to."),
    Field(name="number", about="Its number there.", kind="whole"),
    *point_fields("tip", "Middle of its tip, where a tube's centreline begins or ends"),
    *direction_fields("way", "The way in which a tube leaves it"),
    size_field("outside", "Its outside diameter."),
    size_field("on_nipple", "Length of tube that goes over it, back from the tip."),
    Field(name="carrier", about="The solid that carries it; empty where none does.", required=False),
)


def parts_register(lay: Lay) -> Register:
    """Return every solid and every space to be kept clear, and parts that are nothing but nipples."""
    cabinet = lay.cabinet
    rows = [_part(solid, asked_mm(cabinet, solid)) for solid in cabinet.solids]
    rows += [_part(space, space.clearance_mm or 0.0) for space in cabinet.keep_clear]
    asks = mm(cabinet.limits.fixed_mm)
    rows += [
        (name, part, kind, None, False, asks, None, *NOWHERE, None, False, 0)
        for name, part, kind in _bodiless(lay)
    ]
    parts = [str(part) for _, part, *_ in rows]
    known = {part: _least_sure(lay.reading, part) for part in dict.fromkeys(parts)}
    return Register(
        name="parts",
        title="Parts",
        about="A thing in the case: a board, a single key, a space to be kept clear, a row of nipples.",
        fields=PART_FIELDS,
        rows=tuple((*row, *known[part]) for row, part in zip(rows, parts, strict=True)),
        key=("name",),
    )


def motions_register(lay: Lay) -> Register:
    """Return how each solid or space moves that does."""
    every = (*lay.cabinet.solids, *lay.cabinet.keep_clear)
    moving = [one for one in every if not isinstance(one.movement, Fixed)]
    return Register(
        name="motions",
        title="How parts move",
        about="A solid or space that moves, between rest, as solids has it, and full travel.",
        fields=MOTION_FIELDS,
        rows=tuple((solid.name, *_motion(solid.movement)) for solid in moving),
        key=("solid",),
        refers={"solid": ("parts", "name")},
    )


def nipples_register(lay: Lay) -> Register:
    """Return every nipple."""
    cabinet = lay.cabinet
    rows = tuple(
        (
            one.name,
            one.part,
            one.number,
            *point(one.tip),
            *direction(one.direction),
            mm(one.outside_mm),
            mm(one.on_nipple_mm),
            None if one.carrier is None else cabinet.solids[one.carrier].name,
        )
        for one in cabinet.nipples.values()
    )
    return Register(
        name="nipples",
        title="Nipples",
        about="A nipple: what a tube's end is pushed over.",
        fields=NIPPLE_FIELDS,
        rows=rows,
        key=("nipple",),
        refers={"carrier": ("parts", "name")},
    )


def _least_sure(reading: Reading, part: str) -> tuple[Value, Value]:
    """Return the status of those measures of a part that are least sure, and which they are."""
    keys, least = values_at(reading, ("part", part)), status_of_part(reading, part)
    these = [key for key in keys if reading.doubt_at(key).status == least]
    told = None if least is None or len(these) == len(keys) else joined_names([dotted(key) for key in these])
    return least, told


def _part(solid: Solid, asks_mm: float) -> tuple[Value, ...]:
    return (
        solid.name,
        solid.part,
        solid.kind,
        solid.look,
        not isinstance(solid.movement, Fixed),
        mm(asks_mm),
        mm(solid.clearance_mm),
        *direction(solid.comes_out),
        solid.why,
        solid.tested_inside,
        len(solid.pieces.halves),
    )


def _bodiless(lay: Lay) -> Iterator[tuple[str, str, str]]:
    """Return parts and copies that are nothing but nipples, and tees and couplers without a place.

    Each with its name, the scene's part that it is of, and its kind.
    """
    cabinet, parts = lay.cabinet, lay.reading.scene.part
    bodies = {solid.name for solid in (*cabinet.solids, *cabinet.keep_clear)}
    bodies |= {solid.part for solid in (*cabinet.solids, *cabinet.keep_clear)}
    for name in dict.fromkeys(one.part for one in cabinet.nipples.values()):
        if name not in bodies:
            yield name, name if name in parts else name.rpartition(" ")[0], "nipples"
    for name in cabinet.without_place:
        yield name, name, parts[name].kind


def _motion(movement: Movement) -> tuple[Value, ...]:
    match movement:
        case Hinge(point=place, axis=axis, full_deg=full_deg):
            return "hinge", *point(place), *direction(axis), degrees(full_deg), None
        case Sliding(direction=way, full_mm=full_mm):
            return "slide", *NOWHERE, *direction(way), None, mm(full_mm)
        case Fixed():
            raise ValueError("what stands still has no motion")

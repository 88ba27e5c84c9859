"""What tubes go through, as registers: passages, their outlines, and what goes through each."""

from collections.abc import Iterator

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
from routeviz.lay import Lay

PASSAGE_FIELDS = (
    Field(name="passage", about="Its name; an opening in a board has the board's name before its own."),
    *point_fields("origin", "Middle of the rectangle round its outline, half way through its thickness"),
    *direction_fields("first", "First direction of its outline, along which u counts"),
    *direction_fields("second", "Second direction of its outline, along which v counts"),
    *direction_fields("through", "The way through, square to both"),
    size_field("thick", "Its thickness along the way through, half to each side of the origin."),
    Field(name="most", about="How many tubes the fitter will put through.", kind="whole", required=False),
    Field(name="board", about="The board that it is cut in; empty for a gap.", required=False),
)
CORNER_FIELDS = (
    Field(name="passage", about="The passage."),
    Field(
        name="corner",
        about="Its number, from 1, anticlockwise seen from where the way through points.",
        kind="whole",
    ),
    length_field("u", "How far along the first direction."),
    length_field("v", "How far along the second direction."),
)
USE_FIELDS = (
    Field(name="passage", about="The passage."),
    Field(name="tubes", about="How many tubes go through.", kind="whole"),
    Field(
        name="found",
        about="So many of the thickest of them do fit, by a packing that was tried; where that is no fewer "
        "than go through, no other packing was looked for, and more may fit, up to bound.",
        kind="whole",
        required=False,
    ),
    Field(
        name="bound",
        about="How many fit at most, whatever the packing.",
        kind="whole",
        required=False,
    ),
    Field(name="most", about="How many tubes the fitter will put through.", kind="whole", required=False),
    size_field("outside", "Outside diameter of the thickest that goes through.", required=False),
)


def passages_register(lay: Lay) -> Register:
    """Return every passage."""
    rows = tuple(
        (
            one.name,
            *point(one.origin),
            *direction(one.axes[0]),
            *direction(one.axes[1]),
            *direction(one.axes[2]),
            mm(one.thick_mm),
            one.most,
            None if one.solid is None else lay.cabinet.solids[one.solid].name,
        )
        for one in lay.cabinet.passages.values()
    )
    return Register(
        name="passages",
        title="Passages",
        about="An opening or gap that tubes go through.",
        fields=PASSAGE_FIELDS,
        rows=rows,
        key=("passage",),
        refers={"board": ("parts", "name")},
    )


def passage_corners_register(lay: Lay) -> Register:
    """Return the corners of each passage's outline; a round one is written as many."""
    return Register(
        name="passage-corners",
        title="Corners of passages",
        about="A corner of a passage's outline; a round outline is written as a polygon within it.",
        fields=CORNER_FIELDS,
        rows=tuple(_corners(lay)),
        key=("passage", "corner"),
        refers={"passage": ("passages", "passage")},
    )


def passage_use_register(lay: Lay) -> Register:
    """Return what goes through each passage, and what it holds."""
    uses = {use.passage: use for use in lay.measured.passages}
    rows: list[tuple[Value, ...]] = []
    for passage in lay.cabinet.passages.values():
        use = uses.get(passage.name)
        if use is None:
            rows.append((passage.name, 0, None, None, passage.most, None))
        else:
            row = (len(use.tubes), use.found, use.bound, passage.most, mm(use.outside_mm))
            rows.append((passage.name, *row))
    return Register(
        name="passage-use",
        title="What passages hold",
        about="A passage with what goes through it. Which tubes these are stands in tube-passages, under "
        "goes_through.",
        fields=USE_FIELDS,
        rows=tuple(rows),
        key=("passage",),
        refers={"passage": ("passages", "passage")},
    )


def _corners(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for passage in lay.cabinet.passages.values():
        for number, (u, v) in enumerate(passage.outline.tolist(), start=1):
            yield passage.name, number, mm(u), mm(v)

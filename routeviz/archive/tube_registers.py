"""What each tube is, as registers: its ends, its length to the millimetre, its passages, its ties.

Where its centreline goes is in centreline_registers.py, how near it comes to what in clearance_registers.py.
"""

from collections.abc import Iterator

import numpy as np

from routeviz.archive.columns import NOWHERE, joined_names, length_field, mm, point, point_fields, size_field
from routeviz.archive.registers import Field, Register, Value
from routeviz.geometry.curves import points_along
from routeviz.lay import Lay
from routeviz.records.cut_lengths import expected_lengths, over_nipples_mm, steps_of
from routeviz.records.settings import Settings
from routeviz.records.tables import mm_up
from routeviz.records.tube_ends import told_ends
from routeviz.scene.doubts import LEAST_SURE_FIRST
from routeviz.tubes.measured import Crossing
from routeviz.tubes.routes import End, Tube

BASES = ("taped", "drawn", "planned", "hidden", "none")
SETTINGS = Settings()  # what the sheets take where nobody asks for anything else

TUBE_FIELDS = (
    Field(name="tube", about="Its name, unlike any other's."),
    Field(name="tag", about="What is written on the tag tied to both its ends."),
    Field(name="label", about="What was found written on it.", required=False),
    Field(name="from", about="What its start is on, or what is known of that end."),
    Field(name="to", about="What its end is on, or what is known of that end."),
    Field(name="from_nipple", about="The nipple at its start; empty where there is none.", required=False),
    Field(name="to_nipple", about="The nipple at its end; empty where there is none.", required=False),
    *point_fields("from", "Where its centreline starts, if that is known", required=False),
    *point_fields("to", "Where its centreline ends, if that is known", required=False),
    Field(name="tubing", about="The kind of tube that it is cut from."),
    size_field("outside", "Outside diameter of that."),
    size_field("bore", "Inside diameter of that."),
    Field(
        name="carries",
        about="What it carries; empty where nobody said: the program then takes it for a signal.",
        required=False,
    ),
    Field(name="through", about="The passages that it is meant to go through, in order.", required=False),
    Field(
        name="basis",
        about="What its centreline rests on. taped: a line fitted to points taped on the tube, see "
        "measured-points; drawn: corners that the scene gives; planned: laid by the program, nobody has seen "
        "it so; hidden: it cannot be seen; none: nobody knows its way.",
        one_of=BASES,
    ),
    Field(
        name="status",
        about="How the least sure of its own figures in dimensions is known; empty where nobody said, and "
        "where it was planned.",
        required=False,
        one_of=LEAST_SURE_FIRST,
    ),
    size_field("centreline", "Length of its centreline from tip to tip.", required=False),
    size_field(
        "over_from",
        "Length that goes over the nipple at its start; empty as cut_mm is.",
        required=False,
    ),
    size_field("over_to", "Length that goes over the nipple at its end.", required=False),
    size_field("spare", "What is to be left over at a loose end.", required=False),
    size_field("step", "Added so that loose ends that wait for one unit differ.", required=False),
    size_field(
        "cut",
        "Length to cut: centreline, both nipples, spare and step together; empty of a tube that is not laid: "
        "order-of-work tells why.",
        required=False,
    ),
    Field(
        name="cut_up_mm",
        about="The same up to the next whole millimetre, as on the sheets.",
        kind="whole",
        unit="mm",
        required=False,
        least=0,
    ),
    size_field("tightest_bend", "Least radius of its centreline; empty if straight.", required=False),
    size_field("tightest_along", "How far along the middle of that bend is.", required=False),
    size_field(
        "least_bend",
        "Least radius that its tubing allows, to the centreline: tighter is a fault; empty where none is "
        "known or where it may not be bent at all. What vacuum asks: least_bend_at_vacuum_mm in tubing.",
        required=False,
    ),
    size_field("found_length", "Its own length as cut or found, end to end.", required=False),
    Field(name="waits_for", about="What a loose end waits for.", required=False),
    Field(name="stage", about="From which stage of the work on it lies there.", required=False),
    Field(name="note", about="A remark.", required=False),
    Field(name="hidden", about="Words for a run that cannot be seen.", required=False),
)
PASSAGE_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(name="passage", about="The passage."),
    Field(
        name="named",
        about="Whether it is meant to go through it, as through in tubes has it.",
        kind="yes or no",
    ),
    Field(
        name="order",
        about="First, second and so on of those that are meant, from its start.",
        kind="whole",
        required=False,
    ),
    Field(
        name="goes_through",
        about="Whether the centreline does go through, more often one way than the other; empty without a "
        "centreline.",
        kind="yes or no",
        required=False,
    ),
    length_field(
        "margin_low", "Distance of its wall from the rim, at least; negative if not free.", required=False
    ),
    length_field("margin_high", "The same, at most.", required=False),
    length_field("along", "How far along it goes through, or comes nearest.", required=False),
    *point_fields("", "The same place", required=False),
)
TIE_FIELDS = (
    Field(name="tube", about="The tube."),
    Field(name="order", about="First, second and so on from its start.", kind="whole"),
    length_field("along", "How far along its centreline the middle of the tie is."),
    Field(name="to", about="The part or solid that it is held to; bundle for other tubes."),
    *point_fields("", "The same place", required=False),
)


def tubes_register(lay: Lay) -> Register:
    """Return every tube, in the scene's order."""
    lengths, steps, ends = expected_lengths(lay, SETTINGS), steps_of(lay), told_ends(lay)
    said = {wire.name for wire in lay.reading.wires if "carries" in wire.entry.model_fields_set}
    rows = []
    for index, tube in enumerate(lay.tubes):
        known = tube.curve is not None
        rows.append(
            (
                *_names(tube, ends[index]),
                *_ends(tube, lay),
                *_make(tube, tube.carries if tube.name in said else None),
                mm(float(lay.measured.lengths_mm[index])) if known else None,
                *_cut(tube, lay, steps[index], lengths[index]),
                *_bends(index, tube, lay),
                mm(tube.cut_mm),
                *(tube.waits_for, tube.stage, tube.note, tube.hidden),
            )
        )
    return Register(
        name="tubes",
        title="Tubes",
        about="A tube: one length of tubing from end to end.",
        fields=TUBE_FIELDS,
        rows=tuple(rows),
        key=("tube",),
        refers={
            "from_nipple": ("nipples", "nipple"),
            "to_nipple": ("nipples", "nipple"),
            "tubing": ("tubing", "tubing"),
            "stage": ("stages", "stage"),
        },
    )


def tube_passages_register(lay: Lay) -> Register:
    """Return through which passages each tube goes or is meant to go: these first, in order."""
    return Register(
        name="tube-passages",
        title="Which tube goes through which passage",
        about="A passage that a tube goes through, meant or not, or is meant to go through and does not.",
        fields=PASSAGE_FIELDS,
        rows=tuple(_passages(lay)),
        key=("tube", "passage"),
        refers={"tube": ("tubes", "tube"), "passage": ("passages", "passage")},
    )


def ties_register(lay: Lay) -> Register:
    """Return what holds the tubes between their ends."""
    return Register(
        name="ties",
        title="Ties",
        about="A tie that holds a tube between its ends.",
        fields=TIE_FIELDS,
        rows=tuple(_ties(lay)),
        key=("tube", "order"),
        refers={"tube": ("tubes", "tube")},
    )


def _names(tube: Tube, ends: tuple[str, str]) -> tuple[Value, ...]:
    return tube.name, tube.tag, tube.label, *ends


def _ends(tube: Tube, lay: Lay) -> tuple[Value, ...]:
    nipples = [_on(end, lay) for end in (tube.start, tube.end)]
    return *nipples, *point(tube.start.point), *point(tube.end.point)


def _on(end: End, lay: Lay) -> str | None:
    return end.nipple if end.nipple in lay.cabinet.nipples else None


def _make(tube: Tube, carries: str | None) -> tuple[Value, ...]:
    kind = tube.kind
    through = joined_names(tube.through, ", then ")
    return kind.name, mm(kind.outside_mm), mm(kind.bore_mm), carries, through, _basis(tube), tube.status


def _basis(tube: Tube) -> str:
    if tube.curve is None:
        return "none" if tube.hidden is None else "hidden"
    if tube.planned:
        return "planned"
    return "drawn" if tube.measured is None else "taped"


def _cut(tube: Tube, lay: Lay, steps: int, length: float | None) -> tuple[Value, ...]:
    """Return of what a length to cut is made up, and the length itself; nothing where none is to be cut."""
    if length is None:
        return None, None, None, None, None, None
    return *_over(tube, lay), mm(tube.spare_mm), mm(steps * SETTINGS.step_mm), mm(length), mm_up(length)


def _over(tube: Tube, lay: Lay) -> tuple[Value, Value]:
    """Return what goes over the nipple at the start, and at the end; nothing over one that is not there."""
    over = iter(over_nipples_mm(lay, tube, SETTINGS))
    first, last = (next(over) if _on(end, lay) else 0.0 for end in (tube.start, tube.end))
    return mm(first), mm(last)


def _bends(index: int, tube: Tube, lay: Lay) -> tuple[Value, ...]:
    least = lay.measured.least_bends.get(tube.kind.name)
    allowed = None if least is None else mm(least.radius_mm)
    bend = lay.measured.bends[index]
    if bend is None or not np.isfinite(bend.radius_mm):
        return None, None, allowed
    return mm(bend.radius_mm), mm(bend.along_mm), allowed


def _passages(lay: Lay) -> Iterator[tuple[Value, ...]]:
    crossings = {(one.tube, one.passage): one for one in lay.measured.crossings}
    for index, tube in enumerate(lay.tubes):
        meant = list(dict.fromkeys(tube.through))
        for order, passage in enumerate(meant, start=1):
            yield tube.name, passage, True, order, *_crossing(crossings.get((index, passage)))
        others = [one for one in lay.measured.crossings if one.tube == index and not one.named]
        for one in sorted(others, key=lambda other: other.along_mm):
            yield tube.name, one.passage, False, None, *_crossing(one)


def _crossing(one: Crossing | None) -> tuple[Value, ...]:
    if one is None:
        return None, None, None, None, *NOWHERE
    margins = (one.margin_low_mm, one.margin_high_mm) if one.net else (None, None)
    return one.net != 0, *map(mm, margins), mm(one.along_mm), *point(one.point)


def _ties(lay: Lay) -> Iterator[tuple[Value, ...]]:
    for tube in lay.tubes:
        for order, tie in enumerate(tube.ties, start=1):
            place = None if tube.curve is None else points_along(tube.curve, [tie.along_mm])[0]
            yield tube.name, order, mm(tie.along_mm), tie.to, *point(place)

"""Which ends wait, where, for what; and what is known of ends that are missing, cut, blocked or unknown."""

from routeviz.lay import Lay
from routeviz.records.cut_lengths import expected_lengths, steps_of
from routeviz.records.marks import marks_of
from routeviz.records.settings import SOURCES, Settings
from routeviz.records.tables import Cell, Column, Table, inches_up, mm_up
from routeviz.tubes.routes import NO_PLACE, End, Tube
from routeviz.views.work_ends import end_name

COLUMNS = (
    Column(name="tag", title="tag", share=0.6),
    Column(name="tube", title="tube", share=1.5),
    Column(name="joined", title="its other end is on", share=1.6),
    Column(name="state", title="this end is", share=0.9),
    Column(name="waits_for", title="waits for", share=2.2),
    Column(name="right_mm", title="right", unit="mm", share=0.6, align="right"),
    Column(name="back_mm", title="back", unit="mm", share=0.6, align="right"),
    Column(name="up_mm", title="up", unit="mm", share=0.6, align="right"),
    Column(name="spare_mm", title="spare", unit="mm", share=0.7, align="right"),
    Column(name="step", title="steps longer", share=0.7, align="right"),
    Column(name="length_mm", title="expected length", unit="mm", share=0.9, align="right"),
    Column(name="length_in", title="expected length", unit="in", share=0.9, align="right"),
    Column(name="mark", title="marked because", share=1.5),
)


def loose_ends(lay: Lay, settings: Settings) -> Table:
    """Return every end that is on no nipple, in the scene's order.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        By how much ends that wait for one unit differ.

    Returns
    -------
    table : Table
        Positions are those of the end of the drawn way, before what is spare.
    """
    lengths, marks, steps = expected_lengths(lay, settings), marks_of(lay), steps_of(lay)
    rows = tuple(
        (*_where(tube, end, other), steps[k], *_length(lengths[k]), marks[k])
        for k, tube in enumerate(lay.tubes)
        for end, other in ((tube.start, tube.end), (tube.end, tube.start))
        if is_open(end)
    )
    notes = (
        "Right, back and up: from the case's zero, where the drawn way ends; the spare goes on from there.",
        f"{SOURCES['step_mm']}; here {settings.step_mm:g} mm, told by the number of steps and in the length.",
        "Close each end that waits, and tie its tag to it: an open end is a leak.",
    )
    return Table(name="loose-ends", title="Loose ends", columns=COLUMNS, rows=rows, notes=notes)


def is_open(end: End) -> bool:
    """Return whether an end is on no nipple: it waits, or is unknown, missing, cut or blocked."""
    return end.nipple is None and end.state != NO_PLACE


def _where(tube: Tube, end: End, other: End) -> tuple[Cell, ...]:
    at: list[Cell] = [None] * 3 if end.point is None else [round(float(mm)) for mm in end.point]
    waits = tube.waits_for if end.state == "loose" else None
    return (
        tube.tag,
        tube.name,
        end_name(other),
        end.state,
        waits or "",
        *at,
        mm_up(tube.spare_mm) if end.state == "loose" else None,
    )


def _length(mm: float | None) -> tuple[Cell, Cell]:
    return (None, None) if mm is None else (mm_up(mm), inches_up(mm))

"""Which tubes are there, from where to where, of what, through what, and how long are they to be expected?"""

from collections import Counter

from routeviz.lay import Lay
from routeviz.records.cut_lengths import expected_lengths, over_nipples_mm
from routeviz.records.marks import marks_of
from routeviz.records.settings import SOURCES, Settings
from routeviz.records.tables import Column, Table, inches_up, mm_up
from routeviz.views.listing import counted_tubes
from routeviz.views.work_ends import end_name
from routeviz.views.work_left import left_of

COLUMNS = (
    Column(name="tag", title="tag", share=0.6),
    Column(name="tube", title="tube", share=1.8),
    Column(name="from", title="from", share=1.8),
    Column(name="to", title="to", share=1.8),
    Column(name="tubing", title="tubing", share=1.2),
    Column(name="through", title="through", share=2.2),
    Column(name="length_mm", title="expected length", unit="mm", share=0.9, align="right"),
    Column(name="length_in", title="expected length", unit="in", share=0.9, align="right"),
    Column(name="mark", title="marked because", share=2.0),
)


def tube_list(lay: Lay, settings: Settings) -> Table:
    """Return every tube once, in the scene's order; one that is not laid or at fault is marked.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        What is added to the centreline.

    Returns
    -------
    table : Table
        Both roundings of a length are never short of it.
    """
    lengths, marks = expected_lengths(lay, settings), marks_of(lay)
    rows = tuple(
        (
            tube.tag,
            tube.name,
            end_name(tube.start),
            end_name(tube.end),
            tube.kind.name,
            ", then ".join(tube.through),
            None if length is None else mm_up(length),
            None if length is None else inches_up(length),
            mark,
        )
        for tube, length, mark in zip(lay.tubes, lengths, marks, strict=True)
    )
    return Table(name="tube-list", title="Tube list", columns=COLUMNS, rows=rows, notes=_notes(lay, settings))


def _notes(lay: Lay, settings: Settings) -> tuple[str, ...]:
    bare = sum(left is not None for left in left_of(lay))
    return (
        "Expected length: the centreline, what goes over each nipple, what is left over at a loose end"
        f"{', and trim' if settings.trim_mm else ''}. Cut in place; the length is there to notice a tube "
        "that went another way.",
        _over(lay, settings),
        f"trim: {settings.trim_mm:g} mm on each tube" if settings.trim_mm else SOURCES["trim_mm"],
        "Rounded up, never short: to the next whole millimetre, and to the next 1/16 in; the two columns are "
        "rounded each from the length itself, so they may differ by a sixteenth.",
        *([f"{counted_tubes(bare)} without a length: see the last column"] if bare else []),
    )


def _over(lay: Lay, settings: Settings) -> str:
    """Return what went over the nipples, by how many, and who says so."""
    if settings.over_nipple_mm is not None:
        return f"over each nipple: {settings.over_nipple_mm:g} mm, as asked for"
    every = Counter(round(mm, 1) for tube in lay.tubes for mm in over_nipples_mm(lay, tube, settings))
    told = ", ".join(f"{mm:g} mm on {count}" for mm, count in sorted(every.items(), key=lambda one: -one[1]))
    return f"{SOURCES['over_nipple_mm']}; here: {told or 'no nipples'}"

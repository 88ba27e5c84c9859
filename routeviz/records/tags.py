"""What stands on the tags: the same number at both ends of a tube, here and there told each way."""

from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.marks import marks_of
from routeviz.records.tables import Column, Table, Tick
from routeviz.records.tube_ends import joins_of, nets_of, told_ends
from routeviz.tubes.routes import Tube
from routeviz.views.work_left import left_of

COLUMNS = (
    Column(name="tied", title="tied", share=0.4, align="centre"),
    Column(name="tag", title="tag", share=0.6),
    Column(name="one_end", title="one end: on", share=1.8),
    Column(name="other_end", title="other end: on", share=1.8),
    Column(name="tube", title="tube", share=1.6),
    Column(name="carries", title="carries", share=1.0),
    Column(name="meant_for", title="for", share=2.0),
    Column(name="old_label", title="old label, left on", share=1.2),
    Column(name="mark", title="marked because", share=1.4),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """A tag, tied near one end of a tube.

    Parameters
    ----------
    number : str
        The tube's; the same on its two tags.
    here, there : str
        What this end is on, and what the other one is on.
    tube : str
        The tube's name.
    meant_for : str
        What a loose end waits for, or what is reached by way of tees; else empty.
    loose : bool
        Whether this end waits.
    left : str
        Why the tube is not laid: that it stays as it lies, or is traced first; empty for one that is.
    """

    number: str
    here: str
    there: str
    tube: str
    meant_for: str
    loose: bool
    left: str


def tags_of(lay: Lay) -> tuple[Tag, ...]:
    """Return two tags a tube, the start's first, in the scene's order."""
    tags = []
    every = zip(lay.tubes, told_ends(lay), _reached(lay), left_of(lay), strict=True)
    for tube, ends, reached, left in every:
        meant = _meant(tube, reached)
        for here, there in (ends, ends[::-1]):
            tags.append(
                Tag(
                    number=tube.tag,
                    here=here,
                    there=there,
                    tube=tube.name,
                    meant_for=meant,
                    loose=here == "loose",
                    left=left.says if left else "",
                )
            )
    return tuple(tags)


def tag_list(lay: Lay) -> Table:
    """Return every tube once, with what stands on its two tags."""
    every = zip(lay.tubes, told_ends(lay), _reached(lay), marks_of(lay), strict=True)
    rows = tuple(
        (
            Tick(),
            tube.tag,
            start,
            end,
            tube.name,
            tube.carries,
            _meant(tube, reached),
            tube.label or "",
            mark,
        )
        for tube, (start, end), reached, mark in every
    )
    notes = (
        "The same number at both ends. Old labels are evidence: they stay where they are.",
        "Keep a labelled piece of every tubing that is taken out (CIMCIM Publications 1, 1993).",
    )
    return Table(name="tags", title="Tags", columns=COLUMNS, rows=rows, notes=notes)


def _reached(lay: Lay) -> tuple[str, ...]:
    """Return for each tube what it reaches by way of tees and couplers; empty where it joins none."""
    joins, told = joins_of(lay), [""] * len(lay.tubes)
    for net in nets_of(lay):
        for k in net.tubes if net.joins else ():
            by = ", ".join(f"{joins[name]} {name}" if joins[name] not in name else name for name in net.joins)
            told[k] = f"{', '.join((*net.begins, *net.ends))} by way of {by}"
    return tuple(told)


def _meant(tube: Tube, reached: str) -> str:
    return tube.waits_for or reached or tube.note or ""

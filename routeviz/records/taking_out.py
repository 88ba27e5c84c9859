"""What is pulled, at which end, before a part can come out, and in which order is it put back?"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.marks import marks_of
from routeviz.records.settings import Settings
from routeviz.records.tables import Cell, Column, Table, Tick
from routeviz.records.tube_ends import told_ends
from routeviz.tubes.removal import is_on, leaving_of
from routeviz.tubes.routes import Tube
from routeviz.views.work_left import LEAVE
from routeviz.views.work_order import Step, work_order

COLUMNS = (
    Column(name="part", title="part", share=1.2),
    Column(name="pulled", title="pulled", share=0.4, align="centre"),
    Column(name="turn_out", title="pull, in turn", share=0.6, align="right"),
    Column(name="tag", title="tag", share=0.6),
    Column(name="tube", title="tube", share=1.5),
    Column(name="pull_at", title="pull at", share=1.8),
    Column(name="other_end", title="its other end stays on", share=1.8),
    Column(name="why", title="because", share=1.6),
    Column(name="turn_back", title="put back, in turn", share=0.6, align="right"),
    Column(name="back", title="back", share=0.4, align="centre"),
    Column(name="mark", title="marked because", share=1.4),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A tube that is pulled before a part comes out.

    Parameters
    ----------
    tube : int
        Index.
    at, stays : str
        The end that is pulled, and what the other one is on.
    joined : bool
        Whether it joins the part to what stays; else it lies across the part's way.
    """

    tube: int
    at: str
    stays: str
    joined: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingOut:
    """How a part comes out.

    Parameters
    ----------
    part : str
        The scene's.
    pulls : tuple of Pull
        In the order in which they are pulled: what went in last comes first. They are put back the other
        way round, as they were laid.
    goes_along : tuple of int
        Tubes that go out with it.
    """

    part: str
    pulls: tuple[Pull, ...]
    goes_along: tuple[int, ...]


def takings_out(lay: Lay, settings: Settings) -> tuple[TakingOut, ...]:
    """Return for each part that is to come out which tubes are pulled first, at which end, in which order.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        Where the worker stands.

    Returns
    -------
    takings : tuple of TakingOut
        In the cabinet's order; parts that come out freely among them. A tube that joins the part is pulled
        at the part; one that lies across its way, at the end that went on last, which is easier to reach.
    """
    steps, ends = work_order(lay, settings.side), told_ends(lay)
    turn = {step.tube: number for number, step in enumerate(steps)}
    laid = {step.tube: step for step in steps}
    held: dict[str, list[Pull]] = defaultdict(list)
    for one in lay.measured.trapped:
        part = lay.cabinet.solids[one.solid].part
        held[part].append(_pull(lay, part, laid[one.tube], ends[one.tube], joined=one.joined))
    return tuple(
        TakingOut(
            part=part,
            pulls=tuple(sorted(held[part], key=lambda pull: -turn[pull.tube])),
            goes_along=_along(lay, part, [pull.tube for pull in held[part]]),
        )
        for part in leaving_of(lay.cabinet)
    )


def taking_out(lay: Lay, settings: Settings) -> Table:
    """Return what is pulled for each part that comes out, and in which turn it is put back.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        Where the worker stands.

    Returns
    -------
    table : Table
        A row a tube that is pulled or goes along, part after part.
    """
    takings, marks, ends = takings_out(lay, settings), marks_of(lay), told_ends(lay)
    rows: list[tuple[Cell, ...]] = []
    for taking in takings:
        rows += _rows(lay, taking, marks, ends)
    free = [taking.part for taking in takings if not taking.pulls]
    bare = [tube.tag for tube in lay.tubes if tube.curve is None]
    notes = (
        "Pull what was laid last first; put back in the order in which it was laid. Do not pull by the tube: "
        "push it off with a thumb behind its end. Tags stay on both ends.",
        "A tube across the way is pulled at its easier end and laid aside.",
        *([f"Comes out without pulling a tube: {', '.join(free)}."] if free else []),
        *([] if takings else ["No part of this scene says that it comes out (comes_out)."]),
        *([f"Not known to lie across, as they have no way: tags {', '.join(bare)}."] if bare else []),
    )
    return Table(name="taking-out", title="Taking out", columns=COLUMNS, rows=tuple(rows), notes=notes)


def _pull(lay: Lay, part: str, step: Step, ends: tuple[str, str], *, joined: bool) -> Pull:
    tube = lay.tubes[step.tube]
    at_start = _is_on(lay, tube, part) if joined else not step.at_start
    start, end = ends
    at, stays = (start, end) if at_start else (end, start)
    pulled = tube.start if at_start else tube.end
    if step.left is not None and step.left.what == LEAVE:
        at = f"nowhere: it {step.left.says}"
    elif pulled.nipple is None:
        at = f"nowhere: lay its {at} end aside"
    return Pull(tube=step.tube, at=at, stays=stays, joined=joined)


def _is_on(lay: Lay, tube: Tube, part: str) -> bool:
    """Return whether it is a tube's start that is on a part."""
    return tube.start.nipple is not None and is_on(lay.cabinet, tube.start.nipple, part)


def _along(lay: Lay, part: str, pulled: Sequence[int]) -> tuple[int, ...]:
    return tuple(
        k
        for k, tube in enumerate(lay.tubes)
        if k not in pulled
        and any(end.nipple and is_on(lay.cabinet, end.nipple, part) for end in (tube.start, tube.end))
    )


def _rows(
    lay: Lay, taking: TakingOut, marks: Sequence[str], ends: Sequence[tuple[str, str]]
) -> list[tuple[Cell, ...]]:
    count = len(taking.pulls)
    rows: list[tuple[Cell, ...]] = []
    for number, pull in enumerate(taking.pulls, 1):
        tube = lay.tubes[pull.tube]
        why = f"joins {taking.part} to what stays" if pull.joined else "lies across its way"
        back = count + 1 - number
        told = (taking.part, Tick(), number, tube.tag, tube.name, pull.at, pull.stays, why, back, Tick())
        rows.append((*told, marks[pull.tube]))
    for k in taking.goes_along:
        tube, (start, end) = lay.tubes[k], ends[k]
        why = f"goes out with it ({start} to {end})"
        rows.append((taking.part, None, None, tube.tag, tube.name, "", "", why, None, None, marks[k]))
    return rows

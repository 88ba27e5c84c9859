"""How is a run tested once it lies, and the whole note by note? By bulb or gauge, never by mouth.

What is one to the air in it is told in tube_ends.py.
"""

from collections.abc import Sequence

from routeviz.lay import Lay
from routeviz.records.marks import marks_of
from routeviz.records.tables import Cell, Column, Table, Tick
from routeviz.records.tube_ends import Net, nets_of
from routeviz.tubes.plans import Run
from routeviz.tubes.routes import Tube
from routeviz.views.work_left import Left, left_of
from routeviz.views.work_order import Step, runs_to_lay

# Restorers' words, in two public digests of their trade: 2011.07.19.08 and 1997.03.02.08.
SAFETY = ("Test by bulb or gauge, never by mouth: lead tubes hold poisonous dust.",)
WEAK = (
    "Test the stack's valves at about 5 inches of water (1.2 kPa), where weak ones show; a sealed stack "
    "plays at 3 (pianotech 2000-February/059792; player-care.com/minimum-vacuum-for-stack: experienced "
    "persons' words)."
)
SIGNAL, WIRE = "signal", "wire"
BLOCKED = "blocked"  # an end that somebody plugged
COLUMNS = (
    Column(name="done", title="", share=0.3, align="centre"),
    Column(name="number", title="no.", share=0.4, align="right"),
    Column(name="tags", title="tag", share=0.8),
    Column(name="open", title="open or press here", share=1.8),
    Column(name="answers", title="this must answer, and nothing else", share=2.4),
    Column(name="joins", title="by way of", share=1.4),
    Column(name="how", title="how", share=2.0),
    Column(name="mark", title="marked because", share=1.6),
)


def run_tests(lay: Lay, steps: Sequence[Step]) -> dict[int, str]:
    """Return by the number of each run, as ``work_order`` tells it, how it is tested once its tubes lie.

    What is not laid is not tested.
    """  # noqa: DOC201
    runs = runs_to_lay(lay)
    laid = {lay.tubes[step.tube].name: lay.tubes[step.tube] for step in steps if step.left is None}
    numbers = {step.run_number: step.run for step in steps}
    return {number: _run_test(number, runs[run], laid) for number, run in numbers.items()}


def note_by_note(lay: Lay) -> Table:
    """Return the list by which the whole is tested at the end: a row for all tubes that meet in tees.

    Where one of these is not laid there is no test, and why stands in its place.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    table : Table
        Signals first, along the parts from which they come; then what carries vacuum, then wires.
    """
    nets, marks, left = nets_of(lay), marks_of(lay), left_of(lay)
    ordered = sorted(nets, key=lambda net: _rank(lay.tubes[net.tubes[0]]))
    rows: list[tuple[Cell, ...]] = []
    for net in ordered:
        tags = ", ".join(lay.tubes[k].tag for k in net.tubes)
        mark = "; ".join(f"{lay.tubes[k].tag}: {marks[k]}" for k in net.tubes if marks[k])
        rows.append((Tick(), len(rows) + 1, tags, *_test(lay, net, left), mark))
    notes = (*SAFETY, WEAK, "A second one that answers: two tubes are swapped, or they leak into each other.")
    return Table(name="note-by-note", title="Note by note", columns=COLUMNS, rows=tuple(rows), notes=notes)


def _rank(tube: Tube) -> int:
    """Return signals, then vacuum, then wires; within one kind the scene's order is kept."""
    return {SIGNAL: 0, WIRE: 2}.get(tube.carries, 1)


def _test(lay: Lay, net: Net, left: Sequence[Left | None]) -> tuple[str, ...]:
    """Return what is opened, what answers, by way of what, and how; or why there is nothing to test."""
    joins = ", ".join(net.joins)
    whys = [f"{lay.tubes[k].tag} {one.says}" for k in net.tubes if (one := left[k]) is not None]
    if whys:
        return "", "", joins, f"no test: {'; '.join(whys)}"
    begins, ends = ", ".join(net.begins) or "loose", ", ".join(_live(net.ends)) or "nothing"
    return begins, ends, joins, _how(lay.tubes[net.tubes[0]], net)


def _live(ends: Sequence[str]) -> list[str]:
    """Return the ends at which anything can answer: not those that are plugged."""
    return [end for end in ends if end != BLOCKED]


def _run_test(number: int, run: Run, laid: dict[str, Tube]) -> str:
    carries = {laid[name].carries for name in run.tubes if name in laid}
    if not carries:
        return f"run {number}: nothing to test, none of its tubes is laid"
    return f"run {number}: {'; '.join(_ways(carries))}"


def _ways(carries: set[str]) -> Sequence[str]:
    """Return what to do, for what the tubes of a run carry."""
    told = []
    if SIGNAL in carries:
        told.append(
            "a squeezed bulb over each hole or open end in turn: all must fill it alike; one that fills it "
            "faster than its neighbours leaks or is off its nipple, one that fills it slower is kinked or "
            "blocked; the numbers at both ends must be the same"
        )
    if carries - {SIGNAL, WIRE}:
        told.append(
            "all that is still open closed, hands out, vacuum on, a gauge at each far end: it must show what "
            "is there at the near end, and hold"
        )
    if WIRE in carries:
        told.append("wires dead, by a meter from end to end; mains are left to licensed hands")
    return told


def _how(tube: Tube, net: Net) -> str:
    plugged = BLOCKED in (*net.begins, *net.ends) and not (_live(net.begins) and _live(net.ends))
    if "loose" in net.ends or "loose" in net.begins or plugged:
        return "closed and tagged: nothing may leak"
    if tube.carries == SIGNAL:
        return "pump low; open alone, then close"
    return "by a meter, wires dead" if tube.carries == WIRE else "gauge at both ends: the same"

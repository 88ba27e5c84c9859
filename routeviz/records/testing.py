"""How is a run tested once it lies, and the whole note by note? By bulb or gauge, never by mouth.

What is one to the air in it is told in tube_ends.py.
"""

from collections.abc import Sequence

from routeviz.lay import Lay
from routeviz.records.marks import marks_of
from routeviz.records.tables import Column, Table, Tick
from routeviz.records.tube_ends import Net, nets_of
from routeviz.tubes.plans import Run
from routeviz.tubes.routes import Tube
from routeviz.views.work_order import Step, runs_to_lay

# Restorers' words, in two public digests of their trade: 2011.07.19.08 and 1997.03.02.08.
SAFETY = ("Test by bulb or gauge, never by mouth: lead tubes hold poisonous dust.",)
WEAK = (
    "Test the stack's valves at about 5 inches of water (1.2 kPa), where weak ones show; a sealed stack "
    "plays at 3 (pianotech 2000-February/059792; player-care.com/minimum-vacuum-for-stack: experienced "
    "persons' words)."
)
SIGNAL, WIRE = "signal", "wire"
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
    """Return by the number of each run, as ``work_order`` tells it, how it is tested once its tubes lie."""
    tubes, runs = {tube.name: tube for tube in lay.tubes}, runs_to_lay(lay)
    numbers = {step.run_number: step.run for step in steps}
    return {number: _run_test(number, runs[run], tubes) for number, run in numbers.items()}


def note_by_note(lay: Lay) -> Table:
    """Return the list by which the whole is tested at the end: a row for all tubes that meet in tees.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    table : Table
        Signals first, along the parts from which they come; then what carries vacuum, then wires.
    """
    nets, marks = nets_of(lay), marks_of(lay)
    ordered = sorted(nets, key=lambda net: _rank(lay.tubes[net.tubes[0]]))
    rows = tuple(
        (
            Tick(),
            number,
            ", ".join(lay.tubes[k].tag for k in net.tubes),
            ", ".join(net.begins) or "loose",
            ", ".join(net.ends) or "nothing",
            ", ".join(net.joins),
            _how(lay.tubes[net.tubes[0]], net),
            "; ".join(f"{lay.tubes[k].tag}: {marks[k]}" for k in net.tubes if marks[k]),
        )
        for number, net in enumerate(ordered, 1)
    )
    notes = (*SAFETY, WEAK, "A second one that answers: two tubes are swapped, or they leak into each other.")
    return Table(name="note-by-note", title="Note by note", columns=COLUMNS, rows=rows, notes=notes)


def _rank(tube: Tube) -> int:
    """Return signals, then vacuum, then wires; within one kind the scene's order is kept."""
    return {SIGNAL: 0, WIRE: 2}.get(tube.carries, 1)


def _run_test(number: int, run: Run, tubes: dict[str, Tube]) -> str:
    laid = [tubes[name] for name in run.tubes]
    carries = {tube.carries for tube in laid if tube.curve is not None}
    if not carries:
        return f"run {number}: nothing to test, none of its tubes has a way yet"
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
            "vacuum on, a gauge at each far end: it must show what is there at the near end, and hold"
        )
    if WIRE in carries:
        told.append("wires dead, by a meter from end to end; mains are left to licensed hands")
    return told


def _how(tube: Tube, net: Net) -> str:
    if "loose" in net.ends or "loose" in net.begins:
        return "closed and tagged: nothing may leak"
    if tube.carries == SIGNAL:
        return "pump low; open alone, then close"
    return "by a meter, wires dead" if tube.carries == WIRE else "gauge at both ends: the same"

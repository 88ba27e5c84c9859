"""In which order are tubes laid, run by run, and when is a run tested?

The order itself is decided in views/work_order.py; how a run is tested, in testing.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.cut_lengths import expected_lengths
from routeviz.records.marks import marks_of
from routeviz.records.settings import Settings
from routeviz.records.tables import Cell, Column, Table, Tick, inches_up, mm_up
from routeviz.records.testing import SAFETY, run_tests
from routeviz.views.work_order import Step, deviations, runs_to_lay, work_order

COLUMNS = (
    Column(name="done", title="", share=0.3, align="centre"),
    Column(name="turn", title="turn", share=0.5, align="right"),
    Column(name="stage", title="stage", share=0.8),
    Column(name="run", title="run", share=0.4, align="right"),
    Column(name="what", title="do", share=0.5),
    Column(name="tag", title="tag", share=0.6),
    Column(name="tube", title="tube", share=1.3),
    Column(name="first_end", title="this end first", share=2.2),
    Column(name="through", title="through", share=1.6),
    Column(name="passes", title="past", share=1.8),
    Column(name="length_mm", title="expected length", unit="mm", share=0.8, align="right"),
    Column(name="length_in", title="expected length", unit="in", share=0.8, align="right"),
    Column(name="look_out", title="look out", share=3.0),
    Column(name="mark", title="marked because", share=1.2),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Tubes of one run and stage that are laid, or left, one after the other; what is tested when they lie.

    Parameters
    ----------
    stage : str or None
        The stage of the work.
    run : int
        From 1, as told everywhere.
    says : str
        The run in words.
    steps : tuple of Step
        In their order.
    tested : tuple of int
        Runs whose tubes all lie now, both ends on: they are tested here, from 1.
    """

    stage: str | None
    run: int
    says: str
    steps: tuple[Step, ...]
    tested: tuple[int, ...]


def stretches_of(lay: Lay, steps: Sequence[Step]) -> tuple[Stretch, ...]:
    """Return the order of work in stretches of one run each.

    Parameters
    ----------
    lay : Lay
        As checked.
    steps : sequence of Step
        From ``work_order``.

    Returns
    -------
    stretches : tuple of Stretch
        Every step in one; what is laid and what is not, never in the same. A run is tested once in each
        stage, after its last tube, and after the tube until which one of its ends is held aside; one of which
        nothing is laid there is not tested.
    """
    runs, blocks = runs_to_lay(lay), _blocks(steps)
    block_of = {step.tube: number for number, block in enumerate(blocks) for step in block}
    last: dict[tuple[str | None, int], int] = {}
    for step in (step for step in steps if step.left is None):
        whole = max(block_of[step.tube], block_of.get(_or(step.open_until, step.tube), 0))
        key = step.stage, step.run_number
        last[key] = max(last.get(key, 0), whole)
    return tuple(
        Stretch(
            stage=block[0].stage,
            run=block[0].run_number,
            says=runs[block[0].run].says,
            steps=tuple(block),
            tested=tuple(run for (_, run), when in last.items() if when == number),
        )
        for number, block in enumerate(blocks)
    )


def order_of_work(lay: Lay, settings: Settings) -> Table:
    """Return the order of work as a table: each tube once, and a row for each test of a run.

    A tube that is not laid has no turn.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        Where the worker stands, and what is added to lengths.

    Returns
    -------
    table : Table
        ``do`` is ``lay`` or ``test``; ``leave`` or ``trace`` for a tube that is not laid.
    """
    steps = work_order(lay, settings.side)
    lengths, marks, tests = expected_lengths(lay, settings), marks_of(lay), run_tests(lay, steps)
    rows: list[tuple[Cell, ...]] = []
    turn = 0
    for stretch in stretches_of(lay, steps):
        for step in stretch.steps:
            if step.left is None:
                turn += 1
            rows.append(_row(lay, step, turn, lengths[step.tube], marks[step.tube]))
        rows += [_tested(stretch, run, tests[run]) for run in stretch.tested]
    notes = (
        f"Seen from the {settings.side}{', the case on its back' if settings.worker == 'leaned' else ''}: a "
        "tube leaves its row only where it would have to be threaded behind one that lies already "
        f"({deviations(steps)} of {turn} do).",
        "Past: at most three things that a tube passes; told, as what it goes through, from its first end.",
        *SAFETY,
    )
    return Table(name="order-of-work", title="Order of work", columns=COLUMNS, rows=tuple(rows), notes=notes)


def _blocks(steps: Sequence[Step]) -> list[list[Step]]:
    blocks: list[list[Step]] = []
    for step in steps:
        if blocks and _kept_with(blocks[-1][0]) == _kept_with(step):
            blocks[-1].append(step)
        else:
            blocks.append([step])
    return blocks


def _kept_with(step: Step) -> tuple[str | None, int, bool]:
    return step.stage, step.run, step.left is None


def _or(one: int | None, other: int) -> int:
    return other if one is None else one


def _row(lay: Lay, step: Step, turn: int, mm: float | None, mark: str) -> tuple[Cell, ...]:
    tube = lay.tubes[step.tube]
    return (
        Tick(),
        turn if step.left is None else None,
        step.stage or "",
        step.run_number,
        "lay" if step.left is None else step.left.what,
        tube.tag,
        tube.name,
        step.first_end if step.left is None else "",
        ", then ".join(step.through),
        ", ".join(step.passes),
        None if mm is None else mm_up(mm),
        None if mm is None else inches_up(mm),
        "; ".join(step.look_out),
        mark,
    )


def _tested(stretch: Stretch, run: int, says: str) -> tuple[Cell, ...]:
    return (
        Tick(),
        None,
        stretch.stage or "",
        run,
        "test",
        "",
        "",
        "",
        "",
        "",
        None,
        None,
        says,
        "",
    )

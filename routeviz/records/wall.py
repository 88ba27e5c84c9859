"""What stands on the sheet that is pinned up: runs by passage in order of work, read at arm's length."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.cut_lengths import is_loose
from routeviz.records.marks import marks_of
from routeviz.records.order_of_work import stretches_of
from routeviz.records.settings import Settings
from routeviz.records.tables import Column, Table, Tick
from routeviz.records.testing import SAFETY
from routeviz.scene.ranges import in_short
from routeviz.views.page_work import cautions
from routeviz.views.work_ends import end_name
from routeviz.views.work_order import Step, brief, runs_to_lay, work_order

MOST_PASSED = 3
LONGEST_TAGS = 24  # letters: ``12, 14..18, 20, 22, 23``
MOST_MARKED = 4  # tubes whose marks are told one by one
COLUMNS = (
    Column(name="done", title="", share=0.3, align="centre"),
    Column(name="stage", title="stage", share=0.7),
    Column(name="run", title="run", share=0.4, align="right"),
    Column(name="what", title="what", share=2.2),
    Column(name="through", title="through", share=1.6),
    Column(name="count", title="tubes", share=0.5, align="right"),
    Column(name="tags", title="tags", share=1.3),
    Column(name="first", title="this end first", share=1.5),
    Column(name="past", title="past", share=1.8),
    Column(name="exceptions", title="but", share=2.6),
    Column(name="tested", title="tested", share=0.5, align="centre"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRun:
    """A run, as it stands on the wall.

    Parameters
    ----------
    run : int
        Its number in the order of work, from 1.
    stage : str or None
        The stage of the work; a run whose tubes come in two stages has a line in each.
    says : str
        What it is, without its way.
    through : tuple of str
        Its passages, as the scene's ``from`` comes to them.
    tubes : tuple of int
        Indices, as they are laid.
    tags : str
        In short: ``25..48``.
    first : str
        Which ends go on first, the others as exceptions: ``stack; 12, 13: tracker bar``.
    past : tuple of str
        What most of its tubes pass: ``over balance rail``.
    exceptions : tuple of str
        What is held aside, loose, marked, or threaded between another run's tubes.
    """

    run: int
    stage: str | None
    says: str
    through: tuple[str, ...]
    tubes: tuple[int, ...]
    tags: str
    first: str
    past: tuple[str, ...]
    exceptions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSheet:
    """All that stands on the wall sheet.

    Parameters
    ----------
    title : str
        The scene's.
    seen_from : str
        From where over, under, in front and behind are told.
    cautions : tuple of str
        What comes before the first tube.
    runs : tuple of WallRun
        In the order in which their first tubes are laid.
    notes : tuple of str
        What has to be said with it.
    """

    title: str
    seen_from: str
    cautions: tuple[str, ...]
    runs: tuple[WallRun, ...]
    notes: tuple[str, ...]


def wall_sheet(lay: Lay, settings: Settings) -> WallSheet:
    """Return the values of the wall sheet.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        Where the worker stands.

    Returns
    -------
    sheet : WallSheet
        Every tube in just one of its runs.
    """
    steps = work_order(lay, settings.side)
    parted = Counter((one.stage, one.run) for one in stretches_of(lay, steps) if one.steps[0].left is None)
    rows: dict[tuple[str | None, int], list[Step]] = {}
    for step in steps:
        rows.setdefault((step.stage, step.run_number), []).append(step)
    runs = tuple(_wall_run(lay, some, parted[stage, number]) for (stage, number), some in rows.items())
    notes = (
        "Within a run: along the row, each tube where the order of work says.",
        "After each run: bulb or gauge, then tick.",
        *SAFETY,
    )
    return WallSheet(
        title=lay.reading.scene.title,
        seen_from=settings.side,
        cautions=tuple(cautions(lay)),
        runs=runs,
        notes=notes,
    )


def wall_table(lay: Lay, settings: Settings) -> Table:
    """Return the wall sheet as a table."""
    sheet = wall_sheet(lay, settings)
    rows = tuple(
        (
            Tick(),
            run.stage or "",
            run.run,
            run.says,
            ", then ".join(run.through),
            len(run.tubes),
            run.tags,
            run.first,
            ", ".join(run.past),
            "; ".join(run.exceptions),
            Tick(),
        )
        for run in sheet.runs
    )
    notes = (f"Seen from the {sheet.seen_from}.", *sheet.cautions, *sheet.notes)
    return Table(name="wall", title="Runs in order of work", columns=COLUMNS, rows=rows, notes=notes)


def tags_in_short(tags: Sequence[str]) -> str:
    """Return tags with those that are numbers as ranges: ``25..48, P1``."""
    numbers = sorted({int(tag) for tag in tags if tag.isascii() and tag.isdigit() and str(int(tag)) == tag})
    words = [tag for tag in tags if not (tag.isascii() and tag.isdigit() and str(int(tag)) == tag)]
    return ", ".join([*([in_short(tuple(numbers))] if numbers else []), *words])


def _wall_run(lay: Lay, steps: Sequence[Step], parts: int) -> WallRun:
    run = runs_to_lay(lay)[steps[0].run]
    laid = [step for step in steps if step.left is None]
    passed = Counter(words for step in laid for words in step.passes)
    most = [words for words, count in passed.most_common() if 2 * count >= len(laid)]
    return WallRun(
        run=steps[0].run_number,
        stage=steps[0].stage,
        says=brief(run),
        through=run.through,
        tubes=tuple(step.tube for step in steps),
        tags=_tagged(lay, steps),
        first=_first(lay, laid),
        past=tuple(most[:MOST_PASSED]),
        exceptions=tuple(_exceptions(lay, steps, parts)),
    )


def _tagged(lay: Lay, steps: Sequence[Step]) -> str:
    return tags_in_short([lay.tubes[step.tube].tag for step in steps])


def _few(lay: Lay, steps: Sequence[Step]) -> str:
    """Return tags in short, or how many there are where that is too long to be read from afar."""
    tags = _tagged(lay, steps)
    return tags if len(tags) <= LONGEST_TAGS else f"{len(steps)} others, see the order of work"


def _first(lay: Lay, steps: Sequence[Step]) -> str:
    """Return on which parts the first ends are, the commonest without its tubes; all of them are laid."""
    if not steps:
        return "nothing: none of them is laid"
    ends: dict[str, list[Step]] = {}
    for step in steps:
        tube = lay.tubes[step.tube]
        end = tube.start if step.at_start else tube.end
        part = end_name(end) if end.nipple is None else lay.cabinet.nipples[end.nipple].part
        ends.setdefault(part, []).append(step)
    told = sorted(ends.items(), key=lambda one: -len(one[1]))
    return "; ".join([told[0][0], *(f"{_few(lay, some)}: {part}" for part, some in told[1:])])


def _exceptions(lay: Lay, steps: Sequence[Step], parts: int) -> list[str]:
    marks, tubes = marks_of(lay), lay.tubes
    told = _not_laid(lay, steps)
    steps = [step for step in steps if step.left is None]
    if parts > 1:
        told.append(f"laid in {parts} goes, others between: follow the order of work")
    aside = [step for step in steps if step.open_until is not None]
    if aside:
        told.append(f"one end on, then hold aside: {_tagged(lay, aside)}")
    loose = [step for step in steps if is_loose(tubes[step.tube])]
    if loose:
        told.append(f"ends loose: {_tagged(lay, loose)}")
    marked = [step for step in steps if marks[step.tube]]
    if len(marked) > MOST_MARKED:
        told.append(f"marked, see the tube list: {_tagged(lay, marked)}")
    else:
        told += [f"{tubes[step.tube].tag}: {marks[step.tube]}" for step in marked]
    return told


def _not_laid(lay: Lay, steps: Sequence[Step]) -> list[str]:
    """Return which tubes are not laid: each with its reason where they are few."""
    left = [(step, step.left) for step in steps if step.left is not None]
    if len(left) <= MOST_MARKED:
        return [f"{lay.tubes[step.tube].tag}: {one.says}" for step, one in left]
    told = (("leave", "they stay as they lie"), ("trace", "not laid, see the tube list"))
    return [
        f"{says}: {_tagged(lay, some)}"
        for what, says in told
        if (some := [step for step, one in left if one.what == what])
    ]

"""Findings as a person reads them in a terminal: worst first, each with its place, what is and what to do.

The same findings for a machine are in listing.py; in 3D they are in display.py.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby

from routeviz.cabinet.joins import JoinPlace
from routeviz.checks.words import named
from routeviz.tubes.plans import TakenPlan
from routeviz.views.lines import Line, Span, wrapped
from routeviz.views.listing import Told, counted_tubes, summary

STEP = "  "
FEWEST = 3  # findings that are worth a table
MOST_LINES = 6  # of a file that are named for one finding
MOST_RUNS = 20  # that are told; a plan with more is not tidy, and its file names them all


def report(
    told: Sequence[Told],
    *,
    tubes: int,
    proved: Sequence[str],
    width: int | None,
    taken: TakenPlan | None = None,
) -> list[Line]:
    """Return all that a check prints of a lay, line by line.

    Findings of one rule with one remedy stand together: what they say the same of several tubes once, else
    three or more of them a line each.

    Parameters
    ----------
    told : sequence of Told
        Worst first.
    tubes : int
        How many tubes there are.
    proved : sequence of str
        What was proved and what was left out.
    width : int or None
        Longer lines are broken here, what follows hangs under what it belongs to; None breaks nothing.
    taken : TakenPlan or None
        What became of the plan beside the scene.

    Returns
    -------
    lines : list of Line
        Findings, the count, what of it was planned, what was proved.
    """
    lines: list[Line] = []
    for _, alike in groupby(told, key=_kind):
        lines += _together(list(alike), width)
    count = summary([one.finding for one in told], tubes)
    lines += wrapped([(count, "strong")], width, STEP)
    lines += [*([] if taken is None else plan_lines(taken, width)), []]
    lines += wrapped([("What was proved, and what was not looked at:", "plain")], width, STEP)
    for sentence in proved:
        lines += wrapped([("- ", "plain"), (sentence, "plain")], width, STEP)
    return lines


def plan_lines(taken: TakenPlan, width: int | None) -> list[Line]:
    """Return what became of a plan: how many tubes lie as it says, where tees do; or that it is stale."""
    lie = f"{counted_tubes(len(taken.laid))} {'lies' if len(taken.laid) == 1 else 'lie'}"
    if not taken.stale:
        told = [f"{lie} as planned in {taken.file}", *(_place(one) for one in taken.plan.places)]
        return [line for one in told for line in wrapped([(one, "plain")], width, STEP)]
    says = f": the scene was changed after {taken.file} was made; {lie} as it says"
    remedy = "  remedy: plan again: routeviz plan SCENE"
    return [
        *wrapped([("stale plan", "caution"), (says, "plain")], width, STEP),
        *wrapped([(remedy, "plain")], width, 2 * STEP),
    ]


def _place(one: JoinPlace) -> str:
    """Say where a tee or coupler is to be put, and how it is to be turned."""
    right, back, up = one.at.tolist()
    branches = "" if one.branches is None else f", branches {one.branches}"
    return f"{one.name} lies at right {right:g}, back {back:g}, up {up:g}; runs {one.runs}{branches}"


def run_lines(taken: TakenPlan, asked: int, width: int | None) -> list[Line]:
    """Return which tubes a plan lays and how they run, in a few lines.

    Parameters
    ----------
    taken : TakenPlan
        The plan.
    asked : int
        How many tubes nobody has drawn.
    width : int or None
        As in ``report``.

    Returns
    -------
    lines : list of Line
        The count, a line a run, and an empty one.
    """
    runs = taken.plan.runs
    head = f"laid {len(taken.laid)} of {counted_tubes(asked)}"
    head += f", in {len(runs)} runs:" if len(runs) > 1 else ":" if runs else ""
    lines = wrapped([(head, "strong")], width, STEP)
    for run in runs[:MOST_RUNS]:
        lines += wrapped([(STEP + run.says, "plain")], width, 2 * STEP)
    if len(runs) > MOST_RUNS:
        lines += wrapped([(f"{STEP}and {len(runs) - MOST_RUNS} more", "plain")], width, 2 * STEP)
    return [*lines, []]


def _kind(one: Told) -> tuple[object, ...]:
    finding = one.finding
    alone = one.number if finding.tube is None else 0
    return finding.severity, finding.rule, finding.stage, finding.remedy, alone


def _together(alike: Sequence[Told], width: int | None) -> list[Line]:
    """Return findings of one rule with one remedy, and an empty line after each that stands by itself."""
    same = [list(group) for _, group in groupby(alike, key=lambda one: one.finding.says)]
    if len(same) >= FEWEST:
        return [*_table(alike, width), []]
    return [line for group in same for line in [*_finding(group, width), []]]


def _finding(same: Sequence[Told], width: int | None) -> list[Line]:
    says = (f"{STEP}{same[0].finding.says}", "plain")
    places = (STEP + _places([place for one in same for place in one.places]), "faint")
    head = [*_head(same), (_subject(same), "strong"), places]
    return [*wrapped(head, width, 2 * STEP), *wrapped([says], width, 2 * STEP), *_remedy(same, width)]


def _table(alike: Sequence[Told], width: int | None) -> list[Line]:
    """Return findings a line each, under one head and over one remedy."""
    lines = wrapped([*_head(alike), (f"{len(alike)} tubes", "strong")], width, 2 * STEP)
    widest = len(str(alike[-1].number))
    for one in alike:
        row = [
            (f"{STEP}{one.number:>{widest}} ", "plain"),
            (_subject([one]), "strong"),
            (f"{STEP}{_places(one.places)}", "faint"),
            (f": {one.finding.says}", "plain"),
        ]
        lines += wrapped(row, width, 3 * STEP)
    return [*lines, *_remedy(alike, width)]


def _head(alike: Sequence[Told]) -> list[Span]:
    first, last = alike[0], alike[-1]
    severity = f"{first.finding.severity}{'s' if len(alike) > 1 else ''}"
    stage = f", in stage {first.finding.stage}" if first.finding.stage else ""
    return [
        (
            f"{severity} {named([str(n) for n in range(first.number, last.number + 1)])}",
            first.finding.severity,
        ),
        (f" {first.finding.rule}{stage}: ", "plain"),
    ]


def _remedy(alike: Sequence[Told], width: int | None) -> list[Line]:
    return wrapped([(f"{STEP}remedy: {alike[0].finding.remedy}", "plain")], width, 2 * STEP)


def _places(places: Iterable[tuple[str, int | None]]) -> str:
    """Return places in short, ``case.toml:12, 30``."""
    lines: dict[str, list[str]] = {}
    for file, line in dict.fromkeys(places):
        lines.setdefault(file, []).extend([] if line is None else [str(line)])
    return ", ".join(f"{file}:{_first(found)}" if found else file for file, found in lines.items())


def _first(lines: Sequence[str]) -> str:
    more = len(lines) - MOST_LINES
    return ", ".join(lines[:MOST_LINES]) + (f" and {more} more" if more > 0 else "")


def _subject(same: Sequence[Told]) -> str:
    """Return the tubes, and the other thing where the sentence does not name it."""
    first = same[0].finding
    tubes = named([one.finding.tube for one in same if one.finding.tube is not None], most=None)
    others = list(dict.fromkeys(one.finding.other for one in same if one.finding.other is not None))
    other = "" if any(name in first.says for name in others) else named(others, most=None)
    if not tubes:
        return first.other or "the scene"
    return f"{tubes} and {other}" if other else tubes

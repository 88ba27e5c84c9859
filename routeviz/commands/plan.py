"""The command that lays a scene's tubes: how far it has come, what it found, and where it wrote it."""

import math
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, NoReturn

import click

from routeviz.commands.lays import (
    JSON,
    SCENE,
    as_json_text,
    compiling,
    drawing,
    exit_code,
    explaining,
    print_report,
)
from routeviz.commands.saying import FAULTS, INTERRUPTED, USUAL, quoted, say, say_next, width, wrap

if TYPE_CHECKING:
    from routeviz.lay import Lay
    from routeviz.laying import Laying
    from routeviz.planning.steps import Step

LONGEST_S = 86_400.0  # a day
EVERY_S = 1.0  # how often progress is shown: what is shown has to be reckoned
CUT_SHORT = {"time": "time was up", "stopped": "stopped"}


def _seconds(_context: click.Context, _parameter: click.Parameter, value: float | None) -> float | None:
    if value is not None and not 0 < value <= LONGEST_S:  # not a number is none of these either
        raise click.BadParameter(f"{value:g} is not more than 0 and at most {LONGEST_S:g}.")
    return value


@click.command(short_help="Lay the tubes of a scene that nobody has drawn.")
@SCENE
@click.option(
    "--seconds", type=float, metavar="N", callback=_seconds, help="Keep the best plan after N seconds."
)
@click.option("--fresh", is_flag=True, help="Start over; else what is still good in an earlier plan is kept.")
@JSON
def plan(scene: str, seconds: float | None, fresh: bool, as_json: bool) -> None:
    """Lay all tubes of SCENE that nobody has drawn, and write the plan beside SCENE as NAME.plan.json.

    Drawn and measured tubes stay as they are. The plan is checked like a lay drawn by hand; all other
    commands take it up. Ctrl-C keeps the best so far. Exit codes are those of `check`; 1 too where time was
    up before a plan was checked.
    """
    laying, lay = laid(scene, seconds, fresh)
    if as_json:
        from routeviz.views.listing import with_planning

        click.echo(with_planning(as_json_text(lay), laying.ended, laying.rounds, _kept(laying)))
    else:
        print_laying(laying, lay)
        say_next([*explaining(lay), drawing(lay)])
    sys.exit(exit_code(lay))


def laid(scene: str, seconds: float | None, fresh: bool) -> "tuple[Laying, Lay]":
    """Plan a scene, with its progress; leave where nothing came of it that was checked."""
    laying = _laying(scene, seconds, fresh)
    if laying.lay is None:
        _leave_unchecked(laying, scene)
    return laying, laying.lay


def _laying(scene: str, seconds: float | None, fresh: bool) -> "Laying":
    begun = time.monotonic()
    with compiling(laying=True), _progress() as tell:
        from routeviz.laying import plan_scene

        left = None if seconds is None else seconds - (time.monotonic() - begun)
        return plan_scene(scene, seconds=left, fresh=fresh, tell=tell)


@contextmanager
def _progress() -> "Iterator[Callable[[Step], None]]":
    """Give what shows each step in one line of a terminal, which is gone at the end."""
    from routeviz.views.lines import plain

    shown = sys.stderr.isatty() and os.environ.get("TERM") != "dumb"
    columns = (os.get_terminal_size(sys.stderr.fileno()).columns or USUAL) - 1 if shown else 0

    stage, due = "", 0.0

    def tell(step: "Step") -> None:
        nonlocal stage, due
        if shown and (step.stage != stage or time.monotonic() >= due):
            click.echo("\r" + plain(_how_far(step))[:columns].ljust(columns), err=True, nl=False)
            stage, due = step.stage, time.monotonic() + EVERY_S

    try:
        yield tell
    finally:
        if shown:
            click.echo("\r" + " " * columns + "\r", err=True, nl=False)


def _how_far(step: "Step") -> str:
    stage = f"{step.stage} {step.part}".rstrip()
    if step.seen is None and step.worst_mm is None:
        return f"{stage}: {step.done} of {step.of} tubes" if step.done else f"{stage} for {_tubes(step.of)}"
    done, worst_mm = (step.done, step.worst_mm or 0.0) if step.seen is None else step.seen()
    text = f"{stage}: {done} of {_tubes(step.of)} without trouble"
    if not math.isfinite(worst_mm):
        return text
    beyond = "more" if worst_mm >= 0 else "less"
    return f"{text}, worst clearance {abs(worst_mm):.1f} mm {beyond} than asked for"


def _tubes(number: int) -> str:
    return "1 tube" if number == 1 else f"{number} tubes"


def print_laying(laying: "Laying", lay: "Lay") -> None:
    """Print what came of planning: runs, findings, and what was written."""
    from routeviz.tubes.routes import awaits_place, awaits_route
    from routeviz.views.report import run_lines

    taken = lay.taken
    if laying.ended == "nothing":
        wrap([("there is nothing to plan: no tube with two known ends is without a route", "strong")], 2)
        say([])
    elif taken is not None:
        asked = len(taken.laid) + sum(awaits_route(tube) or awaits_place(tube) for tube in lay.tubes)
        for line in run_lines(taken, asked, width()):
            say(line)
    print_report(lay)
    if laying.plan is not None and taken is not None:
        short = CUT_SHORT.get(laying.ended)
        why = f"; {short}: the best of {_plans(laying.rounds)} that could be checked" if short else ""
        kept = _kept(laying)
        say([])
        if kept is not None and any(kept):
            lying = "it lay" if sum(kept) == 1 else "they lay"
            anew = f", {kept[1]} laid anew" if kept[1] else ""
            wrap([(f"kept {kept[0]} of {_tubes(sum(kept))} as {lying}{anew}", "plain")], 2)
        wrap([(f"wrote {taken.file}{why}", "plain")], 2)


def _kept(laying: "Laying") -> tuple[int, int] | None:
    """Return how many tubes lie as in an earlier plan and how many do not; None without one."""
    if laying.kept is None or laying.plan is None:
        return None
    return len(laying.kept), len(laying.plan.tubes) - len(laying.kept)


def _plans(number: int) -> str:
    return "one plan" if number == 1 else f"{number} plans"


def _leave_unchecked(laying: "Laying", scene: str) -> NoReturn:
    """Say that nothing is known of a plan, or that there is none, and leave."""
    short = CUT_SHORT.get(laying.ended)
    if short is None:
        says = "no plan was found; nothing was written"
        remedy = "draw the tubes that matter most, and plan again"
    elif laying.plan is None:
        says, remedy = f"{short} before a plan was found; nothing was written", "give it more time"
    else:
        says = f"{short} before the plan was checked; it was written all the same"
        remedy = f"give it more time, or see what it is worth: routeviz check {quoted(scene)}"
    click.echo(f"routeviz: {says}\n  remedy: {remedy}", err=True)
    sys.exit(INTERRUPTED if laying.ended == "stopped" else FAULTS)

"""What looks at a lay: check, picture, window; and what all commands say of one."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from routeviz.commands.saying import FAULTS, quoted, say, say_next, stop_if, width, wrap

if TYPE_CHECKING:
    from routeviz.lay import Lay
    from routeviz.views.listing import Told

_PATH = click.Path()
SCENE = click.argument("scene", type=_PATH)
JSON = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object, as `explain findings` describes it."
)
INTO = click.option(
    "--into", type=_PATH, metavar="FOLDER", help="Where the pictures go; the folder is made when needed."
)


@click.command(short_help="Check every tube of a scene, worst first.")
@SCENE
@JSON
def check(scene: str, as_json: bool) -> None:
    """Check every tube of SCENE and print what was found, worst first.

    The plan beside SCENE is taken up, where there is one. Exit code 0: no faults; cautions and notes may be
    there. 1: faults. 2: SCENE cannot be used.
    """
    lay = checked(scene)
    if as_json:
        print_json(lay)
    else:
        print_report(lay)
        say_next([*explaining(lay), drawing(lay)])
    sys.exit(exit_code(lay))


@click.command(short_help="Draw a scene into PNG files.")
@SCENE
@INTO
def picture(scene: str, into: str | None) -> None:
    """Check SCENE and draw it: the whole case from four sides, and a close-up of each fault.

    The numbers in the pictures are those of the printed findings. Exit codes are those of `check`.
    """
    lay = checked(scene)
    stop_if(why_no_picture())
    print_report(lay)
    name = os.path.splitext(os.path.basename(scene))[0]
    draw(lay, into or f"{name}-pictures", name)
    say_next(explaining(lay))
    sys.exit(exit_code(lay))


@click.command(short_help="Show a scene on the screen, in 3D.")
@SCENE
def window(scene: str) -> None:
    """Show SCENE on the screen: turn it, step through tubes and findings, press the keys."""
    from routeviz.views.graphics import why_no_window

    stop_if(why_no_window())
    lay = checked(scene)
    from routeviz.views.report import plan_lines
    from routeviz.views.window import show

    if lay.taken is not None and lay.taken.stale:
        for line in plan_lines(lay.taken, width()):
            say(line)

    show(lay.cabinet, lay.tubes, lay.measured, lay.findings)


def checked(scene: str) -> "Lay":
    """Return a scene, checked; a first run says what takes so long."""
    with compiling():
        from routeviz.pipeline import check_scene

        return check_scene(scene)


@contextmanager
def compiling(*, laying: bool = False) -> Iterator[None]:
    """Say on a terminal that a first run compiles, and have it helped."""
    from routeviz.geometry.warming import LAYING, MEASURING, first_run_helped

    what, long = ("laying and measuring", "half a minute") if laying else ("measuring", "some seconds")
    with first_run_helped(LAYING if laying else MEASURING) as first:
        if first and sys.stderr.isatty():
            click.echo(f"first run: the {what} code is being compiled; this once takes {long} more", err=True)
        yield


def exit_code(lay: "Lay") -> int:
    """Return what a command leaves that has looked at a lay."""
    return FAULTS if any(f.severity == "fault" for f in lay.findings) else 0


def print_json(lay: "Lay") -> None:
    """Print what is known of a lay as one JSON object."""
    click.echo(as_json_text(lay))


def as_json_text(lay: "Lay") -> str:
    """Return what is known of a lay as one JSON object."""
    from routeviz.views.listing import findings_json, tube_entries

    tubes = tube_entries(lay.tubes, lay.measured)
    return findings_json(lay.reading.file, lay.cabinet.title, tubes, _told(lay), lay.proved, lay.taken)


def print_report(lay: "Lay") -> None:
    """Print what is known of a lay, findings first."""
    from routeviz.views.report import report

    for line in report(_told(lay), tubes=len(lay.tubes), proved=lay.proved, width=width(), taken=lay.taken):
        say(line)


def _told(lay: "Lay") -> "list[Told]":
    """Return the findings with their numbers, and where each can be mended: for want of a line, the file."""
    from routeviz.views.listing import Told

    told = []
    for number, finding in enumerate(lay.findings, 1):
        places = tuple((place.file, place.line) for place in lay.places_of(finding))
        told.append(Told(number=number, finding=finding, places=places or ((lay.reading.file, None),)))
    return told


def explaining(lay: "Lay") -> list[tuple[str, str]]:
    """Return the call that explains the worst finding, with what it does; none where nothing was found."""
    worst = next(iter(lay.findings), None)
    return [(f"routeviz explain {worst.rule}", "tells what a rule holds and how to mend it")] if worst else []


def drawing(lay: "Lay") -> tuple[str, str]:
    """Return the call that draws a lay, with what it does."""
    shows = "shows the case" + (", and each fault from near by" if exit_code(lay) else "")
    return f"routeviz picture {quoted(lay.reading.file)}", shows


def draw(lay: "Lay", folder: str, name: str) -> None:
    """Draw a lay into a folder, and say what was written."""
    from pathlib import Path

    from routeviz.views.picture import write_pictures

    written = write_pictures(
        lay.cabinet, lay.tubes, lay.measured, lay.findings, folder=Path(folder), name=name
    )
    first, last = written[0].name, written[-1].name
    say([])
    wrap([(f"wrote {len(written)} pictures into {folder}, from {first} to {last}", "plain")], 2)


def why_no_picture() -> str | None:
    """Return why nothing can be drawn here; None where it can."""
    from routeviz.views import graphics

    return graphics.why_no_picture()

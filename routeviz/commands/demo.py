"""The command that shows what routeviz does: one built-in case planned and drawn, another looked at."""

import os
import sys
from typing import TYPE_CHECKING

import click

from routeviz.commands.lays import INTO, checked, draw, exit_code, print_report, why_no_picture
from routeviz.commands.pages import write_page
from routeviz.commands.plan import laid, print_laying
from routeviz.commands.saying import from_here, quoted, say, say_next, stop_if, wrap

if TYPE_CHECKING:
    from routeviz.lay import Lay

PLANNED, FOUND = "thistledown", "as_found"  # a case without tubes, and an old one with all that can be wrong


@click.command(short_help="Plan, check and draw a built-in case; look at another.")
@INTO
def demo(into: str | None) -> None:
    """Plan the tubes of a built-in case, check and draw them, into ./routeviz-demo; then look at an old one.

    The planned case gets a page too, to be opened in a browser. In the old case, every rule that judges a
    route finds something. Exit code 0 when all is drawn; 1 where the planned case has a fault.
    """
    stop_if(why_no_picture())
    folder = into or "routeviz-demo"
    planned = _plan(folder)
    _look(folder)
    say_next(
        [
            (f"routeviz window {quoted(_copy_in(folder))}", "shows the planned case on the screen"),
            ("routeviz new my_piano.toml", "begins a scene of your own"),
        ]
    )
    shows = "the planned case in 3D, each tube, and the work at the bench"
    say([])
    wrap([("Open ", "plain"), (_page_in(folder), "strong"), (f" in any browser: {shows}.", "plain")], 2)
    sys.exit(exit_code(planned))


def _plan(folder: str) -> "Lay":
    """Copy the case without tubes into a folder; plan it, draw it and make its page there."""
    scene = _copied(folder)
    laying, lay = laid(scene, None, fresh=True)
    if laying.ended == "stopped":
        raise KeyboardInterrupt
    _head(lay, scene)
    print_laying(laying, lay)
    draw(lay, folder, PLANNED)
    write_page(lay, _page_in(folder))
    return lay


def _look(folder: str) -> None:
    """Check the case as found where it is, and draw it into a folder."""
    from routeviz.scene.catalogue import scene_file

    lay = checked(from_here(str(scene_file(FOUND))))
    _head(lay, f"{FOUND}.toml")
    print_report(lay)
    draw(lay, folder, FOUND)


def _copied(folder: str) -> str:
    """Write the case without tubes into a folder, as the plan is to lie beside it, and say so."""
    from pathlib import Path

    from routeviz.scene.catalogue import scene_file
    from routeviz.scene.starting import write_new
    from routeviz.writing import made_folder

    copy, example = Path(_copy_in(folder)), scene_file(PLANNED)
    made_folder(copy.parent)
    if not (copy.is_file() and copy.read_bytes() == example.read_bytes()):
        write_new(copy, example)
    wrap([(f"wrote {copy}: a case whose tubes nobody has drawn; they are planned now", "plain")], 2)
    return str(copy)


def _copy_in(folder: str) -> str:
    return os.path.join(folder, f"{PLANNED}.toml")


def _page_in(folder: str) -> str:
    return os.path.join(folder, f"{PLANNED}-page.html")


def _head(lay: "Lay", name: str) -> None:
    say([(f"\n== {lay.cabinet.title} ({name})", "strong")])
    say([])

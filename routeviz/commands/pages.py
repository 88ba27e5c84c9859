"""The command that makes the page of a scene: written into a file, or served while the scene is changed."""

import os
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, NoReturn

import click

from routeviz.commands.lays import SCENE, checked, exit_code, explaining
from routeviz.commands.saying import quoted, say, say_next, stop, width, wrap

if TYPE_CHECKING:
    from routeviz.errors import RoutevizError
    from routeviz.lay import Lay
    from routeviz.views.serving import Shown

BESIDE = ""  # stands for a file that is asked for and not named
HIGHEST_PORT = 65_535


@click.command(short_help="Make a page of a scene that any browser opens.")
@SCENE
@click.option("--into", type=click.Path(), metavar="FILE", help="Where the page goes; else NAME-page.html.")
@click.option(
    "--glb",
    type=click.Path(),
    is_flag=False,
    flag_value=BESIDE,
    metavar="[FILE]",
    help="Write the lay as a 3D model too, for other programs; else NAME.glb.",
)
@click.option("--watch", is_flag=True, help="Serve the page to this machine, and show each saved change.")
@click.option(
    "--port",
    type=click.IntRange(1, HIGHEST_PORT),
    metavar="N",
    help="With --watch: where; else any port that is free.",
)
def page(scene: str, into: str | None, glb: str | None, watch: bool, port: int | None) -> None:
    """Check SCENE and put all that is known of it into one HTML file, which opens without a network.

    It shows the case in 3D, findings, tubes and passages, and leads through the work at the bench. With
    --watch nothing is written; Ctrl-C ends it. Exit codes are those of `check`.
    """
    _refuse_what_does_not_go_together(watch, into is not None or glb is not None, port is not None)
    if watch:
        _serve(scene, port or 0)
    name = os.path.splitext(os.path.basename(scene))[0]
    page_file = _ending(into or f"{name}-page.html", ".html", "--into")
    model_file = None if glb is None else _ending(glb or f"{name}.glb", ".glb", "--glb")
    lay = checked(scene)
    _say_what_is_shown(lay)
    write_page(lay, page_file)
    if model_file is not None:
        _write_model(lay, model_file)
    say_next(
        [*explaining(lay), (f"routeviz page {quoted(scene)} --watch", "shows each change that you save")]
    )
    sys.exit(exit_code(lay))


def _refuse_what_does_not_go_together(watch: bool, names_a_file: bool, names_a_port: bool) -> None:
    if watch and names_a_file:
        raise click.UsageError("--watch writes no file: leave out --into and --glb, or --watch.")
    if names_a_port and not watch:
        raise click.UsageError("--port is of use with --watch only.")


def write_page(lay: "Lay", file: str) -> None:
    """Write the page of a lay, whole or not at all, and say so."""
    from pathlib import Path

    from routeviz.views.page import page_bytes
    from routeviz.writing import write_whole

    shown = _shown(lay)
    content = page_bytes(shown.title, shown.text)
    write_whole(Path(file), content)
    wrap([(f"wrote {file} ({_size(content)}); open it in any browser, it needs nothing else", "plain")], 2)


def _write_model(lay: "Lay", file: str) -> None:
    from pathlib import Path

    from routeviz.views.glb import glb_bytes
    from routeviz.writing import write_whole

    content = glb_bytes(lay)
    write_whole(Path(file), content)
    wrap([(f"wrote {file} ({_size(content)}), the same in 3D for other programs", "plain")], 2)


def _ending(file: str, ending: str, option: str) -> str:
    """Return a file's name; refuse one that could be that of something dear, such as the scene."""
    if os.path.isdir(file):
        stop(f"{option} {file}: a folder\n  allowed: a file\n  remedy: name the file that is to be in it")
    if os.path.splitext(file)[1].casefold() != ending:
        allowed = f"a name that ends in {ending}"
        stop(f"{option} {file}: another kind of file\n  allowed: {allowed}\n  remedy: choose such a name")
    return file


def _size(content: bytes) -> str:
    return f"{len(content) / 1e6:.1f} MB" if len(content) >= 1e6 else f"{len(content) / 1e3:.0f} kB"


def _say_what_is_shown(lay: "Lay") -> None:
    """Say how many findings and tubes there are, and what became of the plan."""
    from routeviz.tubes.routes import awaits_place, awaits_route
    from routeviz.views.listing import counted_tubes, summary
    from routeviz.views.report import plan_lines

    wrap([(summary(lay.findings, len(lay.tubes)), "strong")], 2)
    if lay.taken is not None:
        for line in plan_lines(lay.taken, width()):
            say(line)
    bare = sum(awaits_route(tube) or awaits_place(tube) for tube in lay.tubes if not tube.planned)
    if bare and lay.taken is None:
        says = f"no plan: {counted_tubes(bare)} that nobody has drawn cannot be shown"
        wrap([(says, "caution")], 2)
        wrap([(f"  remedy: routeviz plan {quoted(lay.reading.file)}", "plain")], 4)


def _shown(lay: "Lay") -> "Shown":
    from routeviz.views.page import data_text
    from routeviz.views.page_data import page_data
    from routeviz.views.serving import Shown

    data = page_data(lay)
    return Shown(title=data["title"], text=data_text(data))


def _serve(scene: str, port: int) -> NoReturn:
    """Serve the page of a scene, and show each change, until an interrupt ends it."""
    from pathlib import Path

    from routeviz.views.serving import serving
    from routeviz.views.watching import follow, stand_of

    stood = stand_of(Path(scene))  # before it is read, so that no change is missed
    lay = checked(scene)
    _say_what_is_shown(lay)
    with serving(port, _shown(lay)) as server:
        wrap([("open this on this machine; it shows each change that you save, until Ctrl-C:", "plain")], 2)
        say([(server.address, "strong")])

        def show() -> None:
            server.show(_shown(checked(scene)))

        def fail(error: "RoutevizError") -> None:
            server.show(replace(server.shown, messages=_messages(error)))

        follow(Path(scene), stood, show, fail, server.rest)


def _messages(error: "RoutevizError") -> tuple[str, ...]:
    """Return what is wrong with a scene, one problem at a time."""
    from routeviz.errors import SceneError

    return tuple(map(str, error.problems)) if isinstance(error, SceneError) else (str(error),)

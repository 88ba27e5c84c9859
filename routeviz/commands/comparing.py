"""The command that tells what is not as it was between two states: scenes, plans or archives."""

import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from routeviz.commands.compared import state_in
from routeviz.commands.lays import why_no_picture
from routeviz.commands.saying import FAULTS, say, say_next, width, wrap

if TYPE_CHECKING:
    from routeviz.archive.differences import Differences
    from routeviz.lay import Lay

_PATH = click.Path()
PICTURE = (1600, 1000)


@click.command(short_help="Tell what is not as it was between two states.")
@click.argument("before", metavar="A", type=_PATH)
@click.argument("after", metavar="B", type=_PATH)
@click.option("--scene", type=_PATH, metavar="SCENE", help="Of a plan beside which its scene does not lie.")
@click.option("--into", type=_PATH, metavar="FOLDER", help="Draw both in one, and write a table of changes.")
@click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object, as `explain changes` describes it."
)
def compare(before: str, after: str, scene: str | None, into: str | None, as_json: bool) -> None:
    """Tell what is not as it was from A to B: tubes, parts, nipples, passages, tubing, settings, findings.

    A and B are each a scene, a plan (NAME.plan.json, beside NAME.toml) or the folder of an archive. Tubes
    are the same by name, else by their nipples, else by a tag that the scenes give. How far one lies
    elsewhere is a proven bound. Exit code 0: nothing differs by more than 0.05 mm. 1: something does. 2: A
    or B cannot be used.
    """
    from routeviz.archive.differences import differences

    lays = state_in(before, scene), state_in(after, scene)
    found = differences(*lays, files=(before, after))
    files = _files(found, lays, after) if into is not None else {}
    if into is not None:
        _write(into, files)
    if as_json:
        from routeviz.archive.changes_json import differences_json

        click.echo(differences_json(found))
    else:
        _say(found, into, files)
    sys.exit(FAULTS if found.changes else 0)


def _files(found: "Differences", lays: "tuple[Lay, Lay]", after: str) -> "dict[str, bytes]":
    """Return the table of changes, and pictures of both states in one where there is something to see."""
    from routeviz.archive.changes_register import changes_csv

    stem = _name(after).split(".")[0]
    files = {f"{stem}-changes.csv": changes_csv(found)}
    if not is_drawn(found):
        return files
    files.update((f"{stem}-compared-{name}.svg", svg) for name, svg in _drawings(found, lays))
    if why_no_picture() is None:
        files.update((f"{stem}-compared-{name}.png", png) for name, png in _pictures(found, lays))
    return files


def is_drawn(found: "Differences") -> bool:
    """Return whether there is something to see in one picture of both."""
    return bool(found.changes) and not found.strangers


def _pictures(found: "Differences", lays: "tuple[Lay, Lay]") -> list[tuple[str, bytes]]:
    from routeviz.archive.difference_report import sum_of_it
    from routeviz.archive.fates import fates_of
    from routeviz.views.before_and_after import before_and_after
    from routeviz.views.picture import two_states

    fates = fates_of(found)
    title = _title(found)
    words = next(sum_of_it(found)).partition(";")[0]
    return list(
        two_states(lambda aspect: before_and_after(*lays, fates, title, aspect), lays[1], words, PICTURE)
    )


def _drawings(found: "Differences", lays: "tuple[Lay, Lay]") -> list[tuple[str, bytes]]:
    from routeviz.archive.fates import fates_of
    from routeviz.views.drawings import compared_drawings
    from routeviz.views.svg import svg_of

    before, after = lays
    names = fates_of(found).before
    earlier = [tube for tube in before.tubes if tube.name in names and tube.curve is not None]
    return [(one.name, svg_of(one).encode()) for one in compared_drawings(after, earlier)]


def _title(found: "Differences") -> str:
    both = found.before, found.after
    shows = [one.shows for one in both]
    told = all(shows) and shows[0] != shows[1]
    states = shows if told else [_name(one.file) for one in both]
    return f"{found.after.title} – before: {states[0]}; now: {states[1]}"


def _name(path: str) -> str:
    """Return what a file or folder is called, be it the one in which one stands."""
    return os.path.basename(os.path.abspath(path))


def _write(folder: str, files: "Mapping[str, bytes]") -> None:
    from pathlib import Path

    from routeviz.writing import made_folder, write_set

    write_set(made_folder(Path(folder)), files)


def _say(found: "Differences", into: str | None, written: "Mapping[str, bytes]") -> None:
    from routeviz.archive.difference_report import difference_lines

    for line in difference_lines(found, width()):
        say(line)
    if into is None:
        if is_drawn(found):
            say_next([("the same with --into FOLDER", "draws both in one, and writes a table of changes")])
        return
    say([])
    counts = [sum(name.endswith(end) for name in written) for end in (".svg", ".png")]
    told = [f"{n} {what} of both" for n, what in zip(counts, ("drawings", "pictures"), strict=True) if n]
    drawn = f"; {', '.join(told)}" if told else ""
    wrap([(f"wrote {os.path.join(into, next(iter(written)))}{drawn}", "plain")], 2)
    if not counts[1] and is_drawn(found):
        wrap([("no picture can be drawn here: `routeviz doctor` tells why", "caution")], 2)

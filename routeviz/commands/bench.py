"""The command that makes the sheets for the bench: PDF, tables and drawings, into a folder."""

import gc
import json
import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from routeviz.commands.lays import SCENE, checked, exit_code, explaining
from routeviz.commands.saying import leave, say_next, stop, wrap

if TYPE_CHECKING:
    from routeviz.lay import Lay
    from routeviz.records.settings import Settings

EPOCH = "SOURCE_DATE_EPOCH"  # reproducible-builds.org: seconds since 1970, in place of the hour


@click.command(short_help="Make the sheets for the bench: PDF, tables, drawings.")
@SCENE
@click.option("--into", type=click.Path(), metavar="FOLDER", help="Where the files go; else NAME-sheets.")
@click.option("--paper", metavar="PAPER", help="a4 (the default) or letter.")
@click.option(
    "--units", type=click.Choice(["mm", "in"]), help="What comes first; else as the scene is written."
)
@click.option("--worker", metavar="SIDE", help="Where you stand: front, back, left, right or leaned.")
@click.option("--trim", metavar="LENGTH", help="Added to each tube, for those who cut before they lay.")
@click.option("--survey", is_flag=True, help="With the survey form; of a scene without a plan, it alone.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object: what was written.")
def sheets(
    scene: str, into: str | None, units: str | None, survey: bool, as_json: bool, **asked: str | None
) -> None:
    """Check SCENE and put what is needed at the bench on paper: one PDF, and its tables and drawings.

    In the set: cautions, wall sheet, row charts, supply, tube list, what to buy, order of work, tests, taking
    out, plates at true size, drawings, tags and a test of your own tubing. Tables come as CSV and XLSX too,
    drawings as SVG and DXF. A stale plan is refused. The printed date is that of SOURCE_DATE_EPOCH, else a
    blank. Exit codes are those of `check`.
    """
    when = made_at()
    with without_sweeps():
        lay = checked(scene)
        files = _files(lay, _settings(lay, units, asked), when, survey)
    folder = into or f"{os.path.splitext(os.path.basename(scene))[0]}-sheets"
    _write(folder, files)
    if as_json:
        click.echo(_told(lay, folder, files))
    else:
        _say(lay, folder, files)
    sys.exit(exit_code(lay))


@contextmanager
def without_sweeps() -> Iterator[None]:
    """Look for no garbage meanwhile: what is made lives to the end; looking takes a sixth of it."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def _settings(lay: "Lay", units: str | None, asked: "Mapping[str, str | None]") -> "Settings":
    """Return how sheets are asked for; leave with everything that is wrong with it."""
    from routeviz.records.settings import SettingsError, settings_of
    from routeviz.scene.lengths import INCHES

    given = {f"--{name}": value for name, value in asked.items() if value is not None}
    inches = units == "in" if units else lay.reading.scene.units in INCHES
    try:
        return settings_of(given, lay.reading.scene, "in" if inches else "mm")
    except SettingsError as error:
        leave("\n".join(f"routeviz: {option}: {refusal}" for option, refusal in error.refusals))


def made_at() -> "datetime | None":
    """Return the moment that the environment gives; leave where it is none."""
    given = os.environ.get(EPOCH)
    if not given:
        return None
    try:
        return datetime.fromtimestamp(int(given), UTC)
    except (ValueError, OverflowError, OSError):
        stop(
            f"{EPOCH}: {given[:40]!r}\n  allowed: whole seconds since 1970\n"
            "  remedy: correct it, or leave it out"
        )


def _files(lay: "Lay", settings: "Settings", when: "datetime | None", survey: bool) -> "Mapping[str, bytes]":
    """Return the files of the set; of a scene without a plan, the survey form where that is asked for."""
    from routeviz.records.refusing import why_refused
    from routeviz.records.sheets import Made, sheets_files, stem_of, survey_pdf

    made = Made(when=when, survey=survey)
    refused = why_refused(lay)
    if refused is not None and not survey:
        leave(refused)
    if refused is not None:
        return {f"{stem_of(lay)}-survey.pdf": survey_pdf(lay, settings, made)}
    return sheets_files(lay, settings, made)


def _write(folder: str, files: "Mapping[str, bytes]") -> None:
    from pathlib import Path

    from routeviz.writing import made_folder, write_set

    write_set(made_folder(Path(folder)), files)


def _told(lay: "Lay", folder: str, files: "Mapping[str, bytes]") -> str:
    from routeviz.records.marks import marks_of

    marks = zip(lay.tubes, marks_of(lay), strict=True)
    whole = {
        "scene": lay.reading.file,
        "folder": folder,
        "files": [{"name": name, "bytes": len(content)} for name, content in files.items()],
        "tubes": len(lay.tubes),
        "marked": [{"tube": tube.name, "tag": tube.tag, "because": mark} for tube, mark in marks if mark],
    }
    return json.dumps(whole, indent=1, ensure_ascii=False)


def _say(lay: "Lay", folder: str, files: "Mapping[str, bytes]") -> None:
    from routeviz.records.marks import marks_of
    from routeviz.views.listing import counted_tubes, summary

    wrap([(summary(lay.findings, len(lay.tubes)), "strong")], 2)
    marked = sum(map(bool, marks_of(lay)))
    if marked:
        stand = "stands" if marked == 1 else "stand"
        wrap(
            [(f"{counted_tubes(marked)} {stand} on the lists marked: not to be laid or at fault", "caution")],
            2,
        )
    first, *others = files
    rest = f", and {len(others)} tables and drawings" if others else ""
    wrap([(f"wrote {os.path.join(folder, first)} ({len(files[first]) / 1e3:.0f} kB){rest}", "plain")], 2)
    wrap([("print it at 100 %, not fitted to the paper, and measure the 100 mm line", "plain")], 2)
    say_next(explaining(lay))

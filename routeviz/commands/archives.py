"""The command that makes an archive of a scene, a folder to be understood without routeviz, or checks one."""

import json
import os
import sys
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from routeviz.commands.bench import made_at, without_sweeps
from routeviz.commands.lays import checked, exit_code, explaining
from routeviz.commands.saying import leave, quoted, say_next, stop, wrap
from routeviz.commands.verification import verify

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

    from routeviz.archive.bag import Sum
    from routeviz.archive.deposit import Deposit, Earlier
    from routeviz.lay import Lay
    from routeviz.records.settings import Settings

FACTS = ("as found", "as restored")  # states in which an instrument is or was, whether or not one can plan it
PROGRESS = 40  # columns of the line on which progress is told
_PATH = click.Path()


@click.command(short_help="Make a folder that an archive can keep, or check one.")
@click.argument("scene", type=_PATH, required=False)
@click.option("--into", type=_PATH, metavar="FOLDER", help="Which folder is made; else NAME-archive.")
@click.option("--supersedes", type=_PATH, metavar="FOLDER", help="An older archive that this one replaces.")
@click.option(
    "--check", "to_check", type=_PATH, metavar="FOLDER", help="Check an archive instead of making one."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object: what was written or found.")
def archive(
    scene: str | None, into: str | None, supersedes: str | None, to_check: str | None, as_json: bool
) -> None:
    """Put all that is known of SCENE into one folder, to be read in fifty years without routeviz.

    In it: tables of numbers, drawings, sheets, models, the scene itself, the photos and notes that its
    [record] names, a README.txt that explains all, and a checksum of every file (BagIt, RO-Crate). What was
    found by the checks is recorded too, and does not stop it. A folder that is there already is never
    touched. The date is that of SOURCE_DATE_EPOCH, else today's. Exit codes are those of `check`.

    With --check nothing is written: is every file as it was sealed, can all be read, and does what it says
    follow from the scene in it? Exit code 1: something does not hold.
    """
    _refuse_what_does_not_go_together(scene, to_check, into or supersedes)
    if to_check is not None:
        verify(to_check, as_json)
    _make(scene or "", into, supersedes, as_json)


def _refuse_what_does_not_go_together(scene: str | None, to_check: str | None, to_make: str | None) -> None:
    if scene is None and to_check is None:
        raise click.UsageError("Name a SCENE to be archived, or an archive to be looked at: --check FOLDER.")
    if to_check is not None and (scene is not None or to_make is not None):
        raise click.UsageError(
            "--check makes no archive: leave out SCENE, --into and --supersedes, or --check."
        )


def _make(scene: str, into: str | None, supersedes: str | None, as_json: bool) -> None:
    from pathlib import Path

    from routeviz.archive.earlier import earlier_in
    from routeviz.archive.storing import refuse_what_is_there

    folder = Path(into or f"{os.path.splitext(os.path.basename(scene))[0]}-archive")
    refuse_what_is_there(folder)
    when = made_at() or datetime.now(UTC).replace(microsecond=0)
    earlier = earlier_in(Path(supersedes)) if supersedes is not None else None
    with without_sweeps():
        deposit, payload = _stored(scene, folder, when, earlier)
    if as_json:
        click.echo(_told(deposit, folder, payload))
    else:
        _say(deposit.lay, folder, payload)
    sys.exit(exit_code(deposit.lay))


def _stored(
    scene: str, folder: "Path", when: datetime, earlier: "Earlier | None"
) -> "tuple[Deposit, Mapping[str, Sum]]":
    """Make an archive of a scene, and return what was given into it with what lies in it."""
    from pathlib import Path

    from routeviz.archive.bag_info import info_about
    from routeviz.archive.contents import contents
    from routeviz.archive.storing import store
    from routeviz.views.watching import stand_of

    stood = stand_of(Path(scene))
    deposit = _deposit(checked(scene), when, earlier)
    with _telling() as tell:
        made = contents(deposit, _settings(deposit.lay), tell)
        if stand_of(Path(scene), stood) != stood:
            stop(
                f"{scene}: was changed while the archive was made; nothing was written\n"
                "  allowed: a scene that stays as it is meanwhile\n  remedy: call again"
            )
        tell("writing and forcing to the disk")
        files = {one.path: one.content for one in made}
        return deposit, store(folder, files, deposit.exhibits, info_about(deposit))


def _deposit(lay: "Lay", when: datetime, earlier: "Earlier | None") -> "Deposit":
    """Return what is given into the archive; leave where something is missing for it."""
    from routeviz.archive.deposit import deposited, refuse_what_is_not_said
    from routeviz.archive.evidence import exhibits_of
    from routeviz.archive.sources import refuse_names_like_others

    refuse_what_is_not_said(lay.reading)
    refuse_names_like_others(lay.reading)
    deposit = deposited(lay, when, exhibits_of(lay.reading), earlier)
    if refused := _why_refused(deposit):
        leave(refused)
    return deposit


def _why_refused(deposit: "Deposit") -> str | None:
    """Return why a scene is not ready: its plan is stale, or missing where there is one to be made."""
    # What is recorded as it is has no plan: a tube of which nobody knows how it runs is one of its facts.
    from routeviz.records.refusing import why_refused

    if deposit.lay.taken is None and deposit.shows in FACTS:
        return None
    return why_refused(deposit.lay)


def _settings(lay: "Lay") -> "Settings":
    from routeviz.records.settings import Settings
    from routeviz.scene.lengths import INCHES

    return Settings(first_unit="in" if lay.reading.scene.units in INCHES else "mm")


@contextmanager
def _telling() -> "Iterator[Callable[[str], None]]":
    """Yield what tells on a terminal what is made next, on one line that is taken away in the end."""
    shown = sys.stderr.isatty() and os.environ.get("TERM") != "dumb"

    def tell(what: str) -> None:
        if shown:
            click.echo(f"\r{what}".ljust(PROGRESS), err=True, nl=False)

    try:
        yield tell
    finally:
        tell("")
        if shown:
            click.echo("\r", err=True, nl=False)


def _told(deposit: "Deposit", folder: "Path", payload: "Mapping[str, Sum]") -> str:
    lay = deposit.lay
    whole = {
        "scene": lay.reading.file,
        "folder": str(folder),
        "shows": deposit.shows,
        "object": deposit.object_number,
        "faults": sum(finding.severity == "fault" for finding in lay.findings),
        "tubes": len(lay.tubes),
        "bytes": sum(one.size for one in payload.values()),
        "files": [
            {"name": f"data/{path}", "bytes": one.size, "sha512": one.sha512} for path, one in payload.items()
        ],
    }
    return json.dumps(whole, indent=1, ensure_ascii=False)


def _say(lay: "Lay", folder: "Path", payload: "Mapping[str, Sum]") -> None:
    from routeviz.views.listing import summary

    wrap([(summary(lay.findings, len(lay.tubes)), "strong")], 2)
    size = sum(one.size for one in payload.values()) / 1e6
    told = f"wrote {folder}: {len(payload)} files, {size:.1f} MB; begin with {folder / 'data' / 'README.txt'}"
    wrap([(told, "plain")], 2)
    looked = (f"routeviz archive --check {quoted(str(folder))}", "tells whether it is as it was made")
    say_next([*explaining(lay), looked])

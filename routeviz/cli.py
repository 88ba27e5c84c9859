"""The command line: which commands there are, and whatever goes wrong in one.

What the commands do is in commands/. Everything heavy is imported inside a command, so that ``--help``
answers at once.
"""

import io
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

import click

from routeviz.commands.advice import completion, doctor, explain, new
from routeviz.commands.archives import archive
from routeviz.commands.bench import sheets
from routeviz.commands.comparing import compare
from routeviz.commands.demo import demo
from routeviz.commands.lays import check, picture, window
from routeviz.commands.pages import page
from routeviz.commands.plan import plan
from routeviz.commands.saying import BAD_INPUT, INTERRUPTED, NOBODY_READS, USUAL, leave, stop, width
from routeviz.errors import interrupts_laid_bare


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="To begin: `routeviz new my_piano.toml`, then `routeviz check my_piano.toml`."
    "\n\nExit codes: 0 no faults, 1 faults found, 2 the input or the call cannot be used.",
)
@click.version_option(package_name="routeviz", message="routeviz %(version)s")
def commands() -> None:
    """Check and show in 3D how the vacuum tubes of a self-playing piano lie in its case."""


for one in (
    archive,
    check,
    compare,
    completion,
    demo,
    doctor,
    explain,
    new,
    page,
    picture,
    plan,
    sheets,
    window,
):
    commands.add_command(one)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command; every error becomes a plain message, whatever went wrong."""
    try:
        with interrupts_laid_bare():
            _run(arguments)
    except click.ClickException as error:
        error.show()
        sys.exit(BAD_INPUT)
    except (KeyboardInterrupt, click.Abort):
        click.echo("routeviz: stopped", err=True)
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nothing more to be said at exit
        sys.exit(NOBODY_READS)
    except Exception as error:
        _refuse(error)


def _refuse(error: Exception) -> NoReturn:
    """Say in plain words what went wrong with the input, with a file, or in here."""
    from routeviz.errors import RoutevizError

    if isinstance(error, RoutevizError):
        leave(str(error))
    if isinstance(error, OSError):
        stop(f"{error.filename or 'a file'}: {error.strerror or error}\n  remedy: check path and rights")
    stop(f"something went wrong inside routeviz; please report {_written_down()}")


def _run(arguments: Sequence[str] | None) -> None:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a terminal of a few letters shows all names
    printed = sys.stdout
    try:
        commands.main(
            arguments, prog_name="routeviz", standalone_mode=False, terminal_width=(width() or USUAL) - 2
        )
    except SystemExit:
        if sys.stdout is not printed:  # so click hides that the reader has gone, and leaves 1 as faults do
            raise BrokenPipeError from None
        raise
    finally:
        sys.stdout.flush()  # here, where a reader who has gone is no error


def _written_down() -> str:
    """Write what went wrong into a file, for whoever mends it, and return its name."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="routeviz-", suffix=".txt", delete=False) as file:
        file.write(f"routeviz {' '.join(sys.argv[1:])}\nPython {sys.version}\n{traceback.format_exc()}")
    return file.name

"""How a command says something: in lines that fit, in colour on a terminal that wants it, or as a refusal."""

import os
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

FAULTS, BAD_INPUT, INTERRUPTED, NOBODY_READS = 1, 2, 130, 141  # the last two as the shell counts signals
USUAL, WIDEST = 80, 100  # columns: where a terminal does not tell, and beyond which lines are hard to read
COLOURS: dict[str, dict[str, Any]] = {
    "fault": {"fg": "red", "bold": True},
    "caution": {"fg": "yellow", "bold": True},
    "note": {"fg": "cyan", "bold": True},
    "strong": {"bold": True},
    "faint": {"dim": True},
    "plain": {},
}


def say_next(calls: Sequence[tuple[str, str]]) -> None:
    """Say which commands may come next; the last thing that a command prints."""
    from routeviz.views.lines import what_next

    for line in what_next(calls):
        say(line)


def width() -> int | None:
    """Return how wide lines may be on a terminal; None where no terminal breaks them."""
    if not sys.stdout.isatty():
        return None
    asked = os.environ.get("COLUMNS", "")
    columns = int(asked) if asked.isdigit() else os.get_terminal_size(sys.stdout.fileno()).columns
    return min(columns or USUAL, WIDEST)


def wrap(spans: Sequence[tuple[str, str]], hanging: int) -> None:
    """Print words in lines that fit; the second and those after it begin with blanks."""
    from routeviz.views.lines import wrapped

    for line in wrapped(spans, width(), " " * hanging):
        say(line)


def say(line: Sequence[tuple[str, str]]) -> None:
    """Print a line, in colour only on a terminal that wants it."""
    from routeviz.views.lines import plain

    coloured = "".join(_painted(plain(text), look) for text, look in line)
    unwanted = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    click.echo(coloured, color=False if unwanted else None)


def _painted(text: str, look: str) -> str:
    return click.style(text, **COLOURS[look]) if COLOURS[look] else text


def from_here(path: str) -> str:
    """Return a path as short as it can be said from the folder of the call."""
    below = os.path.relpath(path)
    return path if below.startswith(os.pardir) else below


def quoted(path: str) -> str:
    """Return a path as a shell takes it."""
    import shlex

    return shlex.quote(path)


def stop_if(reason: str | None) -> None:
    """Leave where there is a reason why nothing can be done."""
    if reason is not None:
        stop(reason)


def stop(message: str) -> NoReturn:
    """Say why nothing was done, and leave."""
    leave(f"routeviz: {message}")


def leave(message: str) -> NoReturn:
    """Say what is wrong, in a message that names its place, and leave."""
    from routeviz.views.lines import plain

    click.echo(plain(message), err=True)
    sys.exit(BAD_INPUT)

"""The commands; the only place that prints and exits.

Everything heavy is imported inside a command, so that ``--help`` answers at once.
"""

import io
import os
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from routeviz.pipeline import Lay
    from routeviz.views.listing import Told

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
_HERE = {"bash": "~/.bashrc", "zsh": "~/.zshrc", "fish": "~/.config/fish/completions/routeviz.fish"}
_PATH = click.Path()
_SCENE = click.argument("scene", type=_PATH)
_INTO = click.option(
    "--into", type=_PATH, metavar="FOLDER", help="Where the pictures go; the folder is made when needed."
)


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="To begin: `routeviz new my_piano.toml`, then `routeviz check my_piano.toml`."
    "\n\nExit codes: 0 no faults, 1 faults found, 2 the input or the call cannot be used.",
)
@click.version_option(package_name="routeviz", message="routeviz %(version)s")
def commands() -> None:
    """Check and show in 3D how the vacuum tubes of a self-playing piano lie in its case."""


@commands.command(short_help="Check every tube of a scene, worst first.")
@_SCENE
@click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object, as `explain findings` describes it."
)
def check(scene: str, as_json: bool) -> None:
    """Check every tube of SCENE and print what was found, worst first.

    Exit code 0: no faults; cautions and notes may be there. 1: faults. 2: SCENE cannot be used.
    """
    lay = _checked(scene)
    if as_json:
        from routeviz.views.listing import findings_json, tube_entries

        tubes = tube_entries(lay.tubes, lay.measured)
        click.echo(findings_json(lay.reading.file, lay.cabinet.title, tubes, _told(lay), lay.proved))
    else:
        _print_report(lay)
        shows = "shows the case" + (", and each fault from near by" if _exit_code(lay) else "")
        _next([*_explaining(lay), (f"routeviz picture {_quoted(scene)}", shows)])
    sys.exit(_exit_code(lay))


@commands.command(short_help="Draw a scene into PNG files.")
@_SCENE
@_INTO
def picture(scene: str, into: str | None) -> None:
    """Check SCENE and draw it: the whole case from four sides, and a close-up of each fault.

    The numbers in the pictures are those of the printed findings. Exit codes are those of `check`.
    """
    lay = _checked(scene)
    _stop_if(_why_no_picture())
    _print_report(lay)
    name = os.path.splitext(os.path.basename(scene))[0]
    _draw(lay, into or f"{name}-pictures", name)
    _next(_explaining(lay))
    sys.exit(_exit_code(lay))


@commands.command(short_help="Show a scene on the screen, in 3D.")
@_SCENE
def window(scene: str) -> None:
    """Show SCENE on the screen: turn it, step through tubes and findings, press the keys."""
    from routeviz.views.graphics import why_no_window

    _stop_if(why_no_window())
    lay = _checked(scene)
    from routeviz.views.window import show

    show(lay.cabinet, lay.tubes, lay.measured, lay.findings)


@commands.command(short_help="Check and draw two built-in examples.")
@_INTO
def demo(into: str | None) -> None:
    """Check and draw the two built-in examples, into ./routeviz-demo.

    The first has no fault; in the second, every rule finds something. Exit code 0 when all is drawn.
    """
    from routeviz.scene.catalogue import scene_file

    _stop_if(_why_no_picture())
    folder = into or "routeviz-demo"
    for name in ("first_six", "as_found"):
        lay = _checked(_from_here(str(scene_file(name))))
        _say([(f"\n== {lay.cabinet.title} ({name}.toml)", "strong")])
        _say([])
        _print_report(lay)
        _draw(lay, folder, name)
    _next([("routeviz new my_piano.toml", "begins a scene of your own")])


@commands.command(short_help="Write a small scene to start your own from.")
@click.argument("file", type=_PATH)
def new(file: str) -> None:
    """Write a small scene into FILE, with comments, to start your own from.

    A file that is there already is left alone.
    """
    from pathlib import Path

    from routeviz.scene.catalogue import scene_file
    from routeviz.scene.starting import write_new

    write_new(Path(file), scene_file("first_six"))
    _say([(f"wrote {file}", "plain")])
    _next([(f"routeviz check {_quoted(file)}", "checks it; change it step by step into your own")])


def _topics(_context: click.Context, _parameter: click.Parameter, begun: str) -> "list[CompletionItem]":
    from click.shell_completion import CompletionItem

    from routeviz.checks.checking import RULES

    return [CompletionItem(topic) for topic in (*RULES, "scene", "findings") if topic.startswith(begun)]


@commands.command(short_help="Tell what a rule holds, and how a fault is mended.")
@click.argument("topic", required=False, shell_complete=_topics)
def explain(topic: str | None) -> None:
    """Tell what a rule holds, why, and how a fault is mended; without TOPIC, list the rules.

    TOPIC is a rule; or `scene` or `findings`, for the JSON Schema of a scene file or of what `check --json`
    prints.
    """
    import json

    from routeviz.checks.checking import RULES

    topic = topic and topic.casefold()
    if topic is None:
        for name, module in RULES.items():
            _wrap([(f"{name:12} ", "strong"), (module.ABOUT.splitlines()[0].partition(": ")[2], "plain")], 13)
        _next(
            [
                ("routeviz explain RULE", "tells more"),
                ("routeviz explain scene", "prints the JSON Schema of the scene file, for editors"),
            ]
        )
    elif topic in RULES:
        click.echo(RULES[topic].ABOUT.rstrip())
    elif topic == "scene":
        from routeviz.scene.schema import scene_schema

        click.echo(json.dumps(scene_schema(), indent=1))
    elif topic == "findings":
        from routeviz.views.listing import FINDINGS_SCHEMA

        click.echo(json.dumps(FINDINGS_SCHEMA, indent=1))
    else:
        _stop(_no_topic(topic, (*RULES, "scene", "findings")))


@commands.command(short_help="Tell whether this machine has what is needed.")
def doctor() -> None:
    """Tell whether this machine has what routeviz needs, and how to get what is missing.

    Exit code 1: something is missing without which nothing can be checked.
    """
    from routeviz.views.health import examine

    looked_at = examine()
    for one in looked_at:
        mark, look = ("ok     ", "strong") if one.well else ("missing", "fault" if one.needed else "caution")
        _wrap([(mark, look), (f" {one.what}: {one.state}", "plain")], 8)
        if one.remedy:
            _wrap([(f"        remedy: {one.remedy}", "plain")], 10)
    sys.exit(0 if all(one.well or not one.needed for one in looked_at) else FAULTS)


@commands.command(short_help="Print what makes a shell complete the commands.")
@click.argument("shell", type=click.Choice(list(_HERE)))
def completion(shell: str) -> None:
    """Print what makes SHELL complete routeviz's commands and files; put it where the first line says."""
    from click.shell_completion import get_completion_class

    maker = get_completion_class(shell)
    if maker is None:  # pragma: no cover  the three are built in
        _stop(f"no completion for {shell}")
    click.echo(f"# to keep this: routeviz completion {shell} >> {_HERE[shell]}")
    click.echo(maker(commands, {}, "routeviz", "_ROUTEVIZ_COMPLETE").source())


def _checked(scene: str) -> "Lay":
    from routeviz.geometry.warming import first_run_helped

    with first_run_helped() as first:
        if first and sys.stderr.isatty():
            click.echo(
                "first run: the measuring code is being compiled; this once takes some seconds", err=True
            )
        from routeviz.pipeline import check_scene

        return check_scene(scene)


def _exit_code(lay: "Lay") -> int:
    return FAULTS if any(f.severity == "fault" for f in lay.findings) else 0


def _told(lay: "Lay") -> "list[Told]":
    """Return the findings with their numbers, and where each can be mended: for want of a line, the file."""
    from routeviz.views.listing import Told

    told = []
    for number, finding in enumerate(lay.findings, 1):
        places = tuple((place.file, place.line) for place in lay.places_of(finding))
        told.append(Told(number=number, finding=finding, places=places or ((lay.reading.file, None),)))
    return told


def _print_report(lay: "Lay") -> None:
    from routeviz.views.report import report

    for line in report(_told(lay), tubes=len(lay.tubes), proved=lay.proved, width=_width()):
        _say(line)


def _explaining(lay: "Lay") -> list[tuple[str, str]]:
    worst = next(iter(lay.findings), None)
    return [(f"routeviz explain {worst.rule}", "tells what a rule holds and how to mend it")] if worst else []


def _draw(lay: "Lay", folder: str, name: str) -> None:
    from pathlib import Path

    from routeviz.views.picture import write_pictures

    written = write_pictures(
        lay.cabinet, lay.tubes, lay.measured, lay.findings, folder=Path(folder), name=name
    )
    first, last = written[0].name, written[-1].name
    _say([])
    _wrap([(f"wrote {len(written)} pictures into {folder}, from {first} to {last}", "plain")], 2)


def _why_no_picture() -> str | None:
    from routeviz.views.graphics import why_no_picture

    return why_no_picture()


# ── how it is said ───────────────────────────────────────────────────────────────────────────────
def _next(calls: Sequence[tuple[str, str]]) -> None:
    """Say which commands may come next; the last thing that a command prints."""
    from routeviz.views.lines import what_next

    for line in what_next(calls):
        _say(line)


def _width() -> int | None:
    """Return how wide lines may be on a terminal; None where no terminal breaks them."""
    if not sys.stdout.isatty():
        return None
    asked = os.environ.get("COLUMNS", "")
    columns = int(asked) if asked.isdigit() else os.get_terminal_size(sys.stdout.fileno()).columns
    return min(columns or USUAL, WIDEST)


def _wrap(spans: Sequence[tuple[str, str]], hanging: int) -> None:
    from routeviz.views.lines import wrapped

    for line in wrapped(spans, _width(), " " * hanging):
        _say(line)


def _say(line: Sequence[tuple[str, str]]) -> None:
    """Print a line, in colour only on a terminal that wants it."""
    from routeviz.views.lines import plain

    coloured = "".join(_painted(plain(text), look) for text, look in line)
    unwanted = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    click.echo(coloured, color=False if unwanted else None)


def _painted(text: str, look: str) -> str:
    return click.style(text, **COLOURS[look]) if COLOURS[look] else text


def _from_here(path: str) -> str:
    """Return a path as short as it can be said from the folder of the call."""
    below = os.path.relpath(path)
    return path if below.startswith(os.pardir) else below


def _quoted(path: str) -> str:
    import shlex

    return shlex.quote(path)


def _no_topic(topic: str, known: Iterable[str]) -> str:
    from routeviz.scene.spelling import nearest_first

    near = nearest_first(topic, known)
    return f"nothing is known of {topic!r}\n  allowed: {', '.join(near)}\n  remedy: did you mean {near[0]!r}?"


def _stop_if(reason: str | None) -> None:
    if reason is not None:
        _stop(reason)


def _stop(message: str) -> NoReturn:
    """Say why nothing was done, and leave."""
    _leave(f"routeviz: {message}")


def _leave(message: str) -> NoReturn:
    from routeviz.views.lines import plain

    click.echo(plain(message), err=True)
    sys.exit(BAD_INPUT)


# ── whatever goes wrong ──────────────────────────────────────────────────────────────────────────
def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command; every error becomes a plain message, whatever went wrong."""
    try:
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
        _leave(str(error))
    if isinstance(error, OSError):
        _stop(f"{error.filename or 'a file'}: {error.strerror or error}\n  remedy: check path and rights")
    _stop(f"something went wrong inside routeviz; please report {_written_down()}")


def _run(arguments: Sequence[str] | None) -> None:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a terminal of a few letters shows all names
    printed = sys.stdout
    try:
        commands.main(
            arguments, prog_name="routeviz", standalone_mode=False, terminal_width=(_width() or USUAL) - 2
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

"""What helps to begin and to understand: a first scene, rules and schemas, this machine, the shell."""

import json
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from routeviz.commands.saying import FAULTS, quoted, say, say_next, stop, wrap

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

_PATH = click.Path()
_HERE = {"bash": "~/.bashrc", "zsh": "~/.zshrc", "fish": "~/.config/fish/completions/routeviz.fish"}
SCHEMAS = ("scene", "plan", "findings", "changes")  # of which the JSON Schema is told
TOPICS = ("record", "doubt", "compare", *SCHEMAS)


@click.command(short_help="Write a small scene to start your own from.")
@click.argument("file", type=_PATH)
def new(file: str) -> None:
    """Write a small scene into FILE, with comments, to start your own from.

    A file that is there already is left alone.
    """
    from pathlib import Path

    from routeviz.scene.catalogue import scene_file
    from routeviz.scene.starting import write_new

    write_new(Path(file), scene_file("first_six"))
    say([(f"wrote {file}", "plain")])
    say_next([(f"routeviz check {quoted(file)}", "checks it; change it step by step into your own")])


def _topics(_context: click.Context, _parameter: click.Parameter, begun: str) -> "list[CompletionItem]":
    from click.shell_completion import CompletionItem

    from routeviz.checks.checking import RULES

    return [CompletionItem(topic) for topic in (*RULES, *TOPICS) if topic.startswith(begun)]


@click.command(short_help="Tell what a rule holds, and how a fault is mended.")
@click.argument("topic", required=False, shell_complete=_topics)
def explain(topic: str | None) -> None:
    """Tell what a rule holds, why, and how a fault is mended; without TOPIC, list the rules.

    TOPIC is a rule; `record` or `doubt`, for how a scene says what it shows and how sure it is; `compare`,
    for how two states are compared; or `scene`, `plan`, `findings` or `changes`, for the JSON Schema of a
    scene file, of a plan file, of what `check --json` and `plan --json` print, or of what `compare --json`
    prints.
    """
    from routeviz.checks.checking import RULES

    topic = topic and topic.casefold()
    if topic is None:
        for name, module in RULES.items():
            wrap([(f"{name:12} ", "strong"), (module.ABOUT.splitlines()[0].partition(": ")[2], "plain")], 13)
        say_next(
            [
                ("routeviz explain RULE", "tells more"),
                ("routeviz explain record", "tells how a scene says what it shows, and how sure it is"),
                ("routeviz explain scene", "prints the JSON Schema of the scene file, for editors"),
            ]
        )
    elif topic in RULES:
        click.echo(RULES[topic].ABOUT.rstrip())
    elif topic in ("record", "doubt"):
        from routeviz.scene import doubts, record

        click.echo((record if topic == "record" else doubts).ABOUT.rstrip())
    elif topic == "compare":
        from routeviz.archive import differences

        click.echo(differences.ABOUT.rstrip())
    elif topic in SCHEMAS:
        click.echo(json.dumps(_schema(topic), indent=1))
    else:
        stop(_no_topic(topic, (*RULES, *TOPICS)))


def _schema(topic: str) -> dict[str, Any]:
    if topic == "scene":
        from routeviz.scene.schema import scene_schema

        return scene_schema()
    if topic == "plan":
        from routeviz.tubes.plan_form import plan_schema

        return plan_schema()
    if topic == "changes":
        from routeviz.archive.changes_json import CHANGES_SCHEMA

        return CHANGES_SCHEMA
    from routeviz.views.listing import FINDINGS_SCHEMA

    return FINDINGS_SCHEMA


@click.command(short_help="Tell whether this machine has what is needed.")
def doctor() -> None:
    """Tell whether this machine has what routeviz needs, and how to get what is missing.

    Exit code 1: something is missing without which nothing can be checked.
    """
    from routeviz.views.health import examine

    looked_at = examine()
    for one in looked_at:
        mark, look = ("ok     ", "strong") if one.well else ("missing", "fault" if one.needed else "caution")
        wrap([(mark, look), (f" {one.what}: {one.state}", "plain")], 8)
        if one.remedy:
            wrap([(f"        remedy: {one.remedy}", "plain")], 10)
    sys.exit(0 if all(one.well or not one.needed for one in looked_at) else FAULTS)


@click.command(short_help="Print what makes a shell complete the commands.")
@click.argument("shell", type=click.Choice(list(_HERE)))
def completion(shell: str) -> None:
    """Print what makes SHELL complete routeviz's commands and files; put it where the first line says."""
    from click.shell_completion import get_completion_class

    maker = get_completion_class(shell)
    if maker is None:  # pragma: no cover  the three are built in
        stop(f"no completion for {shell}")
    click.echo(f"# to keep this: routeviz completion {shell} >> {_HERE[shell]}")
    group = click.get_current_context().find_root().command
    click.echo(maker(group, {}, "routeviz", "_ROUTEVIZ_COMPLETE").source())


def _no_topic(topic: str, known: Iterable[str]) -> str:
    from routeviz.scene.spelling import nearest_first

    near = nearest_first(topic, known)
    return f"nothing is known of {topic!r}\n  allowed: {', '.join(near)}\n  remedy: did you mean {near[0]!r}?"

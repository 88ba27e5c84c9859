"""What `archive --check` says of an archive: question by question, what holds and what does not."""

import json
import sys
from typing import TYPE_CHECKING, NoReturn

import click

from routeviz.commands.bench import without_sweeps
from routeviz.commands.lays import checked
from routeviz.commands.saying import FAULTS, say, wrap

if TYPE_CHECKING:
    from routeviz.archive.answers import Answer
    from routeviz.archive.verifying import Verification

MARKS = {"holds": "strong", "fails": "fault", "open": "caution"}


def verify(folder: str, as_json: bool) -> NoReturn:
    """Say what holds of an archive, and leave with 1 where something does not."""
    from pathlib import Path

    from routeviz.archive.verifying import verified

    with without_sweeps():
        verification = verified(Path(folder), lambda scene: checked(str(scene)))
    if as_json:
        click.echo(_told(verification))
    else:
        _say(verification)
    sys.exit(FAULTS if verification.fails else 0)


def _say(verification: "Verification") -> None:
    for one in verification.answers:
        mark = _mark(one)
        wrap([(f"{mark} ", MARKS[mark]), (f"{one.about}: {one.says}", "plain")], 6)
        for problem in one.problems:
            for line in str(problem).splitlines():
                wrap([(f"  {line}", "plain")], 6)
    failing = [one.about for one in verification.answers if _mark(one) == "fails"]
    opened = [one.about for one in verification.answers if _mark(one) == "open"]
    say([])
    folder = verification.folder
    told = f"{folder} does not hold: {', '.join(failing)}" if failing else f"{folder} holds"
    left = f"; could not be told: {', '.join(opened)}" if opened else ""
    wrap([(f"{told}{left}", "fault" if failing else "strong")], 2)


def _mark(one: "Answer") -> str:
    return "holds" if one.holds else "open" if one.open else "fails"


def _told(verification: "Verification") -> str:
    whole = {
        "folder": verification.folder,
        "holds": not verification.fails,
        "answers": [
            {
                "about": one.about,
                "answer": _mark(one),
                "says": one.says,
                "problems": [
                    {
                        "file": problem.file,
                        "line": problem.line or None,
                        "found": problem.found,
                        "allowed": problem.allowed,
                        "remedy": problem.remedy,
                    }
                    for problem in one.problems
                ],
            }
            for one in verification.answers
        ],
    }
    return json.dumps(whole, indent=1, ensure_ascii=False)

"""What `archive --check` prints: whether an archive is as it was sealed, and whether what it says is so."""

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from routeviz.commands.lays import compiling
from routeviz.commands.saying import FAULTS, say, wrap

if TYPE_CHECKING:
    from pathlib import Path

    from routeviz.archive.answers import Answer
    from routeviz.archive.verifying import Verification
    from routeviz.lay import Lay


def check_archive(folder: str, as_json: bool) -> None:
    """Check an archive, print what holds and what does not, and leave: 0 all holds, 1 something does not."""
    from pathlib import Path

    from routeviz.archive.verifying import verified

    verification = verified(Path(folder), _checked)
    if as_json:
        click.echo(_told(verification))
    else:
        _say(verification)
    sys.exit(FAULTS if verification.fails else 0)


def _checked(scene: "Path") -> "Lay":
    with compiling():
        from routeviz.pipeline import check_scene

        return check_scene(scene)


def _told(verification: "Verification") -> str:
    whole = {
        "folder": verification.folder,
        "holds": not verification.fails,
        "answers": [_told_answer(one) for one in verification.answers],
    }
    return json.dumps(whole, indent=1)


def _told_answer(answer: "Answer") -> dict[str, Any]:
    return {
        "about": answer.about,
        "holds": None if answer.open else answer.holds,
        "says": answer.says,
        "problems": [
            {
                "file": one.file,
                "line": one.line or None,
                "found": one.found,
                "allowed": one.allowed,
                "remedy": one.remedy,
            }
            for one in answer.problems
        ],
    }


def _say(verification: "Verification") -> None:
    for one in verification.answers:
        look = "caution" if one.open else "fault" if one.problems else "plain"
        wrap([(f"{one.about}:", "strong"), (f" {one.says}", look)], 2)
        for problem in one.problems:
            for line in str(problem).split("\n"):
                say([(f"  {line}", "plain")])
    failing = sum(bool(one.problems) and not one.open for one in verification.answers)
    undecided = [one.about for one in verification.answers if one.open]
    say([])
    if failing:
        count = f"{failing} of {len(verification.answers)} questions" if failing > 1 else "one question"
        wrap([(f"{verification.folder}: does not hold, in {count}", "fault")], 2)
    elif undecided:
        wrap([(f"{verification.folder}: holds; not decided: {', '.join(undecided)}", "caution")], 2)
    else:
        wrap([(f"{verification.folder}: all holds", "strong")], 2)

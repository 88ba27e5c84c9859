"""Findings as a person reads them in a terminal: worst first, each with its place, what is and what to do.

The same findings for a machine are in listing.py; in 3D they are in display.py.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from routeviz.checks.findings import Finding
from routeviz.views.listing import summary

Span = tuple[str, str]  # some words and how they look: fault, caution, note, strong, faint or plain
Line = list[Span]
STEP = "  "


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A finding as it is to be printed.

    Parameters
    ----------
    number : int
        As in the pictures.
    finding : Finding
        What was found.
    place : str
        ``FILE:LINE`` where it can be mended, more of them for more than one tube.
    """

    number: int
    finding: Finding
    place: str


def report(told: Sequence[Told], *, tubes: int, proved: Sequence[str], width: int | None) -> list[Line]:
    """Return all that a check prints of a lay, line by line.

    Findings that say the same of several tubes stand together under all their numbers.

    Parameters
    ----------
    told : sequence of Told
        Worst first.
    tubes : int
        How many tubes there are.
    proved : sequence of str
        What was proved and what was left out.
    width : int or None
        Longer lines are broken here, what follows hangs under what it belongs to; None breaks nothing.

    Returns
    -------
    lines : list of Line
        Findings, the count, what was proved.
    """
    lines: list[Line] = []
    for _, same in groupby(told, key=_alike):
        lines += [*_finding(list(same), width), []]
    count = summary([one.finding for one in told], tubes)
    lines += [[(count, "strong")], []]
    lines += [[("What was proved, and what was not looked at:", "plain")]]
    for sentence in proved:
        lines += wrapped([("- ", "plain"), (sentence, "plain")], width, STEP)
    return lines


def wrapped(spans: Sequence[Span], width: int | None, hanging: str) -> list[Line]:
    """Return words in lines of at most a width; a longer word has a line by itself.

    Parameters
    ----------
    spans : sequence of Span
        The words, with the blanks between them.
    width : int or None
        Of a line; None for a single line.
    hanging : str
        What the second line and those after it begin with.

    Returns
    -------
    lines : list of Line
        At least one.
    """
    lines: list[Line] = [[]]
    used, room = 0, width or 0
    for text, look in spans:
        for word in re.findall(r"\s*\S+|\s+$", text):
            if width is not None and used > len(hanging) and used + len(word) > room:
                lines.append([(hanging, "plain")])
                word, used = word.lstrip(), len(hanging)
            _put(lines[-1], word, look)
            used += len(word)
    return lines


def _put(line: Line, word: str, look: str) -> None:
    if line and line[-1][1] == look:
        line[-1] = (line[-1][0] + word, look)
    else:
        line.append((word, look))


def in_short(names: Sequence[str]) -> str:
    """Return names in a row, those that count on drawn together: ``stack 1-4, pump 1``."""
    runs: list[tuple[str, int, int]] = []
    for name in names:
        stem, number = _parted(name)
        if runs and number is not None and runs[-1][0] == stem and runs[-1][2] + 1 == number:
            runs[-1] = (stem, runs[-1][1], number)
        else:
            runs.append((stem, -1, -2) if number is None else (stem, number, number))
    return ", ".join(stem if last < 0 else _run(stem, first, last) for stem, first, last in runs)


def _parted(name: str) -> tuple[str, int | None]:
    match = re.fullmatch(r"(.*\D)([0-9]{1,9})", name)
    return (match[1], int(match[2])) if match else (name, None)


def _run(stem: str, first: int, last: int) -> str:
    return f"{stem}{first}" if first == last else f"{stem}{first}-{last}"


def _alike(one: Told) -> tuple[object, ...]:
    finding = one.finding
    alone = one.number if finding.tube is None else 0
    return finding.severity, finding.rule, finding.stage, finding.says, finding.remedy, alone


def _finding(same: Sequence[Told], width: int | None) -> list[Line]:
    first = same[0].finding
    numbers = _run("", same[0].number, same[-1].number)
    severity = f"{first.severity}{'s' if len(same) > 1 else ''} {numbers}"
    stage = f", in stage {first.stage}" if first.stage else ""
    places = ", ".join(dict.fromkeys(one.place for one in same))
    head = [
        (severity, first.severity),
        (f" {first.rule}{stage}: ", "plain"),
        (_subject(same), "strong"),
        (f"  {places}", "faint"),
    ]
    return [
        *wrapped(head, width, 2 * STEP),
        *wrapped([(f"{STEP}{first.says}", "plain")], width, 2 * STEP),
        *wrapped([(f"{STEP}remedy: {first.remedy}", "plain")], width, 2 * STEP),
    ]


def _subject(same: Sequence[Told]) -> str:
    """Return the tubes, and the other thing where the sentence does not name it."""
    first = same[0].finding
    tubes = in_short([one.finding.tube for one in same if one.finding.tube is not None])
    others = list(dict.fromkeys(one.finding.other for one in same if one.finding.other is not None))
    other = "" if any(name in first.says for name in others) else in_short(others)
    if not tubes:
        return first.other or "the scene"
    return f"{tubes} and {other}" if other else tubes

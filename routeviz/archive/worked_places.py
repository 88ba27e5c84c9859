"""A point on a tube, worked out by hand: on a straight piece, on an arc, or on a sleeve over a nipple.

What the tube is near to there is worked out in worked_clearance.py, worked_tubes.py and worked_moving.py.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from routeviz.archive.plain_text import fixed, paragraph
from routeviz.archive.sums import (
    Row,
    Tables,
    Triple,
    direction,
    figure,
    grouped,
    lengths,
    number,
    step,
    summed,
)

OFF_END_MM = 1.0  # nearer to an end or to what is excused, flat ends and not the sides may be nearest
AGREES_MM = 0.005  # by which figures of the tables, rounded each, may lead away from what was measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Tubed:
    """Tubes and the pieces of their centrelines, by name."""

    tubes: Mapping[object, Row]
    pieces: Mapping[tuple[object, ...], Sequence[Row]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A point of a tube: in words, in sums, whether on an arc, and whether hard by the piece's start."""

    point: Triple
    words: str
    sums: list[str]
    arc: bool
    at_start: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A clearance worked out: the lines, the result, and what they ask of a reader; the least is best."""

    row: Row
    lines: list[str]
    result: float
    effort: tuple[int, ...]


def tubed(tables: Tables) -> Tubed:
    """Return what is needed of tubes to find places on them."""
    return Tubed(
        tubes={row["tube"]: row for row in tables["tubes"]},
        pieces=grouped(tables["centreline-pieces"], "tube"),
    )


def place_on(row: Row, known: Tubed) -> Place | None:
    """Return the point of a tube at which it comes nearest; None on a sleeve or hard by an end.

    Parameters
    ----------
    row : Row
        Of the table of clearances.
    known : Tubed
        Its tube among them.

    Returns
    -------
    place : Place or None
        As found from the table of pieces.
    """
    at = figure(row, "along_mm")
    if not OFF_END_MM < at < figure(known.tubes[row["tube"]], "centreline_mm") - OFF_END_MM:
        return None
    piece = [one for one in known.pieces[row["tube"],] if figure(one, "along_mm") <= at][-1]
    begins, start = figure(piece, "along_mm"), lengths(piece, "start_")
    text, into = step(f"{number(at)} - {number(begins)}", at - begins)
    tangent, is_arc = direction(piece, "tangent"), piece["kind"] == "arc"
    if is_arc:
        turned, forward, aside = _turned(into, figure(piece, "radius_mm"))
        ways = zip(start, tangent, direction(piece, "normal"), strict=True)
        sums, steps = [text, *turned], [summed([(s,), (t, forward), (n, aside)]) for s, t, n in ways]
        words = "an arc: angle, forward and aside"
    else:
        sums, steps = [text], [summed([(s,), (t, into)]) for s, t in zip(start, tangent, strict=True)]
        words = "straight"
    x, y, z = (value for _, value in steps)
    return Place(
        point=(x, y, z),
        words=f"It is nearest at along_mm {number(at)} (tables/clearances.csv). There its centreline, "
        f"piece {piece['piece']} in tables/centreline-pieces.csv, is {words}. How far into the piece, and "
        "the point:",
        sums=sums + [line for lines, _ in steps for line in lines],
        arc=is_arc,
        at_start=into < OFF_END_MM,
    )


def best_of(found: Sequence[Worked]) -> list[str]:
    """Return the lines of what asks least of a reader, with what the table has; nothing where there is none.

    Only what comes out as it was measured is shown: what else is near may be an end or an edge.
    """  # noqa: DOC201
    right = [
        one for one in found if one.result > 0 and abs(one.result - figure(one.row, "high_mm")) <= AGREES_MM
    ]
    best = min(right, key=lambda one: one.effort, default=None)
    if best is None:
        return []
    low, high, limit = (number(figure(best.row, name)) for name in ("low_mm", "high_mm", "limit_mm"))
    least = "the same under low_mm" if low == high else f"{low} under low_mm: the true one lies between them"
    tabled = f"tables/clearances.csv has {high} under high_mm and {least}. Wanted are {limit} mm."
    return [*best.lines, "", *paragraph(tabled)]


def in_turn(told: Sequence[str], parts: Sequence[Sequence[str]]) -> list[str]:
    """Return words and sums in turn."""
    lines: list[str] = []
    for words, sums in zip(told, parts, strict=True):
        lines += [*([""] if lines else []), *paragraph(words), *fixed("\n".join(sums))]
    return lines


def _turned(into: float, radius: float) -> tuple[list[str], float, float]:
    """Return the sums for how far an arc has gone forward and aside so far into it, and both."""
    first, angle = step(f"180 x {number(into)} / (pi x {number(radius)})", 180 * into / (math.pi * radius))
    turn = math.radians(angle)
    second, forward = step(f"{number(radius)} x sin({number(angle)})", radius * math.sin(turn))
    third, aside = step(f"{number(radius)} x (1 - cos({number(angle)}))", radius * (1 - math.cos(turn)))
    return [first, second, third], forward, aside

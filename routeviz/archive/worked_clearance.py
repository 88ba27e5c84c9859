"""A clearance, worked out by hand from the tables of an archive, with every figure on the way.

The length that goes with it is worked out in worked_length.py.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from routeviz.archive.plain_text import fixed, paragraph
from routeviz.archive.sums import (
    Row,
    Tables,
    Triple,
    differences,
    direction,
    figure,
    grouped,
    lengths,
    number,
    root,
    rounded,
    step,
    summed,
)

AGREES_MM = 0.005  # by which figures of the tables, rounded each, may lead away from what was measured
OFF_END_MM = 1.0  # nearer to an end or to what is excused, flat ends and not the sides may be nearest
MOST_PIECES = 500  # of a mesh of more nobody works anything out by hand
FEW = 6  # corners that are worth listing in a line or two
Outline = list[tuple[float, float]]
NONE = (
    "No clearance of this record can be worked out in a few lines: no tube has anything beside it within the "
    "reach that was looked at, or only at its end, at a sleeve or where it overlaps."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A point on a tube's centreline, how it was found, whether on an arc, and how far into its piece."""

    point: Triple
    sums: list[str]
    arc: bool
    into: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """How far a point is from a piece: words and sums in turn, the result, what they ask of a reader."""

    told: list[str]
    parts: list[list[str]]
    result: float
    effort: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A clearance worked out: the lines, the result, and what they ask of a reader; the least is best."""

    row: Row
    lines: list[str]
    result: float
    effort: tuple[int, ...]


def worked_clearance(tables: Tables) -> list[str]:
    """Return how one clearance follows from the tables.

    Parameters
    ----------
    tables : mapping
        Rows by table, each by column; empty cells are left out or None.

    Returns
    -------
    lines : list of str
        Of a tube beside a face or an edge of what stands still, if there is one; else from the two nearest
        places as they are tabled; a sentence where that is not possible either.
    """
    found = [one for one in _beside_solids(tables) if _agrees(one)]
    found = found or [one for one in _between_places(tables) if _agrees(one)]
    best = min(found, key=lambda one: one.effort, default=None)
    if best is None:
        return paragraph(NONE)
    low, high = figure(best.row, "low_mm"), figure(best.row, "high_mm")
    tabled = (
        f"tables/clearances.csv has high_mm {number(high)} for this place, and low_mm {number(low)}: it is "
        f"nowhere less than that. {number(figure(best.row, 'limit_mm'))} mm are wanted."
    )
    return [*best.lines, "", *paragraph(tabled)]


def _agrees(one: Worked) -> bool:
    return one.result > 0 and abs(one.result - figure(one.row, "high_mm")) <= AGREES_MM


def _plain(row: Row) -> bool:
    return bool(row["near"]) and not row.get("sleeve")


def _beside_solids(tables: Tables) -> Iterator[Worked]:
    """Yield the clearance of each tube to what stands still, for each piece of that."""
    of_tubes, of_solids = grouped(tables["centreline-pieces"], "tube"), grouped(tables["solids"], "solid")
    corners = grouped(tables["solid-corners"], "solid", "piece")
    tubes = {row["tube"]: row for row in tables["tubes"]}
    for row in tables["clearances"]:
        if row["against"] != "fixed" or not _plain(row):
            continue
        at, tube = figure(row, "along_mm"), tubes[row["tube"]]
        if not OFF_END_MM < at < figure(tube, "centreline_mm") - OFF_END_MM:
            continue
        piece = [one for one in of_tubes[row["tube"],] if figure(one, "along_mm") <= at][-1]
        place = _place(row, piece)
        pieces = of_solids[row["other_solid"],]
        for solid in pieces if len(pieces) <= MOST_PIECES else ():
            outline = [
                (figure(one, "u_mm"), figure(one, "v_mm"))
                for one in corners[row["other_solid"], solid["piece"]]
            ]
            found = _beside_piece(place, solid, outline, figure(tube, "outside_mm"))
            if found is not None:
                yield _worked(row, place, found)


def _place(row: Row, piece: Row) -> Place:
    """Return the sums for the point at which a tube comes nearest, in the piece of its centreline there."""
    at, begins = figure(row, "along_mm"), figure(piece, "along_mm")
    start, tangent = lengths(piece, "start_"), direction(piece, "tangent")
    text, into = step(f"{number(at)} - {number(begins)}", at - begins)
    if piece["kind"] == "straight":
        sums, arc = [text], False
        steps = [summed([(s,), (t, into)]) for s, t in zip(start, tangent, strict=True)]
    else:
        sums, forward, aside = _turned(into, figure(piece, "radius_mm"))
        sums, arc = [text, *sums], True
        ways = zip(start, tangent, direction(piece, "normal"), strict=True)
        steps = [summed([(s,), (t, forward), (n, aside)]) for s, t, n in ways]
    x, y, z = (value for _, value in steps)
    return Place(
        point=(x, y, z), sums=sums + [line for lines, _ in steps for line in lines], arc=arc, into=into
    )


def _turned(into: float, radius: float) -> tuple[list[str], float, float]:
    """Return the sums for how far an arc has gone forward and aside so far into it, and both."""
    first, angle = step(f"180 x {number(into)} / (pi x {number(radius)})", 180 * into / (math.pi * radius))
    turn = math.radians(angle)
    second, forward = step(f"{number(radius)} x sin({number(angle)})", radius * math.sin(turn))
    third, aside = step(f"{number(radius)} x (1 - cos({number(angle)}))", radius * (1 - math.cos(turn)))
    return [first, second, third], forward, aside


def _beside_piece(place: Place, solid: Row, outline: Outline, outside: float) -> Beside | None:
    """Return the sums from a point to a convex piece; None where it is inside, or takes more than these."""
    less, off = differences(place.point, lengths(solid, "origin_"))
    axes = [direction(solid, axis) for axis in ("first", "second", "third")]
    seen = [summed(list(zip(off, axis, strict=True))) for axis in axes]
    u, v, w = (value for _, value in seen)
    beyond = _beyond(solid, outline, u, v)
    if beyond is None:
        return None
    words, sums, outs = beyond
    half = figure(solid, "half_mm")
    if abs(w) > half:
        text, out = step(f"{number(abs(w))} - {number(half)}", abs(w) - half)
        sums, outs = [*sums, text], [*outs, out]
    if not outs:
        return None
    distance = outs[0]
    if len(outs) > 1:
        text, distance = root(outs)
        sums = [*sums, text]
    text, result = step(f"{number(distance)} - {number(outside)} / 2", distance - outside / 2)
    told = [
        f"That point, as seen from the origin of piece {solid['piece']} of the solid (tables/solids.csv): x, "
        "y and z less those of the origin.",
        "The same along the piece's three axes: u, v and w.",
        f"{words} It reaches {number(half)} to either side along w. How far outside of it the point is, and "
        "the tube's half outside diameter off that:",
    ]
    parts = [less, [line for lines, _ in seen for line in lines], [*sums, text]]
    return Beside(told=told, parts=parts, result=result, effort=(len(outs), len(outline)))


def _worked(row: Row, place: Place, beside: Beside) -> Worked:
    first = (
        f'The tube "{row["tube"]}" against "{row["other_solid"]}", which stands still. It comes nearest '
        f"{number(figure(row, 'along_mm'))} mm along; the piece of its centreline there is "
        f"{'an arc' if place.arc else 'straight'}. How far into that piece this is, and the point's x, y, z:"
    )
    lines = _set([first, *beside.told], [place.sums, *beside.parts])
    effort = (place.into < OFF_END_MM, place.arc, *beside.effort)
    return Worked(row=row, lines=lines, result=beside.result, effort=effort)


def _beyond(solid: Row, outline: Outline, u: float, v: float) -> tuple[str, list[str], list[float]] | None:
    """Return in words, sums and lengths how far a point lies outside an outline; None where it takes more."""
    if not outline:
        return _beyond_disc(figure(solid, "radius_mm"), u, v)
    told = ", ".join(f"({a!r}, {b!r})" for a, b in outline)
    if _inside(outline, u, v):
        shown = f" of the corners (u, v) {told}" if len(outline) <= FEW else ", see tables/solid-corners.csv"
        return f"Its u and v lie inside the piece's outline{shown}.", [], []
    lows, highs = ([f(one[k] for one in outline) for k in (0, 1)] for f in (min, max))
    if set(outline) != {(a, b) for a in (lows[0], highs[0]) for b in (lows[1], highs[1])}:
        return None
    steps = [
        step(f"{number(low)} - {number(value)}", low - value)
        if value < low
        else step(f"{number(value)} - {number(high)}", value - high)
        for value, low, high in zip((u, v), lows, highs, strict=True)
        if not low <= value <= high
    ]
    words = f"The piece's outline is a rectangle with the corners (u, v) {told}."
    return words, [text for text, _ in steps], [out for _, out in steps]


def _beyond_disc(radius: float, u: float, v: float) -> tuple[str, list[str], list[float]]:
    text, wide = root((u, v))
    words = f"The piece is a disc of radius {number(radius)}."
    if wide <= radius:
        return words, [text], []
    more, out = step(f"{number(wide)} - {number(radius)}", wide - radius)
    return words, [text, more], [out]


def _inside(corners: Outline, u: float, v: float) -> bool:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return all((c - a) * (v - b) - (d - b) * (u - a) >= 0 for (a, b), (c, d) in pairs)


def _between_places(tables: Tables) -> Iterator[Worked]:
    """Yield the clearance of each tube to anything, from the two places that are tabled with it."""
    outsides = {row["tube"]: figure(row, "outside_mm") for row in tables["tubes"]}
    for number_of_row, row in enumerate(tables["clearances"]):
        if not _plain(row):
            continue
        less, off = differences(lengths(row, ""), lengths(row, "other_"))
        text, distance = root(off)
        outside, other = outsides[row["tube"]], row.get("other_tube")
        terms, result = f"{number(distance)} - {number(outside)} / 2", distance - outside / 2
        if other:
            terms, result = f"{terms} - {number(outsides[other])} / 2", result - outsides[other] / 2
        last, result = step(terms, rounded(result))
        told = [
            f'The tube "{row["tube"]}" against "{other or row["other_solid"]}". From the two nearest places '
            "in the table, x, y and z of the one less those of the other; how far that is; and less what "
            "lies between middle and wall:"
        ]
        yield Worked(row=row, lines=_set(told, [[*less, text, last]]), result=result, effort=(number_of_row,))


def _set(told: Sequence[str], parts: Sequence[Sequence[str]]) -> list[str]:
    """Return words and sums in turn."""
    lines: list[str] = []
    for words, sums in zip(told, parts, strict=True):
        lines += [*([""] if lines else []), *paragraph(words), *fixed("\n".join(sums))]
    return lines

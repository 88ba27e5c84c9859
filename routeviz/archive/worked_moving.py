"""A tube's clearance from what moves, worked out by hand: the point is turned back instead of the part.

The same from what stands still is in worked_clearance.py.
"""

import math

from routeviz.archive.sums import (
    Row,
    Tables,
    Triple,
    added,
    differences,
    direction,
    figure,
    lengths,
    number,
    step,
    summed,
)
from routeviz.archive.worked_pieces import beside_piece, pieces_of
from routeviz.archive.worked_places import Worked, best_of, in_turn, place_on, tubed

HARDLY = 0.01  # of a travel: nearer to rest there is little to see
Told = tuple[list[str], list[list[str]], Triple]


def worked_moving(tables: Tables) -> list[str]:
    """Return how a clearance from something that moves follows from the tables.

    Parameters
    ----------
    tables : mapping
        Rows by table, each by column; empty cells are left out or None.

    Returns
    -------
    lines : list of str
        Of what turns, else of what slides; nothing where no tube has any of them beside it.
    """
    known, pieces = tubed(tables), pieces_of(tables)
    motions = {row["solid"]: row for row in tables["motions"]}
    found = []
    for row in tables["clearances"]:
        if row["against"] != "moving" or not row["near"] or row["sleeve"]:
            continue
        place, motion = place_on(row, known), motions[row["other_solid"]]
        if place is None:
            continue
        told, parts, point = _at_rest(place.point, motion, figure(row, "travel_share"))
        first = f'The tube "{row["tube"]}" against "{row["other_solid"]}", which moves. {place.words}'
        ease = (motion["kind"] != "hinge", figure(row, "travel_share") < HARDLY, place.at_start, place.arc)
        for solid, outline in pieces[row["other_solid"]]:
            beside = beside_piece(point, solid, outline, figure(known.tubes[row["tube"]], "outside_mm"))
            if beside is not None:
                lines = in_turn([first, *told, *beside.told], [place.sums, *parts, *beside.parts])
                found.append(
                    Worked(row=row, lines=lines, result=beside.result, effort=(*ease, *beside.effort))
                )
    return best_of(found)


def _at_rest(point: Triple, motion: Row, share: float) -> Told:
    """Return a point as it lies to something when that has gone back to rest: words, sums, the point."""
    way = direction(motion, "way")
    nearest = (
        f"It is nearest at travel_share {number(share)}. Instead of the part the point is moved, back by as "
        "much, to where it lies to the part at rest"
    )
    if motion["kind"] == "slide":
        full = figure(motion, "full_mm")
        steps = [summed([(p,), (-share, full, w)]) for p, w in zip(point, way, strict=True)]
        return [f"{nearest}; full_mm stands in tables/motions.csv:"], [_lines(steps)], _triple(steps)
    full = figure(motion, "full_deg")
    text, angle = step(f"{number(-share)} x {number(full)}", -share * full)
    axis = lengths(motion, "axis_")
    less, d = differences(point, axis)
    dot = summed(list(zip(way, d, strict=True)))
    cross = [summed([(way[i], d[k]), (-way[k], d[i])]) for i, k in ((1, 2), (2, 0), (0, 1))]
    turned = [
        _turned(angle, of_d, of_cross, (dot[1], of_way))
        for of_d, (_, of_cross), of_way in zip(d, cross, way, strict=True)
    ]
    steps = [summed([(a,), (t,)]) for a, (_, t) in zip(axis, turned, strict=True)]
    told = [
        f"{nearest}: by a, which is full_deg in tables/motions.csv times that, the other way round. And d, "
        "the point less the axis point:",
        "way . d, and way cross d:",
        "turned, by the formula for what moves:",
        "The axis point added:",
    ]
    return told, [[text, *less], [*dot[0], *_lines(cross)], _lines(turned), _lines(steps)], _triple(steps)


def _turned(angle: float, d: float, cross: float, along: tuple[float, float]) -> tuple[list[str], float]:
    """Return the sums for one of x, y and z of d turned about an axis."""
    turn, told, (dot, way) = math.radians(angle), repr(angle), along
    terms = [
        (f"cos({told}) x {number(d)}", math.cos(turn) * d),
        (f"sin({told}) x {number(cross)}", math.sin(turn) * cross),
        (f"(1 - cos({told})) x {number(dot)} x {number(way)}", (1 - math.cos(turn)) * dot * way),
    ]
    return added([one for one, is_there in zip(terms, (d, cross, dot * way), strict=True) if is_there])


def _lines(steps: list[tuple[list[str], float]]) -> list[str]:
    return [line for lines, _ in steps for line in lines]


def _triple(steps: list[tuple[list[str], float]]) -> Triple:
    x, y, z = (value for _, value in steps)
    return x, y, z

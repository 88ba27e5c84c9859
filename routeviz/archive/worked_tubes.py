"""A tube's clearance from another tube, worked out by hand where it bends or where its sleeve is nearest.

Where both run straight nothing is to be learnt that worked_clearance.py does not show.
"""

import math
from collections.abc import Iterator, Mapping

from routeviz.archive.sums import (
    Row,
    Tables,
    Triple,
    differences,
    direction,
    figure,
    lengths,
    number,
    root,
    step,
    summed,
)
from routeviz.archive.worked_places import Tubed, Worked, best_of, in_turn, place_on, tubed

NEAREST = (
    "The place on the other (other_x_mm and so on in tables/clearances.csv) less that point; how far "
    "that is; and less half of how thick both are:"
)


def worked_tubes(tables: Tables) -> list[str]:
    """Return how a clearance between two tubes follows from the tables.

    Parameters
    ----------
    tables : mapping
        Rows by table, each by column; empty cells are left out or None.

    Returns
    -------
    lines : list of str
        Of an arc beside another tube, else of a sleeve; nothing where neither is nearest anywhere.
    """
    known = tubed(tables)
    nipples = {row["nipple"]: row for row in tables["nipples"]}
    rows = [row for row in tables["clearances"] if row["against"] == "tube" and row["near"]]
    found = [one for row in rows if not row["sleeve"] for one in _on_arc(row, known)]
    found += [one for row in rows if row["sleeve"] for one in _on_sleeve(row, known, nipples)]
    return best_of(found)


def _on_arc(row: Row, known: Tubed) -> Iterator[Worked]:
    place = place_on(row, known)
    if place is None or not place.arc:
        return
    outside = figure(known.tubes[row["tube"]], "outside_mm")
    sums, result = _apart(row, known, place.point, outside)
    words = f'The tube "{row["tube"]}" against the tube "{row["other_tube"]}". {place.words}'
    lines = in_turn([words, NEAREST], [place.sums, sums])
    yield Worked(row=row, lines=lines, result=result, effort=(0, place.at_start, len(place.sums)))


def _on_sleeve(row: Row, known: Tubed, nipples: Mapping[object, Row]) -> Iterator[Worked]:
    """Yield the sums where it is this tube's own sleeve that comes nearest, and on a nipple."""
    tube, at = known.tubes[row["tube"]], figure(row, "along_mm")
    end = figure(tube, "centreline_mm")
    nipple = nipples.get(tube.get("from_nipple" if at < 0 else "to_nipple"))
    if nipple is None or 0 <= at <= end:
        return
    line, back = step(f"{number(at)} - {number(end)}", at - end) if at > end else (None, -at)
    ways = zip(lengths(nipple, "tip_"), direction(nipple, "way"), strict=True)
    steps = [summed([(tip,), (-way, back)]) for tip, way in ways]
    x, y, z = (value for _, value in steps)
    sums = [*([line] if line else []), *(line for lines, _ in steps for line in lines)]
    wide, diameter = _stretched(tube, nipple)
    words = (
        f'The tube "{row["tube"]}" against the tube "{row["other_tube"]}". Its sleeve over '
        f"{nipple['nipple']} is nearest, {number(back)} mm back from the tip; the point: tip_x_mm and so on "
        "in tables/nipples.csv less so much of its way."
    )
    stretched = "How wide the sleeve is: outside^2 less bore^2 of the tube, and n^2."
    apart, result = _apart(row, known, (x, y, z), diameter)
    lines = in_turn([words, stretched, NEAREST], [sums, [wide], apart])
    yield Worked(row=row, lines=lines, result=result, effort=(1, 0, len(sums)))


def _stretched(tube: Row, nipple: Row) -> tuple[str, float]:
    outside, bore = figure(tube, "outside_mm"), figure(tube, "bore_mm")
    n = max(figure(nipple, "outside_mm"), bore)
    text = f"sqrt({number(outside)}^2 - {number(bore)}^2 + {number(n)}^2)"
    return step(text, math.sqrt(outside**2 - bore**2 + n**2))


def _apart(row: Row, known: Tubed, point: Triple, wide: float) -> tuple[list[str], float]:
    other = figure(known.tubes[row["other_tube"]], "outside_mm")
    less, off = differences(lengths(row, "other_"), point)
    text, distance = root(off)
    last, result = step(
        f"{number(distance)} - {number(wide)} / 2 - {number(other)} / 2", distance - wide / 2 - other / 2
    )
    return [*less, text, last], result

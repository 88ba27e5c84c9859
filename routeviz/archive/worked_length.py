"""A length to cut, worked out by hand from the tables of an archive: piece by piece, figure by figure.

The clearance that goes with it is worked out in worked_clearance.py.
"""

import math
from collections.abc import Sequence

from routeviz.archive.plain_text import fixed, paragraph
from routeviz.archive.sums import Row, Tables, differences, figure, grouped, lengths, number, root, step

NONE = "No tube of this record has a centreline, so there is no length to work out."


def worked_length(tables: Tables) -> list[str]:
    """Return how the length to cut of one tube follows from the tables.

    Parameters
    ----------
    tables : mapping
        Rows by table, each by column; empty cells are left out or None.

    Returns
    -------
    lines : list of str
        Of a tube with few pieces, straight ones and arcs where there is one; a sentence where there is none.
    """
    chosen = _chosen(tables)
    if chosen is None:
        return paragraph(NONE)
    tube, pieces = chosen
    name = tube["tube"]
    lines = paragraph(
        f'The tube "{name}". Its pieces stand in tables/centreline-pieces.csv, one after the other. A '
        "straight one is as long as it is from its start to the start of the next; the last one, to the "
        "last corner in tables/corners.csv. An arc is pi x radius x angle / 180."
    )
    corners = [row for row in tables["corners"] if row["tube"] == name]
    starts = [lengths(row, "start_") for row in pieces] + [lengths(corners[-1], "")]
    total = 0.0
    for place, row in enumerate(pieces):
        lines += ["", *paragraph(f"Piece {row['piece']}, {row['kind']}:", indent=2)]
        sums, length = _piece(row, starts[place], starts[place + 1])
        text, total = step(f"{number(total)} + {number(length)}", total + length)
        lines += [*fixed("\n".join(sums)), *fixed(text)]
    return lines + _in_all(tube, total)


def _chosen(tables: Tables) -> tuple[Row, list[Row]] | None:
    """Return the tube whose length shows most with the fewest pieces, and its pieces."""
    pieces = grouped(tables["centreline-pieces"], "tube")
    tubes = [tube for tube in tables["tubes"] if (tube["tube"],) in pieces and tube.get("cut_mm")]

    def shows(tube: Row) -> tuple[bool, bool, int]:
        kinds = [row["kind"] for row in pieces[tube["tube"],]]
        on_nipples = bool(tube.get("from_nipple")) and bool(tube.get("to_nipple"))
        return len(set(kinds)) < 2, not on_nipples, len(kinds)

    best = min(tubes, key=shows, default=None)
    return None if best is None else (best, pieces[best["tube"],])


def _piece(row: Row, start: Sequence[float], end: Sequence[float]) -> tuple[list[str], float]:
    if row["kind"] == "arc":
        radius, turn = figure(row, "radius_mm"), figure(row, "turn_deg")
        line, length = step(f"pi x {number(radius)} x {number(turn)} / 180", math.pi * radius * turn / 180)
        return [line], length
    lines, off = differences(end, start)
    line, length = root(off)
    return [*lines, line], length


def _in_all(tube: Row, total: float) -> list[str]:
    """Return how what goes over the nipples and what is left over is added, held against the table."""
    names = ("over_from_mm", "over_to_mm", "spare_mm", "step_mm")
    added = [figure(tube, name) for name in names]
    text, cut = step(" + ".join(number(value) for value in (total, *added)), total + sum(added))
    tabled = figure(tube, "cut_mm")
    lines = [
        "",
        *paragraph("All pieces, then what goes over both nipples, what is spare, and the step:", indent=2),
    ]
    lines += [*fixed(text), ""]
    return lines + paragraph(
        f"tables/tubes.csv has {number(tabled)} under cut_mm. What is left between the two, "
        f"{abs(cut - tabled):.4f} mm, is rounding."
    )

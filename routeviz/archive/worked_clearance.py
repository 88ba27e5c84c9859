"""A tube's clearance from what stands still, worked out by hand from the tables of an archive.

From other tubes: worked_tubes.py; from what moves: worked_moving.py; a length to cut: worked_length.py.
"""

from collections.abc import Iterator

from routeviz.archive.plain_text import paragraph
from routeviz.archive.sums import Row, Tables, differences, figure, lengths, number, root, rounded, step
from routeviz.archive.worked_pieces import Beside, beside_piece, pieces_of
from routeviz.archive.worked_places import Place, Worked, best_of, in_turn, place_on, tubed

NONE = (
    "No clearance of this record can be worked out in a few lines: no tube has anything beside it within the "
    "reach that was looked at, or only at its end, at a sleeve or where it overlaps."
)


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
    beside = best_of(list(_beside_solids(tables)))
    return beside or best_of(list(_between_places(tables))) or paragraph(NONE)


def _plain(row: Row) -> bool:
    return bool(row["near"]) and not row.get("sleeve")


def _beside_solids(tables: Tables) -> Iterator[Worked]:
    """Yield the clearance of each tube to what stands still, for each piece of that."""
    known, pieces = tubed(tables), pieces_of(tables)
    for row in tables["clearances"]:
        if row["against"] != "fixed" or not _plain(row):
            continue
        place = place_on(row, known)
        if place is None:
            continue
        for solid, outline in pieces[row["other_solid"]]:
            found = beside_piece(place.point, solid, outline, figure(known.tubes[row["tube"]], "outside_mm"))
            if found is not None:
                yield _worked(row, place, found)


def _worked(row: Row, place: Place, beside: Beside) -> Worked:
    first = f'The tube "{row["tube"]}" against "{row["other_solid"]}", which stands still. {place.words}'
    lines = in_turn([first, *beside.told], [place.sums, *beside.parts])
    effort = (place.at_start, place.arc, *beside.effort)
    return Worked(row=row, lines=lines, result=beside.result, effort=effort)


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
        yield Worked(
            row=row, lines=in_turn(told, [[*less, text, last]]), result=result, effort=(number_of_row,)
        )

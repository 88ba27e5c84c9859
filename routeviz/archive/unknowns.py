"""What is not known of an instrument, and what of it is less than measured, as its tables have it.

Part of the reading guide; see reading_guide.py.
"""

from collections.abc import Iterable, Sequence

from routeviz.archive.plain_text import items, paragraph
from routeviz.archive.sums import Row, Tables

UNSURE = ("assumed", "analogous", "inferred")
PROGRAM = "program"  # who says so, in the table of limits, where nobody did
MOST_NAMED = 12
NOTHING = "Nothing is known to be unknown; that proves nothing."


def unknowns(tables: Tables) -> list[str]:
    """Return what is not known, what is not sure, and what the program takes where nobody said anything.

    Parameters
    ----------
    tables : mapping
        Rows by table, each by column; ``not-known``, ``dimensions``, ``limits`` are looked at.

    Returns
    -------
    lines : list of str
        Never empty.
    """
    rows = tables.get("not-known", ())
    lines = paragraph("What tables/not-known.csv has:") if rows else paragraph(NOTHING)
    lines += items(str(row["says"]) for row in rows)
    unsure = _of_dimensions(tables.get("dimensions", ()))
    if unsure:
        lines += ["", *paragraph("Neither measured nor documented, by status in tables/dimensions.csv:")]
    return lines + items(unsure) + _taken(tables.get("limits", ()))


def _taken(rows: Sequence[Row]) -> list[str]:
    """Return what the program takes where nobody said anything."""
    taken = [
        f"{row['limit']} {row['value']} {row['unit'] or ''}".strip()
        for row in rows
        if row["said_by"] == PROGRAM
    ]
    if not taken:
        return []
    return [
        "",
        *paragraph(
            "Nobody measured these, nor said them of this instrument; the program takes them "
            f"(tables/defaults.csv has all such, and what hangs on each): {', '.join(taken)}."
        ),
    ]


def _of_dimensions(rows: Sequence[Row]) -> list[str]:
    """Return which things have dimensions that are not sure, and how many."""
    texts = []
    for status in UNSURE:
        things = [str(row["thing"] or row["what"]) for row in rows if row.get("status") == status]
        if things:
            count = f"{len(things)} dimension{'' if len(things) == 1 else 's'}"
            texts.append(f"{status.capitalize()}: {count}{_of(things)}.")
    return texts


def _of(names: Iterable[str]) -> str:
    """Return of what, each once, and of a long list how many more."""
    told = list(dict.fromkeys(names))
    more = f" and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return f", of {', '.join(told[:MOST_NAMED])}{more}"

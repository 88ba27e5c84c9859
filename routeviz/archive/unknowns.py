"""What is not known of an instrument or was not looked at, as far as its record can say it itself.

Part of the reading guide; see reading_guide.py.
"""

from collections.abc import Iterable, Sequence

from routeviz.archive.sums import Row, Tables
from routeviz.lay import Lay

UNSURE = ("assumed", "analogous", "inferred")
OPEN_RULES = ("unconnected", "no_way")
MOST_NAMED = 12


def unknowns(lay: Lay, tables: Tables) -> list[str]:
    """Return, a sentence each, what is not known of a lay or was not tested: of its record's author first.

    Parameters
    ----------
    lay : Lay
        As checked.
    tables : mapping
        Rows by table, each by column; ``not-known``, ``dimensions`` and ``parts`` are looked at, where there.

    Returns
    -------
    texts : list of str
        Never empty.
    """
    texts = [str(row["says"]) for row in tables.get("not-known", ())]
    texts += [
        f"{one.tube or one.other}: {one.says}."
        for one in lay.findings
        if one.rule in OPEN_RULES and one.severity != "note" and one.other is not None
    ]
    texts += _of_dimensions(tables.get("dimensions", ()))
    texts += _of_parts(tables.get("parts", ()))
    return texts or ["Nothing is known to be unknown; that proves nothing."]


def _of_dimensions(rows: Sequence[Row]) -> list[str]:
    """Return which things have dimensions that are not sure, and how many."""
    texts = []
    for status in UNSURE:
        things = [str(row["thing"] or row["what"]) for row in rows if row.get("status") == status]
        if things:
            texts.append(f"{status.capitalize()}: {len(things)} dimensions{_of(things)}.")
    return texts


def _of(names: Iterable[str]) -> str:
    """Return of what, each once, and of a long list how many more."""
    told = list(dict.fromkeys(names))
    more = f" and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return f", of {', '.join(told[:MOST_NAMED])}{more}"


def _of_parts(rows: Sequence[Row]) -> list[str]:
    surfaces = [str(row["name"]) for row in rows if not row["tested_inside"] and row["pieces"]]
    if not surfaces:
        return []
    return [
        f"Known by their surface alone, so that nothing was tested for lying inside: {', '.join(surfaces)}."
    ]

"""What is not known of an instrument or was not looked at, as far as its record can say it itself.

Part of the reading guide; see reading_guide.py.
"""

from collections import Counter
from collections.abc import Iterable, Sequence

from routeviz.archive.sums import Row, Tables
from routeviz.lay import Lay

UNSURE = ("assumed", "analogous", "inferred")
OPEN_RULES = ("unconnected", "no_way")
MOST_NAMED = 12


def unknowns(lay: Lay, tables: Tables) -> list[str]:
    """Return, a sentence each, what is not known of a lay or was not tested.

    Parameters
    ----------
    lay : Lay
        As checked.
    tables : mapping
        Rows by table, each by column; ``dimensions`` and ``parts`` are looked at where they are there.

    Returns
    -------
    texts : list of str
        What the record's author says first; never empty.
    """
    record = lay.reading.scene.record
    texts = list(record.not_known) if record is not None else []
    texts += [f"The tube {tube.name} cannot be seen: {tube.hidden}." for tube in lay.tubes if tube.hidden]
    texts += [
        f"{one.tube or one.other or 'Open'}: {one.says}."
        for one in lay.findings
        if one.rule in OPEN_RULES and one.severity != "note"
    ]
    texts += _of_dimensions(tables.get("dimensions", ()))
    texts += _of_parts(tables.get("parts", ()))
    return texts or ["Nothing is known to be unknown; that proves nothing."]


def _of_dimensions(rows: Sequence[Row]) -> list[str]:
    """Return how many dimensions nobody vouches for, and which things have some that are not sure."""
    if not rows:
        return []
    counts = Counter(str(row.get("status") or "") for row in rows)
    texts = []
    if counts[""]:
        texts.append(
            f"Of {len(rows)} dimensions {counts['']} have no status: nobody said how they are known. See "
            "tables/dimensions.csv."
        )
    for status in UNSURE:
        if counts[status]:
            things = [str(row["thing"]) for row in rows if row.get("status") == status and row.get("thing")]
            texts.append(f"{status.capitalize()}: {counts[status]} dimensions{_of(things)}.")
    return texts


def _of(names: Iterable[str]) -> str:
    """Return of what, each once, and of a long list how many more."""
    told = list(dict.fromkeys(names))
    if not told:
        return ""
    more = f" and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return f", of {', '.join(told[:MOST_NAMED])}{more}"


def _of_parts(rows: Sequence[Row]) -> list[str]:
    surfaces = [str(row["name"]) for row in rows if not row["tested_inside"] and row["pieces"]]
    if not surfaces:
        return []
    return [
        f"Known by their surface alone, so that nothing was tested for lying inside: {', '.join(surfaces)}."
    ]

"""How the values of a thing are known, as the page's data tells it: what is said, least sure first."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from routeviz.scene.doubts import LEAST_SURE_FIRST, Doubt
from routeviz.scene.positions import Key
from routeviz.scene.reading import Reading, values_at
from routeviz.views.page_numbers import rounded

Known = dict[str, Any]


def known_scene(reading: Reading) -> Known | None:
    """Return what a scene says of all its values that say nothing else; None where it says nothing."""
    return _told(reading.doubts[()]) if () in reading.doubts else None


def known_part(reading: Reading, name: str) -> list[Known]:
    """Return what is said of a part's values; ``name`` may be that of a copy of one that repeats."""
    part = name if name in reading.scene.part else name.rsplit(" ", 1)[0]
    return known_at(reading, ("part", part))


def known_at(reading: Reading, key: Key) -> list[Known]:
    """Return what is said of the values of a thing.

    Parameters
    ----------
    reading : Reading
        The scene.
    key : tuple of str and int
        Of a part, passage or tube in it.

    Returns
    -------
    known : list of dict
        One for all values of which the same is said; ``values`` names them, none where it is all of them.
        What is said of the whole scene, and what has no status, is left out.
    """
    if not reading.doubts:
        return []
    every = values_at(reading, key) or (key,)
    groups: dict[Doubt, list[tuple[Key, Doubt]]] = {}
    for one in every:
        doubt = reading.doubt_at(one)
        shared = replace(doubt, recorded=None, spread_deg=None, spread=None)
        groups.setdefault(shared, []).append((one, doubt))
    whole = reading.doubts.get((), Doubt())
    told = [(doubt, some) for doubt, some in groups.items() if _says_more(doubt, whole)]
    told.sort(key=lambda pair: LEAST_SURE_FIRST.index(pair[0].status or "measured"))
    return [
        {**_told(doubt), "values": [] if _is_all(some, every) else [_named(one, own) for one, own in some]}
        for doubt, some in told
    ]


def _is_all(some: Sequence[tuple[Key, Doubt]], every: Sequence[Key]) -> bool:
    return len(some) == len(every) and not any(doubt.recorded for _, doubt in some)


def _says_more(doubt: Doubt, whole: Doubt) -> bool:
    """Return whether a status is told, and something that is not said of the whole scene."""
    is_same = doubt in (whole, replace(whole, spread_mm=None))  # a number that is no length has none of it
    return doubt.status is not None and not is_same


def _told(doubt: Doubt) -> Known:
    said = {
        "status": doubt.status,
        "why": doubt.why,
        "source": doubt.source,
        "with": doubt.tool,
        "by": doubt.by,
        "on": doubt.on,
        "spread": rounded(doubt.spread_mm),
    }
    return {word: value for word, value in said.items() if value is not None}


def _named(key: Key, doubt: Doubt) -> str:
    """Return what a value measures, as ``size high``, and what is said of it alone."""
    words = " ".join(str(word + 1) if isinstance(word, int) else word for word in key[2:])
    said = [f"recorded as “{doubt.recorded}”"] if doubt.recorded else []
    said += [f"within {doubt.spread_deg:g}°"] if doubt.spread_deg is not None else []
    said += [f"within {doubt.spread:g}"] if doubt.spread is not None else []
    return f"{words} ({', '.join(said)})" if said else words

"""Every number that a scene writes, one by one: lengths, angles and whatever else is measured or counted.

How they become a register is in dimensions_register.py.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from routeviz.scene.doubts import DoubtEntry
from routeviz.scene.positions import Key
from routeviz.scene.quantities import CASE, Entry, Position
from routeviz.scene.reading import Reading

# What holds measures of the instrument; a scene's head and what an example expects hold none.
HOLDERS = ("clearance", "practice", "zero", "tubing", "part", "passage", "tubes")
FROM_ZEROS = ("at", "to")  # of parts and passages: all other positions in a part count from where it is
UNITS = {  # by how the names of values end
    "_mm": "mm",
    "_deg": "deg",
    "_percent": "%",
    "_kpa": "kPa",
    "_mpa": "MPa",
    "_g_cm3": "g/cm3",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A number as a scene gives it.

    Parameters
    ----------
    key : tuple of str and int
        Where it stands; list items counted from 0.
    value : float or int
        In ``unit``.
    unit : str
        ``mm`` for any length; empty for what is counted.
    written : float, int or str
        As it stands in the file, without what is said beside it.
    about : str
        What the format says of it; may be empty.
    position : bool
        Whether it says where something is.
    zero : str or None
        The zero from which a position counts; None for others, and for what counts from its part's own place.
    """

    key: Key
    value: float | int
    unit: str
    written: float | int | str
    about: str
    position: bool
    zero: str | None


def dimensions_of(reading: Reading) -> Iterator[Dimension]:
    """Yield every number that a scene writes, or a model for it, in the order of its tables.

    Parameters
    ----------
    reading : Reading
        Any scene.

    Yields
    ------
    dimension : Dimension
        Defaults that nobody wrote are not among them.
    """
    for holder in HOLDERS:
        if holder in reading.written:
            value, raw = getattr(reading.scene, holder), reading.written[holder]
            yield from _within(value, raw, (holder,), _Said())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Said:
    """What is known of a value before it is looked at, as in ``Dimension``; the zero around it."""

    unit: str = ""
    about: str = ""
    position: bool = False
    zero: str | None = None


def _within(value: Any, raw: Any, key: Key, said: _Said) -> Iterator[Dimension]:
    """Yield the numbers in a value; ``raw`` is what the file gives for it."""
    match value:
        case bool() | str() | None:
            return
        case int() | float():
            yield Dimension(
                key=key,
                value=value,
                unit=said.unit,
                written=raw,
                about=said.about,
                position=said.position,
                zero=said.zero if said.position else None,
            )
        case Entry():
            yield from _in_table(value, raw, key, said)
        case Mapping():
            for name in raw:
                yield from _within(value[name], raw[name], (*key, name), said)
        case tuple():
            for (place, one), item in zip(_items(raw, key), value, strict=True):
                yield from _within(item, one, place, said)


def _items(raw: Any, key: Key) -> list[tuple[Key, Any]]:
    """Return the items of a list with their keys; a single one may stand without its list."""
    return [((*key, index), one) for index, one in enumerate(raw)] if isinstance(raw, list) else [(key, raw)]


def _in_table(table: Entry, raw: Mapping[str, Any], key: Key, around: _Said) -> Iterator[Dimension]:
    for name, field in type(table).model_fields.items():
        word = field.alias or name
        if word not in raw or isinstance(getattr(table, name), DoubtEntry):
            continue
        said = _Said(
            unit=next((unit for end, unit in UNITS.items() if name.endswith(end)), ""),
            about=field.description or "",
            position=isinstance(table, Position),
            zero=_zero(table, word, key, around.zero),
        )
        yield from _within(getattr(table, name), raw[word], (*key, word), said)


def _zero(table: Entry, word: str, key: Key, around: str | None) -> str | None:
    """Return the zero from which positions under a word of a table count."""
    if isinstance(table, Position):
        return table.zero or around
    if len(key) != 2:
        return None
    if key[0] == "zero":
        return CASE if word == "at" else None
    counts = word in FROM_ZEROS or key[0] == "tubes"
    return getattr(table, "zero", None) if counts and word != "step" else None

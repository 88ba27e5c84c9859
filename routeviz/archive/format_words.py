"""What may stand under a key of a scene, in words: type, limits, unit and what holds where it is left out.

The whole description of the format is put together in format_text.py.
"""

from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin

from pydantic import AfterValidator, BeforeValidator
from pydantic.fields import FieldInfo

from routeviz.archive.dimension_walk import UNITS
from routeviz.scene.parts import Part
from routeviz.scene.quantities import Angle, AtLeastZero, Direction, Entry, Length, Numbers, PositiveLength
from routeviz.scene.statements import Day, FileBeside, Licence, Names, OneLine, Text, TimeMade

Check = AfterValidator | BeforeValidator


def _checks(metadata: tuple[Any, ...]) -> list[Check]:
    return [one for one in metadata if isinstance(one, Check)]


# What a type is, by the last check of its values, by which it is told from a plain number or text.
CHECKED = {
    _checks(get_args(kind))[-1]: words
    for kind, words in (
        (Length, "length"),
        (PositiveLength, "length above zero"),
        (AtLeastZero, "length, zero or more"),
        (Angle, "angle"),
        (Numbers, "numbers"),
        (Text, "text"),
        (OneLine, "text of one line"),
        (Names, "text of one line, or a list of such texts"),
        (Day, "day, month or year"),
        (TimeMade, "day, year or text of one line"),
        (Licence, "address or SPDX identifier"),
        (FileBeside, "name of a file"),
    )
}
PLAIN = {str: "text", float: "number", int: "whole number", bool: "true or false"}
LIMITS = (
    ("ge", "at least {}"),
    ("gt", "above {}"),
    ("le", "at most {}"),
    ("lt", "below {}"),
    ("min_length", "at least {} long"),
    ("max_length", "at most {} long"),
    ("pattern", "written as {}"),
)


def type_words(annotation: Any, metadata: tuple[Any, ...] = ()) -> str:
    """Return what may stand somewhere, in words.

    Parameters
    ----------
    annotation : Any
        A type of the scene's description.
    metadata : tuple
        What its field adds to it.

    Returns
    -------
    words : str
        ``length above zero``, ``list of: table "row"``.
    """
    if annotation in (Direction, Part):
        return "direction" if annotation == Direction else "part"
    checks = _checks(metadata)
    if checks and checks[-1] in CHECKED:
        return CHECKED[checks[-1]]
    origin, inner = get_origin(annotation), get_args(annotation)
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        return f'table "{title_of(annotation)}"'
    if origin is Literal:
        return _one_of([f'"{one}"' if isinstance(one, str) else str(one) for one in inner])
    if origin is tuple:
        return f"list of: {type_words(inner[0])}"
    if origin is dict:
        return f"table of NAME = {type_words(inner[1])}"
    if hasattr(annotation, "__metadata__"):
        return type_words(inner[0], annotation.__metadata__)
    options = [type_words(one) for one in inner if one is not type(None)]
    return " or ".join(dict.fromkeys(options)) if options else PLAIN[annotation]


def field_words(name: str, field: FieldInfo) -> str:
    """Return all that is said of a key but its meaning: type, limits, and what holds where it is left out.

    Parameters
    ----------
    name : str
        Of the field in the description; its end tells the unit.
    field : FieldInfo
        The field.

    Returns
    -------
    words : str
        Without a full stop.
    """
    kind = type_words(field.annotation, tuple(field.metadata))
    said = [kind, *_limits(field)]
    unit = unit_of(name)
    if unit and not kind.startswith(("length", "angle")):
        said[0] = f"{kind} ({unit})"
    return f"{', '.join(said)}; {_left_out(field, unit)}"


def title_of(entry: type[Entry]) -> str:
    """Return what a table is called in the description: ``tube entry``."""
    letters = [f" {one.lower()}" if one.isupper() else one for one in entry.__name__]
    return "".join(letters).strip()


def unit_of(name: str) -> str:
    """Return the unit that the end of a field's name tells; empty for none."""
    return next((unit for end, unit in UNITS.items() if name.endswith(end)), "")


def _limits(field: FieldInfo) -> Iterator[str]:
    for one in field.metadata:
        for word, told in LIMITS:
            value = getattr(one, word, None)
            if value is not None:
                yield told.format(value)


def _left_out(field: FieldInfo, unit: str) -> str:
    if field.is_required():
        return "must be there"
    value = field.default
    if isinstance(value, bool | int | float):
        return f"else {value:g} {unit}".rstrip()
    return f'else "{value}"' if isinstance(value, str) and value else "may be left out"


def _one_of(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"one of {', '.join(words)}"

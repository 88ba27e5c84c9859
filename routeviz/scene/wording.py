"""What does a refused value mean in plain words? The validator's errors become problems.

What may stand where is in description.py; names that must be known are in references.py.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, get_args, get_origin

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from routeviz.errors import Problem
from routeviz.scene.description import Scene
from routeviz.scene.parts import Part
from routeviz.scene.positions import Key, Positions, problem_at
from routeviz.scene.quantities import BESIDE_VALUES, Entry, without_value
from routeviz.scene.spelling import likeliest, nearest_first

MOST_NAMED = 8  # names in a message
MOST_TOLD = 200  # refused values; who has more has one cause, and each costs a search for the nearest name
LONGEST_SHOWN = 60  # characters of a value in a message
UNITS_ALLOWED = 'units = "mm", "cm", "m", "in" or "ft", or a unit with each number, such as "5/32 in"'

_KINDS = {
    name: kind
    for kind in get_args(get_args(Part)[0])
    for name in get_args(kind.model_fields["kind"].annotation)
}
_OTHER_WORDS = {
    "left": ("right", "to the left"),
    "front": ("back", "to the front"),
    "down": ("up", "downwards"),
    "x": ("right", ""),
    "y": ("back", ""),
    "z": ("up", ""),
}  # what a direction is called here, and what a number below zero then means
_TABLES = ("dict_type", "model_type", "model_attributes_type")
_NUMBERS = ("float_type", "int_type")
_TYPES = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "int_parsing_size": "a number of fewer digits",
    "float_type": "a number without quotes",
    "bool_type": "true or false",
    "tuple_type": "a list in [ ]",
    "finite_number": "a number that can be measured",
}
_SPANS = {
    "greater_than": "a number more than {:g}",
    "greater_than_equal": "{:g} or more",
    "less_than": "a number less than {:g}",
    "less_than_equal": "{:g} or less",
    "string_pattern_mismatch": "a note name, such as 'A0', 'C2' or 'F#3'",
}
_LONG = {
    "too_short": ("too few", "at least {min_length}", "add what is missing"),
    "too_long": ("too many", "at most {max_length}", "leave some out"),
    "string_too_short": ("an empty text", "at least {min_length} letter", "write the text"),
    "string_too_long": ("too long a text", "at most {max_length} letters", "write it shorter"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """What the validator said of the scene, or of a table beside a value of it.

    Parameters
    ----------
    error : ValidationError
        Of the table.
    table : type of Entry
        What describes it.
    key : tuple of str and int
        Where it stands.
    """

    error: ValidationError
    table: type[Entry] = Scene
    key: Key = ()


def problems_of(
    refused: Sequence[Refused], raw: dict[str, Any], at: Positions, doubted: frozenset[Key]
) -> tuple[Problem, ...]:
    """Return what the validator refused, in plain words and with places.

    Parameters
    ----------
    refused : sequence of Refused
        The scene first.
    raw : dict
        The tables that were refused.
    at : Positions
        Of the scene.
    doubted : frozenset of tuple
        The keys of values that stand after ``is`` in a table of their own.

    Returns
    -------
    problems : tuple of Problem
        One for each value; numbers without a unit are one problem together.
    """
    bare: list[tuple[Key, ErrorDetails]] = []
    problems: list[Problem] = []
    for one, detail in islice(_details(refused), MOST_TOLD):
        key = (*one.key, *key_of(detail))
        if key in doubted and detail["type"] != "extra_forbidden":
            key = (*key, "is")
        if "units" not in raw and is_bare(detail):
            bare.append((key, detail))
        else:
            problems.append(problem_at(at, key, *_message(detail, one.table)))
    if bare:
        key, detail = bare[0]
        found = f"{_shown(detail['input'])} without a unit"
        found += ", and more such numbers" if len(bare) > 1 else ""
        remedy = 'write units = "mm" (or what the tape shows) near the top of the file'
        problems.append(problem_at(at, key, found, UNITS_ALLOWED, remedy))
    return tuple(problems)


def _details(refused: Sequence[Refused]) -> Iterator[tuple[Refused, ErrorDetails]]:
    for one in refused:
        for detail in one.error.errors(include_url=False):
            yield one, detail


def key_of(detail: ErrorDetails) -> Key:
    """Return where a refused value stands, without the validator's own words for alternatives."""
    loc = detail["loc"]
    if loc[:1] == ("part",) and len(loc) > 2:
        loc = (*loc[:2], *loc[3:])
    said = [word for word in loc if word != "[key]"]
    key = tuple(word for word in said if not (isinstance(word, str) and word.startswith("<")))
    return (*key, "kind") if detail["type"] == "union_tag_invalid" else key


def is_bare(detail: ErrorDetails) -> bool:
    """Return whether a refused value is a number without a unit, which the file's head can mend."""
    found = str(detail.get("ctx", {}).get("found", ""))
    return detail["type"] == "refused" and found.endswith(" without a unit")


def _message(detail: ErrorDetails, table: type[Entry]) -> tuple[str, str, str]:
    """Return found, allowed, remedy."""
    kind, value, context = detail["type"], detail["input"], detail.get("ctx", {})
    if kind == "refused":
        return str(context["found"]), str(context["allowed"]), str(context["remedy"])
    if kind in _ABOUT_KEYS:
        return _ABOUT_KEYS[kind](detail, table)
    if kind in _SPANS:
        return _shown(value), _SPANS[kind].format(*context.values()), "correct the value"
    if kind in _LONG:
        return _LONG[kind][0], _LONG[kind][1].format(**context), _LONG[kind][2]
    if kind in _NUMBERS and isinstance(value, dict):
        return without_value(value)
    allowed = _table_in_words(detail, table) if kind in _TABLES else _TYPES.get(kind, "another value")
    return _shown(value), allowed, f"write {allowed}"


def _missing(detail: ErrorDetails, table: type[Entry]) -> tuple[str, str, str]:
    name = str(detail["loc"][-1])
    if len(detail["loc"]) == 1:
        remedy = {"format": "write format = 1 as the first line", "title": 'write title = "..."'}
        return f"no {name}", f"{name} = ...", remedy.get(name, f"write {name}")
    entry = _table_at(table, detail["loc"][:-1])
    field = (
        next((f for n, f in entry.model_fields.items() if (f.alias or n) == name), None) if entry else None
    )
    meaning = f" ({field.description})" if field and field.description else ""
    modelled = detail["loc"][0] in ("part", "tubing") and len(detail["loc"]) <= 4
    return f"no {name}", f"{name} = ...{meaning}", f"write {name}" + (", or name a model" if modelled else "")


def _unknown(detail: ErrorDetails, table: type[Entry]) -> tuple[str, str, str]:
    name = str(detail["loc"][-1])
    entry = _table_at(table, detail["loc"][:-1])
    known = _keys_of(entry) if entry else []
    meant = likeliest(name[:LONGEST_SHOWN], known)
    near = nearest_first(name[:LONGEST_SHOWN], known) if meant else known
    more = ", ..." if len(near) > MOST_NAMED else ""
    remedy = f"did you mean {meant}?" if meant else "leave it out, or use a key that is known here"
    word, below = _OTHER_WORDS.get(name, ("", ""))
    if name in BESIDE_VALUES and "status" in known:
        remedy = "write it beside the value that it is about: { is = ..., recorded = ... }"
    elif word in known:
        remedy = f"write {word}" + (f"; a number below zero lies {below}" if below else "")
    return f"the unknown key {_shown(name)}", ", ".join(near[:MOST_NAMED]) + more, remedy


def _no_kind(detail: ErrorDetails, _table: type[Entry]) -> tuple[str, str, str]:
    if detail["loc"][0] != "part" or len(detail["loc"]) > 2:
        return (
            "a motion of no kind",
            "turns_about (a hinge) or slides (a straight movement)",
            "say how it moves",
        )
    value = detail["input"]
    if isinstance(value, dict) and "kind" in value:
        return _no_word(value["kind"], tuple(_KINDS))
    return "no kind", f"kind = one of {', '.join(_KINDS)}", "say what kind of part it is, or name a model"


def _no_choice(detail: ErrorDetails, _table: type[Entry]) -> tuple[str, str, str]:
    """Refuse what is none of a few words; the validator's own list reads ``'mm', 'cm' or 'in'``."""
    expected = str(detail["ctx"]["expected"]).replace(" or ", ", ")
    return _no_word(detail["input"], tuple(word.strip("'") for word in expected.split(", ")))


def _no_word(value: object, known: tuple[str, ...]) -> tuple[str, str, str]:
    if len(known) == 1:
        return _shown(value), known[0], f"write {known[0]}"
    said = str(value)[:LONGEST_SHOWN]
    meant = likeliest(said, known)
    remedy = f"did you mean {meant}?" if meant else "write one of these"
    return _shown(value), "one of " + ", ".join(nearest_first(said, known)), remedy


_ABOUT_KEYS = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "union_tag_not_found": _no_kind,
    "union_tag_invalid": _no_kind,
    "literal_error": _no_choice,
}


# ── the description of a table, by its place ────────────────────────────────────────────────────
def _table_in_words(detail: ErrorDetails, table: type[Entry]) -> str:
    """Return what a table is that was expected: ``a table such as { count = ..., step = ... }``."""
    entry = _table_at(table, detail["loc"])
    if entry is None:
        return "a table"
    needed = [field.alias or word for word, field in entry.model_fields.items() if field.is_required()]
    keys = needed or _keys_of(entry)[:3]
    return "a table such as { " + ", ".join(f"{key} = ..." for key in keys) + " }"


def _keys_of(entry: type[Entry]) -> list[str]:
    return [field.alias or word for word, field in entry.model_fields.items()]


def _table_at(table: type[Entry], loc: Iterable[str | int]) -> type[Entry] | None:
    """Return the description of the table at a place that the validator names, from a table on."""
    annotation: Any = table
    for word in loc:
        annotation = _below(annotation, word)
    entries = options_of(annotation)
    return entries[0] if len(entries) == 1 and isinstance(entries[0], type) else None


def _below(annotation: Any, word: str | int) -> Any:
    """Return what may stand one step further down."""
    options = options_of(annotation)
    for option in options:
        if get_origin(option) in (dict, tuple):
            return get_args(option)[get_origin(option) is dict]
        if word in _tags(option) and (len(options) > 1 or str(word).startswith("<")):
            return option
    fields = options[0].model_fields if len(options) == 1 else {}
    return next((field.annotation for name, field in fields.items() if (field.alias or name) == word), None)


def options_of(annotation: Any) -> list[Any]:
    """Return the tables, groups and lists among what an annotation allows."""
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        return [annotation]
    if get_origin(annotation) in (dict, tuple):
        return [annotation]
    return [option for inner in get_args(annotation) for option in options_of(inner)]


def _tags(option: type[Entry]) -> set[str]:
    return {f"<{option.__name__.lower()}>", *(name for name, kind in _KINDS.items() if kind is option)}


def _shown(value: object) -> str:
    """Return a value for a message: short and printable, whatever it is."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            return repr(value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 1] + "…")
        case int() | float():
            return repr(value) if not isinstance(value, int) or value.bit_length() <= 64 else "a huge number"
        case dict():
            return "a table"
        case list() | tuple():
            return "a list"
        case _:
            return "a date or time"

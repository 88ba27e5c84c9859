"""Which values say how sure they are, and which saying counts for which value? The nearest, key by key.

A value may stand after ``is`` in a table of its own; such tables are taken off before the scene is
understood, so that nothing else needs to know of them. What may be said is in doubts.py.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Any, get_args, get_origin

from pydantic import ValidationError

from routeviz.errors import Problem
from routeviz.scene.description import Scene
from routeviz.scene.doubts import BESIDE, Doubt, DoubtEntry, doubt_in
from routeviz.scene.lengths import LengthError, length_mm
from routeviz.scene.positions import Key, Positions, problem_at
from routeviz.scene.quantities import BESIDE_VALUES, Entry
from routeviz.scene.spelling import likeliest, nearest_first
from routeviz.scene.wording import MOST_NAMED, Refused, options_of

ROUNDED_SHARE, ROUNDED_MM = 0.005, 0.05  # what an old unit may have lost on its way into millimetres
THINGS = ("zero", "tubing", "part", "passage", "tubes")  # [doubt] is of these, not of the workshop's settings
_STATEMENTS = tuple(one.name for one in fields(Doubt))
_WORDS = {  # one of these in a table makes it worth a look whether a value should stand there
    *BESIDE_VALUES,
    *(field.alias or name for entry in BESIDE.values() for name, field in entry.model_fields.items()),
}
_KINDS = {"_mm": "length", "_deg": "angle"}  # of a value, by the end of its name


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What stands beside a value: the key of the value, and the table without the value."""

    key: Key
    value: Any
    table: Mapping[str, Any]


def taken_off(raw: dict[str, Any], at: Positions) -> tuple[dict[str, Any], tuple[Beside, ...]]:
    """Return a scene's tables with plain values, and what stood beside them.

    Parameters
    ----------
    raw : dict
        The scene as parsed.
    at : Positions
        Of the scene.

    Returns
    -------
    plain : dict
        With the value itself in place of each table that gives one after ``is``.
    beside : tuple of Beside
        Also of tables that lack ``is``; those stay in ``plain``, to be refused there.
    """
    keys = {key[:-1]: None for key in at.places if key[-1] in _WORDS}
    tables = {key: table for key in keys if _kinds_at(key) and isinstance(table := value_at(raw, key), dict)}
    plain = deepcopy(raw) if tables else raw
    for key, table in tables.items():
        if "is" in table:
            value_at(plain, key[:-1])[key[-1]] = table["is"]
    return plain, tuple(
        Beside(
            key=key, value=table.get("is"), table={word: said for word, said in table.items() if word != "is"}
        )
        for key, table in tables.items()
    )


def understood(
    beside: Sequence[Beside], whole: dict[str, Any], units: str | None
) -> tuple[dict[Key, Doubt], tuple[Refused, ...]]:
    """Return what was said beside values, and what was refused of it.

    Parameters
    ----------
    beside : sequence of Beside
        From ``taken_off``.
    whole : dict
        The scene's plain tables, models merged in.
    units : str or None
        What bare numbers are in.

    Returns
    -------
    doubts : dict
        By the key of the value.
    refused : tuple of Refused
        Tables that cannot be used.
    """
    doubts: dict[Key, Doubt] = {}
    refused: list[Refused] = []
    for one in beside:
        table = BESIDE[kind_at(one.key, whole) or "number"]
        try:
            doubts[one.key] = doubt_in(table.model_validate(dict(one.table), context={"units": units}))
        except ValidationError as error:
            refused.append(Refused(error=error, table=table, key=one.key))
    return doubts, tuple(refused)


def doubts_of_tables(scene: Scene) -> dict[Key, Doubt]:
    """Return what is said of many values at once, by the key of the table that it holds for.

    Parameters
    ----------
    scene : Scene
        As read.

    Returns
    -------
    doubts : dict
        What is said of the whole scene stands at the empty key.
    """
    said = dict(_holders(scene))
    return {key: doubt_in(entry) for key, entry in said.items() if entry is not None}


def _holders(scene: Scene) -> Iterator[tuple[Key, DoubtEntry | None]]:
    yield (), scene.doubt
    for group in THINGS[:-1]:
        for name, entry in getattr(scene, group).items():
            yield (group, name), entry.doubt
            for opening, hole in getattr(entry, "opening", {}).items():
                yield (group, name, "opening", opening), hole.doubt
    for index, tube in enumerate(scene.tubes):
        yield ("tubes", index), tube.doubt


# ── what is wrong with them ──────────────────────────────────────────────────────────────────────
def problems_of_tools(
    doubts: Mapping[Key, Doubt], tools: Collection[str], at: Positions
) -> Iterator[Problem]:
    """Yield tools that the record does not name; where it names none, any will do.

    Parameters
    ----------
    doubts : mapping
        All that is said, by key.
    tools : collection of str
        Those of the record.
    at : Positions
        Of the scene.

    Yields
    ------
    problem : Problem
        At the tool.
    """
    for key, doubt in doubts.items():
        if not tools or doubt.tool is None or doubt.tool in tools:
            continue
        meant = likeliest(doubt.tool, tools)
        remedy = f"did you mean {meant!r}?" if meant else "describe it in [record.tools], or correct the name"
        place = (*key, "with") if (*key, "with") in at.places else (*key, "doubt", "with")
        found = f"no tool {doubt.tool!r} in [record.tools]"
        near = ", ".join(nearest_first(doubt.tool, tools)[:MOST_NAMED])
        yield problem_at(at, place, found, near + (", ..." if len(tools) > MOST_NAMED else ""), remedy)


def problems_of_old_values(
    beside: Sequence[Beside], whole: Mapping[str, Any], units: str | None, at: Positions
) -> Iterator[Problem]:
    """Yield lengths that were recorded otherwise than they are given; what is no length is no problem.

    Parameters
    ----------
    beside : sequence of Beside
        From ``taken_off``.
    whole : mapping
        The scene's plain tables, models merged in.
    units : str or None
        What bare numbers are in.
    at : Positions
        Of the scene.

    Yields
    ------
    problem : Problem
        At what was recorded.
    """
    for one in beside:
        recorded = one.table.get("recorded")
        if not isinstance(recorded, str) or kind_at(one.key, whole) != "length":
            continue
        try:
            was_mm, is_mm = (length_mm(value, units, negative=True) for value in (recorded, one.value))
        except LengthError:
            continue
        if abs(abs(was_mm) - abs(is_mm)) > ROUNDED_SHARE * abs(is_mm) + ROUNDED_MM:
            found = f"recorded as {recorded!r}, which is {was_mm:g} mm, beside a value of {is_mm:g} mm"
            allowed = f"the same length, within {ROUNDED_SHARE:.1%} and {ROUNDED_MM:g} mm"
            remedy = "correct the slip; tell in why where the old value is wrong, and leave recorded out"
            yield problem_at(at, (*one.key, "recorded"), found, allowed, remedy)


# ── which saying counts ──────────────────────────────────────────────────────────────────────────
def nearest_doubt(key: Key, doubts: Mapping[Key, Doubt], whole: Mapping[str, Any], *, written: bool) -> Doubt:
    """Return what is said of a value: beside it, else by the nearest table around it, statement by statement.

    Parameters
    ----------
    key : tuple of str and int
        Of the value.
    doubts : mapping
        All that is said, by key.
    whole : mapping
        The scene's plain tables, models merged in.
    written : bool
        Whether the scene gives the value; what it says of all its values does not speak for a model's.

    Returns
    -------
    doubt : Doubt
        None where nobody said.
    """
    said = doubts.get(key, Doubt())
    is_length = kind_at(key, whole) in (None, "length")
    for length in range(len(key) - 1, -1, -1):
        if length == 2 and said.source is None:
            said = replace(said, source=_source(key, whole))
        if key[:length] in doubts and (length or (written and key[0] in THINGS)):
            around = doubts[key[:length]]
            said = _filled(said, around if is_length else replace(around, spread_mm=None))
    return said


def _filled(said: Doubt, around: Doubt) -> Doubt:
    """Return what is said, and for the rest what is said around it."""
    # How one value was measured says nothing of another that was inferred: who and when are all they share.
    if said.status is not None and around.status not in (None, said.status):
        around = Doubt(by=around.by, on=around.on)
    nearest = {word: getattr(said, word) for word in _STATEMENTS}
    return Doubt(**{word: getattr(around, word) if one is None else one for word, one in nearest.items()})


def _source(key: Key, whole: Mapping[str, Any]) -> str | None:
    """Return what a part or tubing, or its model, names as the source of one of its values."""
    sources = value_at(whole, (*key[:2], "source")) if key[0] in ("part", "tubing") else None
    return sources.get(key[2]) if isinstance(sources, dict) and len(key) > 2 else None


# ── what stands at a key ─────────────────────────────────────────────────────────────────────────
def value_at(tables: Any, key: Key) -> Any:
    """Return what stands at a key of parsed tables; None where nothing does."""
    for word in key:
        if isinstance(tables, dict):
            tables = tables.get(word)
        elif isinstance(tables, list) and isinstance(word, int) and word < len(tables):
            tables = tables[word]
        else:
            return None
    return tables


def kind_at(key: Key, whole: Mapping[str, Any]) -> str | None:
    """Return whether a length, an angle or another number is described at a key; None for anything else."""
    kinds = _kinds_at(key)
    if len(kinds) < 2:
        return next(iter(kinds), None)
    return "angle" if "turns_about" in value_at(whole, key[:-1]) else "length"


def quantities_in(table: Any, key: Key) -> Iterator[Key]:
    """Yield the keys of all numbers, lengths and angles in a table of the scene, which stands at a key."""
    items = table.items() if isinstance(table, dict) else enumerate(table) if isinstance(table, list) else ()
    for word, value in items:
        if isinstance(value, dict | list):
            yield from quantities_in(value, (*key, word))
        elif _kinds_at((*key, word)):
            yield (*key, word)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Field:
    """What may stand under a word: kinds of number, tables, and whether these have names or numbers first."""

    kinds: frozenset[str]
    tables: tuple[type[Entry], ...]
    group: type | None


def _kinds_at(key: Key) -> frozenset[str]:
    """Return which kinds of number are described at a key; more than one where that depends on its table."""
    tables: tuple[type[Entry], ...] = (Scene,)
    kinds: frozenset[str] = frozenset()
    group: type | None = None
    for word in key:
        if group is dict or (group is tuple and isinstance(word, int)):
            group = None
            continue
        found = [one for table in tables if (one := _fields(table).get(word))]
        kinds = frozenset(kind for one in found for kind in one.kinds)
        tables = tuple(dict.fromkeys(table for one in found for table in one.tables))
        group = found[0].group if found else None
    return kinds


@cache
def _fields(table: type[Entry]) -> Mapping[str | int, _Field]:
    return {field.alias or name: _field(name, field.annotation) for name, field in table.model_fields.items()}


def _field(name: str, annotation: Any) -> _Field:
    options = options_of(annotation)
    group = next((origin for one in options if (origin := get_origin(one))), None)
    if group is not None:
        options = [table for one in options for table in options_of(get_args(one)[group is dict])]
    kind = next((kind for end, kind in _KINDS.items() if name.endswith(end)), "number")
    kinds = frozenset({kind}) if _is_number(annotation) else frozenset[str]()
    return _Field(kinds=kinds, tables=tuple(options), group=group)


def _is_number(annotation: Any) -> bool:
    """Return whether a number may stand there, by itself."""
    inner = () if get_origin(annotation) in (dict, tuple) else get_args(annotation)
    return annotation in (float, int) or any(_is_number(one) for one in inner)

"""From a file to a scene: everything that is wrong with it at once, each with its place.

The steps: parsing.py (text to tables), doubted.py (what is said beside values, taken off),
wiring_table.py (tubes from CSV), catalogue.py (models), description.py (what may stand where), wording.py
(what the user reads), then wiring.py, names.py, consistency.py, references.py, record.py.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from routeviz.errors import Problem, SceneError
from routeviz.scene.catalogue import with_models
from routeviz.scene.consistency import problems_of_entries
from routeviz.scene.description import Scene
from routeviz.scene.doubted import (
    Beside,
    doubts_of_tables,
    nearest_doubt,
    problems_of_old_values,
    problems_of_tools,
    quantities_in,
    taken_off,
    understood,
    value_at,
)
from routeviz.scene.doubts import LEAST_SURE_FIRST, Doubt, Status
from routeviz.scene.lengths import UNITS
from routeviz.scene.names import problems_of_names
from routeviz.scene.parsing import tables_of, text_of
from routeviz.scene.positions import Key, Positions, positions_in, problem_at
from routeviz.scene.record import problems_of_record
from routeviz.scene.references import Known, problems_of_references, problems_of_wires
from routeviz.scene.staging import problems_of_stages
from routeviz.scene.wiring import Wire, wires_of
from routeviz.scene.wiring_table import path_in, tubes_in
from routeviz.scene.wording import Refused, is_bare, key_of, problems_of

MOST_PROBLEMS = 100  # told at once; who has more has one cause


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A scene, and where each of its values stands.

    Parameters
    ----------
    scene : Scene
        What the file says, with the models and the wiring table merged in.
    wires : tuple of Wire
        Every single tube that it asks for, in file order.
    file : str
        As the user named it.
    folder : Path
        Where it lies; meshes and tables lie there too.
    positions : Positions
        Of the file's keys.
    doubts : mapping
        How sure the scene says that it is: of a value at its key, of a whole part, opening and so on at that
        one's key, of the whole scene at the empty key.
    written : mapping
        The file's tables, with models and wiring table merged in and plain values throughout.
    """

    scene: Scene
    wires: tuple[Wire, ...]
    file: str
    folder: Path
    positions: Positions
    doubts: Mapping[Key, Doubt] = field(default_factory=dict)
    written: Mapping[str, Any] = field(default_factory=dict)

    def line_of_tube(self, name: str) -> int | None:
        """Return the line of the file in which a tube is asked for; None for one from a wiring table."""
        key = next((wire.key for wire in self.wires if wire.name == name), ())
        place = self.positions.places.get(key)
        return place.line if place and place.file == self.file else None

    def doubt_at(self, key: Key) -> Doubt:
        """Return how sure the value at a key is: said beside it or, statement by statement, around it."""
        return nearest_doubt(key, self.doubts, self.written, written=key in self.positions.places)


def status_of_part(reading: Reading, name: str) -> Status | None:
    """Return the status of the value of a part that is least sure.

    Parameters
    ----------
    reading : Reading
        The scene.
    name : str
        Of the part, without the number of a copy.

    Returns
    -------
    status : str or None
        None where the scene says nothing of its values.
    """
    return least_sure(reading, values_at(reading, ("part", name)) or (("part", name),))


def values_at(reading: Reading, key: Key) -> tuple[Key, ...]:
    """Return the keys of all numbers, lengths and angles that the scene and its models give at a key."""
    return tuple(quantities_in(value_at(reading.written, key), key))


def least_sure(reading: Reading, keys: Iterable[Key]) -> Status | None:
    """Return the least sure status of what stands at some keys; None where nobody said."""
    said = {reading.doubt_at(key).status for key in keys}
    return next((status for status in LEAST_SURE_FIRST if status in said), None)


def problem(reading: Reading, key: Key, found: str, allowed: str, remedy: str) -> Problem:
    """Return a problem at a key of the scene, for a stage that comes after reading.

    Parameters
    ----------
    reading : Reading
        The scene.
    key : tuple of str and int
        From the top, as ``("part", "shelf", "size", "wide")``; list items counted from 0.
    found, allowed, remedy : str
        The message.

    Returns
    -------
    problem : Problem
        With the place of the key, or of the nearest table around it.
    """
    return problem_at(reading.positions, key, found, allowed, remedy)


def read_scene(path: Path | str) -> Reading:
    """Return the scene that a file describes.

    Parameters
    ----------
    path : Path or str
        A TOML file.

    Returns
    -------
    reading : Reading
        The scene with the places of its values.

    Raises
    ------
    SceneError
        With every problem that was found, in file order.
    """
    file = str(path)
    folder = Path(path).parent
    text = text_of(Path(path), file)
    raw = tables_of(text, file)
    positions = positions_in(text, file)
    raw, beside = taken_off(raw, positions)
    raw, positions, problems = _with_wiring_table(raw, positions, folder)
    whole, more = with_models(raw, positions)
    problems += more
    scene, doubts, entries, more = _understood(whole, beside, positions)
    problems += more
    wires: tuple[Wire, ...] = ()
    if scene is not None:
        known = Known(scene=scene, entries=entries, names=_names(raw), at=positions)
        wires, more = _held_together(known, doubts)
        problems += more
    if scene is None or problems:
        raise SceneError(_not_too_many(problems, file))
    return Reading(
        scene=scene,
        wires=wires,
        file=file,
        folder=folder,
        positions=positions,
        doubts=doubts,
        written=whole,
    )


def _with_wiring_table(
    raw: dict[str, Any], positions: Positions, folder: Path
) -> tuple[dict[str, Any], Positions, tuple[Problem, ...]]:
    """Return the tables with the wiring table's tubes after the scene's own."""
    name, own = raw.get("wiring"), raw.get("tubes", [])
    if not isinstance(name, str) or not isinstance(own, list):
        return raw, positions, ()
    path = path_in(folder, name)
    if path is None:
        found = f"the file {name[:60]!r}, outside of the scene's folder"
        allowed = "a file in the scene's folder or below"
        remedy = "put the table beside the scene"
        return raw, positions, (problem_at(positions, ("wiring",), found, allowed, remedy),)
    tubes, places, problems = tubes_in(path, str(folder / name), len(own))
    return (
        raw | {"tubes": [*own, *tubes]},
        replace(positions, places={**positions.places, **places}),
        problems,
    )


def _understood(
    whole: dict[str, Any], beside: Sequence[Beside], positions: Positions
) -> tuple[Scene | None, dict[Key, Doubt], tuple[int, ...], tuple[Problem, ...]]:
    """Return the scene, or what remains of it without the entries that are refused, and the problems."""
    units = _units(whole)
    doubts, refused = understood(beside, whole, units)
    tubes = whole.get("tubes")
    count = len(tubes) if isinstance(tubes, list) else 0
    wrong: set[Key] = set()
    scene: Scene | None = None
    try:
        scene = Scene.model_validate(whole, context={"units": units})
    except ValidationError as error:
        refused = (Refused(error=error), *refused)
        wrong = {key_of(detail)[:2] for detail in error.errors(include_url=False) if not is_bare(detail)}
    problems = problems_of(
        refused, whole, positions, frozenset(one.key for one in beside if one.value is not None)
    )
    problems += tuple(islice(problems_of_old_values(beside, whole, units, positions), MOST_PROBLEMS))
    if scene is None:
        scene = _remaining(_without(whole, wrong), units or "mm")
    entries = tuple(i for i in range(count) if ("tubes", i) not in wrong and ("tubes",) not in wrong)
    return scene, doubts | (doubts_of_tables(scene) if scene else {}), entries, problems


def _units(whole: dict[str, Any]) -> str | None:
    """Return what bare numbers are in; units that nobody knows are told once, and millimetres until then."""
    units = whole.get("units")
    return units if isinstance(units, str) and units in UNITS else "mm" if "units" in whole else None


def _remaining(rest: dict[str, Any], units: str) -> Scene | None:
    try:
        return Scene.model_validate(rest, context={"units": units})
    except ValidationError:
        return None


def _without(whole: dict[str, Any], wrong: set[Key]) -> dict[str, Any]:
    """Return the tables without the entries that were refused; the head stands in for what it lacks."""
    rest: dict[str, Any] = {"format": 1, "title": "unread"}
    for word, value in whole.items():
        if (word,) in wrong:
            continue
        if isinstance(value, dict):
            rest[word] = {name: item for name, item in value.items() if (word, name) not in wrong}
        elif isinstance(value, list):
            rest[word] = [item for index, item in enumerate(value) if (word, index) not in wrong]
        else:
            rest[word] = value
    return rest


def _names(raw: dict[str, Any]) -> dict[str, tuple[str, ...]]:
    """Return every name in the file by group, also of what was refused."""
    groups = {
        group: tuple(raw[group] if isinstance(raw.get(group), dict) else ())
        for group in ("zero", "tubing", "part", "passage")
    }
    stages, tubes = raw.get("stages"), raw.get("tubes")
    named = (
        [stage.get("name") for stage in stages if isinstance(stage, dict)] if isinstance(stages, list) else []
    )
    groups["stages"] = tuple(name for name in named if isinstance(name, str))
    groups["tubes"] = tuple(str(i) for i in range(len(tubes) if isinstance(tubes, list) else 0))
    return groups


def _held_together(known: Known, doubts: Mapping[Key, Doubt]) -> tuple[tuple[Wire, ...], tuple[Problem, ...]]:
    """Return the single tubes, and what the entries say against themselves and each other."""
    scene, record = known.scene, known.scene.record
    unread = frozenset(known.names["part"]) - scene.part.keys()
    entries = dict(zip(known.entries, scene.tubes, strict=True))
    wires, problems = wires_of(entries, scene.part, unread, known.at)
    return wires, (
        *problems,
        *problems_of_names(known),
        *problems_of_entries(known),
        *problems_of_references(known),
        *problems_of_wires(wires, known),
        *problems_of_stages(wires, known),
        *problems_of_record(record, known.at),
        *islice(problems_of_tools(doubts, record.tools if record else (), known.at), MOST_PROBLEMS),
    )


def _not_too_many(problems: Iterable[Problem], file: str) -> tuple[Problem, ...]:
    ordered = SceneError(tuple(problems)).problems
    if len(ordered) <= MOST_PROBLEMS:
        return ordered
    rest = Problem(
        file=file,
        key="",
        found="more problems from here on",
        allowed="none",
        remedy="mend these first",
        line=ordered[MOST_PROBLEMS].line,
        column=ordered[MOST_PROBLEMS].column,
    )
    return (*ordered[:MOST_PROBLEMS], rest)

"""From a file to a scene: everything that is wrong with it at once, each with its place.

The steps: parsing.py (text to tables), wiring_table.py (tubes from CSV), catalogue.py (models),
description.py (what may stand where), wording.py (what the user reads), then wiring.py, names.py,
consistency.py, references.py.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from routeviz.errors import Problem, SceneError
from routeviz.scene.catalogue import with_models
from routeviz.scene.consistency import problems_of_entries
from routeviz.scene.description import Scene
from routeviz.scene.lengths import UNITS
from routeviz.scene.names import problems_of_names
from routeviz.scene.parsing import tables_of, text_of
from routeviz.scene.positions import Key, Positions, positions_in, problem_at
from routeviz.scene.references import Known, problems_of_references, problems_of_wires
from routeviz.scene.staging import problems_of_stages
from routeviz.scene.wiring import Wire, wires_of
from routeviz.scene.wiring_table import path_in, tubes_in
from routeviz.scene.wording import is_bare, key_of, problems_of

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
    """

    scene: Scene
    wires: tuple[Wire, ...]
    file: str
    folder: Path
    positions: Positions

    def line_of_tube(self, name: str) -> int | None:
        """Return the line of the file in which a tube is asked for; None for one from a wiring table."""
        key = next((wire.key for wire in self.wires if wire.name == name), ())
        place = self.positions.places.get(key)
        return place.line if place and place.file == self.file else None


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
    raw, positions, problems = _with_wiring_table(raw, positions, folder)
    whole, more = with_models(raw, positions)
    problems += more
    scene, entries, more = _understood(whole, positions)
    problems += more
    wires: tuple[Wire, ...] = ()
    if scene is not None:
        known = Known(scene=scene, entries=entries, names=_names(raw), at=positions)
        wires, more = _held_together(known)
        problems += more
    if scene is None or problems:
        raise SceneError(_not_too_many(problems, file))
    return Reading(scene=scene, wires=wires, file=file, folder=folder, positions=positions)


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
    whole: dict[str, Any], positions: Positions
) -> tuple[Scene | None, tuple[int, ...], tuple[Problem, ...]]:
    """Return the scene, or what remains of it without the entries that are refused, and the problems."""
    units = whole.get("units")
    known_units = isinstance(units, str) and units in UNITS
    context = {"units": units if known_units else "mm" if "units" in whole else None}
    tubes = whole.get("tubes")
    count = len(tubes) if isinstance(tubes, list) else 0
    try:
        return Scene.model_validate(whole, context=context), tuple(range(count)), ()
    except ValidationError as error:
        problems = problems_of(error, whole, positions)
        wrong = {key_of(detail)[:2] for detail in error.errors(include_url=False) if not is_bare(detail)}
    rest = _without(whole, wrong)
    entries = tuple(i for i in range(count) if ("tubes", i) not in wrong and ("tubes",) not in wrong)
    try:
        return Scene.model_validate(rest, context={"units": context["units"] or "mm"}), entries, problems
    except ValidationError:
        return None, (), problems


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


def _held_together(known: Known) -> tuple[tuple[Wire, ...], tuple[Problem, ...]]:
    """Return the single tubes, and what the entries say against themselves and each other."""
    scene = known.scene
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

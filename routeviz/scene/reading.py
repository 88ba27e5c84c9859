"""From a file to a scene: everything that is wrong with it at once, each with its place.

The steps: parsing.py (text to tables), catalogue.py (models), description.py (what may stand where),
wording.py (what the user reads), references.py (names that must be known).
"""

from dataclasses import dataclass
from pathlib import Path

from routeviz.errors import Problem
from routeviz.scene.description import Scene
from routeviz.scene.parsing import tables_of, text_of
from routeviz.scene.positions import Key, Positions, positions_in, problem_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A scene, and where each of its values stands.

    Parameters
    ----------
    scene : Scene
        What the file says, the models merged in.
    file : str
        As the user named it.
    folder : Path
        Where it lies; meshes and tables lie there too.
    positions : Positions
        Of the file's keys.
    """

    scene: Scene
    file: str
    folder: Path
    positions: Positions


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
    """
    file = str(path)
    text = text_of(Path(path), file)
    raw = tables_of(text, file)
    positions = positions_in(text, file)
    scene = Scene.model_validate(raw, context={"units": raw.get("units")})
    return Reading(scene=scene, file=file, folder=Path(path).resolve().parent, positions=positions)

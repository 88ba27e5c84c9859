"""The files that a scene is made of, as they are: scene, plan, wiring table, meshes, the models it uses."""

from collections.abc import Iterator
from pathlib import PurePath, PureWindowsPath

from routeviz.archive.bag_names import bag_names, slug
from routeviz.archive.evidence import folded
from routeviz.archive.filing import Filed
from routeviz.errors import RoutevizError, SceneError
from routeviz.lay import Lay
from routeviz.scene.catalogue import models_of
from routeviz.scene.parts import MeshPart
from routeviz.scene.positions import Key
from routeviz.scene.reading import Reading, problem
from routeviz.scene.wiring_table import path_in
from routeviz.tubes.plan_file import SUFFIX

FOLDER, MODELS = "source", "models"
MADE = ("scene-schema.json", "scene.json", "format.txt")  # what routeviz puts beside them
GIVEN = "given"  # a folder before names as the scene has them, none of which is taken for one of ours
MOST_STEM = 40  # letters, so that names made of it stay short


def stem_in_bag(lay: Lay) -> str:
    """Return with what the names of files begin that are called after the scene."""
    return slug(PurePath(lay.reading.file).stem)[:MOST_STEM].rstrip("-.")


def source_files(lay: Lay) -> tuple[Filed, ...]:
    """Return the files that a scene is made of.

    Parameters
    ----------
    lay : Lay
        The scene with all that is known of it.

    Returns
    -------
    files : tuple of Filed
        Bytes untouched; the scene first.

    Raises
    ------
    RoutevizError
        One cannot be read any more.
    """
    reading, stem = lay.reading, stem_in_bag(lay)
    name = PurePath(reading.file).name
    files = [_filed(reading, name, f"{stem}.toml", "The scene", SCENE)]
    if lay.taken is not None:
        files.append(_filed(reading, PurePath(lay.taken.file).name, f"{stem}{SUFFIX}", "The plan", PLAN))
    beside = dict(_beside(reading))
    taken = [*MADE, *(PurePath(one.path).name for one in files)]
    given = {name: f"{GIVEN}/{name}" for name in beside}  # what is made may have the same name
    names = bag_names([*taken, *given.values()])
    files += [_filed(reading, name, names[given[name]], *said) for name, said in beside.items()]
    return (*files, *_models(reading))


SCENE = "the case, its parts and its tubes as they were measured and written down; all else follows from it"
PLAN = "the routes that were found for tubes which nobody has drawn"
WIRING = "which tubes there are, from where to where; a part of the scene"
MESH = "the shape of the part {!r}; a part of the scene"
MODEL = "sizes of {}, each with its source; the scene uses them"


def refuse_names_like_others(reading: Reading) -> None:
    """Refuse a scene of files that another system could not tell apart, or not write down.

    Parameters
    ----------
    reading : Reading
        The scene.

    Raises
    ------
    SceneError
        With every file whose name is that of another but for case or form of letters, or cannot be printed.
    """
    problems = []
    first = {folded(PurePath(reading.file).name): PurePath(reading.file).name}
    for name, key in _named(reading):
        other = first.setdefault(folded(name), name)
        if not name.isprintable():
            found, remedy = f"{name!a} has signs that cannot be printed", "rename the file"
        elif other != name:
            found = f"{name!r} and {other!r} are told apart by case or form of letters alone"
            remedy = "rename one of the two"
        else:
            continue
        problems.append(problem(reading, key, found, "names that every system tells apart", remedy))
    if problems:
        raise SceneError(tuple(problems))


def _named(reading: Reading) -> Iterator[tuple[str, Key]]:
    """Yield the files that a scene names, with forward slashes, and where."""
    if reading.scene.wiring:
        yield PureWindowsPath(reading.scene.wiring).as_posix(), ("wiring",)
    for name, part in reading.scene.part.items():
        if isinstance(part, MeshPart):
            yield PureWindowsPath(part.file).as_posix(), ("part", name, "file")


def _beside(reading: Reading) -> Iterator[tuple[str, tuple[str, str]]]:
    for file, key in _named(reading):
        if key == ("wiring",):
            yield file, ("The wiring table", WIRING)
        else:
            yield file, (f"Mesh of {key[1]}", MESH.format(key[1]))


def _models(reading: Reading) -> Iterator[Filed]:
    scene = reading.scene
    used = {("parts", part.model) for part in scene.part.values() if part.model}
    used |= {("tubing", kind.model) for kind in scene.tubing.values() if kind.model}
    for group, name in sorted(used):
        path = models_of(group)[name]
        what = "a kind of tube" if group == "tubing" else "a kind of part"
        yield Filed(
            path=f"{FOLDER}/{MODELS}/{group}/{path.name}",
            title=f"The model {name}",
            about=MODEL.format(what),
            content=path.read_bytes(),
            was=name,
        )


def _filed(reading: Reading, name: str, in_bag: str, title: str, about: str) -> Filed:
    path = path_in(reading.folder, name)
    try:
        content = (path or reading.folder / name).read_bytes()
    except OSError as error:
        raise RoutevizError(
            f"{reading.folder / name}: cannot be read any more ({error.strerror or error})\n"
            "  allowed: the files that the scene is made of, as they were\n"
            "  remedy: put it back, and call again"
        ) from None
    return Filed(path=f"{FOLDER}/{in_bag}", title=title, about=about, content=content, was=name)

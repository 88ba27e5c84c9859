"""How does a scene come out of an archive again? Its files are written as they were called, elsewhere.

Which was called how, ``tables/files.csv`` tells. Nothing in it is believed: a name that leads out is refused.
"""

import csv
import io
from collections.abc import Callable, Mapping
from pathlib import Path, PureWindowsPath

from routeviz.archive.bag import PAYLOAD
from routeviz.archive.bag_reading import quoted, shown, why_unsafe, wrong
from routeviz.archive.bag_walking import Content, Lying, found_in, read_once
from routeviz.archive.documents import MOST_BYTES
from routeviz.archive.sources import FOLDER, MODELS
from routeviz.cabinet.mesh_refusals import MOST_BYTES as MOST_MESH_BYTES
from routeviz.errors import Problem, SceneError
from routeviz.writing import made_folder, write_whole

FILES = "tables/files.csv"
IN_BAG, WAS = "file", "was"  # its columns: the path in data/, the name in the scene
SCENE_ENDS = ".toml"
MOST_SOURCES = 2000
LONGEST = 200  # letters of a name
NAMES = "names of files in one folder or below, as the scene names them"


def restored_scene(folder: Path, into: Path) -> Path:
    """Return the scene of an archive, written with all that it needs into another folder.

    Parameters
    ----------
    folder : Path
        Of the archive.
    into : Path
        An empty folder.

    Returns
    -------
    scene : Path
        In ``into``, under its own name; its plan, wiring table and meshes are beside it.

    Raises
    ------
    SceneError
        The archive does not tell which files these are, or names places outside of one folder.
    """
    inside = folder / PAYLOAD
    found, _ = found_in(inside)
    lying = {one.path: one for one in found}

    def content_of(path: str) -> bytes | None:
        one = lying.get(path)
        if one is None or not wanted(one):
            return None
        read = read_once(inside, one, (), keep=True)
        return read.kept if isinstance(read, Content) else None

    return restored(content_of, into)


def wanted(one: Lying) -> bool:
    """Return whether a file is one that a scene may need, and not too large to be held."""
    ends = Path(one.path).suffix in (".stl", ".obj", ".ply", ".glb")
    return one.size <= (MOST_MESH_BYTES if ends else MOST_BYTES)


def restored(content_of: Callable[[str], bytes | None], into: Path) -> Path:
    """Return the scene of an archive whose files have been read, written into a folder.

    Parameters
    ----------
    content_of : function
        From a path in ``data/`` to the bytes; None for a file that is not there or was not read.
    into : Path
        An empty folder.

    Returns
    -------
    scene : Path
        In ``into``, under its own name.

    Raises
    ------
    SceneError
        As for `restored_scene`.
    """
    listing = content_of(FILES)
    if listing is None:
        raise SceneError((_told("there is no such file, or it cannot be read"),))
    names = _source_names(listing)
    contents = {path: content_of(path) for path in names}
    problems = [
        _told(f"{quoted(path)} is listed, but cannot be read")
        for path, one in contents.items()
        if one is None
    ]
    problems += _wrong_names(names)
    scene = next(iter(names), "")
    if not problems and not scene.endswith(SCENE_ENDS):
        problems = [_told(f"no scene: the first file of {FOLDER}/ is none")]
    if problems:
        raise SceneError(tuple(problems))
    for path, name in names.items():
        place = into.joinpath(*PureWindowsPath(name).parts)
        made_folder(place.parent)
        write_whole(place, contents[path] or b"", keep_old=True)
    return into / PureWindowsPath(names[scene]).name


def _source_names(listing: bytes) -> dict[str, str]:
    """Return what the files of the scene were called, by their paths in the archive, the scene first."""
    try:
        rows = list(csv.DictReader(io.StringIO(listing.decode("utf-8"), newline=""), strict=True))
    except (UnicodeDecodeError, csv.Error):
        raise SceneError((_told("cells that cannot be told apart"),)) from None
    names = {
        row[IN_BAG]: row[WAS]
        for row in rows
        if (row.get(IN_BAG) or "").startswith(f"{FOLDER}/")
        and row.get(WAS)
        and not (row.get(IN_BAG) or "").startswith(f"{FOLDER}/{MODELS}/")
    }
    if len(names) > MOST_SOURCES:
        raise SceneError((_told(f"{len(names):,} files of one scene"),))
    return names


def _wrong_names(names: Mapping[str, str]) -> list[Problem]:
    """Return what is wrong with what files are said to have been called."""
    problems = []
    first: dict[str, str] = {}
    folders = {one.as_posix().casefold() for name in names.values() for one in PureWindowsPath(name).parents}
    for path, name in names.items():
        plain = PureWindowsPath(name).as_posix()
        why = why_unsafe(plain) or ("which is too long" if len(name) > LONGEST else None)
        if why is None and (":" in name or not name.isprintable()):
            why = "with signs that some systems take for something else"
        if why is None and plain.casefold() in folders:
            why = "in which another was"
        other = first.setdefault(plain.casefold(), path)
        if why is None and other != path:
            why = f"as {shown(other)} was"
        if why is not None:
            problems.append(_told(f"{quoted(path)} was called {quoted(name)}, {why}"))
    return problems


def _told(found: str) -> Problem:
    return wrong(f"{PAYLOAD}/{FILES}", found, NAMES)
